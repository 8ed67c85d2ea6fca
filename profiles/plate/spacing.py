"""How far apart controls should be, edge to edge, and what is wrong with a plate's layout.

- `recommended`: separation for two kinds of control with the tables that give it; advice.
- `Fitting`: a control as the plate sees it; `Screwhead`: a mounting hole.
- `find_*`: off the plate, near its edge, overlapping, too close, hole wider than its front, holes
  that leave too little material, screw under a front.

Separation is edge to edge, not centre to centre: two 22 mm heads 13 mm apart stand at 35 mm.
Lengths in millimetres.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import NamedTuple

from profiles.plate.shapes import Box, Shape, gap, inset

__all__ = [
    "ATIS",
    "MIL_STD_1472E",
    "NUREG_0700",
    "Advice",
    "Close",
    "ControlOutline",
    "Near",
    "Screwhead",
    "find_close_fronts",
    "find_close_holes",
    "find_near_edge",
    "find_off_plate",
    "find_overlaps",
    "find_screws_under_fronts",
    "find_wide_holes",
    "recommended",
]

Table = Mapping[frozenset[str], float]


def _table(rows: Mapping[str, float]) -> Table:
    return {frozenset(pair.split()): distance for pair, distance in rows.items()}


NUREG_0700 = _table(
    {
        "momentary": 13,
        "momentary rocker": 13,
        "momentary latching": 13,
        "momentary selector": 13,
        "momentary rotary": 13,
        "rocker": 13,
        "rocker latching": 19,
        "rocker selector": 13,
        "rocker rotary": 13,
        "latching": 19,
        "latching selector": 19,
        "latching rotary": 19,
    }
)
"""NUREG-0700 Rev.3, Table 11.5: least separation, mm as printed. A latching control stands as the
table's toggle, a rotary as its continuous rotary, a rocker as its slide or rocker."""

ATIS = _table(
    {
        "momentary": 12.7,
        "momentary rocker": 12.7,
        "momentary latching": 12.7,
        "momentary selector": 12.7,
        "momentary rotary": 12.7,
        "rocker": 12.7,
        "rocker latching": 19.05,
        "rocker selector": 12.7,
        "rocker rotary": 12.7,
        "latching": 19.05,
        "latching selector": 19.05,
        "latching rotary": 19.05,
        "selector": 25.4,
        "selector rotary": 25.4,
        "rotary": 25.4,
    }
)
"""FHWA ATIS design guidelines, chapter 4, "Control coding": the table's inches in mm."""

MIL_STD_1472E = _table(
    {
        "momentary latching": 13,
        "momentary selector": 13,
        "momentary rotary": 13,
        "latching selector": 19,
        "latching rotary": 19,
        "selector rotary": 25,
        "selector": 25,
    }
)
"""MIL-STD-1472E, Table VII, one hand; two selectors by its Figure 4."""

_TABLES = (
    ("NUREG-0700 Rev.3, Table 11.5", NUREG_0700),
    ("FHWA ATIS guidelines, chapter 4", ATIS),
    ("MIL-STD-1472E, Table VII", MIL_STD_1472E),
)


class Advice(NamedTuple):
    """A recommended separation in mm and the sources that give it."""

    distance: float
    sources: tuple[str, ...]


def recommended(kind: str, other: str) -> Advice:
    """Least edge-to-edge separation of two kinds of control, with its sources.

    Kinds are momentary, latching, rotary, selector, rocker. Where tables give inches and rounded
    millimetres of the same figure, the whole millimetres count. Raises KeyError for a pair that
    no table has.
    """
    pair = frozenset((kind, other))
    found = [(table[pair], name) for name, table in _TABLES if pair in table]
    if not found:
        raise KeyError(f"{kind} beside {other}")
    return Advice(float(round(found[0][0])), tuple(name for _, name in found))


class ControlOutline(NamedTuple):
    """A control as the plate sees it."""

    id: str
    kind: str
    front: Shape
    """What covers the plate, seen from the front."""
    hole: Shape


