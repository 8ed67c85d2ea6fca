"""Fit one text into a width and a height: wrap, then condense, then shrink, never too small.

- `measure`: a text's ways to be broken into lines, once, in units of its capital height.
- `fit`: the largest setting of a measured text in a rectangle; `fit_disc`: in a disc.
- `Fit`: the result; `Misfit`: how much room is missing when even the least height is too large.

The order of means: lines are broken first, then letters are condensed down to `NARROWEST`, and
only then the capitals shrink, never below the height that can be read.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import floor, hypot, sqrt
from typing import NamedTuple, Protocol

__all__ = [
    "LINE_PITCH",
    "MARK_ROOM",
    "MAX_LINES",
    "NARROWEST",
    "Break",
    "Fit",
    "Lettering",
    "Measured",
    "Misfit",
    "fit",
    "fit_disc",
    "measure",
    "set_text",
]

NARROWEST = 0.8
"""Least horizontal scale of the letters.

At this scale a flat capital such as H of a normal sans-serif face is still about 3:5 wide to
high, the least that NUREG-0700 Rev.2, 11.3.1.5-4 and DOD-HDBK-791, 6-5.3.2.2 give for letters.
"""

LINE_PITCH = 1.5
"""Least baseline distance in capital heights: half a character height between lines
(NUREG-0700 Rev.3, 11.4.1.5-7)."""

MAX_LINES = 3
"""Most lines of one label; common practice, no source."""

MARK_ROOM = 1.4
"""Room kept for a mark in capital heights: the mark and its distance from the words."""

_STEP = 0.1
"""Heights below the wanted one are whole tenths of a millimetre, for an even look."""

_THIN = 0.05
"""Least width of a line in capital heights, so that a text without ink still has a place."""

_RISE_SMALL, _RISE_MARK, _RISE_CAPITAL, _DROP = 0.1, 0.3, 0.55, 0.36
"""Ink above the capitals (of ascenders, of marks on small letters, of marks on capitals) and
below the baseline, in capital heights; a test holds them against the glyphs of the faces."""

_LEVEL = frozenset(
    "ABCDEFGHIKLMNOPRSTUVWXYZ0123456789 \u00a0-–+./:=<>!?#%ŁØ"
    "ΑΒΓΔΕΖΗΘΙΚΛΜΝΞΟΠΡΣΤΥΦΧΨΩАБВГЕЖЗИКЛМНОПРСТУФХЧШЪЫЬЭЮЯІ"
)
"""Letters whose ink keeps between baseline and capital height."""

_LEVEL_SMALL = _LEVEL | frozenset(
    "abcdefhiklmnorstuvwxz^~&*'\"łøαεικνοπστυωабвгежзиклмностхчшъыьэюяі"
)
"""Letters whose ink rises at most a little above the capitals, and does not drop."""


class Lettering(Protocol):
    """What this room needs of a typeface: widths and capital height in em."""

    @property
    def cap_height(self) -> float:
        """Height of a flat capital, em."""
        ...

    def width(self, text: str) -> float:
        """Width of a text, em."""
        ...


class Break(NamedTuple):
    """One way to break a text into lines; `widest` in capital heights."""

    lines: tuple[str, ...]
    widest: float


class Measured(NamedTuple):
    """A text with all its ways to be broken; figures in capital heights."""

    text: str
    breaks: tuple[Break, ...]
    """The most even break for one line, two lines and so on."""
    rise: float
    """Ink above the capitals."""
    drop: float
    """Ink below the baseline."""
    pitch: float
    """Distance between baselines."""

    def depth(self, lines: int) -> float:
        """Height of the ink of so many lines."""
        return self.rise + 1 + (lines - 1) * self.pitch + self.drop


class Fit(NamedTuple):
    """A text set: capital height, condensing and size in mm."""

    lines: tuple[str, ...]
    height: float
    """Capital height used, mm."""
    condense: float
    """Horizontal scale, 1 for the face as drawn."""
    width: float
    depth: float
    """Extent of the ink down the block, mm."""
    rise: float
    """Ink above the first line's capitals, mm."""
    pitch: float
    """Distance between baselines, mm."""
    needed: float
    """Least readable capital height, mm."""

    @property
    def slack(self) -> float:
        """Capital height used beyond the least readable one, mm."""
        return self.height - self.needed


class Misfit(NamedTuple):
    """A text that cannot be set readably; what is missing at the least height, mm."""

    text: str
    needed: float
    missing_width: float
    missing_height: float


