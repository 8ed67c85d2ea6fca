"""A table of plain words; its first column names the rows."""

from collections.abc import Iterable, Sequence
from typing import Any

from rich.text import Text
from textual.events import Click
from textual.widgets import DataTable

from profiles.text.cells import cut_to
from profiles.text.inert import escape_controls

WIDEST = 28
"""Cells of the terminal that a text takes at most."""


class Table(DataTable[Text]):
    """A table in which a cell is marked."""

    def __init__(self, **given: Any) -> None:
        super().__init__(cursor_type="cell", **given)

    def fill(self, heads: Sequence[str], rows: Iterable[Sequence[str]], names: int) -> None:
        """Show other words, inert and cut, rows' names to `names` cells; the marked place stays."""
        at = self.cursor_coordinate
        self.clear(columns=True)
        self.fixed_columns = 1
        for head in heads:
            self.add_column(Text(escape_controls(cut_to(head, WIDEST)), no_wrap=True))
        for name, *cells in rows:
            words = [cut_to(name, names), *(cut_to(cell, WIDEST) for cell in cells)]
            self.add_row(*(Text(escape_controls(text)) for text in words))
        if self.row_count:
            self.move_cursor(row=min(at.row, self.row_count - 1), column=max(at.column, 1))

    def on_click(self, event: Click) -> None:
        """The right button marks a cell and does no more; the view lists what can be done."""
        if event.button == 3:
            event.prevent_default()
            meta = event.style.meta
            if meta.get("row", -1) >= 0 and not meta.get("out_of_bounds"):
                self.move_cursor(row=meta["row"], column=meta["column"])

    @property
    def marked(self) -> tuple[int, int] | None:
        """Row and column of the marked cell, from 0 and without the names, if there is one."""
        at = self.cursor_coordinate
        is_cell = at.row < self.row_count and 1 <= at.column < len(self.columns)
        return (at.row, at.column - 1) if is_cell else None
