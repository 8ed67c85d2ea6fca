"""The plate as a widget: shows the canvas, moves by direction, takes clicks, zooms and pans."""

from collections.abc import Callable, Mapping
from itertools import groupby
from typing import ClassVar, cast

from rich.segment import Segment
from rich.style import Style
from textual.binding import Binding, BindingType
from textual.events import Click, MouseScrollDown, MouseScrollUp, Resize
from textual.geometry import Region
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

from profiles.drawing.recorder import Drawing
from profiles.model import Device
from profiles.plate.order import Direction
from profiles.tui.canvas import Badged, Canvas, Cell, draw_canvas, draw_dots, plate_drawing
from profiles.tui.frame import ScreenApp
from profiles.tui.session import Session
from profiles.tui.viewport import Viewport, Window

LOOKS = {
    "": "",
    "outline": "canvas--outline",
    "screws": "canvas--outline",
    "engraving": "canvas--outline",
    "holes": "canvas--front",
    "fronts": "canvas--front",
    "legend": "canvas--legend",
    "badge-bound": "canvas--bound",
    "badge-part": "canvas--part",
    "badge-unbound": "canvas--unbound",
    "badge-conflict": "canvas--conflict",
    "chosen": "canvas--chosen",
}
"""Component class by the look of a cell."""


STEPS: dict[Direction, tuple[int, int]] = {
    "left": (-1, 0),
    "right": (1, 0),
    "up": (0, 1),
    "down": (0, -1),
}
"""Across and up, by direction."""


