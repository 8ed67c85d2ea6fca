"""How far apart controls should be, edge to edge, and what is wrong with a plate's layout.

- `recommended`: separation for two kinds of control with the tables that give it.
- `ControlOutline`: a control as the plate sees it; `Screwhead`: a mounting hole.
- `find_*`: off the plate, near its edge, overlapping, too close, hole wider than its front, holes
  that leave too little material, screw under a front; `find_near`: which of many shapes are near.

Separation is edge to edge, not centre to centre: two 22 mm heads 13 mm apart have their centres
35 mm apart. Lengths in millimetres.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import lru_cache
from itertools import product
from math import frexp
from typing import NamedTuple

from profiles.plate.shapes import Outline, gap, inset

Table = Mapping[frozenset[str], float]


def _table(**rows: tuple[float | None, ...]) -> Table:
    """A table from its rows; columns momentary, rocker, latching, selector, rotary."""
    columns = ("momentary", "rocker", "latching", "selector", "rotary")
    return {
        frozenset((kind, other)): distance
        for kind, distances in rows.items()
        for other, distance in zip(columns, distances, strict=True)
        if distance is not None
    }


NUREG_0700 = _table(
    momentary=(13, 13, 13, 13, 13),
    rocker=(13, 13, 19, 13, 13),
    latching=(13, 19, 19, 19, 19),
)
"""NUREG-0700 Rev.3, Table 11.5: least separation, mm as printed. A latching control counts as the
table's toggle, a rotary as its continuous rotary, a rocker as its slide or rocker."""

ATIS = _table(
    momentary=(12.7, 12.7, 12.7, 12.7, 12.7),
    rocker=(12.7, 12.7, 19.05, 12.7, 12.7),
    latching=(12.7, 19.05, 19.05, 19.05, 19.05),
    selector=(12.7, 12.7, 19.05, 25.4, 25.4),
    rotary=(12.7, 12.7, 19.05, 25.4, 25.4),
)
"""FHWA ATIS design guidelines, chapter 4, "Control coding": the table's inches in mm."""

MIL_STD_1472E = _table(
    momentary=(None, None, 13, 13, 13),
    latching=(13, None, None, 19, 19),
    selector=(13, None, 19, 25, 25),
)
"""MIL-STD-1472E, Table VII, one hand; two selectors by its Figure 4."""

_TABLES = (
    ("NUREG-0700 Rev.3, Table 11.5", NUREG_0700),
    ("FHWA ATIS guidelines, chapter 4", ATIS),
    ("MIL-STD-1472E, Table VII", MIL_STD_1472E),
)


FARTHEST_ADVISED = 26.0
"""Somewhat more than any of the tables asks for, mm."""

COUNTS_AS = {"hat": "momentary", "axis": "rotary"}
"""Kinds that no table has, and the one whose hand they are most like. Rule of thumb."""

_WORKED = frozenset(COUNTS_AS).union(*ATIS)

LEAST_WEB = 1.5
"""Least material between two holes, mm. Rule of thumb."""


class Separation(NamedTuple):
    """A recommended separation in mm and the sources that give it."""

    distance: float
    sources: tuple[str, ...] = ()


@lru_cache
def recommended(kind: str, other: str) -> Separation:
    """Least edge-to-edge separation of two kinds of control, with its sources.

    Kinds are momentary, latching, rotary, selector, rocker. Where tables give inches and rounded
    millimetres of the same figure, the whole millimetres count. Raises KeyError for a pair that
    no table has.
    """
    pair = frozenset(COUNTS_AS.get(one, one) for one in (kind, other))
    found = [(table[pair], name) for name, table in _TABLES if pair in table]
    if not found:
        raise KeyError(f"{kind} beside {other}")
    return Separation(float(round(found[0][0])), tuple(name for _, name in found))


def advise_distance(kind: str, other: str) -> float:
    """The same distance; 0 beside what is no control."""
    return recommended(kind, other).distance if {kind, other} <= _WORKED else 0.0


class ControlOutline(NamedTuple):
    """A control or fixture as the plate sees it."""

    id: str
    kind: str
    front: Outline
    """What covers the plate, seen from the front."""
    hole: Outline


class Screwhead(NamedTuple):
    """A mounting hole: the head or washer where given, otherwise the hole."""

    head: Outline
    hole: Outline


class Near(NamedTuple):
    """A control and how far it is from the edge, mm; negative where it sticks out."""

    id: str
    distance: float


class Close(NamedTuple):
    """Two controls, how far apart they are, and how far they should be, mm."""

    first: str
    second: str
    distance: float
    wanted: Separation = Separation(0.0)


def find_off_plate(outlines: Iterable[ControlOutline], plate: Outline) -> list[Near]:
    """Controls whose hole or front sticks out of the plate."""
    return [near for near in _to_edge(outlines, plate) if near.distance < 0]


