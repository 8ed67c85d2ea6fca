"""Tables and paragraphs flowed over as many sheets as they need.

    sheets, losses = flow([Table("Holes", columns, rows)], frame)

A table that goes on overleaf repeats its title and heading. Columns are as wide as their words;
where a table is too wide, the columns that may wrap give way. Words too wide for a column that does
not wrap are condensed, shrunk and at last cut, which is a `Loss`.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from profiles.drawing import weights
from profiles.drawing.fitting import NARROWEST, fit_line, wrap_lines
from profiles.drawing.frame import Frame
from profiles.drawing.geometry import Box
from profiles.drawing.layout import Sheet
from profiles.drawing.recorder import Recorder
from profiles.drawing.shapes import Anchor
from profiles.drawing.style import GREY, Lettering, Style
from profiles.drawing.surface import Loss
from profiles.lettering import BOLD

GUTTER, WIDEST_GUTTER = 4.0, 9.0
"""Clear space between two columns, mm: at least, and at most where there is room."""
NARROWEST_COLUMN = 14.0
"""A wrapping column is never made narrower than this, mm."""

_TITLE, _HEADING = Lettering(2.5, BOLD), Lettering(1.8, BOLD, GREY)
_CELL, _STRONG = Lettering(2.0), Lettering(2.0, BOLD)
_LINE, _PAD, _BETWEEN = 3.7, 1.4, 7.0
_TITLE_HEIGHT, _HEADING_LINE, _HEADING_DROP = 7.9, 2.8, 0.3
"""From the top of a table's title to that of its headings; a line of headings; under the last."""


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its heading, the side its words keep to, and whether they may wrap."""

    heading: str
    align: Anchor = "left"
    wraps: bool = False


@dataclass(frozen=True, slots=True)
class Table:
    """A titled table; each row has a cell for each column. Rows in `strong` are set bold."""

    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    strong: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Words under a title of their own, or under none."""

    words: str
    title: str = ""


Block = Table | Paragraph


def flow(
    blocks: Iterable[Block], frame: Frame, name: str = ""
) -> tuple[tuple[Sheet, ...], tuple[Loss, ...]]:
    """Return sheets with the blocks one under the other, and what had to be cut."""
    pen = _Pen(frame, name)
    for block in blocks:
        if isinstance(block, Table):
            pen.put_table(block)
        else:
            pen.put_paragraph(block)
    return pen.finish(), tuple(dict.fromkeys(pen.losses))


def column_widths(table: Table, room: float) -> tuple[float, ...]:
    """Return the widths of a table's columns, mm, gutters left out."""
    natural = [_natural(table, number, may_wrap=False) for number in range(len(table.columns))]
    free = room - GUTTER * (len(natural) - 1)
    if sum(natural) > free:
        natural = [_natural(table, number, may_wrap=True) for number in range(len(table.columns))]
    over = sum(natural) - free
    wrapping = [n for n, column in enumerate(table.columns) if column.wraps]
    while over > 1e-9 and wrapping:
        widest = max(wrapping, key=lambda n: natural[n])
        others = [natural[n] for n in wrapping if natural[n] < natural[widest] - 1e-9]
        alike = [n for n in wrapping if natural[n] >= natural[widest] - 1e-9]
        floor = max([NARROWEST_COLUMN, *others])
        step = min(over / len(alike), natural[widest] - floor)
        if step <= 1e-9:
            break
        for n in alike:
            natural[n] -= step
        over -= step * len(alike)
    if over > 1e-9:
        natural = [width * free / (free + over) for width in natural]
    return tuple(natural)


def _natural(table: Table, number: int, *, may_wrap: bool) -> float:
    """The width that the cells of a column ask for, and its heading on one line or on several."""
    heading = table.columns[number].heading
    parts = heading.split() if may_wrap else [heading]
    words = [_HEADING.width(part) for part in parts]
    words += [_STRONG.width(row[number]) for row in table.rows]
    return max(words, default=0.0) + 0.2


def wrap_cell(words: str, room: float, lettering: Lettering) -> list[str]:
    """Return lines for a cell; a word wider than `room` even if condensed is broken up.

    It is broken after a point, hyphen or slash where there is one, else anywhere.
    """
    tight = room / NARROWEST
    parts = [
        part
        for word in words.split()
        for part in (_break_up(word, room, lettering) if lettering.width(word) > tight else [word])
    ]
    return wrap_lines(" ".join(parts), room, lettering)


def _break_up(word: str, room: float, lettering: Lettering) -> list[str]:
    parts = []
    while lettering.width(word) > room and len(word) > 1:
        end = 1
        while lettering.width(word[: end + 1]) <= room:
            end += 1
        joint = max(word.rfind(mark, 1, end) for mark in ".-/") + 1
        cut = joint or end
        parts.append(word[:cut])
        word = word[cut:]
    return [*parts, word]


