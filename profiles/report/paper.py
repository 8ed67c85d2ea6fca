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
    Words,
)


@dataclass(frozen=True, slots=True)
class Setting:
    """Height of capitals in mm, and space above and below a row in heights of capitals."""

    size: float
    pad: float


PLAIN = Setting(2.0, 0.7)
TO_FIT = (Setting(2.3, 0.6), Setting(2.1, 0.55), Setting(1.9, 0.5), Setting(1.8, 0.38))
"""Tried in turn so that a report stays on one sheet. 1.8 mm is the least height of ISO 3098-1
(unverified)."""
NARROWEST_LANE = 84.0
"""Least width of one of several lanes of a sheet, mm."""
BETWEEN_LANES = 8.0
NARROWEST_COLUMN = 14.0
"""Least width of a column that wraps, mm."""
GUTTER, WIDEST_GUTTER = 2.6, 9.0
"""Clear space between two columns, mm: at least, and at most where there is room."""

SHORT = 6
"""A table of so many rows stays whole; no longer one leaves a row alone."""

_PITCH = 1.8
"""Distance of baselines in heights of capitals."""
_BETWEEN = 3.0
"""Clear space between two blocks in heights of capitals."""


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


@dataclass(frozen=True, slots=True)
class _Rows:
    """The rows of a block, what stands above them, and what stands there again in a new lane."""

    rows: tuple[_Row, ...]
    head: tuple[_Row, ...] = ()
    again: tuple[_Row, ...] = ()
    opens_lane: bool = False


