"""Widths of columns and lines of cells, in whatever unit the measure counts: mm or letters."""

from collections.abc import Callable, Sequence
from functools import cache
from math import ceil

Measure = Callable[[str], float]
"""How wide words are."""


STEPS = 8
"""In how many steps a column is narrowed to its least."""


def narrow_columns(
    asked: Sequence[Sequence[float]], least: Sequence[float], room: float
) -> list[float]:
    """Return widths that fill no more than `room` where `least` allows.

    `asked` are the widths of the cells of each column. A column is as wide as its widest cell;
    where that is too much, the one is narrowed first that costs the fewest lines for its width.
    """
    widths = [max(cells, default=0.0) for cells in asked]
    trials = [
        [width - (width - low) * step / STEPS for step in range(1, STEPS + 1)]
        if width > low + 1e-9
        else []
        for width, low in zip(widths, least, strict=True)
    ]

    @cache
    def count_lines(at: int, width: float) -> int:
        return sum(max(1, ceil(cell / max(width, 1e-9) - 1e-9)) for cell in asked[at])

    while (over := sum(widths) - room) > 1e-9:
        best: tuple[float, float, int, float] | None = None
        for at, width in enumerate(widths):
            for trial in trials[at]:
                narrow = max(trial, width - over)
                extra = count_lines(at, narrow) - count_lines(at, width)
                rank = (extra / (width - narrow), narrow - width, at, narrow)
                best = rank if best is None else min(best, rank)
        if best is None:
            break
        _, _, at, narrow = best
        widths[at] = narrow
        trials[at] = [trial for trial in trials[at] if trial < narrow - 1e-9]
    return widths


def split_columns(least: Sequence[float], lead: int, room: float, gap: float) -> list[list[int]]:
    """Return the places of the columns of each part of a table: the first `lead`, then what fits.

    `least` are the narrowest widths, `gap` the clear space between two columns.
    """
    start = sum(least[:lead]) + gap * lead
    parts: list[list[int]] = []
    part: list[int] = []
    filled = start
    for at in range(lead, len(least)):
        if part and filled + least[at] > room + 1e-9:
            parts.append(part)
            part, filled = [], start
        part.append(at)
        filled += least[at] + gap
    parts.append(part)
    return [[*range(min(lead, len(least))), *part] for part in parts]


def wrap_words(words: str, room: float, measure: Measure, longest: float = 0.0) -> list[str]:
    """Return lines no wider than `room`; a word wider than `longest` is broken up.

    It is broken after a point, hyphen or slash where there is one, otherwise anywhere. `longest`
    is `room` unless wider words can be condensed.
    """
    if measure(words) <= room:
        return [words]
    longest = max(room, longest)
    pieces: list[str] = []
    for word in words.split():
        while measure(word) > longest and len(word) > 1:
            end = 1
            while measure(word[: end + 1]) <= room:
                end += 1
            cut = max(word.rfind(mark, 1, end) for mark in ".-/") + 1 or end
            pieces.append(word[:cut])
            word = word[cut:]
        pieces.append(word)
    lines = [""]
    for piece in pieces:
        longer = f"{lines[-1]} {piece}" if lines[-1] else piece
        if lines[-1] and measure(longer) > room:
            lines.append(piece)
        else:
            lines[-1] = longer
    return lines