def find_near_edge(outlines: Iterable[ControlOutline], plate: Outline, edge: float) -> list[Near]:
    """Controls on the plate but closer than `edge` mm to its edge."""
    return [near for near in _to_edge(outlines, plate) if 0 <= near.distance < edge]


def _to_edge(outlines: Iterable[ControlOutline], plate: Outline) -> list[Near]:
    return [
        Near(control.id, min(inset(control.front, plate), inset(control.hole, plate)))
        for control in outlines
    ]


def find_overlaps(outlines: Sequence[ControlOutline]) -> list[Close]:
    """Pairs of fronts that overlap; the distance is negative."""
    return _name_pairs(outlines, find_near([outline.front for outline in outlines], 0.0))


def find_close_fronts(outlines: Sequence[ControlOutline]) -> list[Close]:
    """Pairs of fronts apart, but less than recommended for their kinds; no table has fixtures."""
    worked = [outline for outline in outlines if outline.kind in _WORKED]
    near = find_near([outline.front for outline in worked], FARTHEST_ADVISED)
    close = _name_pairs(worked, (pair for pair in near if pair[2] >= 0), recommended)
    return [pair for pair in close if pair.distance < pair.wanted.distance - 1e-6]


def find_close_holes(outlines: Sequence[ControlOutline], web: float) -> list[Close]:
    """Pairs of holes that leave less than `web` mm of material."""
    near = find_near([outline.hole for outline in outlines], web - 1e-6)
    return _name_pairs(outlines, near, lambda a, b: Separation(web))


def find_wide_holes(outlines: Iterable[ControlOutline]) -> list[Near]:
    """Controls whose hole shows beside the front that should cover it, and by how much."""
    shown = (Near(control.id, -inset(control.hole, control.front)) for control in outlines)
    return [near for near in shown if near.distance > 1e-6]


def find_screws_under_fronts(
    outlines: Sequence[ControlOutline], screws: Sequence[Screwhead]
) -> list[tuple[int, str]]:
    """Places in the list of screws, from 0, with the control whose front covers the head."""
    shapes = [outline.front for outline in outlines] + [screw.head for screw in screws]
    first = len(outlines)
    near = sorted((b, a) for a, b, _ in find_near(shapes, -1e-6) if a < first <= b)
    return [(screw - first, outlines[control].id) for screw, control in near]


def find_crossed_screws(
    outlines: Sequence[ControlOutline], screws: Sequence[Screwhead]
) -> list[tuple[int, str | int, float]]:
    """Places of screws, from 0, with the control or earlier screw whose hole theirs cuts into, and
    by how many mm."""
    holes = [outline.hole for outline in outlines] + [screw.hole for screw in screws]
    first = len(outlines)
    near = sorted((b, a, -apart) for a, b, apart in find_near(holes, -1e-6) if b >= first)
    names = [*(outline.id for outline in outlines), *range(len(screws))]
    return [(screw - first, names[other], cut) for screw, other, cut in near]


def find_near(shapes: Sequence[Outline], reach: float) -> list[tuple[int, int, float]]:
    """Pairs of places in a list of shapes, the earlier first, that are less than `reach` mm apart,
    with their distance; negative where they overlap.

    Each shape lies by its centre in a grid whose cell is no smaller than the shape grown by
    `reach`, one grid for each power of two. So whatever is near to a shape of the same size or
    smaller lies in the cell of its centre or beside it.
    """
    bounds = [shape.bounds for shape in shapes]
    sizes = [max(box.width, box.height) + max(reach, 0.0) for box in bounds]
    grids: dict[int, dict[tuple[int, int], list[int]]] = {}
    found = []
    for place in sorted(range(len(shapes)), key=lambda place: -sizes[place]):
        shape, power = shapes[place], frexp(sizes[place])[1]
        grids.setdefault(power, {})
        for other_power, grid in grids.items():
            x, y = (int(at // 2.0**other_power) for at in shape.centre)
            for cell in product((x - 1, x, x + 1), (y - 1, y, y + 1)):
                for other in grid.get(cell, ()):
                    if gap(bounds[place], bounds[other]) >= reach:
                        continue
                    apart = gap(shape, shapes[other])
                    if apart < reach:
                        found.append((min(place, other), max(place, other), apart))
        x, y = (int(at // 2.0**power) for at in shape.centre)
        grids[power].setdefault((x, y), []).append(place)
    return found


def _name_pairs(
    outlines: Sequence[ControlOutline],
    near: Iterable[tuple[int, int, float]],
    wanted: Callable[[str, str], Separation] = lambda kind, other: Separation(0.0),
) -> list[Close]:
    """Pairs of controls by their ids, in order of these, with what is wanted of their kinds."""
    found = []
    for places in near:
        a, b = sorted((outlines[place] for place in places[:2]), key=lambda outline: outline.id)
        found.append(Close(a.id, b.id, places[2], wanted(a.kind, b.kind)))
    return sorted(found)
