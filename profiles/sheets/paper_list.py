"""Lists on paper: tables with a title that flow through columns and pages.

    layout = lay_out_list(sections, frame)
    document, losses = bind(layout.sheets, title="Reference card")

Words are never cut: a cell takes as many lines as it needs, and a word wider than its cell is
broken. Where a section goes on in the next column its headings stand there again. For a table one
column wide among paragraphs see `drawing.tables`.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from profiles.drawing import weights
from profiles.drawing.fitting import wrap_lines
from profiles.drawing.frame import Frame
from profiles.drawing.geometry import Box
from profiles.drawing.layout import Layout, Sheet
from profiles.drawing.recorder import Drawing, Recorder
from profiles.drawing.style import GREY, Lettering, Style
from profiles.lettering import BOLD, REGULAR

SETTINGS = ((2.3, 0.6), (2.1, 0.55), (1.9, 0.5), (1.8, 0.4))
"""Capital height in mm, and space above and below a row in capital heights: tried in turn so that
a list stays on one page. 1.8 mm is the least height of ISO 3098-1 (from memory)."""
NARROWEST = 84.0
"""Least width of one of several columns of a page, mm."""
GUTTER = 8.0
"""Clear space between two columns of a page, mm."""

_PITCH = 1.75
"""Distance of baselines in capital heights."""
_CELL_GAP = 2.0


@dataclass(frozen=True, slots=True)
class Cell:
    """Words, and those that stand back behind them."""

    words: str
    note: str = ""
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a section: its heading, and its share of the width."""

    heading: str
    share: float


@dataclass(frozen=True, slots=True)
class Section:
    """A table with a title; an entry of one cell is a heading between rows."""

    title: str
    columns: tuple[Column, ...]
    entries: tuple[tuple[Cell, ...], ...]


@dataclass(frozen=True, slots=True)
class _Part:
    """Words at a place: mm from the left of the column, lines below the first."""

    left: float
    line: int
    words: str
    lettering: Lettering


@dataclass(frozen=True, slots=True)
class _Block:
    """A row, set: its words, height in mm, where its first baseline is below its top."""

    parts: tuple[_Part, ...]
    height: float
    drop: float
    pitch: float
    is_kept: bool = False
    """Whether it stays with the row after it."""
    rule: Style | None = weights.GRID
    """The line under it."""


