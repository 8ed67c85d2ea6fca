"""The plate as a widget: shows the canvas, moves by direction, takes clicks, zooms and pans."""

from collections.abc import Callable, Mapping, Sequence
from typing import ClassVar, cast

from textual.binding import Binding, BindingType
from textual.events import (
    Click,
    MouseDown,
    MouseEvent,
    MouseMove,
    MouseScrollDown,
    MouseScrollUp,
    MouseUp,
    Resize,
)
from textual.geometry import Region
from textual.message import Message
from textual.widget import Widget

from profiles.drawing.recorder import Drawing
from profiles.model import Device
from profiles.plate.order import Direction
from profiles.tui.canvas import (
    LEAST,
    Badged,
    Canvas,
    draw_canvas,
    draw_dots,
    plate_drawing,
    tell_too_small,
)
from profiles.tui.frame import ScreenApp
from profiles.tui.plate_rows import Key, PlateRows
from profiles.tui.session import Session
from profiles.tui.viewport import Cell, Viewport, Window

STEPS: dict[Direction, tuple[int, int]] = {
    "left": (-1, 0),
    "right": (1, 0),
    "up": (0, 1),
    "down": (0, -1),
}
"""Across and up, by direction."""


class PlateCanvas(PlateRows, can_focus=True):
    """The faceplate to scale, every control in its place."""

    BINDINGS: ClassVar[list[BindingType]] = [
        *(Binding(key, f"go('{key}')", f"Go {key}", show=False) for key in STEPS),
        Binding("plus,equals_sign", "zoom(1)", "Nearer", show=False),
        Binding("minus", "zoom(-1)", "Further", show=False),
        Binding("0", "whole", "Whole plate", show=False),
        *(Binding(f"shift+{key}", f"pan('{key}')", f"Pan {key}", show=False) for key in STEPS),
    ]

    class Moved(Message):
        """Another control was chosen, by key or mouse."""

    class Opened(Message):
        """A control was clicked twice."""

    class Dragged(Message):
        """A control is held by the mouse: where its centre would be, mm, and what it is over."""

        def __init__(self, moved: str, at: tuple[float, float], over: str) -> None:
            super().__init__()
            self.moved, self.at, self.over = moved, at, over

    class Dropped(Dragged):
        """A control that was held was let go there."""

    class Ticked(Message):
        """A control was clicked with Ctrl, to be marked or not."""

    class Framed(Message):
        """Controls are inside a frame that the mouse draws from an empty place, as one reads."""

        def __init__(self, controls: list[str]) -> None:
            super().__init__()
            self.controls = controls

    def __init__(self, *, id: str | None = None) -> None:  # noqa: A002 - the toolkit's own word
        super().__init__(id=id)
        self.viewport = Viewport()
        self.window = Window(0.0, 0.0, 1.0, 2.0, 1, 1)
        self.canvas = Canvas((), {})
        self.shifts: dict[str, tuple[float, float]] = {}
        self.mover: Callable[[Direction, int], None] | None = None
        self.marks: Mapping[str, Badged] | None = None
        self.marked: frozenset[str] = frozenset()
        """Controls that are marked, to be changed together."""
        self._drawn: Window | None = None
        self._dots: tuple[tuple[Cell, ...], ...] = ()
        self._art: tuple[Device, Drawing] | None = None
        self._grabbed: tuple[str, int, int] | None = None
        """The control under the button that was pressed, and the cell."""
        self._corner: tuple[int, int] | None = None
        """Where a frame was begun."""
        self._is_dragged = False

    @property
    def session(self) -> Session:
        """What the app is looking at."""
        return cast(ScreenApp, self.app).session

    def show(self) -> None:
        """Draw the session's device as it is now."""
        device = self.session.view.device
        if device is None or not self.size:
            self.canvas = Canvas((), {})
            self.refresh()
            return
        if self.size.width < LEAST[0] or self.size.height < LEAST[1]:
            self.canvas = tell_too_small(*self.size, self.app.size)
            self._tell_key()
            return
        plate = device.plate
        self.window = self.viewport.window(plate.width, plate.height, *self.size)
        if self._art is None or self._art[0] is not device:
            self._art, self._drawn = (device, plate_drawing(device)), None
        if self._drawn != self.window:
            self._dots, self._drawn = draw_dots(self._art[1], self.window), self.window
        positions = {key: control.position for key, control in device.controls.items()}
        facts = self.session.view.facts if self.marks is None else self.marks
        self.canvas = draw_canvas(self._dots, self.window, device, facts, positions | self.shifts)
        self._tell_key()

    def _tell_key(self) -> None:
        """Paint the plate, and beside it what its numbers mean."""
        self.refresh()
        lines = self.canvas.key_lines()
        for key in self.parent.query(Key) if isinstance(self.parent, Widget) else ():
            key.say(lines)

    def on_resize(self, _event: Resize) -> None:
        """Draw for another size."""
        self.show()

    def row(self, y: int) -> Sequence[Cell]:
        """A row of the canvas, the chosen control marked."""
        return self.canvas.marked_row(y, self.session.control, self.marked)

    def refresh_badges(self, *controls: str) -> None:
        """Draw the badges of these controls again: all that choosing another changes."""
        spots = [self.canvas.badges[key] for key in controls if key in self.canvas.badges]
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

    def on_mouse_down(self, event: MouseDown) -> None:
        """Take hold of the control under the pointer; where there is none, begin a frame."""
        found = self.canvas.control_at(event.x, event.y)
        self._is_dragged = False
        if event.button == 1 and self.mover is None:
            self._grabbed = (found, event.x, event.y) if found is not None else None
            self._corner = (event.x, event.y) if found is None else None
            self.capture_mouse()

    def on_mouse_move(self, event: MouseMove) -> None:
        """Tell where the control that is held would be, or what is in the frame."""
        start = self._grabbed[1:] if self._grabbed is not None else self._corner
        if start is None or (event.x, event.y) == start:
            return
        if not event.button:  # it was let go where nobody told
            self._let_go()
            return
        self._is_dragged = True
        if self._corner is None:
            self._tell_drag(self.Dragged, event)
            return
        across, down = (sorted(pair) for pair in zip(self._corner, (event.x, event.y), strict=True))
        inside = [
            key
            for key in self.session.view.order
            if (spot := self.canvas.badges.get(key))
            and across[0] <= spot[0] <= across[1]
            and down[0] <= spot[1] <= down[1]
        ]
        self.post_message(self.Framed(inside))

    def on_mouse_up(self, event: MouseUp) -> None:
        """Let go of the control that is held."""
        if self._grabbed is not None and self._is_dragged:
            self._tell_drag(self.Dropped, event)
        self._let_go()

    def _let_go(self) -> None:
        self._grabbed = self._corner = None
        self.release_mouse()

    def _tell_drag(self, kind: type[Dragged], event: MouseEvent) -> None:
        device = self.session.view.device
        if self._grabbed is None or device is None or self._grabbed[0] not in device.controls:
            return
        control, column, row = self._grabbed
        x, y = device.controls[control].position
        at = x + (event.x - column) * self.window.mm, y - (event.y - row) * self.window.tall
        over = next(
            (
                key
                for key, front in self.canvas.fronts.items()
                if key != control and (event.x, event.y) in front.cells()
            ),
            "",
        )
        self.post_message(kind(control, at, over))

    def on_click(self, event: Click) -> None:
        """Choose the control that was clicked; twice opens it, with Ctrl it is marked.

        Where a control was dragged there is no click.
        """
        found = self.canvas.control_at(event.x, event.y)
        if found is None or self._is_dragged:
            return
        self.choose(found)
        if event.button == 1 and event.ctrl:
            self.post_message(self.Ticked())
        elif event.button == 1 and event.chain > 1:
            self.post_message(self.Opened())
