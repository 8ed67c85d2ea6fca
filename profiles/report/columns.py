"""Widths of columns and lines of cells, in whatever unit the measure counts: mm or letters."""

from collections.abc import Callable, Sequence

Measure = Callable[[str], float]
"""How wide words are."""


def narrow_columns(natural: Sequence[float], least: Sequence[float], room: float) -> list[float]:
    """Return widths that fill no more than `room` where `least` allows; the widest give way first.

    A column whose least is its natural width does not give way.
    """
    widths = list(natural)
    over = sum(widths) - room
    while over > 1e-9:
        giving = [at for at, width in enumerate(widths) if width > least[at] + 1e-9]
        if not giving:
            break
        widest = max(widths[at] for at in giving)
        equal = [at for at in giving if widths[at] >= widest - 1e-9]
        others = [widths[at] for at in giving if widths[at] < widest - 1e-9]
        floor = max([*others, *(least[at] for at in equal)])
        step = min(over / len(equal), widest - floor)
        for at in equal:
            widths[at] -= step
        over -= step * len(equal)
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
    if measure(words) <= room and "  " not in words:
        return [words.strip()]
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
