"""Every hole of a plate, numbered, with how far it is from the edge and from its neighbour.

Controls are numbered in reading order from 1; fixtures F1 and on, mounting holes S1 and on in the
order of the file.
Lengths mm, places from the datum: the plate's lower left corner seen from the front.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import dist, nan

from profiles.drawing.geometry import Box, Point, moved, turned
from profiles.model.device import Device
from profiles.model.hole import Hole as ModelHole
from profiles.model.hole import as_hole
from profiles.plate.holes import Size, cut_shape, hole_shape
from profiles.plate.order import reading_order
from profiles.plate.outlines import centres_of, outline_of
from profiles.plate.shapes import Outline, gap, inset
from profiles.plate.spacing import find_near
from profiles.text.finding import Spot

NEAR = 32.0
"""Reach in mm within which most holes of a plate have another one."""


@dataclass(frozen=True, slots=True)
class Hole:
    """A hole to make: its number on the sheet, what it is for, where and how large."""

    number: str
    id: str
    label: str
    at: Point
    size: Size
    rotation: float
    spot: Spot

    @property
    def shape(self) -> Outline:
        """What it takes of the front of the plate, its countersink included."""
        return hole_shape(self.at, self.size, self.rotation)

    @property
    def area(self) -> float:
        """What it takes right through the plate, mm²."""
        return cut_shape(self.at, self.size, self.rotation).area

    @property
    def corners(self) -> tuple[Point, ...]:
        """The corners of a cut-out as if sharp, anticlockwise from its own lower left."""
        hole = as_hole(self.size)
        width, height = hole.sides
        box = Box(-width / 2, -height / 2, width / 2, height / 2)
        return self._place(box.corners) if hole.shape == "rectangle" else ()

    @property
    def ends(self) -> tuple[Point, ...]:
        """The centres of the ends of a slot."""
        hole = as_hole(self.size)
        half = (hole.sides[0] - hole.sides[1]) / 2
        return self._place(((-half, 0.0), (half, 0.0))) if hole.shape == "slot" else ()

    def _place(self, points: Iterable[Point]) -> tuple[Point, ...]:
        turn = turned(as_hole(self.size).angle + self.rotation)
        return tuple(map(turn.then(moved(*self.at)).apply, points))

    @property
    def box(self) -> Box:
        """The upright box around it."""
        bounds = self.shape.bounds
        return Box(bounds.left, bounds.bottom, bounds.right, bounds.top)


@dataclass(frozen=True, slots=True)
class Measured:
    """A hole and its distances: edge to edge of the plate, and to the nearest other hole."""

    hole: Hole
    to_edge: float
    neighbour: str
    centres_apart: float
    edges_apart: float


def list_holes(device: Device) -> tuple[Hole, ...]:
    """Every hole of a device's plate: controls in reading order, fixtures, mounting holes."""
    found = []
    centres = {key: at for key, at in centres_of(device).items() if key in device.mounted}
    for number, key in enumerate(reading_order(centres), 1):
        control = device.controls[key]
        spot = Spot(device.id, ("controls", key, "hole"))
        at, size = control.position, control.hole
        found.append(Hole(str(number), key, control.spoken_label, at, size, control.rotation, spot))
    for number, (key, one) in enumerate(device.fixtures.items(), 1):
        spot = Spot(device.id, ("fixtures", key, "hole"))
        found.append(Hole(f"F{number}", key, one.title, one.position, one.hole, one.rotation, spot))
    for place, screw in enumerate(device.plate.screws):
        spot = Spot(device.id, ("plate", "screws", place))
        name = f"S{place + 1}"
        found.append(Hole(name, "", "mounting hole", screw.position, screw.hole, 0.0, spot))
    return tuple(found)


def measure_holes(device: Device, holes: Sequence[Hole]) -> tuple[Measured, ...]:
    """Every hole with its distances; a lone hole has no neighbour and NaN apart.

    Most holes have another one near, found in a grid; the few that have none are compared with all.
    """
    outline = outline_of(device.plate)
    shapes = [hole.shape for hole in holes]
    near: dict[int, list[tuple[float, int]]] = {}
    reach = NEAR
    while len(near) < len(holes) * 15 / 16 and reach < device.plate.width + device.plate.height:
        near.clear()
        for first, second, apart in find_near(shapes, reach):
            near.setdefault(first, []).append((apart, second))
            near.setdefault(second, []).append((apart, first))
        reach *= 2
    found = []
    for place, hole in enumerate(holes):
        to_edge = inset(shapes[place], outline)
        others = near.get(place) or [
            (gap(shapes[place], shape), other)
            for other, shape in enumerate(shapes)
            if other != place
        ]
        if not others:
            found.append(Measured(hole, to_edge, "", nan, nan))
            continue
        apart, nearest = min(
            others, key=lambda o: (round(o[0], 6), dist(hole.at, holes[o[1]].at), o[1])
        )
        other = holes[nearest]
        found.append(Measured(hole, to_edge, other.number, dist(hole.at, other.at), apart))
    return tuple(found)


def group_by_size(holes: Iterable[Hole]) -> dict[Size, tuple[Hole, ...]]:
    """Holes by size: diameters from the smallest, then other shapes, slots, cut-outs."""
    groups: dict[Size, list[Hole]] = {}
    for hole in holes:
        groups.setdefault(hole.size, []).append(hole)
    order = sorted(groups, key=_rank)
    return {size: tuple(groups[size]) for size in order}


def _rank(size: Size) -> tuple[int, bool, tuple[float, float], str]:
    """Order of sizes: round ones, slots, rectangles; plain ones first, then from the smallest."""
    hole = as_hole(size)
    shape = ("round", "slot", "rectangle").index(hole.shape)
    return shape, isinstance(size, ModelHole), hole.sides, repr(size)
