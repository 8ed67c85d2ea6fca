"""How many cells of a terminal letters take, and texts cut to so many."""

from unicodedata import combining, east_asian_width

FIRST_OTHER = "\u0300"
"""Up to here every letter takes one cell: the first that joins another comes before the first wide
one (Unicode 15, DerivedCombiningClass and EastAsianWidth)."""


def width_of(text: str) -> int:
    """Cells that a text takes (Unicode Standard Annex 11: wide and fullwidth take two)."""
    if max(text, default="") < FIRST_OTHER:
        return len(text)
    return sum(map(cells_of, text))


def cells_of(letter: str) -> int:
    """Cells that a letter takes: none where it joins the one before, two where it is wide."""
    if combining(letter) or letter in "\u200c\u200d\ufe0e\ufe0f":
        return 0
    return 2 if east_asian_width(letter) in "WF" else 1


def cut_to(text: str, room: int) -> str:
    """A text in at most `room` cells, its end marked where it is cut."""
    if width_of(text) <= room:
        return text
    kept, used = [], 0
    for letter in text:
        if used + cells_of(letter) > room - 1:
            break
        kept.append(letter)
        used += cells_of(letter)
    return "".join(kept).rstrip() + "…"
