"""A report on paper: blocks flow through lanes and sheets, and nothing is cut off in silence.

    layout = lay_out(report, frame)
    document, losses = bind(layout.sheets, title=report.title)

A table that goes on in another lane repeats its title and headings. Columns are as wide as their
words; where a table is too wide the columns that may wrap give way, then words are condensed, and
a table still too wide goes on below with its first columns. A row higher than a lane is cut between
lines. Only a word too wide for a column that does not wrap is cut, which is a `Loss`.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from profiles.drawing import weights
from profiles.drawing.fitting import NARROWEST as NARROWEST_LETTERS
from profiles.drawing.fitting import fit_line
from profiles.drawing.frame import Frame
from profiles.drawing.geometry import Box, moved, scaled
from profiles.drawing.layout import Layout, Sheet
from profiles.drawing.recorder import Drawing, Recorder
from profiles.drawing.shapes import Anchor
from profiles.drawing.style import GREY, Lettering, Style
from profiles.drawing.surface import Loss
from profiles.lettering import BOLD, REGULAR
from profiles.report.columns import narrow_columns, split_columns, wrap_words
from profiles.report.document import (
    Block,
    Cautions,
    Cell,
    Column,
    Facts,
    Figure,
    Heading,
    Report,
    Table,
    join_spans,
)


@dataclass(frozen=True, slots=True)
class Setting:
    """Height of capitals in mm, and space above and below a row in heights of capitals."""

    size: float
    pad: float
    least: float = 1.8
    """Least height of any words, mm; headings of columns are lower than other words otherwise."""


PLAIN = Setting(2.0, 0.7)
TO_FIT = (Setting(2.3, 0.6), Setting(2.1, 0.55), Setting(1.9, 0.5), Setting(1.8, 0.38))
"""Tried in turn so that a report stays on one sheet. 1.8 mm is the least height of ISO 3098-1
(unverified)."""
NARROWEST_LANE = 32.0
"""Least width of one of several lanes of a sheet, in heights of capitals."""
BETWEEN_LANES = 8.0
NARROWEST_COLUMN = 14.0
"""Least width of a column that wraps, mm."""
GUTTER, WIDEST_GUTTER = 2.6, 9.0
"""Clear space between two columns, mm: at least, and at most where there is room."""

SHORT = 6
"""A table of so many rows stays whole; no longer one leaves a row alone."""

_PITCH = 1.8
"""Distance of baselines in heights of capitals."""
_BETWEEN = 6.0
"""Clear space between two blocks, mm."""


@dataclass(frozen=True, slots=True)
class _Part:
    """Words at a place: mm from the left of the lane, lines below the first."""

    left: float
    line: int
    words: str
    lettering: Lettering
    anchor: Anchor = "left"


@dataclass(frozen=True, slots=True)
class _Row:
    """A row, set: its words, height in mm, where its first baseline is below its top."""

    parts: tuple[_Part, ...]
    height: float
    drop: float = 0.0
    pitch: float = 0.0
    is_kept: bool = False
    """Whether it stays with the row after it."""
    rule: Style | None = None
    """The line under it."""
    drawing: Drawing | None = None
    """Its upper left corner is the origin."""

    def draw(self, board: Recorder, left: float, top: float, width: float) -> None:
        """Draw it with its upper left corner at a place."""
        if self.drawing is not None:
            board.place(self.drawing, moved(left, top))
        for part in self.parts:
            at = (left + part.left, top - self.drop - part.line * self.pitch)
            board.text(at, part.words, part.lettering, anchor=part.anchor)
        if self.rule is not None:
            low = top - self.height
            board.line((left, low), (left + width, low), self.rule)


class _Spot(NamedTuple):
    """A column in a lane: its place among the cells, its left edge and width in mm."""

    at: int
    column: Column
    left: float
    width: float


@dataclass(frozen=True, slots=True)
class _Rows:
    """The rows of a block, what is above them, and what is above them in a new lane."""

    rows: tuple[_Row, ...]
    head: tuple[_Row, ...] = ()
    again: tuple[_Row, ...] = ()
    is_table: bool = False


def lay_out(
    report: Report, frame: Frame, *, lanes: int = 1, to_fit: Sequence[Setting] = ()
) -> Layout:
    """Set a report's blocks one under the other, on as many sheets as they need.

    `lanes` are side by side on a sheet; 0 for as many as are wide enough. The settings `to_fit`
    are tried in turn so that it stays on one sheet, each table opening a lane where that fits; if
    none does, those as large as the first are set on the fewest sheets.
    Cautions of the report stand at the foot of every sheet.
    """
    cautions = tuple(
        one for block in report.blocks if isinstance(block, Cautions) for one in block.cautions
    )
    frame = replace(frame, cautions=frame.cautions or cautions)
    room = frame.room()
    ways = (True, False) if to_fit else (False,)
    trials = (trial for one in to_fit or (PLAIN,) for trial in _try(report, room, one, lanes, ways))
    best = next(trials)
    while best.sheets > 1 and (tried := next(trials, None)):
        if tried.sheets == 1 or (tried.size == best.size and tried.sheets < best.sheets):
            best = tried
    count, width, flowed = best.beside, best.width, best.lanes
    sheets = []
    for first in range(0, len(flowed), count):
        board = Recorder()
        with board.layer("list"):
            for number, lane in enumerate(flowed[first : first + count]):
                left, top = room.left + number * (width + BETWEEN_LANES), room.top
                for row in lane:
                    row.draw(board, left, top, width)
                    top -= row.height
        sheets.append(Sheet(frame, board.finish()))
    return Layout(tuple(sheets), tuple(dict.fromkeys(best.losses)))


class _Trial(NamedTuple):
    """A report set one way: the height of capitals and the width of a lane in mm, how many lanes
    are beside each other, and the rows of each lane."""

    size: float
    beside: int
    width: float
    lanes: list[list[_Row]]
    losses: list[Loss]

    @property
    def sheets(self) -> int:
        return -(-len(self.lanes) // self.beside)


def _try(
    report: Report, room: Box, setting: Setting, lanes: int, ways: Iterable[bool]
) -> Iterator[_Trial]:
    """Set a report in letters of this size, in as many lanes as are wide enough for `lanes` 0; once
    for each of `ways`, which says whether tables open a lane."""
    least = NARROWEST_LANE * setting.size
    count = lanes or max(1, int((room.width + BETWEEN_LANES) // (least + BETWEEN_LANES)))
    width = (room.width - (count - 1) * BETWEEN_LANES) / count
    typesetter = _Typesetter(width, setting)
    rows = typesetter.set_blocks(report.blocks)
    for opens_lanes in ways:
        flowed = _flow(rows, room.height, opens_lanes=opens_lanes)
        yield _Trial(setting.size, count, width, flowed, typesetter.losses)


def column_widths(table: Table, room: float, setting: Setting = PLAIN) -> list[float]:
    """Return the widths of all columns that paper shows, mm, gutters left out."""
    typesetter = _Typesetter(room, setting)
    return typesetter.share(typesetter.measure(*table.list_beside()))


@dataclass(frozen=True, slots=True)
class _Asked:
    """The widths that the cells of a column ask for, mm, and the least it can do with."""

    cells: tuple[float, ...]
    least: float
    wraps: bool


class _Typesetter:
    """Blocks set in rows for a lane of one width."""

    def __init__(self, width: float, setting: Setting) -> None:
        size = setting.size
        self.width, self.size, self.pad = width, size, setting.pad
        self.plain, self.strong = Lettering(size), Lettering(size, BOLD)
        self.note = Lettering(size, REGULAR, GREY)
        self.caption = Lettering(max(size * 0.85, setting.least), REGULAR, GREY)
        self.title, self.heading = Lettering(size * 1.3, BOLD), Lettering(size * 1.5, BOLD)
        self.losses: list[Loss] = []

    def set_blocks(self, blocks: Iterable[Block]) -> list[_Rows]:
        """All blocks in order; a heading goes above the block after it."""
        found: list[_Rows] = []
        headings: tuple[_Row, ...] = ()
        for block in blocks:
            if isinstance(block, Heading):
                headings += (self.set_title(join_spans(block.words), self.heading, 0.6),)
                continue
            if isinstance(block, Table):
                several = self.set_table(block) if block.rows else []
            elif isinstance(block, Figure):
                several = [self.set_figure(block)]
            elif isinstance(block, Facts | Cautions):
                several = []
            else:
                above = (self.set_title(block.title, self.title, 1.0),) if block.title else ()
                several = [_Rows(self.set_lines(join_spans(block.words)), above)]
            for rows in several:
                found.append(replace(rows, head=(*headings, *rows.head)))
                headings = ()
        return [*found, _Rows(headings)] if headings else found

    def set_title(self, words: str, lettering: Lettering, below: float) -> _Row:
        """A title, wrapped; kept with what follows."""
        lines = wrap_words(words, self.width, lettering.width)
        parts = tuple(_Part(0.0, at, line, lettering) for at, line in enumerate(lines))
        size = lettering.cap_height
        height = size * (1 + (len(lines) - 1) * _PITCH + below)
        return _Row(parts, height, size, size * _PITCH, is_kept=True)

    def set_lines(self, words: str) -> tuple[_Row, ...]:
        """The lines of a paragraph; the first four stay together."""
        pitch = self.size * _PITCH
        lines = [
            piece
            for line in words.split("\n")
            for piece in wrap_words(line, self.width, self.plain.width)
        ]
        together = min(len(lines), 4) - 1
        return tuple(
            _Row((_Part(0.0, 0, line, self.plain),), pitch, self.size, is_kept=at < together)
            for at, line in enumerate(lines)
        )

    def set_figure(self, block: Figure) -> _Rows:
        """A drawing, no wider than the lane, and its words below."""
        words = self.set_lines(block.words)
        bounds = block.drawing.ink_bounds()
        if bounds is None:
            return _Rows(words)
        factor = min(1.0, self.width / bounds.width)
        placed = block.drawing.transformed(moved(-bounds.left, -bounds.top).then(scaled(factor)))
        height = bounds.height * factor + self.size
        return _Rows((_Row((), height, is_kept=True, drawing=placed), *words))

    def set_table(self, table: Table) -> list[_Rows]:
        """A table, in parts where it is too wide."""
        columns, rows = table.list_beside()
        asked = self.measure(columns, rows)
        lead = min(table.lead, len(columns) - 1)
        parts = split_columns([one.least for one in asked], lead, self.width, GUTTER)
        found, done = [], 0
        for part in parts:
            title = table.title
            if len(parts) > 1:
                first, done = done + 1, done + len(part) - lead
                span = f"{first}" if first == done else f"{first} to {done}"
                title = f"{title} ({span} of {len(columns) - lead})".strip()
            widths = self.share([asked[at] for at in part])
            gaps = max(1, len(part) - 1)
            gutter = min(WIDEST_GUTTER, max(GUTTER, (self.width - sum(widths)) / gaps))
            spots = [
                _Spot(at, columns[at], sum(widths[:number]) + gutter * number, widths[number])
                for number, at in enumerate(part)
            ]
            found.append(self.set_part(title, spots, rows))
        return found

    def set_part(
        self, title: str, spots: Sequence[_Spot], shown: Sequence[tuple[str, Sequence[Cell]]]
    ) -> _Rows:
        """A table within these columns."""
        heads = [wrap_words(one.column.heading, one.width, self.caption.width) for one in spots]
        depth = max(map(len, heads))
        captions = tuple(
            self.place(spot, line, self.caption, at)
            for spot, lines in zip(spots, heads, strict=True)
            for at, line in enumerate(lines, depth - len(lines))
        )
        size = self.caption.cap_height
        height = size * (1 + (depth - 1) * _PITCH) + self.size * (self.pad + 0.2)
        head = _Row(captions, height, size, size * _PITCH, True, weights.DIMENSION)
        titles = [self.set_title(one, self.title, 1.0) for one in (title, f"{title} (continued)")]
        rows: list[_Row] = []
        before = ""
        for number, (band, cells) in enumerate(shown):
            if band and band != before:
                named = self.set_title(band, self.strong, self.pad)
                space = self.size * 2.5 * self.pad
                rows.append(replace(named, height=named.height + space, drop=named.drop + space))
                before = band
            parts = tuple(part for spot in spots for part in self.set_cell(cells[spot.at], spot))
            last = max((part.line for part in parts), default=0)
            pitch, drop = self.size * _PITCH, self.size * (1 + self.pad)
            height = drop + self.size * self.pad + last * pitch
            after = len(shown) - 1 - number
            is_kept = after > 0 and (len(shown) <= SHORT or number == 0 or after == 1)
            rows.append(_Row(parts, height, drop, pitch, is_kept, weights.GRID))
        first, again = ((one, head) if title else (head,) for one in titles)
        return _Rows(tuple(rows), first, again, is_table=True)

    def set_cell(self, cell: Cell, spot: _Spot) -> Iterator[_Part]:
        """The words, and the note behind them where it fits, otherwise below."""
        lettering = self.strong if cell.strong else self.plain
        lines = [cell.words] if cell.words else []
        if lines and spot.column.wraps:
            widest = spot.width / NARROWEST_LETTERS
            lines = wrap_words(cell.words, spot.width, lettering.width, widest)
        for at, line in enumerate(lines):
            yield self.place(spot, line, lettering, at)
        if not cell.note:
            return
        end = lettering.width(f"{lines[-1]}  ") if lines else 0.0
        if end + self.note.width(cell.note) <= spot.width:
            yield _Part(spot.left + end, max(0, len(lines) - 1), cell.note, self.note)
            return
        for at, line in enumerate(wrap_words(cell.note, spot.width, self.note.width), len(lines)):
            yield self.place(spot, line, self.note, at)

    def place(self, spot: _Spot, words: str, lettering: Lettering, line: int) -> _Part:
        """One line within a column; words too wide are condensed, shrunk and at last cut."""
        fitted = fit_line(words, spot.width + 0.01, lettering)
        if fitted.cut:
            self.losses.append(Loss("text", f'a table shows "{fitted.words}" for "{words}"'))
        align = spot.column.align
        share = {"left": 0.0, "middle": 0.5, "right": 1.0}[align]
        left = spot.left + share * spot.width
        return _Part(left, line, fitted.words, fitted.lettering, align)

    def measure(
        self, columns: Sequence[Column], rows: Sequence[tuple[str, Sequence[Cell]]]
    ) -> list[_Asked]:
        """What each column asks for; headings are wrapped where that lets the table fit."""
        for wrap_headings in (False, True):
            asked = []
            for at, column in enumerate(columns):
                heads = column.heading.split() if wrap_headings else [column.heading]
                widths = [column.least, *map(self.caption.width, heads)]
                for cell in (cells[at] for _, cells in rows):
                    lettering = self.strong if cell.strong else self.plain
                    gap = "  " if cell.words and cell.note else ""
                    width = lettering.width(cell.words) + self.note.width(gap + cell.note)
                    widths.append(width)
                natural = max(widths) + 0.2
                least = max(column.least, natural * NARROWEST_LETTERS)
                if column.wraps:
                    least = min(natural, max(column.least, NARROWEST_COLUMN))
                cells = tuple(width + 0.2 for width in widths)
                asked.append(_Asked(cells, least, column.wraps))
            if sum(max(one.cells) for one in asked) + GUTTER * (len(columns) - 1) <= self.width:
                break
        return asked

    def share(self, asked: Sequence[_Asked]) -> list[float]:
        """Widths within the lane: columns that wrap give way first, then all to their least."""
        room = self.width - GUTTER * (len(asked) - 1)
        firm = [one.least if one.wraps else max(one.cells) for one in asked]
        widths = narrow_columns([one.cells for one in asked], firm, room)
        widths = narrow_columns([[width] for width in widths], [one.least for one in asked], room)
        return [width * min(1.0, room / sum(widths)) for width in widths]


def _flow(several: Sequence[_Rows], height: float, *, opens_lanes: bool) -> list[list[_Row]]:
    """Lanes of rows, none higher than `height`; with `opens_lanes` each table begins one."""

    def add_up(rows: Iterable[_Row]) -> float:
        return sum(row.height for row in rows)

    lanes: list[list[_Row]] = [[]]
    filled = 0.0
    for block in several:
        if opens_lanes and block.is_table and lanes[-1]:
            lanes.append([])
            filled = 0.0
        gap = [_Row((), _BETWEEN)] if lanes[-1] else []
        limit = height - max(add_up([*gap, *block.head]), add_up(block.again))
        pieces = [piece for row in block.rows for piece in _cut(row, limit)]
        kept: list[_Row] = []
        is_begun = False
        for number, piece in enumerate(pieces, 1):
            kept.append(piece)
            if piece.is_kept and number < len(pieces):
                continue
            new = kept if is_begun else [*gap, *block.head, *kept]
            is_full = filled + add_up(new) > height + 1e-9
            if is_full and len(lanes[-1]) > (len(block.again) if is_begun else 0):
                lanes.append([])
                filled = 0.0
                new = [*(block.again if is_begun else block.head), *kept]
            lanes[-1] += new
            filled += add_up(new)
            kept, is_begun = [], True
    return lanes


def _cut(row: _Row, limit: float) -> Iterator[_Row]:
    """A row as it is where it is no higher than `limit`, otherwise cut between lines."""
    last = max((part.line for part in row.parts), default=0)
    if row.height <= limit or not last:
        yield row
        return
    spare = row.height - row.pitch * last
    most = max(1, int((limit - spare) / row.pitch) + 1)
    for start in range(0, last + 1, most):
        parts = tuple(
            replace(part, line=part.line - start)
            for part in row.parts
            if start <= part.line < start + most
        )
        lines = min(most, last + 1 - start)
        yield replace(row, parts=parts, height=spare + (lines - 1) * row.pitch)