def lay_out(report: Report, frame: Frame, *, lanes: int = 1, on_one_sheet: bool = False) -> Layout:
    """Set a report's blocks one under the other, on as many sheets as they need.

    `lanes` are side by side on a sheet; 0 for as many as are wide enough. With `on_one_sheet` the
    letters shrink to the least of `TO_FIT` for it, and each table opens a lane where that fits.
    Cautions of the report stand at the foot of every sheet.
    """
    cautions = tuple(
        one for block in report.blocks if isinstance(block, Cautions) for one in block.cautions
    )
    frame = replace(frame, cautions=frame.cautions or cautions)
    room = frame.room()
    count = lanes or max(1, int((room.width + BETWEEN_LANES) // (NARROWEST_LANE + BETWEEN_LANES)))
    width = (room.width - (count - 1) * BETWEEN_LANES) / count
    found: list[list[_Row]] | None = None
    losses: list[Loss] = []
    for setting in TO_FIT if on_one_sheet else ():
        typesetter = _Typesetter(width, setting)
        rows = typesetter.set_blocks(report.blocks)
        tried = (_flow(rows, room.height, new_lanes=new) for new in (True, False))
        found = next((one for one in tried if len(one) <= count), None)
        if found is not None:
            losses = typesetter.losses
            break
    if found is None:
        typesetter = _Typesetter(width, TO_FIT[0] if on_one_sheet else PLAIN)
        rows = typesetter.set_blocks(report.blocks)
        found, losses = _flow(rows, room.height, new_lanes=on_one_sheet), typesetter.losses
    pages = [found[start : start + count] for start in range(0, len(found), count)]
    sheets = tuple(Sheet(frame, _draw(page, room, width)) for page in pages)
    return Layout(sheets, tuple(dict.fromkeys(losses)))


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
        self.caption = Lettering(max(size * 0.85, 1.8), REGULAR, GREY)
        self.title = Lettering(size * 1.3, BOLD)
        self.losses: list[Loss] = []

    def set_blocks(self, blocks: Iterable[Block]) -> list[_Rows]:
        """All blocks in order; a heading goes above the block after it."""
        found: list[_Rows] = []
        heading: tuple[_Row, ...] = ()
        for block in blocks:
            if isinstance(block, Facts | Cautions) or (isinstance(block, Table) and not block.rows):
                continue
            if isinstance(block, Heading):
                words = _join(block.words)
                heading = (*heading, self._set_line(words, Lettering(self.size * 1.5, BOLD), 0.6))
                continue
            if isinstance(block, Table):
                several = self._set_table(block)
            elif isinstance(block, Figure):
                several = [self._set_figure(block)]
            else:
                several = [self._set_paragraph(_join(block.words), block.title)]
            found.append(replace(several[0], head=(*heading, *several[0].head)))
            found += several[1:]
            heading = ()
        return [*found, _Rows(heading)] if heading else found

    def _set_line(self, words: str, lettering: Lettering, below: float) -> _Row:
        """A title, wrapped; kept with what follows."""
        lines = wrap_words(words, self.width, lettering.width)
        parts = tuple(_Part(0.0, at, line, lettering) for at, line in enumerate(lines))
        size = lettering.cap_height
        height = size * (1 + (len(lines) - 1) * _PITCH + below)
        return _Row(parts, height, size, size * _PITCH, is_kept=True)

    def _set_paragraph(self, words: str, title: str) -> _Rows:
        head = (self._set_line(title, self.title, 1.0),) if title else ()
        pitch = self.size * _PITCH
        rows = []
        for line in words.split("\n"):
            for piece in wrap_words(line, self.width, self.plain.width):
                rows.append(_Row((_Part(0.0, 0, piece, self.plain),), pitch, self.size, pitch))
        together = min(len(rows), 4) - 1
        rows = [replace(row, is_kept=at < together) for at, row in enumerate(rows)]
        return _Rows(tuple(rows), head)

    def _set_figure(self, block: Figure) -> _Rows:
        """A drawing, no wider than the lane, and its words below."""
        words = self._set_paragraph(block.words, "").rows if block.words else ()
        bounds = block.drawing.ink_bounds()
        if bounds is None:
            return _Rows(words)
        factor = min(1.0, self.width / bounds.width)
        placed = block.drawing.transformed(moved(-bounds.left, -bounds.top).then(scaled(factor)))
        height = bounds.height * factor + self.size
        return _Rows((_Row((), height, is_kept=bool(words), drawing=placed), *words))

    def _set_table(self, table: Table) -> list[_Rows]:
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
            lefts = [sum(widths[:at]) + gutter * at for at in range(len(part))]
            rooms = [
                (at, columns[at], left, width)
                for at, left, width in zip(part, lefts, widths, strict=True)
            ]
            found.append(self._set_part(title, rooms, rows))
        return found

    def _set_part(
        self,
        title: str,
        rooms: Sequence[tuple[int, Column, float, float]],
        shown: Sequence[tuple[str, Sequence[Cell]]],
    ) -> _Rows:
        """A table within these columns: place among the cells, column, left edge and width."""
        captions: list[_Part] = []
        heads = [wrap_words(one.heading, wide, self.caption.width) for _, one, _, wide in rooms]
        depth = max(map(len, heads))
        for lines, (_, column, left, width) in zip(heads, rooms, strict=True):
            for at, line in enumerate(lines, depth - len(lines)):
                captions += self._place(line, left, width, column.align, self.caption, at)
        size = self.caption.cap_height
        height = size * (1 + (depth - 1) * _PITCH) + self.size * (self.pad + 0.2)
        head = _Row(tuple(captions), height, size, size * _PITCH, True, weights.DIMENSION)
        above = (self._set_line(title, self.title, 1.0),) if title else ()
        again = (self._set_line(f"{title} (continued)", self.title, 1.0),) if title else ()

        rows: list[_Row] = []
        pitch, before = self.size * _PITCH, ""
        for number, (band, cells) in enumerate(shown):
            if band and band != before:
                named = self._set_line(band, self.strong, self.pad)
                space = self.size * 2.5 * self.pad
                rows.append(replace(named, height=named.height + space, drop=named.drop + space))
                before = band
            parts: list[_Part] = []
            for at, column, left, width in rooms:
                parts += self._set_cell(cells[at], column, left, width)
            last = max((part.line for part in parts), default=0)
            height = self.size * (1 + 2 * self.pad) + last * pitch
            drop = self.size * (1 + self.pad)
            after = len(shown) - 1 - number
            is_kept = after > 0 and (len(shown) <= SHORT or number == 0 or after == 1)
            rows.append(_Row(tuple(parts), height, drop, pitch, is_kept, weights.GRID))
        return _Rows(tuple(rows), (*above, head), (*again, head), opens_lane=True)

    def _set_cell(self, cell: Cell, column: Column, left: float, width: float) -> Iterator[_Part]:
        """The words, and the note behind them where it fits, otherwise below."""
        lettering = self.strong if cell.strong else self.plain
        lines = [cell.words] if cell.words else []
        if column.wraps:
            widest = width / NARROWEST_LETTERS
            lines = wrap_words(cell.words, width, lettering.width, widest) if cell.words else []
        for at, line in enumerate(lines):
            yield from self._place(line, left, width, column.align, lettering, at)
        if not cell.note:
            return
        end = lettering.width(f"{lines[-1]}  ") if lines else 0.0
        if end + self.note.width(cell.note) <= width:
            yield _Part(left + end, max(0, len(lines) - 1), cell.note, self.note)
            return
        for at, line in enumerate(wrap_words(cell.note, width, self.note.width), len(lines)):
            yield from self._place(line, left, width, column.align, self.note, at)

    def _place(
        self, words: str, left: float, width: float, align: Anchor, lettering: Lettering, line: int
    ) -> Iterator[_Part]:
        """One line within a column; words too wide are condensed, shrunk and at last cut."""
        fitted = fit_line(words, width + 0.01, lettering)
        if fitted.cut:
            self.losses.append(Loss("text", f'a table shows "{fitted.words}" for "{words}"'))
        share = {"left": 0.0, "middle": 0.5, "right": 1.0}[align]
        yield _Part(left + share * width, line, fitted.words, fitted.lettering, align)

    def measure(
        self, columns: Sequence[Column], rows: Sequence[tuple[str, Sequence[Cell]]]
    ) -> list[_Asked]:
        """What each column asks for; headings are wrapped where that lets the table fit."""
        for wrap_headings in (False, True):
            asked = []
            for at, column in enumerate(columns):
                heads = column.heading.split() if wrap_headings else [column.heading]
                widths = [self.caption.width(one) for one in heads]
                for cell in (cells[at] for _, cells in rows):
                    wide = (self.strong if cell.strong else self.plain).width(cell.words)
                    note = f"  {cell.note}" if cell.note and cell.words else cell.note
                    widths.append(wide + self.note.width(note) if note else wide)
                natural = max([*widths, column.least]) + 0.2
                cells = tuple(width + 0.2 for width in (*widths, column.least))
                least = max(column.least, natural * NARROWEST_LETTERS)
                if column.wraps:
                    least = min(natural, max(column.least, NARROWEST_COLUMN))
                asked.append(_Asked(cells, least, column.wraps))
            if sum(max(one.cells) for one in asked) + GUTTER * (len(columns) - 1) <= self.width:
                break
        return asked

    def share(self, asked: Sequence[_Asked]) -> list[float]:
        """Widths within the lane: columns that wrap give way first, then all to their least."""
        room = self.width - GUTTER * (len(asked) - 1)
        firm = [one.least if one.wraps else max(one.cells) for one in asked]
        widths = narrow_columns([one.cells for one in asked], firm, room)
        widths = narrow_columns([[one] for one in widths], [one.least for one in asked], room)
        return [one * min(1.0, room / sum(widths)) for one in widths]


def _join(words: Words) -> str:
    return words if isinstance(words, str) else "".join(span.words for span in words)


def _flow(several: Sequence[_Rows], height: float, *, new_lanes: bool) -> list[list[_Row]]:
    """Lanes of rows, none higher than `height`."""
    lanes: list[list[_Row]] = [[]]
    for block in several:
        if new_lanes and block.opens_lane and lanes[-1]:
            lanes.append([])
        limit = height - max(_height(block.head), _height(block.again))
        is_begun = False
        for group in _keep_together(piece for row in block.rows for piece in _cut(row, limit)):
            gap = [_Row((), _gap(group))] if lanes[-1] and not is_begun else []
            new = group if is_begun else [*gap, *block.head, *group]
            is_full = _height((*lanes[-1], *new)) > height + 1e-9
            if is_full and len(lanes[-1]) > (len(block.again) if is_begun else 0):
                lanes.append([])
                new = [*(block.again if is_begun else block.head), *group]
            lanes[-1] += new
            is_begun = True
    return lanes


def _gap(rows: Sequence[_Row]) -> float:
    """Clear space above a block, mm, from the size of its letters."""
    parts = [part for row in rows for part in row.parts]
    return _BETWEEN * (parts[0].lettering.cap_height if parts else PLAIN.size)


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


def _height(rows: Iterable[_Row]) -> float:
    return sum(row.height for row in rows)


def _keep_together(rows: Iterable[_Row]) -> Iterator[list[_Row]]:
    """Rows that stay in one lane: each with those after it that it is kept with."""
    group: list[_Row] = []
    for row in rows:
        group.append(row)
        if not row.is_kept:
            yield group
            group = []
    if group:
        yield group


def _draw(lanes: Sequence[Sequence[_Row]], room: Box, width: float) -> Drawing:
    board = Recorder()
    with board.layer("list"):
        for number, rows in enumerate(lanes):
            left, top = room.left + number * (width + BETWEEN_LANES), room.top
            for row in rows:
                if row.drawing is not None:
                    board.place(row.drawing, moved(left, top))
                for part in row.parts:
                    at = (left + part.left, top - row.drop - part.line * row.pitch)
                    board.text(at, part.words, part.lettering, anchor=part.anchor)
                top -= row.height
                if row.rule is not None:
                    board.line((left, top), (left + width, top), row.rule)
    return board.finish()