class Screwhead(NamedTuple):
    """A mounting hole: the head or washer where given, else the hole."""

    head: Shape
    hole: Shape


class Near(NamedTuple):
    """A control and how far it is from the edge, mm; negative where it sticks out."""

    id: str
    distance: float


class Close(NamedTuple):
    """Two controls, how far apart they are, and how far they should be, mm."""

    one: str
    other: str
    distance: float
    advice: Advice


def find_off_plate(fittings: Iterable[ControlOutline], outline: Shape) -> list[Near]:
    """Controls whose hole or front sticks out of the plate."""
    found = (Near(one.id, _edge_distance(one, outline)) for one in fittings)
    return [near for near in found if near.distance < 0]


def find_near_edge(fittings: Iterable[ControlOutline], outline: Shape, edge: float) -> list[Near]:
    """Controls on the plate but closer than `edge` mm to its edge."""
    found = (Near(one.id, _edge_distance(one, outline)) for one in fittings)
    return [near for near in found if 0 <= near.distance < edge]


def find_overlaps(fittings: Sequence[ControlOutline]) -> list[Close]:
    """Pairs of fronts that overlap; the distance is negative."""
    nothing = Advice(0.0, ())
    return [
        Close(a.id, b.id, distance, nothing)
        for a, b, distance in _pairs(fittings, _front, 0.0)
        if distance < 0
    ]


def find_close_fronts(fittings: Sequence[ControlOutline]) -> list[Close]:
    """Pairs of fronts apart, but less than recommended for their kinds."""
    found = []
    for a, b, distance in _pairs(fittings, _front, 26.0):
        advice = recommended(a.kind, b.kind)
        if 0 <= distance < advice.distance - 1e-6:
            found.append(Close(a.id, b.id, distance, advice))
    return found


def find_close_holes(fittings: Sequence[ControlOutline], web: float) -> list[Close]:
    """Pairs of holes that leave less than `web` mm of material; common practice, no source."""
    advice = Advice(web, ())
    return [
        Close(a.id, b.id, distance, advice)
        for a, b, distance in _pairs(fittings, _hole, web)
        if distance < web - 1e-6
    ]


def find_wide_holes(fittings: Iterable[ControlOutline]) -> list[Near]:
    """Controls whose hole shows beside the front that should cover it, and by how much."""
    found = (Near(one.id, inset(one.hole, one.front)) for one in fittings)
    return [Near(near.id, -near.distance) for near in found if near.distance < -1e-6]


def find_screws_under_fronts(
    fittings: Sequence[ControlOutline], screws: Sequence[Screwhead]
) -> list[tuple[int, str]]:
    """Places in the list of screws, from 0, with the control whose front covers the head."""
    return [
        (place, one.id)
        for place, screw in enumerate(screws)
        for one in fittings
        if gap(screw.head, one.front) < -1e-6
    ]


def _edge_distance(one: ControlOutline, outline: Shape) -> float:
    return min(inset(one.front, outline), inset(one.hole, outline))


def _front(one: ControlOutline) -> Shape:
    return one.front


def _hole(one: ControlOutline) -> Shape:
    return one.hole


def _pairs(
    fittings: Sequence[ControlOutline], shape_of: Callable[[ControlOutline], Shape], reach: float
) -> list[tuple[ControlOutline, ControlOutline, float]]:
    """Pairs whose bounds come within `reach` mm, with their distance, by ids in order."""
    spans = sorted(((shape_of(one).bounds, one) for one in fittings), key=_by_left)
    active: list[tuple[Box, ControlOutline]] = []
    found = []
    for bounds, one in spans:
        active = [pair for pair in active if pair[0].right + reach >= bounds.left]
        for _, other in active:
            a, b = sorted((one, other), key=lambda fitting: fitting.id)
            found.append((a, b, gap(shape_of(a), shape_of(b))))
        active.append((bounds, one))
    return sorted(found, key=lambda pair: (pair[0].id, pair[1].id))


def _by_left(pair: tuple[Box, ControlOutline]) -> tuple[float, str]:
    return pair[0].left, pair[1].id
