"""Fit one text into a width and a height: wrap, then condense, then shrink, never too small.

- `measure`: a text's ways to be broken into lines, once, in units of its capital height.
- `fit`: the largest setting of a measured text in a rectangle; `fit_disc`: in a disc.
- `Fit`: the result; `Misfit`: how much room is missing when even the least height is too large.

The order of means: lines are broken first, then letters are condensed down to `NARROWEST`, and
only then the capitals shrink, never below the height that can be read.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from itertools import pairwise
from math import floor, hypot, sqrt
from typing import NamedTuple, Protocol
from unicodedata import normalize

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

_OVERSHOOT = 0.03
"""Ink so far beyond baseline or capitals is that of round letters, capital heights."""

_LEAST_PART = 3
"""Fewest letters of a word before and after a break within it; rule of thumb."""

_VOWELS = "aeiouyαεηιουωаеиоуыэюяі"
_SYLLABLE = re.compile(
    rf"(?<=\w)(?:sch|str?|[cpt]h|ck|qu|[bcdfgkpt][lr]|[^\W\d_{_VOWELS}])(?=[{_VOWELS}])"
)
"""The consonants that begin a syllable after the first, in words without marks: one before a vowel,
or some that keep together."""

SOFT_HYPHEN = "\u00ad"


Width = Callable[[str], float]


class Lettering(Protocol):
    """What this room needs of a typeface: widths, ink and capital height in em."""

    @property
    def cap_height(self) -> float:
        """Height of a flat capital, em."""
        ...

    def width(self, text: str) -> float:
        """Width of a text, em."""
        ...

    def ink(self, text: str) -> tuple[float, float]:
        """Lowest and highest ink of a text, em above the baseline."""
        ...


class Break(NamedTuple):
    """One way to break a text into lines; figures in capital heights."""

    lines: tuple[str, ...]
    widest: float
    parts: tuple[int, ...] = (0,)
    """For each line the part between line feeds that it belongs to, from 0."""
    rise: float = 0.0
    """Ink of the first line above the capitals, negative where it stays below them."""
    drop: float = 0.0
    """Ink of the last line below the baseline, negative where it stays above it."""


class Measured(NamedTuple):
    """A text with all its ways to be broken; figures in capital heights."""

    text: str
    breaks: tuple[Break, ...]
    """The most even break for one line, two lines and so on."""
    pitch: float
    """Distance between baselines."""

    def depth(self, lines: Break) -> float:
        """Height of the ink of these lines."""
        return lines.rise + 1 + (len(lines.lines) - 1) * self.pitch + lines.drop


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
    """Ink above the first line's capitals, mm; negative where it stays below them."""
    pitch: float
    """Distance between baselines, mm."""
    needed: float
    """Least readable capital height, mm."""
    parts: tuple[int, ...] = (0,)
    """For each line the part between line feeds that it belongs to, from 0."""

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
    text: str,
    lettering: Lettering,
    max_lines: int = MAX_LINES,
    extra: float = 0.0,
    *,
    divide: bool = False,
) -> Measured:
    """Measure a text and its most even breaks at spaces and after hyphens.

    A line feed in the text is a break that always holds; each part between may break further, the
    widest first, up to `max_lines` parts of its own. `extra` is room kept beside the words
    in capital heights, for a mark such as an arrow. With `divide` words break between syllables as
    well, with a hyphen. A sign at the end of a line stays beside its word: `CH -` is not broken.
    """
    scale = 1 / lettering.cap_height
    words = re.sub(r" ([+-])$", "\u00a0\\1", text.strip("\n"), flags=re.MULTILINE)
    low, high = _ink(words.replace("\n", ""), lettering)
    breaks = []
    for parts, lines in _breaks(
        divide_words(words) if divide else words, lettering.width, max_lines
    ):
        widest = max(_THIN, max(map(lettering.width, lines)) * scale + extra)
        rise, drop = _ink(lines[0], lettering)[1], _ink(lines[-1], lettering)[0]
        breaks.append(Break(lines, widest, parts, rise, drop))
    return Measured(text, tuple(breaks), max(LINE_PITCH, 1.1 + max(0.0, high) + max(0.0, low)))