class _Pen:
    """Where the next block goes; opens a new sheet where the room ends."""

    def __init__(self, frame: Frame, name: str) -> None:
        self.frame, self.name = frame, name
        self.room = frame.room()
        self.losses: list[Loss] = []
        self._done: list[Sheet] = []
        self._board = Recorder()
        self._y = self.room.top

    def finish(self) -> tuple[Sheet, ...]:
        if self._y < self.room.top or not self._done:
            self._turn_over()
        return tuple(self._done)

    def _turn_over(self) -> None:
        self._done.append(Sheet(self.frame, self._board.finish(), self.name))
        self._board, self._y = Recorder(), self.room.top

    def _leave_room(self, height: float) -> bool:
        """Turn over where fewer than `height` mm are left; tell whether that was so."""
        if self._y - height >= self.room.bottom or self._y == self.room.top:
            return False
        self._turn_over()
        return True

    def put_paragraph(self, block: Paragraph) -> None:
        """Draw a paragraph, in one piece where a sheet holds it."""
        lines = [line for part in block.words.split("\n") for line in self._wrap(part)]
        head = 6.0 if block.title else 0.0
        self._leave_room(head + min(len(lines), 4) * _LINE)
        if block.title:
            self._board.text((self.room.left, self._y), block.title, _TITLE, rest="top")
            self._y -= head
        for line in lines:
            self._leave_room(_LINE)
            self._board.text((self.room.left, self._y), line, _CELL, rest="top")
            self._y -= _LINE
        self._y -= _BETWEEN - _LINE / 2

    def _wrap(self, words: str) -> list[str]:
        return [
            self._fit(line, self.room.width, _CELL)[0]
            for line in wrap_lines(words, self.room.width, _CELL)
        ]

    def put_table(self, table: Table) -> None:
        """Draw a table, its heading again on every sheet it needs."""
        widths = column_widths(table, self.room.width)
        rows = [self._wrap_row(table, widths, number) for number in range(len(table.rows))]
        first = _row_height(rows[0]) if rows else 0.0
        self._leave_room(_TITLE_HEIGHT + 3 * _HEADING_LINE + first)
        self._put_head(table, widths, table.title)
        for number, cells in enumerate(rows):
            if self._leave_room(_row_height(cells)):
                self._put_head(table, widths, f"{table.title} (continued)")
            self._put_row(table, widths, cells, strong=number in table.strong)
        self._y -= _BETWEEN

    def _wrap_row(self, table: Table, widths: Sequence[float], number: int) -> list[list[str]]:
        lettering = _STRONG if number in table.strong else _CELL
        return [
            wrap_cell(words, width, lettering) if column.wraps else [words]
            for words, width, column in zip(table.rows[number], widths, table.columns, strict=True)
        ]

    def _put_head(self, table: Table, widths: Sequence[float], title: str) -> None:
        words, lettering = self._fit(title, self.room.width, _TITLE)
        self._board.text((self.room.left, self._y), words, lettering, rest="top")
        heads = [
            wrap_lines(column.heading, width + 0.01, _HEADING)
            for column, width in zip(table.columns, widths, strict=True)
        ]
        depth = max(map(len, heads))
        low = self._y - _TITLE_HEIGHT - depth * _HEADING_LINE - _HEADING_DROP
        for column, lines, (left, width) in zip(
            table.columns, heads, self._places(widths), strict=True
        ):
            for number, line in enumerate(reversed(lines)):
                at = (left, low + 1.3 + number * _HEADING_LINE)
                self._put_words(at, width, line, column.align, _HEADING)
        self._rule(low, weights.FRONT)
        self._y = low

    def _put_row(
        self, table: Table, widths: Sequence[float], cells: list[list[str]], *, strong: bool
    ) -> None:
        lettering = _STRONG if strong else _CELL
        for column, (left, width), lines in zip(
            table.columns, self._places(widths), cells, strict=True
        ):
            for count, line in enumerate(lines):
                y = self._y - _PAD - count * _LINE - lettering.cap_height
                self._put_words((left, y), width, line, column.align, lettering)
        self._y -= _row_height(cells)
        self._rule(self._y, weights.GRID)

    def _places(self, widths: Sequence[float]) -> list[tuple[float, float]]:
        places, left = [], self.room.left
        gaps = max(1, len(widths) - 1)
        gutter = min(WIDEST_GUTTER, max(GUTTER, (self.room.width - sum(widths)) / gaps))
        for width in widths:
            places.append((left, width))
            left += width + gutter
        return places

    def _put_words(
        self, at: tuple[float, float], width: float, words: str, align: Anchor, lettering: Lettering
    ) -> None:
        share = {"left": 0.0, "middle": 0.5, "right": 1.0}[align]
        shown, fitted = self._fit(words, width, lettering)
        self._board.text((at[0] + share * width, at[1]), shown, fitted, anchor=align)

    def _fit(self, words: str, width: float, lettering: Lettering) -> tuple[str, Lettering]:
        fitted = fit_line(words, width + 0.01, lettering)
        if fitted.cut:
            self.losses.append(Loss("text", f'a table shows "{fitted.words}" for "{words}"'))
        return fitted.words, fitted.lettering

    def _rule(self, y: float, style: Style) -> None:
        box = Box(self.room.left, y, self.room.right, y)
        self._board.line((box.left, y), (box.right, y), style)


def _row_height(cells: Sequence[Sequence[str]]) -> float:
    lines = max(1, *(len(lines) for lines in cells))
    return 2 * _PAD + (lines - 1) * _LINE + _CELL.cap_height