class PlateCanvas(Widget, can_focus=True):
    """The faceplate to scale, every control in its place."""

    COMPONENT_CLASSES: ClassVar[set[str]] = set(LOOKS.values()) - {""}

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "go('left')", "Move", show=False),
        Binding("right", "go('right')", "Move", show=False),
        Binding("up", "go('up')", "Move", show=False),
        Binding("down", "go('down')", "Move", show=False),
        Binding("plus,equals_sign", "zoom(1)", "Nearer", show=False),
        Binding("minus", "zoom(-1)", "Further", show=False),
        Binding("0", "whole", "Whole plate", show=False),
        Binding("shift+left", "pan('left')", "Pan", show=False),
        Binding("shift+right", "pan('right')", "Pan", show=False),
        Binding("shift+up", "pan('up')", "Pan", show=False),
        Binding("shift+down", "pan('down')", "Pan", show=False),
    ]

    class Moved(Message):
        """Another control was chosen, by key or mouse."""

    class Opened(Message):
        """A control was clicked twice."""

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002 - the toolkit's own word
        super().__init__(id=id)
        self.viewport = Viewport()
        self.window = Window(0.0, 0.0, 1.0, 1, 1)
        self.canvas = Canvas((), {}, {}, 0)
        self.shifts: dict[str, tuple[float, float]] = {}
        self.mover: Callable[[Direction, int], None] | None = None
        self.marks: Mapping[str, Badged] | None = None
        self._drawn: tuple[Device, Window] | None = None
        self._dots: tuple[tuple[Cell, ...], ...] = ()
        self._art: tuple[Device, Drawing] | None = None
        self._styles: dict[str, Style] = {}

    @property
    def session(self) -> Session:
        """What the app is looking at."""
        return cast(ScreenApp, self.app).session

    def show(self) -> None:
        """Draw the session's device as it is now."""
        device = self.session.view.device
        if device is None or not self.size:
            self.canvas = Canvas((), {}, {}, 0)
            self.refresh()
            return
        plate = device.plate
        self.window = self.viewport.window(plate.width, plate.height, *self.size)
        if self._drawn is None or self._drawn[0] is not device or self._drawn[1] != self.window:
            self._dots = draw_dots(self._drawing(device), self.window)
            self._drawn = (device, self.window)
        positions = {key: one.position for key, one in device.controls.items()} | self.shifts
        facts = self.session.view.facts if self.marks is None else self.marks
        self.canvas = draw_canvas(self._dots, self.window, device, facts, positions)
        self._styles.clear()
        self.refresh()

    def _drawing(self, device: Device) -> Drawing:
        if self._art is None or self._art[0] is not device:
            self._art = (device, plate_drawing(device))
        return self._art[1]

    def on_resize(self, _event: Resize) -> None:
        """Draw anew for another size."""
        self.show()

    def notify_style_update(self) -> None:
        """Forget the styles of another look."""
        super().notify_style_update()
        self._styles.clear()

    def render_line(self, y: int) -> Strip:
        """One row of the canvas, the chosen control marked."""
        ground = self.rich_style
        if not 0 <= y < len(self.canvas.rows):
            return Strip.blank(self.size.width, ground)
        cells = self._mark(self.canvas.rows[y], y)
        segments = [
            Segment("".join(letter for letter, _ in run), self._style(look))
            for look, run in groupby(cells, key=lambda cell: cell[1])
        ]
        return Strip(segments).adjust_cell_length(self.size.width, ground)

    def _mark(self, row: tuple[Cell, ...], y: int) -> list[Cell]:
        cells = list(row)
        badge = self.canvas.badges.get(self.session.control)
        if badge is None or badge[1] != y:
            return cells
        marks = {badge[0] - 2: "▸", badge[0] + 2: "◂"}
        for column in range(badge[0] - 2, badge[0] + 3):
            if 0 <= column < len(cells):
                cells[column] = (marks.get(column, cells[column][0]), "chosen")
        return cells

    def _style(self, look: str) -> Style:
        if look not in self._styles:
            name = LOOKS.get(look, "")
            style = self.get_component_rich_style(name) if name else self.rich_style
            self._styles[look] = style
        return self._styles[look]

    def refresh_badges(self, *controls: str) -> None:
        """Draw the rows of these controls anew: all that choosing another one changes."""
        spots = [self.canvas.badges[one] for one in controls if one in self.canvas.badges]
        regions = [Region(max(c - 2, 0), r, 5, 1) for c, r in spots if r >= 0]
        if regions:
            self.refresh(*regions)

    def choose(self, control: str, contact: str | None = None) -> None:
        """Choose a control and bring it into the window."""
        before = self.session.control
        self.session.select(control, contact)
        self._follow(before)

    def _follow(self, before: str) -> None:
        self.refresh_badges(before, self.session.control)
        device = self.session.view.device
        if device is not None and self.session.control in device.controls:
            at = device.controls[self.session.control].position
            after = self.viewport.following(self.window, *at)
            if after != self.viewport:
                self.viewport = after
                self.show()
        self.post_message(self.Moved())

    def action_go(self, direction: Direction) -> None:
        """Go to the next control in a direction; while one is moved, move it."""
        if self.mover is not None:
            self.mover(direction, 1)
            return
        before = self.session.control
        if self.session.step(direction):
            self._follow(before)

    def action_zoom(self, by: int) -> None:
        """Look from nearer or further, around the chosen control."""
        device = self.session.view.device
        if device is None:
            return
        at = self.viewport.centre
        if self.session.control in device.controls:
            at = device.controls[self.session.control].position
        self.viewport = Viewport(self.viewport.level, at).nearer(by)
        self.show()

    def action_whole(self) -> None:
        """Show the whole plate."""
        self.viewport = Viewport()
        self.show()

    def action_pan(self, direction: Direction) -> None:
        """Move the window over the plate; while a control is moved, move it ten steps."""
        if self.mover is not None:
            self.mover(direction, 10)
            return
        across, up = STEPS[direction]
        self.viewport = self.viewport.moved(self.window, across / 4, up / 4)
        self.show()

    def on_mouse_scroll_up(self, event: MouseScrollUp) -> None:
        """Look from nearer."""
        event.stop()
        self.action_zoom(1)

    def on_mouse_scroll_down(self, event: MouseScrollDown) -> None:
        """Look from further."""
        event.stop()
        self.action_zoom(-1)

    def on_click(self, event: Click) -> None:
        """Choose the control that was clicked; twice opens it."""
        found = self.canvas.control_at(event.x, event.y)
        if found is None:
            return
        self.choose(found)
        if event.chain > 1:
            self.post_message(self.Opened())