def divide_words(text: str) -> str:
    """The text with soft hyphens where its words may break.

    A syllable begins with the last consonants before a vowel; no end of a word is shorter than
    three letters. Rule of thumb for words of any language, where no dictionary says better.
    """
    found = ""
    for word in re.split(r"(\W+)", text):
        plain = "".join(normalize("NFD", letter)[0].lower()[0] for letter in word)
        starts = {match.start() for match in _SYLLABLE.finditer(plain)}
        for place, letter in enumerate(word):
            if place in starts and _LEAST_PART <= place <= len(word) - _LEAST_PART:
                found += SOFT_HYPHEN
            found += letter
    return found


def _ink(line: str, lettering: Lettering) -> tuple[float, float]:
    """Ink below the baseline and above the capitals, in capital heights."""
    low, high = (edge / lettering.cap_height for edge in lettering.ink(line))
    drop, rise = -low, high - 1 if high > low else 0.0
    return (
        0.0 if abs(drop) < _OVERSHOOT else drop,
        0.0 if abs(rise) < _OVERSHOOT else rise,
    )


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
        tallest = min(height / text.depth(lines), width / (lines.widest * narrowest))
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
        depth = text.depth(lines)
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
        depth=text.depth(lines) * height,
        rise=lines.rise * height,
        pitch=text.pitch * height,
        needed=needed,
        parts=lines.parts,
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
            max(0.0, text.depth(lines) * least - height),
        )
        for lines in text.breaks
    ]
    return Misfit(text.text, least, *min(lacks, key=lambda lack: (sum(lack), lack)))


_Lines = tuple[tuple[int, ...], tuple[str, ...]]
"""Lines, and for each the part between line feeds that it belongs to."""


def _breaks(text: str, width: Width, max_lines: int) -> list[_Lines]:
    """Breaks at spaces; for more lines than there are words, at hyphens as well.

    Parts between line feeds have a line each; then, one line more a time, the widest part is
    broken further.
    """
    choices = [_break_part(part.strip(" "), width, max_lines) for part in text.split("\n")]
    ranks, found = [0] * len(choices), list[_Lines]()
    while True:
        chosen = [lines[rank] for lines, rank in zip(choices, ranks, strict=True)]
        parts = tuple(part for part, lines in enumerate(chosen) for _ in lines)
        found.append((parts, tuple(line for lines in chosen for line in lines)))
        widths = [max(map(width, lines)) for lines in chosen]
        widest = widths.index(max(widths))
        ranks[widest] += 1
        if ranks[widest] == len(choices[widest]):
            return found


def _break_part(text: str, width: Width, max_lines: int) -> list[tuple[str, ...]]:
    words = [word for word in text.split(" ") if word]
    pieces = [word + " " for word in words]
    found: list[tuple[str, ...]] = [(_join(pieces) or text,)]
    for count in range(2, max_lines + 1):
        if SOFT_HYPHEN in text or (count == len(words) + 1 and "-" in text):
            pieces = [piece for word in words for piece in _hyphened(word)]
        if count <= len(pieces):
            found.append(_even_lines(pieces, width, count))
    return found


def _hyphened(word: str) -> list[str]:
    """The word cut after each hyphen that has letters on both sides; a space at its end."""
    pieces = [""]
    for place, letter in enumerate(word):
        pieces[-1] += letter
        if (
            letter in ("-", SOFT_HYPHEN)
            and word[:place].strip("-")
            and word[place + 1 :].strip("-")
        ):
            pieces.append("")
    pieces[-1] += " "
    return pieces


def _even_lines(pieces: list[str], width: Width, count: int) -> tuple[str, ...]:
    """Join the pieces into `count` lines, none empty, the widest as narrow as can be.

    The least width that filling line by line needs is found by halving. Where that needs fewer
    lines, the line of most pieces is split.
    """
    if count == len(pieces):
        return tuple(_join([piece]) for piece in pieces)
    widths = [width(piece.replace(SOFT_HYPHEN, "")) for piece in pieces]
    at_end = [width(_join([piece])) for piece in pieces]

    def fill(limit: float) -> list[int]:
        """Where lines start if each is filled up to the limit."""
        starts, used = [0], 0.0
        for place, part in enumerate(widths):
            if used and used + at_end[place] > limit:
                starts.append(place)
                used = 0.0
            used += part
        return starts

    low, high = max(at_end), sum(widths) + at_end[-1]
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
    return tuple(_join(pieces[start:end]) for start, end in ends)


def _join(pieces: Sequence[str]) -> str:
    """Pieces of words as one line; a soft hyphen shows at its end alone."""
    line = "".join(pieces).strip(" ")
    hyphen = "-" if line.endswith(SOFT_HYPHEN) else ""
    return line.replace(SOFT_HYPHEN, "") + hyphen
