"""Fit one text into a width and a height: wrap, then condense, then shrink, never too small.

- `measure`: a text's ways to be broken into lines, once, in units of its capital height.
- `fit`: the largest setting of a measured text in a rectangle; `fit_disc`: in a disc.
- `Fit`: the result; `Misfit`: how much room is missing when even the least height is too large.

The order of means: lines are broken first, then letters are condensed down to `NARROWEST`, and
only then the capitals shrink, never below the height that can be read.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from math import floor, hypot, sqrt
from typing import NamedTuple, Protocol

NARROWEST = 0.8
"""Least horizontal scale of the letters.

At this scale a flat capital such as H of a normal sans-serif face is still about 3:5 wide to
high, the least that NUREG-0700 Rev.2, 11.3.1.5-4 and DOD-HDBK-791, 6-5.3.2.2 give for letters.
"""

LINE_PITCH = 1.5
"""Least baseline distance in capital heights: half a character height between lines
(NUREG-0700 Rev.3, 11.4.1.5-7)."""

MAX_LINES = 3
"""Most lines of a label; rule of thumb."""

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


Width = Callable[[str], float]


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
    letters = set(text)
    rise, drop = _RISE_SMALL, _DROP
    if letters <= _LEVEL:
        rise, drop = 0.0, 0.0
    elif letters <= _LEVEL_SMALL:
        drop = 0.0
    elif not text.isascii():
        rises, drops = zip(*map(_letter_ink, letters), strict=True)
        rise, drop = max(rises), max(drops)
    breaks = tuple(
        Break(lines, max(_THIN, max(map(lettering.width, lines)) * scale + extra))
        for lines in _breaks(text.strip("\n"), lettering.width, max_lines)
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
    found = []
    for lines in text.breaks:
        tallest = min(height / text.depth(len(lines.lines)), width / (lines.widest * narrowest))
        used = _rounded(tallest, wanted, least)
        if used is not None:
            condense = min(1.0, width / (lines.widest * used))
            found.append(set_text(text, lines, used, condense, least))
    return _best(found) or _missing(text, width, height, least, narrowest)


def fit_disc(
    text: Measured, diameter: float, wanted: float, least: float, narrowest: float = NARROWEST
) -> Fit | Misfit:
    """Set a text as `fit` does, its block's corners inside a disc of `diameter` mm."""
    found = []
    for lines in text.breaks:
        depth = text.depth(len(lines.lines))
        used = _rounded(diameter / hypot(lines.widest * narrowest, depth), wanted, least)
        if used is not None:
            chord = sqrt(max(0.0, diameter**2 - (depth * used) ** 2))
            condense = min(1.0, chord / (lines.widest * used))
            found.append(set_text(text, lines, used, condense, least))
    side = diameter / sqrt(2)
    return _best(found) or _missing(text, side, side, least, narrowest)


def set_text(text: Measured, lines: Break, height: float, condense: float, needed: float) -> Fit:
    """The measured text broken this way, at this capital height in mm and this condensing."""
    return Fit(
        lines=lines.lines,
        height=height,
        condense=condense,
        width=lines.widest * height * condense,
        depth=text.depth(len(lines.lines)) * height,
        rise=text.rise * height,
        pitch=text.pitch * height,
        needed=needed,
    )


def _best(found: list[Fit]) -> Fit | None:
    return max(found, key=lambda fit: (fit.height, fit.condense, -len(fit.lines)), default=None)


def _rounded(tallest: float, wanted: float, least: float) -> float | None:
    """The height to use: whole tenths of a millimetre unless it is the wanted or least height."""
    if tallest >= wanted:
        return wanted
    if tallest < least:
        return None
    return max(least, floor(tallest / _STEP) * _STEP)


def _missing(text: Measured, width: float, height: float, least: float, narrowest: float) -> Misfit:
    lacks = [
        (
            max(0.0, lines.widest * least * narrowest - width),
            max(0.0, text.depth(len(lines.lines)) * least - height),
        )
        for lines in text.breaks
    ]
    return Misfit(text.text, least, *min(lacks, key=lambda lack: (sum(lack), lack)))


def _breaks(text: str, width: Width, max_lines: int) -> list[tuple[str, ...]]:
    """Breaks at spaces; for more lines than there are words, after hyphens as well.

    Parts between line feeds have a line each; then, one line more a time, the widest part is
    broken further.
    """
    if "\n" in text:
        choices = [_breaks(part.strip(" "), width, max_lines) for part in text.split("\n")]
        ranks, found = [0] * len(choices), []
        while True:
            chosen = [lines[rank] for lines, rank in zip(choices, ranks, strict=True)]
            found.append(tuple(line for lines in chosen for line in lines))
            widths = [max(map(width, lines)) for lines in chosen]
            widest = widths.index(max(widths))
            ranks[widest] += 1
            if ranks[widest] == len(choices[widest]):
                return found
    words = [word for word in text.split(" ") if word]
    pieces = [word + " " for word in words]
    found = [(" ".join(words) or text,)]
    for count in range(2, max_lines + 1):
        if count == len(words) + 1 and "-" in text:
            pieces = [piece for word in words for piece in _hyphened(word)]
        if count <= len(pieces):
            found.append(_even_lines(pieces, width, count))
    return found


def _hyphened(word: str) -> list[str]:
    """The word cut after each hyphen that has letters on both sides; a space at its end."""
    pieces = [""]
    for place, letter in enumerate(word):
        pieces[-1] += letter
        if letter == "-" and word[:place].strip("-") and word[place + 1 :].strip("-"):
            pieces.append("")
    pieces[-1] += " "
    return pieces


def _even_lines(pieces: list[str], width: Width, count: int) -> tuple[str, ...]:
    """Join the pieces into `count` lines, none empty, the widest as narrow as can be.

    The least width that filling line by line needs is found by halving. Where that needs fewer
    lines, the line of most pieces is split.
    """
    if count == len(pieces):
        return tuple(piece.strip(" ") for piece in pieces)
    widths = list(map(width, pieces))

    def fill(limit: float) -> list[int]:
        """Where lines start if each is filled up to the limit."""
        starts, used = [0], 0.0
        for place, part in enumerate(widths):
            if used and used + part > limit:
                starts.append(place)
                used = 0.0
            used += part
        return starts

    low, high = max(widths), sum(widths)
    while high - low > 0.01:
        middle = (low + high) / 2
        if len(fill(middle)) <= count:
            high = middle
        else:
            low = middle
    starts = fill(high)
    while len(starts) < count:
        sizes = [end - start for start, end in pairwise([*starts, len(pieces)])]
        longest = sizes.index(max(sizes))
        starts.insert(longest + 1, starts[longest] + (sizes[longest] + 1) // 2)
    ends = pairwise([*starts, len(pieces)])
    return tuple("".join(pieces[start:end]).strip(" ") for start, end in ends)


def _letter_ink(letter: str) -> tuple[float, float]:
    """Ink above the capitals and below the baseline, in capital heights."""
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
