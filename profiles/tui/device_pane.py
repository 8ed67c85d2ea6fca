"""The Device view: add, move, renumber and delete controls, with what it means for profiles."""

from collections.abc import Callable
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.widget import Widget

from profiles.files.lists import make_id
from profiles.files.toml_edit import EditError
from profiles.model import Device, Spot
from profiles.plate.order import Direction
from profiles.plate.rows import TOLERANCE, find_columns, find_rows
from profiles.text.prose import count
from profiles.tui.dialogs import Ask, Decide
from profiles.tui.fields import Fields
from profiles.tui.frame import Aside, Hanging, Line, Pane, refusable
from profiles.tui.panel import KINDS, name_facts
from profiles.tui.plate_canvas import STEPS, PlateCanvas
from profiles.tui.plate_rows import Key
from profiles.work.beginning import AnswerError, Question
from profiles.work.bulk import delete_all, shift
from profiles.work.controls import (
    USUAL_HOLES,
    add,
    change_fields,
    check_fields,
    fields_of,
    move,
    renumber,
    show_size,
    starting_fields,
)
from profiles.work.edits import Edit

STEP_SIZES = (1.0, 0.1, 5.0)
"""Steps of a move in mm, in the order in which a key goes through them."""


class DevicePane(Pane):
    """The plate again, this time to change the box itself."""

    title: ClassVar[str] = "Device"
    hint: ClassVar[str] = (
        "Change the box: m moves the chosen control by the arrows, 1 mm a step and 10 mm with "
        "Shift, a full stop changes the step; g takes typed millimetres. Space marks several, and "
        "so does Ctrl with a click, or a drag from an empty place around them; they are moved, "
        "put in order, copied, numbered or deleted together. What a change means for the profiles "
        "is shown before it is made."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("m", "move", "Move"),
        Binding("g", "place", "Type place"),
        Binding("e", "fields", "Edit"),
        Binding("n", "renumber", "Renumber"),
        Binding("a", "add", "Add"),
        Binding("x,delete", "delete", "Delete"),
        Binding("space", "mark", "Mark"),
        Binding("asterisk", "mark_all", "Mark all or none", show=False),
        Binding("R", "mark_line('rows')", "Mark its row", show=False),
        Binding("C", "mark_line('columns')", "Mark its column", show=False),
        Binding("o", "order", "Order"),
        Binding("D", "duplicate", "Copy", show=False),
        Binding("A", "grid", "Add rows", show=False),
        Binding("N", "number", "Number along a path", show=False),
        Binding("W", "wiring", "Plan wiring", show=False),
        Binding("full_stop", "step", "Step size", show=False),
        Binding("enter", "drop", "Put down", show=False),
        Binding("escape", "cancel", "Cancel", show=False),
    ]

    def __init__(self) -> None:
        super().__init__(id="device")
        self._step = STEP_SIZES[0]
        self._at: tuple[float, float] | None = None
        self._verdict = ""
        self._marked: list[str] = []

    def compose(self) -> ComposeResult:
        """The canvas, and the words beside it."""
        yield PlateCanvas(id="device-canvas")
        with Aside("Control"):
            yield Hanging(id="device-panel")
            yield Key()

    @property
    def canvas(self) -> PlateCanvas:
        """The plate."""
        return self.query_one(PlateCanvas)

    def _chosen(self) -> tuple[Device, str]:
        """The device and the chosen control. Raises EditError."""
        device, control = self.session.view.device, self.session.control
        if device is None or control not in device.controls:
            raise EditError("there is no control to change")
        return device, control

    @property
    def spot(self) -> Spot | None:
        """The chosen control, in the device's file."""
        device, control = self.session.device_id, self.session.control
        return Spot(device, ("controls", control) if control else ()) if device else None

    @property
    def marked(self) -> tuple[str, ...]:
        """The controls that are marked, in that order; the chosen one where none is.

        Raises:
            EditError: where there is no control.
        """
        device, control = self._chosen()
        return tuple(key for key in self._marked if key in device.controls) or (control,)

    @property
    def main(self) -> Widget:
        """The plate."""
        return self.canvas

    def show(self) -> None:
        """Show the device as it is now; a move that goes on is given up."""
        self._end_move()
        device = self.session.view.device
        known = device.controls if device else {}
        self._mark([key for key in self._marked if key in known])
        self.canvas.show()
        self._show_panel()

    def on_plate_canvas_moved(self) -> None:
        """Another control is chosen."""
        if self._at is not None:
            self._end_move()
            self.canvas.show()
        self._show_panel()

    def _show_panel(self) -> None:
        session = self.session
        device, facts = session.view.device, session.view.facts.get(session.control)
        if device is None or facts is None:
            words = "No control here; a adds one." if device else session.next_step
            self.query_one("#device-panel", Line).say(words)
            return
        control = device.controls[session.control]
        x, y = self._at or control.position
        lines = [
            name_facts(session, facts),
            KINDS[facts.kind],
            f"centre {x:g}, {y:g} mm",
            f"hole {show_size(control.hole)} mm",
            f"front {show_size(control.front_or_hole)} mm",
            *[
                f"{contact.contact.contact}: input {contact.number or 'none'}"
                for contact in facts.contacts
            ],
        ]
        if self._at is not None:
            lines += ["", f"Moving, {self._step:g} mm a step.", "Enter puts it down,"]
            lines += ["Escape cancels.", "", self._verdict]
        if self._marked:
            lines += ["", f"{count(len(self._marked), 'control')} marked:"]
            lines += [f"  {device.controls[key].label}" for key in self._marked]
            lines += ["m moves, o orders, D copies, N numbers, x deletes them."]
        lines += ["", f"plate {device.plate.width:g} x {device.plate.height:g} mm", ""]
        lines += [f"{finding.severity}: {session.describe(finding)}" for finding in facts.findings]
        self.query_one("#device-panel", Line).say("\n".join(lines))

    # Marking several, and what is done with them

    def _mark(self, controls: list[str]) -> None:
        self._marked = controls
        self.canvas.marked = frozenset(controls)
        self.canvas.refresh()

    def action_mark(self) -> None:
        """Mark the control, or take its mark away."""
        control = self.session.control
        if control in self._marked:
            self._mark([key for key in self._marked if key != control])
        elif control:
            self._mark([*self._marked, control])
        self._show_panel()

    def on_plate_canvas_ticked(self) -> None:
        """A control was clicked with Ctrl: mark it too, or not any more."""
        self.action_mark()

    def on_plate_canvas_framed(self, event: PlateCanvas.Framed) -> None:
        """A frame was drawn: mark what is inside, and nothing else."""
        self._mark(event.controls)
        self._show_panel()

    def on_plate_canvas_opened(self) -> None:
        """A control was clicked twice."""
        self.action_fields()

    def action_mark_all(self) -> None:
        """Mark every control as one reads the plate, or none."""
        self._mark([] if self._marked else list(self.session.view.order))
        self._show_panel()

    def action_mark_line(self, lines: str) -> None:
        """Mark the row or column of the control."""
        device, control = self.session.view.device, self.session.control
        if device is None or control not in device.controls:
            return
        places = {key: one.position for key, one in device.controls.items()}
        find = find_rows if lines == "rows" else find_columns
        line = next(one.members for one in find(places, TOLERANCE) if control in one.members)
        self._mark([*self._marked, *(key for key in line if key not in self._marked)])
        self._show_panel()

    @refusable
    def action_order(self) -> None:
        """Align, spread, grid, mirror or shift what is marked; all where nothing is."""
        from profiles.tui.bulk import ask_order

        device, _ = self._chosen()
        ask_order(self.app, device, self._marked or list(device.controls))

    @refusable
    def action_duplicate(self) -> None:
        """Copy what is marked, in rows and columns."""
        from profiles.tui.bulk import ask_copies

        ask_copies(self.app, self._chosen()[0], self.marked)

    @refusable
    def action_grid(self) -> None:
        """Add rows of new controls of one part."""
        from profiles.tui.bulk import ask_grid

        device = self.session.view.device
        if device is None:
            raise EditError("there is no device; Ctrl+N starts one")
        ask_grid(self.app, device)

    @refusable
    def action_number(self) -> None:
        """Number the inputs or labels of what is marked, along a path; of all where nothing is."""
        from profiles.tui.bulk import ask_numbers

        device, _ = self._chosen()
        ask_numbers(self.app, device, self._marked or list(self.session.view.order))

    # Moving

    @refusable
    def action_move(self) -> None:
        """Take the control up, to move it by the arrows."""
        device, control = self._chosen()
        self._at = device.controls[control].position
        self.canvas.mover = self._shift
        self._show_panel()

    def _shift(self, direction: Direction, steps: int) -> None:
        """Move the control that is taken up, and work out what that would bring."""
        if self._at is None:
            return
        across, up = STEPS[direction]
        by = self._step * steps
        self._carry_to((self._at[0] + across * by, self._at[1] + up * by))

    def _carry_to(self, at: tuple[float, float]) -> None:
        """Show the control that is moved at another place, and what that would bring."""
        session = self.session
        self._at = round(at[0], 3), round(at[1], 3)
        edit = self._move_to(self._at)
        self.canvas.show()
        self._show_panel()

        def take(verdict: str) -> None:
            self._verdict = verdict.strip()
            if self._at is not None:
                self._show_panel()

        judged = session.judge(edit)
        self.app.compute(self, judged, take)

    def _move_to(self, at: tuple[float, float]) -> Edit:
        """What moves the control to a place, and with it all that are marked; and show that."""
        device, control = self._chosen()
        x, y = device.controls[control].position
        by = round(at[0] - x, 3), round(at[1] - y, 3)
        together = dict.fromkeys((control, *self._marked))
        places = {key: device.controls[key].position for key in together}
        self.canvas.shifts = {key: (x + by[0], y + by[1]) for key, (x, y) in places.items()}
        if len(together) == 1:
            return move(device.id, control, at)
        return shift(device, tuple(together), *by)

    @refusable
    def _take_up(self) -> None:
        """Begin to move the chosen control, if it can be changed."""
        device, control = self._chosen()
        self._at = device.controls[control].position

    def on_plate_canvas_dragged(self, event: PlateCanvas.Dragged) -> None:
        """A control is dragged: show it there, to the step of a move."""
        if event.moved != self.session.control:
            self.canvas.choose(event.moved)
        if self._at is None:
            self._take_up()
        if self._at is not None:
            x, y = event.at
            self._carry_to((round(x / self._step) * self._step, round(y / self._step) * self._step))

    def on_plate_canvas_dropped(self, event: PlateCanvas.Dropped) -> None:
        """A control that was dragged is put down."""
        if self._at is not None:
            self.action_drop()

    def action_step(self) -> None:
        """Change how far a step of a move goes."""
        at = STEP_SIZES.index(self._step)
        self._step = STEP_SIZES[(at + 1) % len(STEP_SIZES)]
        self.app.tell(f"A step is {self._step:g} mm.")
        self._show_panel()

    def action_drop(self) -> None:
        """Put the control down where it is now."""
        at = self._at
        if at is None:
            self.action_move()
            return
        edit = self._move_to(at)
        self._end_move()
        self.app.apply(edit)
        self.show()

    def action_cancel(self) -> None:
        """Leave the control where it was; otherwise stop work that is running."""
        if self._at is None:
            self.app.action_stop_work()
            return
        self.show()

    def _end_move(self) -> None:
        self._at, self._verdict = None, ""
        self.canvas.mover = None
        self.canvas.shifts = {}

    @refusable
    def action_place(self) -> None:
        """Type where the control's centre goes, in mm."""
        device, control = self._chosen()
        x, y = device.controls[control].position

        def take(found: dict[str, str]) -> None:
            self.app.apply(move(device.id, control, (float(found["x"]), float(found["y"]))))

        title = (
            f"Centre of {self.session.names_of(device.id).contact(control)}, mm from the lower left"
        )
        self.app.ask(Ask(title, {"x": f"{x:g}", "y": f"{y:g}"}, check=_check_numbers), take)

    # Id, label, sizes; numbers; adding, deleting

    @refusable
    def action_fields(self) -> None:
        """Type another id, label, hole or front; what that means is shown before."""
        device, control = self._chosen()

        def take(found: dict[str, str]) -> None:
            edit = change_fields(self.session.library, device.id, control, found)
            self._decide(edit, lambda: self.canvas.choose(found["id"].strip()))

        name = self.session.names_of(device.id).contact(control)
        self.app.ask(
            Ask(
                f"{name}: sizes in mm, such as 16.2 or 19 x 13",
                fields_of(device, control),
                check=lambda found: check_fields(device, control, found),
            ),
            take,
        )

    @refusable
    def action_renumber(self) -> None:
        """Type other input numbers; what that means for profiles is shown before."""
        device, control = self._chosen()
        facts, value = self.session.view.facts[control], device.controls[control]
        known = {contact.contact.contact: str(contact.number or "") for contact in facts.contacts}
        known = known or dict.fromkeys(value.contacts, "")
        fields = {contact: one for contact, one in known.items() if contact not in value.fields}
        if not fields:
            raise EditError(f"the host meets `{control}` as a hat or an axis: it has no number")

        def take(found: dict[str, str]) -> None:
            numbers = {name: int(value) for name, value in found.items() if value.strip()}
            self._decide(renumber(self.session.library, device.id, control, numbers))

        title = f"Input numbers of {self.session.names_of(device.id).contact(control)}, from 1"
        self.app.ask(Ask(title, fields, check=_check_inputs), take)

    @refusable
    def action_delete(self) -> None:
        """Delete what is marked, and the bindings that need it; they are shown before."""
        self._decide(delete_all(self.session.library, self._chosen()[0], self.marked))

    @refusable
    def action_wiring(self) -> None:
        """Plan lines, pins, diodes and numbers for contacts without, shown before it is taken."""
        from profiles.tui.previewing import offer_wiring

        offer_wiring(self.app, self)

    def _decide(self, edit: Edit, after: Callable[[], None] | None = None) -> None:
        """Show what a change means for profiles, and make it if you say so."""

        def take(way: str) -> None:
            if way == "y" and self.app.apply(edit) and after is not None:
                after()

        lines = [self.app.in_names(one) for one in edit.effects] or ["No binding changes."]
        words = self.app.in_names(edit.words)
        ways = {"y": words, "b": "back, change nothing"}
        judged = self.session.judge(edit)
        self.app.ask(Decide(f"{words}?", lines, ways, judged), take)

    @refusable
    def action_add(self) -> None:
        """Add a control: its id, kind, label and place."""
        if self.session.view.device is None:
            raise EditError("there is no device; Ctrl+N starts one")
        device = self.session.view.device
        kinds = tuple((kind, KINDS[kind][4:]) for kind in USUAL_HOLES)
        questions = (
            Question("id", "Letters, digits, - and _; empty: made from the label."),
            Question("kind", "What it is.", "momentary", kinds),
            Question("label", "The words engraved or printed for it."),
            Question("x", "Its centre from the left edge, mm.", f"{device.plate.width / 2:g}"),
            Question("y", "And from the lower edge, mm.", f"{device.plate.height / 2:g}"),
            Question("input", "Its input number, from 1; empty: none yet."),
        )

        def act(found: dict[str, str]) -> tuple[str, Edit]:
            label, kind, number = found["label"].strip(), found["kind"], found["input"].strip()
            if not label:
                raise AnswerError("label", "Give it a label.")
            name = found["id"].strip() or make_id(label, device.controls, "control")
            fault = _check_numbers(found) or _check_inputs({"input": number})
            if fault:
                raise EditError(fault)
            given = starting_fields(device, kind, label, float(found["x"]), float(found["y"]))
            first = {"rotary": "clockwise", "selector": "position-1"}.get(kind)
            if number:
                given |= {"inputs": {first: int(number)}} if first else {"input": int(number)}
            edit = add(device.id, name, given)
            self.session.copy.trial(edit.change)  # refused while it can still be corrected
            return name, edit

        def take(added: tuple[str, Edit]) -> None:
            name, edit = added
            if self.app.apply(edit):
                self.canvas.choose(name)

        self.app.ask(Fields("A new control", questions, act), take)


def _check_numbers(found: dict[str, str]) -> str | None:
    for name in ("x", "y"):
        try:
            fine = abs(float(found[name])) <= 5000
        except ValueError:
            fine = False
        if not fine:
            return f"Write {name} as a number of millimetres, such as 42.5."
    return None


def _check_inputs(found: dict[str, str]) -> str | None:
    for name, value in found.items():
        if value.strip() and not (value.strip().isascii() and value.strip().isdigit()):
            return f"Write {name} as a whole number from 1 on, or nothing."
        if value.strip() and not 1 <= int(value) <= 65535:
            return f"{name}: inputs run from 1 to 65535."
    return None
