"""Reports on the screen: with what people call things in place of ids, and with its own ways."""

from dataclasses import replace

from profiles.report.document import (
    Block,
    Cell,
    Heading,
    Paragraph,
    Report,
    Span,
    Table,
    Value,
    Words,
)
from profiles.report.terminal import render_text
from profiles.tui.naming import Names, name_words
from profiles.tui.ways import say_here


def write_report(report: Report, names: Names, width: int | None = None) -> list[str]:
    """A report as lines, its words by names."""
    named = report._replace(
        title=name_words(report.title, names),
        blocks=tuple(_name_block(block, names) for block in report.blocks),
    )
    return render_text(named, width=width).split("\n")


def _name_block(block: Block, names: Names) -> Block:
    if isinstance(block, Table):
        rows = tuple(tuple(_name_value(one, names) for one in row) for row in block.rows)
        return block._replace(rows=rows)
    if isinstance(block, Paragraph | Heading):
        return block._replace(words=_name_spans(block.words, names))
    return block


def _name_spans(words: Words, names: Names) -> Words:
    if isinstance(words, str):
        return say_here(name_words(words, names))
    return tuple(Span(say_here(name_words(one.words, names)), one.tone) for one in words)


def _name_value(value: Value, names: Names) -> Value:
    match value:
        case Cell():
            words, note = name_words(value.words, names), name_words(value.note, names)
            return replace(value, words=words, note=note)
        case str():
            return name_words(value, names)
        case tuple():
            return tuple(name_words(one, names) for one in value)
    return value
