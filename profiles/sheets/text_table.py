"""Tables as aligned lines for a terminal; every cell harmless there, whatever it holds."""

from collections.abc import Sequence

from profiles.text.inert import escape_controls

GAP = "  "


def render_table(headings: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """Lines with columns aligned, a rule under the headings; no spaces at the ends."""
    shown = [[escape_controls(cell) for cell in row] for row in (headings, *rows)]
    widths = [max(map(cell_width, column)) for column in zip(*shown, strict=True)]
    lines = [_line(row, widths) for row in shown]
    lines.insert(1, GAP.join("-" * width for width in widths))
    return "\n".join(lines)


def _line(cells: Sequence[str], widths: Sequence[int]) -> str:
    padded = [
        cell + " " * (width - cell_width(cell)) for cell, width in zip(cells, widths, strict=True)
    ]
    return GAP.join(padded).rstrip()


def cell_width(words: str) -> int:
    """How many columns of a terminal words take (Unicode Standard Annex 11, wide letters)."""
    if words.isascii():
        return len(words)
    from unicodedata import combining, east_asian_width

    return sum(
        0 if combining(letter) else 2 if east_asian_width(letter) in "WF" else 1 for letter in words
    )
