"""Centre marks of holes, and their numbers and sizes beside or within them."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from math import sqrt

from profiles.drawing import marks, weights
from profiles.drawing.geometry import Box, Point
from profiles.drawing.recorder import Recorder
from profiles.drawing.shapes import Anchor
from profiles.drawing.style import Lettering
from profiles.drawing.surface import decimal
from profiles.lettering import BOLD
from profiles.sheets.hole_list import Hole, Size

_NUMBER, _SIZE = Lettering(2.5, BOLD), Lettering(1.8)
_NUMBER_RISE, _SIZE_DROP = 2.0, 4.0
"""Baseline of the number above, and of the size below, the centre of a hole, mm."""
_CORNER = 1 - sqrt(0.5)
"""How far the corner of a square around a circle stands off it each way, in radii."""


def size_words(size: Size) -> str:
    """A size as drawings give it: a diameter, or width by height, mm."""
    if isinstance(size, tuple):
        return f"{decimal(size[0], 2)} × {decimal(size[1], 2)}"
    return f"Ø{decimal(size, 2)}"


def draw_centres(board: Recorder, holes: Iterable[Hole]) -> None:
    """Draw where the punch goes, on layer `centres`."""
    with board.layer("centres"):
        for hole in holes:
            if isinstance(hole.size, tuple):
                marks.cross(board, hole.at, 3.0, weights.DIMENSION)
            else:
                marks.centre_mark(board, hole.at, hole.size)


def draw_numbers(board: Recorder, holes: Sequence[Hole], plate: Point) -> None:
    """Write number and size of every hole on layer `numbers`: within it where there is room."""
    taken = [_reach(hole) for hole in holes]
    with board.layer("numbers"):
        for hole in holes:
            if _has_room(hole):
                _write_within(board, hole)
            else:
                taken.append(_write_beside(board, hole, taken, plate))


def _reach(hole: Hole) -> Box:
    """What a hole and the axes of its centre mark take."""
    return hole.box if hole.corners else hole.box.grown(2.0)


def _has_room(hole: Hole) -> bool:
    """Whether number and size fit between the cross and the edge of the hole."""
    low, high = _SIZE_DROP, _NUMBER_RISE + _NUMBER.cap_height
    size, number = _SIZE.width(size_words(hole.size)) / 2, _NUMBER.width(hole.number) / 2
    if isinstance(hole.size, tuple):
        half_up = hole.box.height / 2 - 0.5
        return hole.box.width / 2 - 0.5 > max(size, number) and half_up > max(low, high)
    radius = hole.size / 2 - 0.5
    return _chord(radius, low) > size and _chord(radius, high) > number


def _chord(radius: float, rise: float) -> float:
    """Half the width of a circle so far from its middle; 0 beyond it."""
    return sqrt(max(radius * radius - rise * rise, 0.0))


def _write_within(board: Recorder, hole: Hole) -> None:
    x, y = hole.at
    board.text((x, y + _NUMBER_RISE), hole.number, _NUMBER, anchor="middle")
    board.text((x, y - _SIZE_DROP), size_words(hole.size), _SIZE, anchor="middle")


def _write_beside(board: Recorder, hole: Hole, taken: Sequence[Box], plate: Point) -> Box:
    """Write in the first corner around the hole that is free; the innermost one if none is."""
    places = [_place(hole, right, up) for right, up in _corners(hole, plate)]
    free = [place for place in places if _is_free(place[1], hole, taken, plate)]
    (x, y), box, anchor = (free or places)[0]
    number, words = replace(_NUMBER, cap_height=2.0), size_words(hole.size)
    if anchor == "right":
        x = box.left
    board.text((x, y), hole.number, number)
    board.text((x + number.width(hole.number) + 1.0, y), words, _SIZE)
    return box


def _corners(hole: Hole, plate: Point) -> Iterator[tuple[int, int]]:
    """The four corners around a hole, those toward the plate's middle first."""
    right = 1 if hole.at[0] < plate[0] / 2 else -1
    up = 1 if hole.at[1] < plate[1] / 2 else -1
    yield from ((right, up), (right, -up), (-right, up), (-right, -up))


def _place(hole: Hole, right: int, up: int) -> tuple[Point, Box, Anchor]:
    number = replace(_NUMBER, cap_height=2.0)
    width = number.width(hole.number) + 1.0 + _SIZE.width(size_words(hole.size))
    out = 0.8 if hole.corners else 0.8 - hole.box.width / 2 * _CORNER
    x = (hole.box.right + out) if right > 0 else hole.box.left - out
    y = hole.box.top + out if up > 0 else hole.box.bottom - out - number.cap_height
    left = x if right > 0 else x - width
    box = Box(left, y, left + width, y + number.cap_height)
    return (x, y), box, "left" if right > 0 else "right"


def _is_free(box: Box, hole: Hole, taken: Sequence[Box], plate: Point) -> bool:
    on_plate = Box(0.0, 0.0, *plate).grown(-0.5).holds(box)
    own = _reach(hole)
    return on_plate and not any(box.meets(other) for other in taken if other != own)
