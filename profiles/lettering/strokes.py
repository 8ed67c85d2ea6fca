"""Letters of single strokes, for engravers that follow a line: the tool's width is the letter's.

Every letter is as wide as in the printed face, so words take the room that was found for them. Of
small letters that the face lacks the capital is drawn lower; accents stand on their letters.
"""

from collections.abc import Sequence
from functools import cache
from pathlib import Path
from unicodedata import normalize

from profiles.lettering.curves import bend
from profiles.lettering.faces import Face
from profiles.text.sign_words import SIGN_NAMES

Line = tuple[tuple[float, float], ...]
"""An open line of straight pieces; figures are fractions of the em, the baseline at 0."""

PIECES = 6
"""Straight pieces that stand for one curve."""

_CAPITALS, _SMALL = 8.0, 6.0
"""Heights of capitals and small letters in the file's units."""
_SIDE, _SIDE_SHARE = 1.25, 0.22
"""Room left at each side of a letter, in units, and at most as a share of its width."""
_WIDEST = 1.15
"""Most that a narrow letter is drawn wider than it is in the file."""

_ACCENTS = {
    "\u0300": "-0.9,1.8 0.6,0.2",
    "\u0301": "-0.6,0.2 0.9,1.8",
    "\u0302": "-1.4,0.2 0,1.7 1.4,0.2",
    "\u0303": "-1.6,0.5 ~-0.8,1.6 0,0.9 ~0.8,0.2 1.6,1.3",
    "\u0304": "-1.4,0.8 1.4,0.8",
    "\u0306": "-1.4,1.6 ~0,-0.4 1.4,1.6",
    "\u0307": "0,0.5 0,1",
    "\u0308": "-1.1,0.5 -1.1,1 ; 1.1,0.5 1.1,1",
    "\u030a": "-0.8,1 ~-0.8,1.8 0,1.8 ~0.8,1.8 0.8,1 ~0.8,0.2 0,0.2 ~-0.8,0.2 -0.8,1",
    "\u030b": "-1.2,0.2 -0.1,1.8 ; 0.4,0.2 1.5,1.8",
    "\u030c": "-1.4,1.7 0,0.2 1.4,1.7",
}
"""Strokes above a letter: x from its middle, y from a little above it."""
_BELOW = {
    "\u0326": "0.3,-0.8 -0.3,-2.2",
    "\u0327": "0,0 0,-0.7 ~1,-0.9 0.9,-1.6 ~0.7,-2.3 -0.7,-2.1",
    "\u0328": "0.8,0 ~-0.6,-1.2 0.3,-1.9 ~0.8,-2.3 1.6,-1.7",
}
"""Strokes below a letter: x from its middle, y from the baseline."""
_ABOVE = 0.9
"""From the top of a letter to what stands on it."""


def stroke_words(face: Face, words: str) -> tuple[Line, ...]:
    """Return the lines of words set as `face` has them; letters that are not drawn are left out."""
    found: list[Line] = []
    x = 0.0
    unit = face.cap_height / _CAPITALS
    for letter in face.shown(words):
        advance = face.width(letter)
        for line in _stroke_letter(letter, advance / unit):
            found.append(tuple((x + right * unit, up * unit) for right, up in line))
        x += advance
    return tuple(found)


def missing_strokes(words: str) -> tuple[str, ...]:
    """Return the letters of words that are not drawn, each once."""
    letters = dict.fromkeys(normalize("NFC", words))
    return tuple(
        letter for letter in letters if not letter.isspace() and not _stroke_letter(letter, 6.0)
    )


@cache
def _stroke_letter(letter: str, advance: float) -> tuple[Line, ...]:
    """The lines of a letter in its advance width, in the file's units."""
    if letter in SIGN_NAMES:
        from profiles.lettering.signs import stroke_sign

        sign = stroke_sign(letter)
        return tuple(tuple((x * _CAPITALS, y * _CAPITALS) for x, y in line) for line in sign)
    base, *marks = list(normalize("NFD", letter))
    if marks and set(marks) & _ACCENTS.keys():
        base = {"i": "ı", "і": "ı"}.get(base, base)
    if not set(marks) <= _ACCENTS.keys() | _BELOW.keys():
        return ()
    lines = _read_letters().get(base)
    if lines is None and base.upper() != base:
        capital = _read_letters().get(base.upper(), ())
        low = _SMALL / _CAPITALS
        lines = tuple(tuple((x, y * low if y > 0 else y) for x, y in line) for line in capital)
    if not lines:
        return ()
    widest = max(x for line in lines for x, _ in line)
    room = advance - 2 * min(_SIDE, _SIDE_SHARE * advance)
    scale = min(_WIDEST, room / widest) if widest else 1.0
    left = (advance - widest * scale) / 2
    found = [tuple((left + x * scale, y) for x, y in line) for line in lines]
    top = max(y for line in lines for _, y in line)
    for mark in marks:
        table, low = (_ACCENTS, top + _ABOVE) if mark in _ACCENTS else (_BELOW, 0.0)
        for line in _read_lines(table[mark]):
            found.append(tuple((advance / 2 + x, low + y) for x, y in line))
        top += 2.0 if mark in _ACCENTS else 0.0
    return tuple(found)


@cache
def _read_letters() -> dict[str, tuple[Line, ...]]:
    text = Path(__file__).with_name("single_stroke.txt").read_text(encoding="utf-8")
    rows = (row.split("\t") for row in text.splitlines() if "\t" in row)
    return {letter: _read_lines(strokes) for letters, strokes in rows for letter in letters}


def _read_lines(strokes: str) -> tuple[Line, ...]:
    return tuple(_read_line(stroke.split(" ")) for stroke in strokes.split(" ; "))


def _read_line(points: Sequence[str]) -> Line:
    """Points on the line, curves as straight pieces."""
    line: list[tuple[float, float]] = []
    steering: tuple[float, float] | None = None
    for word in points:
        x, y = map(float, word.removeprefix("~").split(","))
        if word.startswith("~"):
            steering = (x, y)
            continue
        if steering is not None:
            line += bend(line[-1], steering, (x, y), PIECES)
            steering = None
        else:
            line.append((x, y))
    return tuple(line)
