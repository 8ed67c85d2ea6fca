"""A report as text for a terminal or a plain file; every word is harmless there.

With a width, paragraphs are wrapped to it, cells that may wrap give way, and a table still too
wide is shown in parts. Without one, as for a pipe, each paragraph and row is a single line.
"""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from profiles.report.columns import narrow_columns, split_columns, wrap_words
from profiles.report.document import (
    Block,
    Cautions,
    Figure,
    Heading,
    Paragraph,
    Report,
    Span,
    Table,
    Words,
)
from profiles.text.inert import escape_controls, visible_block

if TYPE_CHECKING:
    from profiles.drawing.cautions import Caution

GAP = "  "
NARROWEST = 7
"""Letters in a column that wraps at least."""
LONGEST_LINE = 88
"""Letters in a line of a titled paragraph at most: longer lines are hard to read."""
_CODES = {"": "", "strong": "1", "quiet": "2", "error": "1;31", "warning": "1;33", "note": "1;36"}
"""Select Graphic Rendition of each tone (ECMA-48, 8.3.117)."""


def render_text(report: Report, *, width: int | None = None, colour: bool = False) -> str:
    """The report as lines, one line end at its end."""
    head = [_paint(escape_controls(words), "strong", colour) for words in [report.title] if words]
    if report.subtitle:
        head.append(escape_controls(report.subtitle))
    parts = ["\n".join(head)]
    for block in report.blocks:
        if isinstance(block, Table):
            title = block.title if report.shows_title(block) else ""
            if block.rows:
                parts.append(render_table(block, title=title, width=width, colour=colour))
        else:
            parts.append(_render_block(block, width, colour))
    return "\n\n".join(part for part in parts if part) + "\n"


def _render_block(block: Block, width: int | None, colour: bool) -> str:
    if isinstance(block, Heading):
        return _write_words(block.words, colour, "strong")
    if isinstance(block, Paragraph):
        if not block.title:
            return _write_lines(block, width, "", colour)
        lines = _write_lines(block, min(width or LONGEST_LINE, LONGEST_LINE), "  ", colour)
        return f"{_paint(escape_controls(block.title), 'strong', colour)}\n{lines}"
    if isinstance(block, Figure):
        return f"Figure: {escape_controls(block.words)}"
    if isinstance(block, Cautions):
        return _write_cautions(block.cautions, width)
    return ""


def _write_lines(block: Paragraph, width: int | None, indent: str, colour: bool) -> str:
    if not isinstance(block.words, str) or block.verbatim or width is None:
        words = _write_words(block.words, colour)
        return "\n".join(indent + line if line else "" for line in words.split("\n"))
    lines = visible_block(block.words).split("\n")
    room = max(width - len(indent), 20)
    return "\n".join(
        indent + piece if piece else ""
        for line in lines
        for piece in wrap_words(line, room, cell_width)
    )


def _write_words(words: Words, colour: bool, tone: str = "") -> str:
    spans = (Span(words),) if isinstance(words, str) else words
    return "".join(_paint(visible_block(span.words), span.tone or tone, colour) for span in spans)


def _paint(words: str, tone: str, colour: bool) -> str:
    code = _CODES[tone]
    return f"\x1b[{code}m{words}\x1b[0m" if colour and code and words else words


def _write_cautions(cautions: "Sequence[Caution]", width: int | None) -> str:
    from profiles.drawing.cautions import CLOSING

    lines = [f"{one.heading}: {one.words}" for one in cautions]
    return "\n".join(
        piece
        for line in (*lines, CLOSING)
        for piece in (wrap_words(line, width, cell_width) if width else [line])
    )


def render_table(
    table: Table, *, title: str = "", width: int | None = None, colour: bool = False
) -> str:
    """A table as aligned lines, a rule under its headings; columns without headings have none."""
    columns = [table.columns[at] for at in table.seen_by("people")]
    heads = [escape_controls(column.heading) for column in columns]
    rows = [
        [escape_controls(f"{one.words} ({one.note})" if one.note else one.words) for one in row]
        for row in table.list_shown()
    ]
    natural = [max(map(cell_width, cells)) for cells in zip(heads, *rows, strict=True)]
    parts, least = [list(range(len(columns)))], natural
    if width is not None and sum(natural) + len(GAP) * (len(columns) - 1) > width:
        least = [
            min(wide, max(NARROWEST, round(column.least / 2))) if column.wraps else wide
            for column, wide in zip(columns, natural, strict=True)
        ]
        parts = split_columns(least, min(table.lead, len(columns) - 1), width, len(GAP))
    texts = []
    for part in parts:
        room = (width or sum(natural)) - len(GAP) * (len(part) - 1)
        wanted = [[cell_width(row[at]) for row in (heads, *rows)] for at in part]
        narrowest = [least[at] for at in part]
        widths = [int(one + 1e-9) for one in narrow_columns(wanted, narrowest, room)]
        aligns = [columns[at].align for at in part]
        lines = []
        if any(heads):
            lines = _set_row([heads[at] for at in part], widths, aligns)
            lines.append(GAP.join("-" * wide for wide in widths))
        for number, row in enumerate(rows):
            tone = "strong" if number in table.strong or number == len(table.rows) else ""
            cells = _set_row([row[at] for at in part], widths, aligns)
            lines += [_paint(line, tone, colour) for line in cells]
        texts.append("\n".join(lines))
    head = f"{_paint(escape_controls(title).upper(), 'strong', colour)}\n" if title else ""
    return head + "\n\n".join(texts)


def _set_row(cells: Sequence[str], widths: Sequence[int], aligns: Sequence[str]) -> list[str]:
    """The lines of a row: cells wrapped, padded and side by side."""
    wrapped = [
        [cell] if cell_width(cell) <= wide else wrap_words(cell, wide, cell_width)
        for cell, wide in zip(cells, widths, strict=True)
    ]
    lines = []
    for number in range(max(map(len, wrapped))):
        line = []
        for pieces, wide, align in zip(wrapped, widths, aligns, strict=True):
            piece = pieces[number] if number < len(pieces) else ""
            pad = wide - cell_width(piece)
            before = {"left": 0, "middle": pad // 2, "right": pad}[align]
            line.append(" " * before + piece + " " * (pad - before))
        lines.append(GAP.join(line).rstrip())
    return lines


def cell_width(words: str) -> int:
    """How many columns of a terminal words take (Unicode Standard Annex 11, wide letters)."""
    if words.isascii():
        return len(words)
    from unicodedata import combining, east_asian_width

    return sum(
        0 if combining(letter) else 2 if east_asian_width(letter) in "WF" else 1 for letter in words
    )
