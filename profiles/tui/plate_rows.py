"""Rows of cells as a widget, each with a look; the key of their numbers; the plate shown first.

It knows no model, so that a plate stands before that is loaded.
"""

from collections.abc import Sequence
from itertools import groupby
from typing import TYPE_CHECKING, ClassVar

from rich.segment import Segment
from rich.style import Style
from textual.app import ComposeResult
from textual.containers import Container, VerticalScroll
from textual.strip import Strip
from textual.widget import Widget

from profiles.tui.frame import Aside, Hanging, Line

if TYPE_CHECKING:
    from textual.geometry import Size

    from profiles.tui.plain_look import PlainLook
    from profiles.tui.viewport import Cell, Drawn

LOOKS = {
    "": "",
    "outline": "canvas--outline",
    "screws": "canvas--outline",
    "engraving": "canvas--outline",
    "holes": "canvas--front",
    "fronts": "canvas--front",
    "countersinks": "canvas--front",
    "legend": "canvas--legend",
    "label": "canvas--label",
    "badge-bound": "canvas--bound",
    "badge-part": "canvas--part",
    "badge-unbound": "canvas--unbound",
    "badge-conflict": "canvas--conflict",
    "chosen": "canvas--chosen",
}
"""Component class by the look of a cell."""


class Key(VerticalScroll, can_focus=False):
    """What the numbers on the plate mean; away while there are none."""

    DEFAULT_CSS = """
    Key { dock: bottom; height: auto; max-height: 60%; border-top: solid $primary; }
    """
    BORDER_TITLE = " Key "

    def __init__(self) -> None:
        super().__init__()
        self.display = False

    def compose(self) -> ComposeResult:
        """One line of words."""
        yield Line(classes="key")

    def say(self, lines: Sequence[str]) -> None:
        """Show what the numbers mean."""
        self.query_one(Line).say("\n".join(lines))
        self.display = bool(lines)


class PlateRows(Widget):
    """Rows of cells."""

    COMPONENT_CLASSES: ClassVar[set[str]] = set(LOOKS.values()) - {""}

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002 - the toolkit's own word
        super().__init__(id=id)
        self._styles: dict[str, Style] = {}

    def row(self, y: int) -> "Sequence[Cell]":
        """The cells of a row, or runs of cells of one look; none outside the plate."""
        raise NotImplementedError

    def notify_style_update(self) -> None:
        """Forget the styles of another look."""
        super().notify_style_update()
        self._styles.clear()

    def render_line(self, y: int) -> Strip:
        """A row in the colours of its looks."""
        ground = self.rich_style
        segments = []
        for look, run in groupby(self.row(y), key=lambda cell: cell[1]):
            if look not in self._styles:
                name = LOOKS.get(look)
                self._styles[look] = self.get_component_rich_style(name) if name else ground
            segments.append(Segment("".join(letters for letters, _ in run), self._styles[look]))
        return Strip(segments).adjust_cell_length(self.size.width, ground)


class FirstRows(PlateRows):
    """A plate as its files plainly have it."""

    def __init__(self, look: "PlainLook") -> None:
        super().__init__()
        self._look = look
        self._drawn: dict[Size, Drawn] = {}

    def _draw(self) -> "Drawn":
        if self.size not in self._drawn:
            self._drawn = {self.size: self._look.draw(*self.size)}
        return self._drawn[self.size]

    def row(self, y: int) -> "Sequence[Cell]":
        """A row of the plate in the size that there is for it."""
        rows, _ = self._draw()
        return rows[y] if 0 <= y < len(rows) else ()

    def on_resize(self) -> None:
        """Show what the numbers on the plate mean."""
        self.screen.query_one(Key).say(self._draw()[1])


class FirstPlate(Container):
    """The plate, and the words beside it, until the library is read; nothing can be done there."""

    DEFAULT_CSS = "FirstPlate { height: 1fr; layout: horizontal; }"

    def __init__(self, look: "PlainLook") -> None:
        super().__init__()
        self.look = look

    def compose(self) -> ComposeResult:
        """As the view of the plate has it."""
        yield FirstRows(self.look)
        with Aside("Control", can_focus=False):
            yield Hanging("Reading …")
            yield Key()
