"""The Wiring view: the matrix as a grid with false readings, and the harness from behind."""

from functools import partial
from typing import ClassVar

from rich.text import Text
from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.widgets import DataTable
from textual.worker import get_current_worker

from profiles.drawing.terminal import render_cells
from profiles.model import Device
from profiles.text.inert import escape_controls
from profiles.tui.canvas import cut_to
from profiles.tui.frame import Line, Pane, start_work
from profiles.tui.wires import Judged, describe_held, describe_run, draw_harness, judge, lay_grid
from profiles.wiring.box import Harness, harness_of
from profiles.wiring.circuit import Circuit, circuit_of
from profiles.wiring.matrix import Crossing

CAUTION = (
    "Unplug the box before you solder. Follow your local code, and ask someone qualified where "
    "you are not sure."
)


class WiringPane(Pane):
    """The matrix, or the harness, and what to know about it."""

    title: ClassVar[str] = "Wiring"
    advice: ClassVar[str] = (
        "The switch matrix. Space holds a contact as a hand would: [ ] is held, ! reads closed "
        "though nobody touches it, ? hides its release, > has a diode. h shows the wires as seen "
        "from behind, where one solders. " + CAUTION
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space", "hold", "Hold"),
        Binding("n", "failing", "Next failing set"),
        Binding("z", "release", "Let go of all"),
        Binding("h", "harness", "Matrix or harness"),
        Binding("right_square_bracket", "line(1)", "Next wire"),
        Binding("left_square_bracket", "line(-1)", "Wire before", show=False),
        Binding("enter,o", "go", "Show on plate"),
    ]

    def __init__(self) -> None:
        super().__init__(id="wiring")
        self._device: Device | None = None
        self._circuit: Circuit | None = None
        self._held: set[Crossing] = set()
        self._judged: Judged | None = None
        self._harness: Harness | None = None
        self._failing = -1
        self._line = 0
        self._behind = False

    def compose(self) -> ComposeResult:
        """Grid or picture; beside them the words."""
        with Vertical(classes="wide"):
            yield DataTable(id="matrix", cursor_type="cell")
            with VerticalScroll(id="behind", can_focus=True):
                yield Line(id="harness", classes="picture")
        with VerticalScroll(classes="aside"):
            yield Line(id="wiring-said")

    @property
    def table(self) -> "DataTable[Text]":
        """The grid."""
        return self.query_one("#matrix", DataTable)

    def take_focus(self) -> None:
        """Give the keyboard to the grid, or to the picture."""
        (self.query_one("#behind") if self._behind else self.table).focus()

    def on_resize(self) -> None:
        """Draw for another size."""
        if self.is_ready:
            self.show()

    def show(self) -> None:
        """Show the device's wiring as it is now."""
        device = self.session.view.device
        if device is not self._device:
            self._device = device
            self._circuit = circuit_of(device) if device else None
            self._held = {one for one in self._held if self._is_there(one)}
            self._judged, self._harness, self._failing = None, None, -1
            if device is not None:
                self._judge(device)
        self.table.display = not self._behind
        self.query_one("#behind").display = self._behind
        if self._behind:
            self._show_harness()
        else:
            self._show_grid()
        self._say()

    def _is_there(self, place: Crossing) -> bool:
        return self._circuit is not None and place in self._circuit.matrix.crossings

    @work(thread=True, exclusive=True, group="draw")
    def _judge(self, device: Device) -> None:
        links = self.session.library.profiles_of(device.id)
        judged, harness = judge(device, links), harness_of(device)
        if not get_current_worker().is_cancelled:
            self.app.call_from_thread(self._take, device, judged, harness)

    def _take(self, device: Device, judged: Judged, harness: Harness) -> None:
        if device is self._device:
            self._judged, self._harness = judged, harness
            self.show()

    def _show_grid(self) -> None:
        table, device, circuit = self.table, self._device, self._circuit
        at = table.cursor_coordinate
        table.clear(columns=True)
        if device is None or circuit is None or not circuit.row_pins:
            return
        grid = lay_grid(circuit, self._held)
        table.fixed_columns = 1
        table.add_column(Text("", no_wrap=True))
        for name in grid.columns:
            table.add_column(Text(escape_controls(name)))
        for name, cells in zip(grid.rows, grid.cells, strict=True):
            words = [Text(escape_controls(cut_to(cell, 24))) for cell in cells]
            table.add_row(Text(escape_controls(name)), *words)
        table.move_cursor(row=at.row, column=max(at.column, 1))

    def _show_harness(self) -> None:
        picture = self.query_one("#harness", Line)
        if self._device is None or self._harness is None:
            picture.say("Working out the wires …")
            return
        drawing = draw_harness(self._device, self._harness, self._line)
        room = self.query_one("#behind").size or self.query_one(".wide").size
        cells = render_cells(drawing, max(room.width - 1, 20), max(room.height - 1, 8))
        picture.say("\n".join(["From behind", *cells.lines()]))

    def _say(self) -> None:
        circuit, lines = self._circuit, []
        if circuit is None:
            lines = ["No device."]
        elif self._behind and self._harness is not None:
            lines = [
                *describe_run(self._harness, self._line),
                "",
                "] goes to the next wire.",
                CAUTION,
            ]
        elif not circuit.row_pins:
            lines = ["This device has no matrix: its", "contacts have pins of their own."]
        else:
            lines = [*self._mark_line(), *describe_held(circuit, self._held), ""]
            lines += self._judged.lines if self._judged else ["Judging …"]
        self.query_one("#wiring-said", Line).say("\n".join(lines))

    def _mark_line(self) -> list[str]:
        place = self._place()
        if place is None or self._circuit is None:
            return []
        name = self._circuit.name(place) or "no contact"
        return [f"Row {place[0]}, column {place[1]}: {name}", ""]

    def _place(self) -> Crossing | None:
        at = self.table.cursor_coordinate
        if self._circuit is None or at.column < 1 or at.row >= len(self._circuit.row_pins):
            return None
        return at.row + 1, at.column

    def on_data_table_cell_highlighted(self) -> None:
        """Say what sits at the marked crossing."""
        self._say()

    def on_data_table_cell_selected(self) -> None:
        """Enter shows the control; so does a click on the marked cell."""
        self.action_go()

    def action_hold(self) -> None:
        """Hold the marked contact, or let go of it."""
        place = self._place()
        if place is None or not self._is_there(place):
            self.app.tell("No contact sits at this crossing.")
            return
        self._held ^= {place}
        self.show()

    def action_release(self) -> None:
        """Let go of everything."""
        self._held.clear()
        self.show()

    def action_failing(self) -> None:
        """Hold the next set of contacts that the profiles need and that fails."""
        failing = self._judged.failing if self._judged else ()
        if not failing:
            self.app.tell("No set that the profiles need fails.")
            return
        self._failing = (self._failing + 1) % len(failing)
        self._held = set(failing[self._failing].held)
        self.show()
        self.app.tell(
            f"{self._failing + 1} of {len(failing)}: "
            f"{escape_controls(failing[self._failing].sentence)}"
        )

    def action_harness(self) -> None:
        """Show the harness from behind, or the matrix again."""
        self._behind = not self._behind
        self.show()
        self.take_focus()
        self.call_after_refresh(self.show)

    def action_line(self, by: int) -> None:
        """Show another wire of the harness."""
        if self._harness and self._harness.runs:
            self._line = (self._line + by) % len(self._harness.runs)
            if not self._behind:
                self.action_harness()
            self.show()

    def action_go(self) -> None:
        """Show the marked contact's control on the plate."""
        place = self._place()
        if place is None or self._circuit is None:
            return
        found = self._circuit.contacts_at(place)
        if found:
            self.session.select(found[0].control, found[0].contact)
            start_work(self, partial(self.app.action_view, "plate"))