def measure(
    text: str, lettering: Lettering, max_lines: int = MAX_LINES, extra: float = 0.0
) -> Measured:
    """Measure a text and its most even breaks at spaces and after hyphens.

    A line feed in the text is a break that always holds; each part between may break further, the
    widest first, up to `max_lines` parts of its own. `extra` is room kept beside the words
    in capital heights, for a mark such as an arrow.
    """
    scale = 1 / lettering.cap_height
    rise, drop = _ink(text)
    if "\n" in text:
        lines = _breaks_of_parts(text.strip("\n").split("\n"), lettering, max_lines)
    else:
        lines = _all_breaks(text, lettering, max_lines)
    breaks = tuple(
        Break(parts, max(_THIN, max(map(lettering.width, parts)) * scale + extra))
        for parts in lines
    )
    return Measured(text, breaks, rise, drop, max(LINE_PITCH, 1.1 + rise + drop))


def fit(
    text: Measured,
    width: float,
    height: float,
    wanted: float,
    least: float,
    narrowest: float = NARROWEST,
) -> Fit | Misfit:
    """Set a text as large as `wanted` mm allows in `width` x `height` mm, never below `least`.

    Ties go to the less condensed and then to fewer lines. Never raises; a `Misfit` says what is
    missing.
    """
    found = (_in_box(text, one, width, height, wanted, least, narrowest) for one in text.breaks)
    return _best(found) or _missing(text, width, height, least, narrowest)


def fit_disc(
    text: Measured, diameter: float, wanted: float, least: float, narrowest: float = NARROWEST
) -> Fit | Misfit:
    """Set a text as `fit` does, its block's corners inside a disc of `diameter` mm."""
    found = (_in_disc(text, one, diameter, wanted, least, narrowest) for one in text.breaks)
    side = diameter / sqrt(2)
    return _best(found) or _missing(text, side, side, least, narrowest)


def set_text(text: Measured, one: Break, height: float, condense: float, needed: float) -> Fit:
    """The measured text broken this way, at this capital height in mm and this condensing."""
    return Fit(
        lines=one.lines,
        height=height,
        condense=condense,
        width=one.widest * height * condense,
        depth=text.depth(len(one.lines)) * height,
        rise=text.rise * height,
        pitch=text.pitch * height,
        needed=needed,
    )


def _best(found: Iterable[Fit | None]) -> Fit | None:
    fits = [one for one in found if one is not None]
    if not fits:
        return None
    return max(fits, key=lambda one: (one.height, one.condense, -len(one.lines)))


def _in_box(
    text: Measured,
    one: Break,
    width: float,
    height: float,
    wanted: float,
    least: float,
    narrowest: float,
) -> Fit | None:
    tallest = min(height / text.depth(len(one.lines)), width / (one.widest * narrowest))
    used = _rounded(tallest, wanted, least)
    if used is None:
        return None
    return set_text(text, one, used, min(1.0, width / (one.widest * used)), least)


def _in_disc(
    text: Measured, one: Break, diameter: float, wanted: float, least: float, narrowest: float
) -> Fit | None:
    depth = text.depth(len(one.lines))
    used = _rounded(diameter / hypot(one.widest * narrowest, depth), wanted, least)
    if used is None:
        return None
    chord = sqrt(max(0.0, diameter**2 - (depth * used) ** 2))
    return set_text(text, one, used, min(1.0, chord / (one.widest * used)), least)


def _rounded(tallest: float, wanted: float, least: float) -> float | None:
    """The height to use: whole tenths of a millimetre unless it is the wanted or least one."""
    if tallest >= wanted:
        return wanted
    if tallest < least:
        return None
    return max(least, floor(tallest / _STEP) * _STEP)


def _missing(text: Measured, width: float, height: float, least: float, narrowest: float) -> Misfit:
    def lack(one: Break) -> tuple[float, float]:
        across = one.widest * least * narrowest - width
        return max(0.0, across), max(0.0, text.depth(len(one.lines)) * least - height)

    across, up = min(map(lack, text.breaks), key=lambda pair: (sum(pair), pair))
    return Misfit(text.text, least, across, up)


