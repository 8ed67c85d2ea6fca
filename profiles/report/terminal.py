"""A report as text for a terminal or a plain file; every word is harmless there.

With a width, paragraphs are wrapped to it, cells that may wrap give way, and a table still too
wide is shown in parts. Without one, as for a pipe, each paragraph and row is a single line.
"""

from collections.abc import Sequence

from profiles.report.columns import narrow_columns, split_columns, wrap_words
from profiles.report.document import (
    Cautions,
    Figure,
    Heading,
    Paragraph,
    Report,
    Span,
    Table,
    Tone,
    list_spans,
)
from profiles.text.cells import width_of
from profiles.text.inert import escape_controls, visible_block

GAP = "  "
NARROWEST = 7
"""Letters in a column that wraps at least."""
LONGEST_LINE = 88
"""Letters in a line of a titled paragraph at most: longer lines are hard to read."""
_CODES = {"": "", "strong": "1", "quiet": "2", "error": "1;31", "warning": "1;33", "note": "1;36"}
"""Select Graphic Rendition of each tone (ECMA-48, 8.3.117)."""


def render_text(report: Report, *, width: int | None = None, colour: bool = False) -> str:
    """The report as lines, one line end at its end; empty where it has nothing to say."""
    head = [Span(report.title, "strong"), Span(report.subtitle)]
    parts = ["\n".join(_paint([span], colour) for span in head if span.words)]
    for block in report.blocks:
        if isinstance(block, Table):
            title = block.title if report.shows_title(block) else ""
            if block.rows:
                parts.append(render_table(block, title=title, width=width, colour=colour))
        elif isinstance(block, Heading):
            tones = [Span(words, tone or "strong") for words, tone in list_spans(block.words)]
            parts.append(_paint(tones, colour))
        elif isinstance(block, Paragraph):
            parts.append(_write_paragraph(block, width, colour))
        elif isinstance(block, Figure):
            parts.append(f"Figure: {escape_controls(block.words)}")
        elif isinstance(block, Cautions):
            from profiles.drawing.cautions import CLOSING

            lines = [
                *(f"{caution.heading}: {caution.words}" for caution in block.cautions),
                CLOSING,
            ]
            parts.append(_write_paragraph(Paragraph("\n".join(lines)), width, colour))
    text = "\n\n".join(part for part in parts if part)
    return f"{text}\n" if text else ""


def _write_paragraph(block: Paragraph, width: int | None, colour: bool) -> str:
    """Words, indented below their title where they have one."""
    indent = "  " if block.title else ""
    if block.title:
        width = min(width or LONGEST_LINE, LONGEST_LINE)
    lines = _paint(list_spans(block.words), colour).split("\n")
    if width is not None and isinstance(block.words, str) and not block.verbatim:
        room = max(width - len(indent), 20)
        lines = [piece for line in lines for piece in wrap_words(line, room, width_of)]
    head = [_paint([Span(block.title, "strong")], colour)] if block.title else []
    return "\n".join([*head, *(indent + line if line else "" for line in lines)])


def _paint(spans: Sequence[Span], colour: bool) -> str:
    """Harmless words, coloured where that is wanted; line ends are kept."""
    found = []
    for span in spans:
        words, code = visible_block(span.words), _CODES[span.tone]
        found.append(f"\x1b[{code}m{words}\x1b[0m" if colour and code and words else words)
    return "".join(found)


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
    natural = [max(map(width_of, cells)) for cells in zip(heads, *rows, strict=True)]
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
        wanted = [[width_of(row[at]) for row in (heads, *rows)] for at in part]
        narrowest = [least[at] for at in part]
        widths = [int(one + 1e-9) for one in narrow_columns(wanted, narrowest, room)]
        lines = []
        for number, row in enumerate([heads, *rows] if any(heads) else rows, -bool(any(heads))):
            is_strong = number in table.strong or number == len(table.rows)
            tone: Tone = "strong" if is_strong else ""
            cells = [
                wrap_words(row[at], wide, width_of) for at, wide in zip(part, widths, strict=True)
            ]
            for height in range(max(map(len, cells))):
                line = []
                for at, wide, pieces in zip(part, widths, cells, strict=True):
                    piece = pieces[height] if height < len(pieces) else ""
                    pad = wide - width_of(piece)
                    before = {"left": 0, "middle": pad // 2, "right": pad}[columns[at].align]
                    line.append(" " * before + piece + " " * (pad - before))
                lines.append(_paint([Span(GAP.join(line).rstrip(), tone)], colour))
            if number < 0:
                lines.append(GAP.join("-" * wide for wide in widths))
        texts.append("\n".join(lines))
    head = [_paint([Span(title.upper(), "strong")], colour)] if title else []
    return "\n".join([*head, "\n\n".join(texts)])
