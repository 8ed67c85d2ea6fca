"""Every hole of a plate, numbered, with how far it is from the edge and from its neighbour.

Controls are numbered in reading order from 1, mounting holes S1 and on in the order of the file.
Lengths mm, places from the datum: the plate's lower left corner seen from the front.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import dist, nan

from profiles.drawing.geometry import Box, Point, moved, turned
from profiles.model.device import Device
from profiles.model.finding import Spot
from profiles.plate.order import reading_order
from profiles.plate.outlines import centres_of, outline_of, shape_at
from profiles.plate.shapes import Shape, gap, inset

Size = float | tuple[float, float]


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
    def shape(self) -> Shape:
        """Its shape; a rectangle that is turned by no quarter counts with the box around it."""
        return shape_at(self.at, self.size, self.rotation)

    @property
    def corners(self) -> tuple[Point, ...]:
        """The corners of a cut-out, anticlockwise from its own lower left; none for a circle."""
        if not isinstance(self.size, tuple):
            return ()
        width, height = self.size
        place = turned(self.rotation).then(moved(*self.at))
        box = Box(-width / 2, -height / 2, width / 2, height / 2)
        return tuple(place.apply(corner) for corner in box.corners)

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
    """Every hole of a device's plate: controls in reading order, then mounting holes."""
    found = []
    for number, key in enumerate(reading_order(centres_of(device)), 1):
        control = device.controls[key]
        spot = Spot(device.id, ("controls", key, "hole"))
        at, size = control.position, control.hole
        found.append(Hole(str(number), key, control.label, at, size, control.rotation, spot))
    for place, screw in enumerate(device.plate.screws):
        spot = Spot(device.id, ("plate", "screws", place))
        name = f"S{place + 1}"
        found.append(Hole(name, "", "mounting hole", screw.position, screw.hole, 0.0, spot))
    return tuple(found)


def measure_holes(device: Device, holes: Sequence[Hole]) -> tuple[Measured, ...]:
    """Every hole with its distances; a lone hole has no neighbour and NaN apart."""
    outline = outline_of(device.plate)
    found = []
    for hole in holes:
        to_edge = inset(hole.shape, outline)
        others = [(gap(hole.shape, other.shape), other) for other in holes if other is not hole]
        if not others:
            found.append(Measured(hole, to_edge, "", nan, nan))
            continue
        apart, nearest = min(others, key=lambda o: (round(o[0], 6), dist(hole.at, o[1].at)))
        found.append(Measured(hole, to_edge, nearest.number, dist(hole.at, nearest.at), apart))
    return tuple(found)


def group_by_size(holes: Iterable[Hole]) -> dict[Size, tuple[Hole, ...]]:
    """Holes by size: diameters from the smallest, then cut-outs."""
    groups: dict[Size, list[Hole]] = {}
    for hole in holes:
        groups.setdefault(hole.size, []).append(hole)
    order = sorted(groups, key=lambda size: (isinstance(size, tuple), size))
    return {size: tuple(groups[size]) for size in order}
