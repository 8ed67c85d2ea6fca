"""Words fitted into a width: condense first, then shrink, then wrap or cut, and say so."""

from dataclasses import dataclass, replace

from profiles.drawing.style import Lettering

NARROWEST = 0.75
"""Least horizontal scale used: below it letters look squeezed (rule of thumb)."""
SMALLEST = 1.8
"""Least height of capitals on a sheet, in mm: the smallest of ISO 3098-1 (unverified)."""
ELLIPSIS = "…"


@dataclass(frozen=True, slots=True)
class Fitted:
    """Words as they fit, their lettering, and whether any had to be cut off."""

    words: str
    lettering: Lettering
    cut: bool = False


def fit_line(words: str, room: float, lettering: Lettering) -> Fitted:
    """Return `words` on one line of `room` mm.

    The line is condensed down to `NARROWEST`, then shrunk down to `SMALLEST`; what is still too
    long is cut as late as an ellipsis allows, and marked as cut.
    """
    natural = lettering.width(words)
    if natural <= room:
        return Fitted(words, lettering)
    if natural * NARROWEST <= room:
        return Fitted(words, replace(lettering, condense=room / natural))
    height = max(lettering.cap_height * room / (natural * NARROWEST), SMALLEST)
    height = min(height, lettering.cap_height)
    small = replace(lettering, condense=NARROWEST, cap_height=height)
    if small.width(words) <= room + 1e-9:
        return Fitted(words, small)
    words = small.face.shown(words)
    count = len(words)
    while count and small.width(words[:count].rstrip() + ELLIPSIS) > room:
        count -= 1
    return Fitted(words[:count].rstrip() + ELLIPSIS, small, cut=True)


def wrap_lines(words: str, room: float, lettering: Lettering) -> list[str]:
    """Return lines no wider than `room` mm where the words allow it; a long word stays whole."""
    lines: list[str] = []
    line = ""
    for word in words.split():
        longer = f"{line} {word}" if line else word
        if line and lettering.width(longer) > room:
            lines.append(line)
            line = word
        else:
            line = longer
    return [*lines, line] if line else lines