def lay_out_list(sections: Sequence[Section], frame: Frame, across: int = 0) -> Layout:
    """Set sections on one sheet where they fit, each in a new column where that fits too.

    The capitals shrink for it to the least of `SETTINGS`; a list that needs more sheets has the
    largest.
    `across` is the number of columns of a page; 0 for as many as are wide enough.
    """
    room = frame.room()
    count = across or max(1, int((room.width + GUTTER) // (NARROWEST + GUTTER)))
    width = (room.width - (count - 1) * GUTTER) / count
    tries = (
        _flow(sections, _Setting(width, room.height, *sizes, runs_on))
        for sizes in SETTINGS
        for runs_on in (False, True)
    )
    columns = next((one for one in tries if len(one) <= count), None)
    if columns is None:
        columns = _flow(sections, _Setting(width, room.height, *SETTINGS[0]))
    pages = [columns[start : start + count] for start in range(0, len(columns), count)]
    return Layout(tuple(Sheet(frame, _draw(page, room, width)) for page in pages))


@dataclass(frozen=True, slots=True)
class _Setting:
    """Size of a column in mm, capital height in mm, space around a row in capital heights."""

    width: float
    height: float
    size: float
    pad: float
    runs_on: bool = False
    """Whether a section begins where the one before ends, not in a new column."""


def _flow(sections: Sequence[Section], setting: _Setting) -> list[list[_Block]]:
    """Columns of blocks."""
    columns: list[list[_Block]] = [[]]
    for section in sections:
        head = _set_head(section, setting)
        again = _set_head(replace(section, title=f"{section.title} (continued)"), setting)
        if columns[-1] and not setting.runs_on:
            columns.append([])
        is_begun = False
        limit = setting.height - max(_height(head), _height(again))
        blocks = (
            piece
            for entry in section.entries
            for piece in _cut(_set_entry(section, entry, setting), limit)
        )
        for group in _kept_together(blocks):
            new = group if is_begun else [*head, *group]
            is_full = _height((*columns[-1], *new)) > setting.height
            if is_full and len(columns[-1]) > (len(head) if is_begun else 0):
                columns.append([])
                new = [*(again if is_begun else head), *group]
            columns[-1] += new
            is_begun = True
    return columns


def _cut(block: _Block, limit: float) -> Iterator[_Block]:
    """A block as it is where it is no higher than `limit`, else cut between lines."""
    spare = block.height - block.pitch * max((part.line for part in block.parts), default=0)
    most = max(1, int((limit - spare) / block.pitch) + 1)
    last = max((part.line for part in block.parts), default=0)
    for start in range(0, last + 1, most):
        parts = tuple(
            replace(part, line=part.line - start)
            for part in block.parts
            if start <= part.line < start + most
        )
        lines = min(most, last + 1 - start)
        yield replace(block, parts=parts, height=spare + (lines - 1) * block.pitch)


def _height(blocks: Iterable[_Block]) -> float:
    return sum(block.height for block in blocks)


def _kept_together(blocks: Iterable[_Block]) -> Iterator[list[_Block]]:
    """Blocks that stay in one column: a heading with the row after it."""
    group: list[_Block] = []
    for block in blocks:
        group.append(block)
        if not block.is_kept:
            yield group
            group = []
    if group:
        yield group


def _set_head(section: Section, setting: _Setting) -> tuple[_Block, _Block]:
    """The title, and the headings of the columns."""
    size, width = setting.size, setting.width
    lettering = Lettering(size * 1.3, BOLD)
    title = tuple(_set_words(section.title, 0.0, width, lettering))
    caption = Lettering(size * 0.85, REGULAR, GREY)
    rooms = zip(section.columns, _rooms(section, width), strict=True)
    captions = tuple(
        part
        for column, (left, room) in rooms
        for part in _set_words(column.heading, left, room, caption)
    )
    return (
        _block(title, size * 1.3, setting.pad, above=1.2, rule=None),
        _block(captions, size * 0.85, setting.pad, rule=weights.DIMENSION),
    )


def _set_entry(section: Section, entry: Sequence[Cell], setting: _Setting) -> _Block:
    size, width = setting.size, setting.width
    if len(entry) == 1:
        parts = tuple(_set_words(entry[0].words, 0.0, width, Lettering(size, BOLD)))
        return _block(parts, size, setting.pad, above=2.5 * setting.pad, is_kept=True, rule=None)
    rooms = zip(entry, _rooms(section, width), strict=True)
    return _block(
        tuple(part for cell, (left, room) in rooms for part in _set_cell(cell, left, room, size)),
        size,
        setting.pad,
    )


def _block(
    parts: tuple[_Part, ...],
    size: float,
    pad: float,
    *,
    above: float | None = None,
    is_kept: bool = False,
    rule: Style | None = weights.GRID,
) -> _Block:
    above = pad if above is None else above
    lines = max((part.line for part in parts), default=0)
    height = size * (above + 1 + lines * _PITCH + pad)
    return _Block(parts, height, size * (above + 1), size * _PITCH, is_kept, rule)


def _rooms(section: Section, width: float) -> list[tuple[float, float]]:
    """Left edge and width of each column, mm."""
    total = sum(column.share for column in section.columns)
    rooms, left = [], 0.0
    for column in section.columns:
        room = width * column.share / total
        rooms.append((left, room - _CELL_GAP))
        left += room
    return rooms


def _set_cell(cell: Cell, left: float, room: float, size: float) -> Iterator[_Part]:
    """The words, and the note behind them where it fits, else below."""
    lettering = Lettering(size, BOLD if cell.strong else REGULAR)
    words = list(_set_words(cell.words, left, room, lettering))
    yield from words
    if not cell.note:
        return
    small = Lettering(size, REGULAR, GREY)
    end = words[-1] if words else _Part(left, 0, "", lettering)
    start = end.left + lettering.width(end.words + "  ")
    if words and start + small.width(cell.note) <= left + room:
        yield _Part(start, end.line, cell.note, small)
        return
    first = end.line + 1 if words else 0
    yield from _set_words(cell.note, left, room, small, first)


def _set_words(
    words: str, left: float, room: float, lettering: Lettering, first: int = 0
) -> Iterator[_Part]:
    lines = [
        piece
        for line in wrap_lines(words, room, lettering)
        for piece in _broken(line, room, lettering)
    ]
    for number, line in enumerate(lines, first):
        yield _Part(left, number, line, lettering)


def _broken(line: str, room: float, lettering: Lettering) -> Iterator[str]:
    """A line as it is where it fits, else cut between letters."""
    piece = ""
    for letter in line:
        if piece and lettering.width(piece + letter) > room:
            yield piece
            piece = ""
        piece += letter
    yield piece


def _draw(columns: Sequence[Sequence[_Block]], room: Box, width: float) -> Drawing:
    board = Recorder()
    with board.layer("list"):
        for number, blocks in enumerate(columns):
            left, top = room.left + number * (width + GUTTER), room.top
            for block in blocks:
                for part in block.parts:
                    y = top - block.drop - part.line * block.pitch
                    board.text((left + part.left, y), part.words, part.lettering)
                top -= block.height
                if block.rule is not None:
                    board.line((left, top), (left + width, top), block.rule)
    return board.finish()
