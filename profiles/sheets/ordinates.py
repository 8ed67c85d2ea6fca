"""Ordinates along the lower and the left edge of a plate, counted from its lower left corner.

They are drawn as running dimensions (ISO 129-1): the dimension line starts in a small circle at
the datum, each place has an open arrow head (a small ring where there is no room), and the value
is in line with its extension line. Where values would touch, their lines are bent apart.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from profiles.drawing import marks, weights
from profiles.drawing.geometry import Box, Point, point_at
from profiles.drawing.recorder import Recorder
from profiles.drawing.style import GREY, Lettering, Style
from profiles.drawing.surface import decimal
from profiles.model.hole import as_hole
from profiles.sheets.hole_list import Hole

_LINE_AT, _BEND_AT, _BENT_AT, _WORDS_AT = -8.0, -9.5, -13.0, -14.0
"""Distances from the edge: dimension line, where a bend starts and ends, where words start."""
_PITCH = 3.2
"""Least distance of two values, mm."""
_VALUE = Lettering(2.0)
_REACH = Style(weights.HAIR, ink=GREY)
"""Extension lines across the plate."""
_ORIGIN = 3.0
_BREAK = 0.8
"""How far off a hole or a word a line that passes it is broken, mm."""


@dataclass(frozen=True, slots=True)
class _Axis:
    """One direction: how a place along it and a distance off it become a point."""

    upright: bool
    length: float

    def point(self, along: float, off: float) -> Point:
        return (off, along) if self.upright else (along, off)

    def spans(self, box: Box) -> tuple[tuple[float, float], tuple[float, float]]:
        """What a box takes along the axis, and what it takes off it."""
        across, up = (box.left, box.right), (box.bottom, box.top)
        return (up, across) if self.upright else (across, up)


def draw_ordinates(board: Recorder, holes: Sequence[Hole], plate: Point) -> None:
    """Draw both rows of ordinates on layer `dimensions`; the plate's own size comes last.

    Extension lines are broken at holes they only pass, and at words that are on the board.
    """
    taken = [hole.box.grown(_BREAK) for hole in holes]
    taken += [words.ink_bounds().grown(_BREAK) for words in board.finish().texts()]
    with board.layer("dimensions"):
        for axis in (_Axis(False, plate[0]), _Axis(True, plate[1])):
            _draw_row(board, axis, _reaches(holes, axis), taken)
        board.text((-_ORIGIN, -5.0), "datum", Lettering(1.8), anchor="right", rest="middle")


def _reaches(holes: Iterable[Hole], axis: _Axis) -> dict[float, float]:
    """How far in from the edge each ordinate reaches: to the first hole on it.

    It ends short of a round hole and of the ends of a slot, and at the corners of a cut-out.
    """
    reaches: dict[float, float] = {0.0: 0.0, round(axis.length, 3): 0.0}
    for hole in holes:
        height = hole.box.width if axis.upright else hole.box.height
        height = as_hole(hole.size).sides[1] if hole.ends else height
        clear = 0.0 if hole.corners else height / 2 + 2.5
        for x, y in hole.corners or hole.ends or (hole.at,):
            along, off = (y, x - clear) if axis.upright else (x, y - clear)
            key = round(along, 3)
            reaches[key] = min(reaches.get(key, off), off)
    return dict(sorted(reaches.items()))


def _draw_row(
    board: Recorder, axis: _Axis, reaches: Mapping[float, float], taken: Iterable[Box]
) -> None:
    """Draw the ordinates of one edge.

    Each ends in an open arrow head, which every format carries as it is; in a ring where there is
    no room, and in nothing at 0.
    """
    spans = sorted(axis.spans(box) for box in taken)
    passing: list[tuple[tuple[float, float], tuple[float, float]]] = []
    seen = 0
    values, line = list(reaches), weights.DIMENSION
    turn = 90.0 if axis.upright else 0.0
    board.line(axis.point(values[0], _LINE_AT), axis.point(values[-1], _LINE_AT), line)
    board.circle(axis.point(0.0, _LINE_AT), _ORIGIN, line)
    before = values[0]
    for value, slot in zip(values, spread(values, _PITCH), strict=True):
        passing = [span for span in passing if value < span[0][1]]
        while seen < len(spans) and spans[seen][0][0] < value:
            passing += [spans[seen]] if value < spans[seen][0][1] else []
            seen += 1
        for start, end in clear_stretches(reaches[value], [across for _, across in passing]):
            board.line(axis.point(value, end), axis.point(value, start), _REACH)
        board.line(axis.point(value, -1.0), axis.point(value, _BEND_AT), line)
        board.line(axis.point(value, _BEND_AT), axis.point(slot, _BENT_AT), line)
        tip = axis.point(value, _LINE_AT)
        if value != 0 and abs(value - before) > marks.ARROW_LENGTH + _ORIGIN / 2:
            back = turn + 180.0 if value > 0 else turn + 360.0
            sides = [point_at(tip, marks.ARROW_LENGTH, back + lean) for lean in (-7.5, 7.5)]
            board.polyline((sides[0], tip, sides[1]), line)
        elif value != 0:
            board.circle(tip, 0.9, line)
        at, angle = axis.point(slot, _WORDS_AT), 90.0 - turn
        words = decimal(value, 2)
        board.text(at, words, _VALUE, anchor="right", rest="middle", angle=angle)
        before = value


def clear_stretches(
    length: float, passed: Iterable[tuple[float, float]]
) -> list[tuple[float, float]]:
    """What is left of 0 to `length` without the stretches `passed`, mm from the edge."""
    left, start = [], 0.0
    for low, high in sorted(passed):
        if low > start:
            left.append((start, min(low, length)))
        start = max(start, high)
        if start >= length:
            return left
    return [*left, (start, length)] if length > start else left


def spread(places: Sequence[float], pitch: float) -> list[float]:
    """Places moved apart to at least `pitch`, with the least sum of squared moves.

    `places` rise. Runs that would touch share their mean (pool adjacent violators).
    """
    pools: list[tuple[float, int]] = []
    for number, place in enumerate(places):
        mean, size = place - number * pitch, 1
        while pools and pools[-1][0] > mean:
            before, count = pools.pop()
            mean, size = (before * count + mean * size) / (count + size), count + size
        pools.append((mean, size))
    means = [mean for mean, size in pools for _ in range(size)]
    return [mean + number * pitch for number, mean in enumerate(means)]
