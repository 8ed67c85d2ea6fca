"""What a report is made of. Values are plain and words are as their files give them."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import TYPE_CHECKING, Any, Literal, NamedTuple

if TYPE_CHECKING:
    from profiles.drawing.cautions import Caution
    from profiles.drawing.recorder import Drawing

Tone = Literal["", "strong", "quiet", "error", "warning", "note"]
"""How words are set off: boldly, paler, or as a severity. It never carries meaning alone."""


class Span(NamedTuple):
    """Words of one tone."""

    words: str
    tone: Tone = ""


Words = str | tuple[Span, ...]


def list_spans(words: Words) -> tuple[Span, ...]:
    """Words as spans; plain words are one."""
    return (Span(words),) if isinstance(words, str) else words


def join_spans(words: Words) -> str:
    """Words without their tones."""
    return "".join(span.words for span in list_spans(words))


@dataclass(frozen=True, slots=True)
class Cell:
    """Words of a table with a note behind them; JSON gets `data` in their place where it is set."""

    words: str
    note: str = ""
    strong: bool = False
    data: Any = ...


Value = Cell | Decimal | str | int | float | tuple[str, ...] | None
"""What a row holds: None where there is nothing to tell."""


class Column(NamedTuple):
    """A column: how its values are shown, and its name for machines."""

    heading: str
    key: str = ""
    """Name in JSON; dots put one name inside another; empty for none. CSV has the heading."""
    align: Literal["left", "middle", "right"] = "left"
    wraps: bool = False
    unit: str = ""
    """Stands behind every value that people see, such as `mA`."""
    digits: int | None = None
    """Digits after the point; None for as many as the value has, six at most."""
    readers: Literal["all", "people", "machines"] = "all"
    """Machines are JSON and CSV."""
    is_band: bool = False
    """Whether paper and pages show it as headings between rows, where its value changes."""
    behind: int = 0
    """Paper and pages show it as a note behind the column so many places before; 0: as a column."""
    least: float = 0.0
    """Never narrower than this on paper, mm; on a terminal a wrapped letter counts as 2 mm."""

    def show(self, value: Value) -> str:
        """A value as people read it, without its note."""
        if value is None:
            return ""
        if isinstance(value, Cell):
            return value.words
        if isinstance(value, tuple):
            return ", ".join(value)
        if isinstance(value, float):
            words = f"{value:g}" if self.digits is None else f"{value:.{self.digits}f}"
        else:
            words = f"{value:f}" if isinstance(value, Decimal) else str(value)
        return f"{words} {self.unit}" if self.unit and words else words


class Table(NamedTuple):
    """Rows under columns, a value for each; rows in `strong`, counted from 0, are set bold.

    People see no table without rows; machines get an empty list.
    Where it is too wide for a reader it is shown in parts, each with the `lead` first columns.
    """

    columns: tuple[Column, ...]
    rows: tuple[tuple[Value, ...], ...]
    title: str = ""
    key: str = ""
    """Name in JSON; empty for none."""
    strong: frozenset[int] = frozenset()
    foot: tuple[Value, ...] = ()
    """A bold row at the end, such as a sum, for people and spreadsheets; JSON has none."""
    lead: int = 1

    def seen_by(self, reader: Literal["people", "machines"]) -> list[int]:
        """Places of the columns that people or machines see."""
        return [at for at, one in enumerate(self.columns) if one.readers in ("all", reader)]

    def list_shown(self) -> list[list[Cell]]:
        """The cells that people see of every row, the foot last; numbers are in words."""
        shown = self.seen_by("people")
        many = [*self.rows, self.foot] if self.foot else list(self.rows)
        found = []
        for number, row in enumerate(many):
            is_strong = number in self.strong or number == len(self.rows)
            cells = []
            for at in shown:
                value = row[at]
                cell = value if isinstance(value, Cell) else Cell(self.columns[at].show(value))
                cells.append(replace(cell, strong=True) if is_strong else cell)
            found.append(cells)
        return found

    def list_beside(self) -> tuple[list[Column], list[tuple[str, list[Cell]]]]:
        """The table as paper and pages show it: columns side by side, and rows with their band."""
        columns = [self.columns[at] for at in self.seen_by("people")]
        beside = [at for at, one in enumerate(columns) if not one.is_band and not one.behind]
        rows = []
        for cells in self.list_shown():
            cells = list(cells)
            for at, column in enumerate(columns):
                if column.behind and cells[at].words:
                    before = cells[at - column.behind]
                    notes = [note for note in (before.note, cells[at].words) if note]
                    cells[at - column.behind] = replace(before, note=", ".join(notes))
            band = ", ".join(cells[at].words for at, one in enumerate(columns) if one.is_band)
            rows.append((band, [cells[at] for at in beside]))
        return [columns[at] for at in beside], rows


class Heading(NamedTuple):
    """The title of what follows."""

    words: Words


class Paragraph(NamedTuple):
    """Words, under a title of their own or none; line ends are kept."""

    words: Words
    title: str = ""
    verbatim: bool = False
    """Whether lines are shown as they are and never wrapped: source lines, code."""


class Figure(NamedTuple):
    """A drawing in mm; `words` say the same for those who cannot see it."""

    drawing: "Drawing"
    words: str


class Facts(NamedTuple):
    """Values by name that only machines get, of plain types."""

    values: Mapping[str, Any]


class Cautions(NamedTuple):
    """The usual cautions for work that can hurt."""

    cautions: "tuple[Caution, ...]"


Block = Heading | Paragraph | Table | Figure | Facts | Cautions


class Report(NamedTuple):
    """A title and the blocks under it."""

    title: str
    blocks: tuple[Block, ...]
    subtitle: str = ""

    @property
    def tables(self) -> tuple[Table, ...]:
        """The tables that have rows, in order."""
        return tuple(block for block in self.blocks if isinstance(block, Table) and block.rows)

    def shows_title(self, table: Table) -> bool:
        """Whether a table's own title is worth showing: a lone table has the report's."""
        return bool(table.title) and len(self.tables) > 1
