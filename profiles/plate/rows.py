"""Rows and columns of controls, found from their positions alone. Lengths in millimetres.

- `find_rows`, `find_columns`: controls whose centres lie on one line, small errors forgiven.
- `cells`: the strip cells of a line of controls at their true pitch.
"""

from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import NamedTuple

TOLERANCE = 2.0
"""How far from a line's middle a centre may lie, mm; hand-drilled plates stay well within."""

Point = tuple[float, float]


class Line(NamedTuple):
    """Controls in one row or column."""

    axis: float
    """Mean y of a row, or mean x of a column, mm."""
    members: tuple[str, ...]
    """Ids: a row from left to right, a column from top to bottom."""


class Cell(NamedTuple):
    """The part of a strip that belongs to one control, mm along the row."""

    id: str
    start: float
    centre: float
    end: float

    @property
    def width(self) -> float:
        """Extent along the row, mm."""
        return self.end - self.start


def find_rows(points: Mapping[str, Point], tolerance: float = TOLERANCE) -> tuple[Line, ...]:
    """Rows from the top down. Every control is in exactly one row."""
    flipped = {key: -y for key, (x, y) in points.items()}
    along = {key: x for key, (x, y) in points.items()}
    return tuple(Line(-axis, members) for axis, members in _lines(flipped, along, tolerance))


def find_columns(points: Mapping[str, Point], tolerance: float = TOLERANCE) -> tuple[Line, ...]:
    """Columns from left to right. Every control is in exactly one column."""
    across = {key: x for key, (x, y) in points.items()}
    along = {key: -y for key, (x, y) in points.items()}
    return tuple(Line(axis, members) for axis, members in _lines(across, along, tolerance))


def cells(centres: Sequence[tuple[str, float]], widest: float, lone: float) -> tuple[Cell, ...]:
    """Strip cells of controls at these places along their row, sorted by place.

    Neighbours meet halfway. A cell is never wider to one side of its control than to the other
    is needed at the ends: the first and last reach out as far as they reach in, at most `widest`
    / 2 mm; a control alone in its row gets `lone` mm. A cell is at most `widest` mm wide.
    """
    ordered = sorted(centres, key=lambda pair: (pair[1], pair[0]))
    places = [place for _, place in ordered]
    if len(places) == 1:
        key, place = ordered[0]
        return (Cell(key, place - lone / 2, place, place + lone / 2),)
    middles = [(a + b) / 2 for a, b in pairwise(places)]
    starts = [2 * places[0] - middles[0], *middles]
    ends = [*middles, 2 * places[-1] - middles[-1]]
    reach = widest / 2
    return tuple(
        Cell(key, max(start, place - reach), place, min(end, place + reach))
        for (key, place), start, end in zip(ordered, starts, ends, strict=True)
    )


def _lines(
    across: Mapping[str, float], along: Mapping[str, float], tolerance: float
) -> list[tuple[float, tuple[str, ...]]]:
    """Group by `across`, ascending, with each group's mean; sort each by `along`, then by id."""
    groups: list[list[str]] = []
    means: list[float] = []
    for key in sorted(across, key=lambda key: (across[key], along[key], key)):
        if not groups or across[key] - means[-1] > tolerance:
            groups.append([])
            means.append(0.0)
        groups[-1].append(key)
        means[-1] = sum(across[member] for member in groups[-1]) / len(groups[-1])
    rank = {key: (along[key], key) for key in along}
    return [
        (mean, tuple(sorted(group, key=rank.__getitem__)))
        for mean, group in zip(means, groups, strict=True)
    ]
