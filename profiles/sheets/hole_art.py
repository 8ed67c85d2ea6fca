"""Centre marks of holes, and their numbers and sizes beside or within them."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from math import sqrt

from profiles.drawing import marks, weights
from profiles.drawing.geometry import Box, Point
from profiles.drawing.recorder import Recorder
from profiles.drawing.style import Lettering
from profiles.lettering import BOLD
from profiles.model.hole import as_hole
from profiles.sheets.hole_list import Hole
from profiles.sheets.hole_words import brief_words

_NUMBER, _SIZE = Lettering(2.5, BOLD), Lettering(1.8)
_NUMBER_RISE, _SIZE_DROP = 2.0, 4.0
"""Baseline of the number above, and of the size below, the centre of a hole, mm."""
_CORNER = 1 - sqrt(0.5)
"""How far the corner of a square around a circle is off it each way, in radii."""


def draw_centres(board: Recorder, holes: Iterable[Hole]) -> None:
    """Draw where the punch goes, on layer `centres`."""
    with board.layer("centres"):
        for hole in holes:
            if hole.corners:
                marks.cross(board, hole.at, 3.0, weights.DIMENSION)
            for centre in hole.ends or (() if hole.corners else (hole.at,)):
                marks.centre_mark(board, centre, as_hole(hole.size).sides[1])


def draw_numbers(board: Recorder, holes: Sequence[Hole], plate: Point) -> None:
    """Write number and size of every hole on layer `numbers`: within it where there is room."""
    taken = [_reach(hole) for hole in holes]
    with board.layer("numbers"):
        for hole in holes:
            if _has_room(hole):
                x, y = hole.at
                board.text((x, y + _NUMBER_RISE), hole.number, _NUMBER, anchor="middle")
                board.text((x, y - _SIZE_DROP), brief_words(hole.size), _SIZE, anchor="middle")
            else:
                taken.append(_write_beside(board, hole, taken, plate))


def _reach(hole: Hole) -> Box:
    """What a hole and the axes of its centre mark take."""
    return hole.box if hole.corners else hole.box.grown(2.0)


def _has_room(hole: Hole) -> bool:
    """Whether number and size fit between the cross and the edge of the hole."""
    low, high = _SIZE_DROP, _NUMBER_RISE + _NUMBER.cap_height
    size, number = _SIZE.width(brief_words(hole.size)) / 2, _NUMBER.width(hole.number) / 2
    if hole.corners or hole.ends:
        half_up = hole.box.height / 2 - 0.5
        return hole.box.width / 2 - 0.5 > max(size, number) and half_up > max(low, high)
    sides = as_hole(hole.size)
    radius = (sides.across_flats or sides.sides[0]) / 2 - 0.5
    chords = (sqrt(max(radius * radius - rise * rise, 0.0)) for rise in (low, high))
    return all(chord > words for chord, words in zip(chords, (size, number), strict=True))


def _write_beside(board: Recorder, hole: Hole, taken: Sequence[Box], plate: Point) -> Box:
    """Write in the first corner around the hole that is free, above or below it where none is.

    Corners toward the plate's middle come first, the innermost where nothing is free.
    """
    number, words = replace(_NUMBER, cap_height=2.0), brief_words(hole.size)
    start = number.width(hole.number) + 1.0
    width = start + _SIZE.width(words)
    out = 0.8
    if not hole.corners:
        out -= min(hole.box.width, hole.box.height) / 2 * _CORNER
    rights = hole.box.right + out, hole.box.left - out - width
    ups = hole.box.top + out, hole.box.bottom - out - number.cap_height
    lefts = rights if hole.at[0] < plate[0] / 2 else rights[::-1]
    bottoms = ups if hole.at[1] < plate[1] / 2 else ups[::-1]
    places = [
        Box(left, bottom, left + width, bottom + number.cap_height)
        for left in lefts
        for bottom in bottoms
    ]
    middle = hole.at[0] - width / 2
    clear = 0.8 if hole.corners else 2.8
    over, under = hole.box.top + clear, hole.box.bottom - clear - number.cap_height
    places += [
        Box(middle, bottom, middle + width, bottom + number.cap_height)
        for bottom in ((over, under) if bottoms is ups else (under, over))
    ]
    own, room = _reach(hole), Box(0.0, 0.0, *plate).grown(-0.5)
    others = [box for box in taken if box != own]
    free = [box for box in places if room.holds(box) and not any(map(box.meets, others))]
    box = (free or places)[0]
    board.text((box.left, box.bottom), hole.number, number)
    board.text((box.left + start, box.bottom), words, _SIZE)
    return box
