"""The Wiring view: the matrix as a grid with its ghosting, and the harness from behind."""

from functools import partial
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import ScrollableContainer, Vertical
from textual.widget import Widget

from profiles.drawing.terminal import render_cells
from profiles.model import Device
from profiles.text.inert import escape_controls
from profiles.tui.frame import Aside, Hanging, Line, Pane, refusable, start_work
from profiles.tui.naming import Names
from profiles.tui.tables import Table
from profiles.tui.wires import (
    TABLES,
    Judged,
    describe_held,
    describe_run,
    draw_harness,
    judge,
    lay_grid,
    write_table,
)
from profiles.wiring.box import Harness, harness_of
from profiles.wiring.circuit import Circuit, circuit_of
from profiles.wiring.matrix import Crossing

CAUTION = (
    "Unplug the box before you solder. Follow your local code, and ask someone qualified if you "
    "are not sure."
)


class WiringPane(Pane):
    """The matrix, or the harness, and what to know about it."""

    title: ClassVar[str] = "Wiring"
    hint: ClassVar[str] = (
        "The switch matrix. Space holds a contact as a hand would: [ ] is held, ! appears pressed "
        "though nobody touches it (ghosting), ? masks its release, > has a diode. h shows the "
        "wires as seen from behind, where you solder; t shows tables: all that is known with power "
        "and timing, what computers and the application call each input, and the firmware. "
        + CAUTION
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("space", "hold", "Hold"),
        Binding("n", "failing", "Next failing set"),
        Binding("z", "release", "Release all"),
        Binding("h", "harness", "Matrix or harness"),
        Binding("t", "table", "Tables"),
        Binding("right_square_bracket", "line(1)", "Next wire"),
        Binding("left_square_bracket", "line(-1)", "Wire before", show=False),
        Binding("enter,o", "go", "Show on plate"),
        Binding("W", "plan", "Plan wiring", show=False),
    ]

    def __init__(self) -> None:
        super().__init__(id="wiring")
        self._device: Device | None = None
        self._circuit: Circuit | None = None
        self._held: set[Crossing] = set()
        self._found: tuple[Judged, Harness] | None = None
        self._failing = -1
        self._line = 0
        self._behind = False
        self._table = ""
        self._written: tuple[object, list[str]] = (None, [])

    def compose(self) -> ComposeResult:
        """Grid, picture or table; beside them the words."""
        with Vertical(classes="wide"):
            yield Table(id="matrix")
            with ScrollableContainer(id="behind", can_focus=True):
                yield Line(id="harness", classes="picture")
        with Aside("Crossing"):
            yield Hanging(id="wiring-said")

    @property
    def table(self) -> Table:
        """The grid."""
        return self.query_one("#matrix", Table)

    @property
    def main(self) -> Widget:
        """The grid, or the picture."""
        return self.query_one("#behind") if self._behind or self._table else self.table

    def on_resize(self) -> None:
        """Draw for another size."""
        if self.is_ready:
            self.show()

    def show(self) -> None:
        """Show the device's wiring as it is now."""
        device, behind = self.session.view.device, self.query_one("#behind")
        if device is not self._device:
            self._take_up(device)
        circuit, found = self._circuit, self._found
        behind.display = self._behind or bool(self._table)
        self.table.display = not behind.display
        aside = self.query_one(Aside)
        aside.display, aside.border_title = (
            not self._table,
            "Wire " if self._behind else "Crossing ",
        )
        if device is not None and self._table:
            self._show_table(device)
        elif device is None or circuit is None or not (self._behind or circuit.row_pins):
            self.table.clear(columns=True)
        elif not self._behind:
            self.table.fill(*lay_grid(circuit, self._held, self._names(device)), names=24)
        elif found is None:
            self.query_one("#harness", Line).say("Working out the wires …")
        else:
            drawing = draw_harness(device, found[1], self._line, self._names(device))
            room = behind.size or self.query_one(".wide").size
            cells = render_cells(drawing, max(room.width - 1, 20), max(room.height - 1, 8))
            self.query_one("#harness", Line).say("\n".join(["From behind", *cells.lines()]))
        self._say()

    def _show_table(self, device: Device) -> None:
        """Show a table of words, worked out off the screen's thread where it is not yet."""
        session, table = self.session, self._table
        asked = session.library, device.id, session.profile_id, table
        said = self.query_one("#harness", Line)
        if self._written[0] == asked:
            ways = "t goes to the next table, h to the matrix; arrows scroll."
            said.say("\n".join([f"{TABLES[table]}.", ways, "", *self._written[1]]))
            return
        said.say("Working it out …")
        library, link, names = session.library, session.view.link, self._names(device)

        def take(lines: list[str]) -> None:
            self._written = asked, lines
            if self._table == table:
                self.show()

        self.app.compute(
            self, lambda: write_table(library, device, link, table, names), take, "draw"
        )

    def _take_up(self, device: Device | None) -> None:
        """Show another device, or the same one changed; judge it off the screen's thread."""
        self._device, self._found, self._failing, self._line = device, None, -1, 0
        self._circuit = circuit_of(device) if device else None
        self._held &= self._circuit.matrix.crossings if self._circuit else set()
        if device is None:
            return
        links, names = self.session.library.profiles_of(device.id), self._names(device)

        def take(found: tuple[Judged, Harness]) -> None:
            if device is self._device:
                self._found = found
                self.show()

        self.app.compute(
            self, lambda: (judge(device, links, names), harness_of(device)), take, "draw"
        )

    def _say(self) -> None:
        circuit, found, place = self._circuit, self._found, self._place()
        names = self._names(self._device)
        lines = [self.session.next_step]
        if circuit is not None and self._behind and found is not None:
            lines = [
                *describe_run(found[1], self._line, names),
                "",
                "] goes to the next wire.",
                CAUTION,
            ]
        elif circuit is not None and not circuit.row_pins:
            lines = ["This device has no matrix: its", "contacts have pins of their own."]
        elif circuit is not None:
            here = circuit.contacts_at(place) if place else ()
            name = " and ".join(map(names.contact, here)) or "no contact"
            lines = [f"Row {place[0]}, column {place[1]}: {name}", ""] if place else []
            lines += [*describe_held(circuit, self._held, names), ""]
            lines += found[0].lines if found else ["Judging …"]
        self.query_one("#wiring-said", Line).say("\n".join(lines))

    def _names(self, device: Device | None) -> Names:
        """What its controls and contacts are called, and the profiles that bind it."""
        known = self.session.names_of(device.id) if device else Names()
        return Names(self.session.view.documents) | known

    def _place(self) -> Crossing | None:
        marked = self.table.marked
        return (marked[0] + 1, marked[1] + 1) if marked else None

    def on_data_table_cell_highlighted(self) -> None:
        """Say what is at the marked crossing."""
        self._say()

    def on_data_table_cell_selected(self) -> None:
        """Enter shows the control; so does a click on the marked cell."""
        self.action_go()

    @refusable
    def action_plan(self) -> None:
        """Plan lines, pins, diodes and numbers for contacts without, shown before it is taken."""
        from profiles.tui.previewing import offer_wiring

        offer_wiring(self.app, self)

    def action_hold(self) -> None:
        """Hold the marked contact, or release it."""
        place = self._place()
        if place is None or self._circuit is None or place not in self._circuit.matrix.crossings:
            self.app.tell("No contact is at this crossing.")
            return
        self._held ^= {place}
        self.show()

    def action_release(self) -> None:
        """Release every contact."""
        self._held.clear()
        self.show()

    def action_failing(self) -> None:
        """Hold the next set of contacts that the profiles need and that fails."""
        failing = self._found[0].failing if self._found else ()
        if not failing:
            self.app.tell("No set of contacts that the profiles need fails.")
            return
        self._failing = (self._failing + 1) % len(failing)
        held, sentence = failing[self._failing]
        self._held = set(held)
        self.show()
        self.app.tell(f"{self._failing + 1} of {len(failing)}: {escape_controls(sentence)}")

    def action_harness(self) -> None:
        """Show the harness from behind, or the matrix again."""
        self._behind, self._table = not (self._behind or self._table), ""
        self.show()
        self.take_focus()
        self.call_after_refresh(self.show)

    def action_table(self) -> None:
        """Show the next table: what is known, the host's view, the firmware; then the matrix."""
        tables = ["", *TABLES]
        self._table = tables[(tables.index(self._table) + 1) % len(tables)]
        self._behind = False
        self.show()
        self.take_focus()

    def action_line(self, by: int) -> None:
        """Show another wire of the harness."""
        if self._found and self._found[1].runs:
            self._line = (self._line + by) % len(self._found[1].runs)
            if not self._behind:
                self.action_harness()
            self.show()

    def action_go(self) -> None:
        """Show the marked contact's control on the plate."""
        place = self._place()
        found = self._circuit.contacts_at(place) if place and self._circuit else ()
        for control, contact in found[:1]:
            self.session.select(control, contact)
            start_work(self, partial(self.app.action_view, "plate"))
