"""Numbers as grooves: digits of straight strokes, which print and cut well when small.

Seven straight strokes make a digit, as on common numeric displays. Lengths mm.
"""

from collections.abc import Iterable

from profiles.drawing.geometry import Box, Point

STROKE = 0.17
"""Width of a stroke in digit heights."""

_WIDTH, _NARROW, _GAP = 0.56, 0.17, 0.22
"""Width of a digit, of a point, and the space after each, in digit heights."""

_STROKES: dict[str, Iterable[str]] = {
    "0": "abcdef",
    "1": "bc",
    "2": "abged",
    "3": "abgcd",
    "4": "fgbc",
    "5": "afgcd",
    "6": "afgedc",
    "7": "abc",
    "8": "abcdefg",
    "9": "abcdfg",
    "-": "g",
    ".": ("point",),
}
"""Strokes by digit: a top, b and c right, d bottom, e and f left, g middle."""


def digits_width(words: str, height: float) -> float:
    """Return the width of a number, mm."""
    return height * (sum(_advance(letter) for letter in words) - _GAP) if words else 0.0


def digit_strokes(words: str, at: Point, height: float) -> list[Box]:
    """Return the strokes of a number `height` mm high, its lower left corner at `at`.

    Raises:
        KeyError: for anything but digits, `.` and `-`.
    """
    strokes: list[Box] = []
    x, y = at
    pen, top, middle = STROKE * height, y + height, y + height / 2
    for letter in words:
        right = x + _WIDTH * height
        boxes = {
            "a": Box(x, top - pen, right, top),
            "b": Box(right - pen, middle - pen / 2, right, top),
            "c": Box(right - pen, y, right, middle + pen / 2),
            "d": Box(x, y, right, y + pen),
            "e": Box(x, y, x + pen, middle + pen / 2),
            "f": Box(x, middle - pen / 2, x + pen, top),
            "g": Box(x, middle - pen / 2, right, middle + pen / 2),
            "point": Box(x, y, x + pen, y + pen),
        }
        strokes += [boxes[stroke] for stroke in _STROKES[letter]]
        x += _advance(letter) * height
    return strokes


def _advance(letter: str) -> float:
    return (_NARROW if letter == "." else _WIDTH) + _GAP