def _all_breaks(text: str, lettering: Lettering, max_lines: int) -> list[tuple[str, ...]]:
    """Breaks at spaces; for more lines than there are words, after hyphens as well."""
    words = [word for word in text.split(" ") if word]
    if not words:
        return [(text,)]
    found: list[tuple[str, ...]] = [(" ".join(words),)]
    found += _breaks_of([word + " " for word in words], lettering, range(2, max_lines + 1))
    if len(words) < max_lines and "-" in text:
        counts = range(len(words) + 1, max_lines + 1)
        found += _breaks_of([piece for word in words for piece in _pieces(word)], lettering, counts)
    return found


def _breaks_of_parts(
    parts: list[str], lettering: Lettering, max_lines: int
) -> list[tuple[str, ...]]:
    """All parts in a line each; then, one line more a time, the widest part broken further."""
    choices = [_all_breaks(part.strip(" "), lettering, max_lines) for part in parts]
    ranks = [0] * len(parts)
    found = [tuple(line for lines in choices for line in lines[0])]
    while True:
        widths = [
            max(map(lettering.width, lines[rank]))
            for lines, rank in zip(choices, ranks, strict=True)
        ]
        widest = widths.index(max(widths))
        ranks[widest] += 1
        if ranks[widest] == len(choices[widest]):
            return found
        found.append(
            tuple(line for lines, rank in zip(choices, ranks, strict=True) for line in lines[rank])
        )


def _breaks_of(pieces: list[str], lettering: Lettering, counts: range) -> list[tuple[str, ...]]:
    widths = [lettering.width(piece) for piece in pieces]
    return [_even_lines(pieces, widths, count) for count in counts if count <= len(pieces)]


def _pieces(word: str) -> list[str]:
    """The word cut after each hyphen that has letters on both sides; a space at its end."""
    pieces = [""]
    for place, letter in enumerate(word):
        pieces[-1] += letter
        if letter == "-" and word[:place].strip("-") and word[place + 1 :].strip("-"):
            pieces.append("")
    pieces[-1] += " "
    return pieces


def _even_lines(pieces: list[str], widths: list[float], count: int) -> tuple[str, ...]:
    """Join the pieces into `count` lines, none empty, the widest as narrow as can be.

    The least width that filling line by line needs is found by halving.
    """
    if count == len(pieces):
        return tuple(piece.strip(" ") for piece in pieces)
    low, high = max(widths), sum(widths)
    while high - low > 0.01:
        middle = (low + high) / 2
        if len(_filled(widths, middle)) <= count:
            high = middle
        else:
            low = middle
    cuts = _split_to(_filled(widths, high), len(pieces), count)
    return tuple("".join(pieces[start:end]).strip(" ") for start, end in cuts)


def _filled(widths: list[float], limit: float) -> list[int]:
    """Where lines start when each is filled up to `limit`."""
    starts, used = [0], 0.0
    for place, width in enumerate(widths):
        if used and used + width > limit:
            starts.append(place)
            used = 0.0
        used += width
    return starts


def _split_to(starts: list[int], total: int, count: int) -> list[tuple[int, int]]:
    """Line ranges from starts; where fewer lines than `count` came out, split the longest."""
    while len(starts) < count:
        ranges = list(zip(starts, [*starts[1:], total], strict=True))
        first, last = max(ranges, key=lambda pair: pair[1] - pair[0])
        starts = sorted({*starts, (first + last + 1) // 2})
    return list(zip(starts, [*starts[1:], total], strict=True))


def _ink(text: str) -> tuple[float, float]:
    """Ink above the capitals and below the baseline, in capital heights."""
    letters = set(text)
    if letters <= _LEVEL:
        return 0.0, 0.0
    if letters <= _LEVEL_SMALL:
        return _RISE_SMALL, 0.0
    if text.isascii():
        return _RISE_SMALL, _DROP
    rises, drops = zip(*map(_letter_ink, sorted(letters)), strict=True)
    return max(rises), max(drops)


def _letter_ink(letter: str) -> tuple[float, float]:
    from unicodedata import combining, normalize

    whole = normalize("NFD", letter)
    base, marks = whole[0], whole[1:]
    drop = _DROP if base not in _LEVEL_SMALL else 0.0
    if not letter.isascii() and not marks and letter not in _LEVEL_SMALL:
        return _RISE_MARK if letter.islower() else _RISE_CAPITAL, drop
    above = [mark for mark in marks if combining(mark) == 230]
    if len(above) < len(marks):
        drop = _DROP
    if not above:
        return 0.0 if letter in _LEVEL else _RISE_SMALL, drop
    tall = len(above) > 1 or not base.islower() or base in "bdfhkl"
    return _RISE_CAPITAL if tall else _RISE_MARK, drop
