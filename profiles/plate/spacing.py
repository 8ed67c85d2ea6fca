"""How far apart controls should be, edge to edge, and what is wrong with a plate's layout.

- `recommended`: separation for two kinds of control with the tables that give it.
- `ControlOutline`: a control as the plate sees it; `Screwhead`: a mounting hole.
- `find_*`: off the plate, near its edge, overlapping, too close, hole wider than its front, holes
  that leave too little material, screw under a front.

Separation is edge to edge, not centre to centre: two 22 mm heads 13 mm apart have their centres
35 mm apart. Lengths in millimetres.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import NamedTuple

from profiles.plate.shapes import Box, Shape, gap, inset

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


COUNTS_AS = {"hat": "momentary", "axis": "rotary"}
"""Kinds that no table has, and the one whose hand they are most like. Rule of thumb."""


class Separation(NamedTuple):
    """A recommended separation in mm and the sources that give it."""

    distance: float
    sources: tuple[str, ...] = ()


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


class ControlOutline(NamedTuple):
    """A control as the plate sees it."""

    id: str
    kind: str
    front: Shape
    """What covers the plate, seen from the front."""
    hole: Shape


class Screwhead(NamedTuple):
    """A mounting hole: the head or washer where given, otherwise the hole."""

    head: Shape
    hole: Shape


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


def find_off_plate(outlines: Iterable[ControlOutline], plate: Shape) -> list[Near]:
    """Controls whose hole or front sticks out of the plate."""
    return [near for near in _to_edge(outlines, plate) if near.distance < 0]


def find_near_edge(outlines: Iterable[ControlOutline], plate: Shape, edge: float) -> list[Near]:
    """Controls on the plate but closer than `edge` mm to its edge."""
    return [near for near in _to_edge(outlines, plate) if 0 <= near.distance < edge]


def _to_edge(outlines: Iterable[ControlOutline], plate: Shape) -> list[Near]:
    return [
        Near(control.id, min(inset(control.front, plate), inset(control.hole, plate)))
        for control in outlines
    ]


def find_overlaps(outlines: Iterable[ControlOutline]) -> list[Close]:
    """Pairs of fronts that overlap; the distance is negative."""
    pairs = _pairs(outlines, lambda control: control.front, 0.0)
    return [Close(a.id, b.id, distance) for a, b, distance in pairs if distance < 0]


def find_close_fronts(outlines: Iterable[ControlOutline]) -> list[Close]:
    """Pairs of fronts apart, but less than recommended for their kinds."""
    pairs = _pairs(outlines, lambda control: control.front, 26.0)
    close = [Close(a.id, b.id, apart, recommended(a.kind, b.kind)) for a, b, apart in pairs]
    return [pair for pair in close if 0 <= pair.distance < pair.wanted.distance - 1e-6]


def find_close_holes(outlines: Iterable[ControlOutline], web: float) -> list[Close]:
    """Pairs of holes that leave less than `web` mm of material."""
    pairs = _pairs(outlines, lambda control: control.hole, web)
    return [
        Close(a.id, b.id, distance, Separation(web))
        for a, b, distance in pairs
        if distance < web - 1e-6
    ]


def find_wide_holes(outlines: Iterable[ControlOutline]) -> list[Near]:
    """Controls whose hole shows beside the front that should cover it, and by how much."""
    shown = (Near(control.id, -inset(control.hole, control.front)) for control in outlines)
    return [near for near in shown if near.distance > 1e-6]


def find_screws_under_fronts(
    outlines: Sequence[ControlOutline], screws: Sequence[Screwhead]
) -> list[tuple[int, str]]:
    """Places in the list of screws, from 0, with the control whose front covers the head."""
    return [
        (place, control.id)
        for place, screw in enumerate(screws)
        for control in outlines
        if gap(screw.head, control.front) < -1e-6
    ]


def find_crossed_screws(
    outlines: Iterable[ControlOutline], screws: Sequence[Screwhead]
) -> list[tuple[int, str | int, float]]:
    """Places of screws, from 0, with the control or earlier screw whose hole theirs cuts into, and
    by how many mm."""
    holes: list[tuple[str | int, Shape]] = [(control.id, control.hole) for control in outlines]
    found = []
    for place, screw in enumerate(screws):
        cuts = [(place, other, -gap(hole, screw.hole)) for other, hole in holes]
        found += [cut for cut in cuts if cut[2] > 1e-6]
        holes.append((place, screw.hole))
    return found


def _pairs(
    outlines: Iterable[ControlOutline], shape_of: Callable[[ControlOutline], Shape], reach: float
) -> list[tuple[ControlOutline, ControlOutline, float]]:
    """Pairs whose bounds come within `reach` mm, with their distance, by ids in order."""
    spans = [(shape_of(control).bounds, control) for control in outlines]
    active: list[tuple[Box, ControlOutline]] = []
    found = []
    for bounds, control in sorted(spans, key=lambda span: (span[0].left, span[1].id)):
        active = [span for span in active if span[0].right + reach >= bounds.left]
        for _, other in active:
            a, b = sorted((control, other), key=lambda control: control.id)
            found.append((a, b, gap(shape_of(a), shape_of(b))))
        active.append((bounds, control))
    return sorted(found, key=lambda pair: (pair[0].id, pair[1].id))
