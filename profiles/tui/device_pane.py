"""The Device view: add, move, renumber and delete controls, with what it means for profiles."""

from collections.abc import Callable
from typing import ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.worker import get_current_worker

from profiles.files.toml_edit import EditError
from profiles.model import Device
from profiles.plate.order import Direction
from profiles.tui.dialogs import Ask, Decide
from profiles.tui.frame import Line, Pane
from profiles.tui.panel import KINDS
from profiles.tui.plate_canvas import STEPS, PlateCanvas
from profiles.work.control_fields import (
    change_fields,
    check_fields,
    effects_of_rename,
    fields_of,
    show_size,
)
from profiles.work.controls import (
    USUAL_HOLES,
    Effect,
    add,
    delete,
    effects_of_delete,
    effects_of_renumber,
    move,
    renumber,
    starting_fields,
)
from profiles.work.edits import Edit
from profiles.work.judge import judge_edit

STEP_SIZES = (1.0, 0.1, 5.0)
"""Steps of a move in mm, in the order in which a key goes through them."""


class DevicePane(Pane):
    """The plate again, this time to change the box itself."""

    title: ClassVar[str] = "Device"
    advice: ClassVar[str] = (
        "Change the box: m moves the chosen control by the arrows, 1 mm a step and 10 mm with "
        "Shift, a full stop changes the step; g takes typed millimetres. What a change means for "
        "the profiles is shown before it is made."
    )

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("m", "move", "Move"),
        Binding("g", "place", "Type place"),
        Binding("e", "fields", "Edit"),
        Binding("n", "renumber", "Renumber"),
        Binding("a", "add", "Add"),
        Binding("x,delete", "delete", "Delete"),
        Binding("full_stop", "step", "Step size", show=False),
        Binding("enter", "drop", "Put down", show=False),
        Binding("escape", "cancel", "Leave it", show=False),
    ]

    def __init__(self) -> None:
        super().__init__(id="device")
        self._step = STEP_SIZES[0]
        self._at: tuple[float, float] | None = None
        self._verdict = ""

    def compose(self) -> ComposeResult:
        """The canvas, and the words beside it."""
        yield PlateCanvas(id="device-canvas")
        with VerticalScroll(classes="aside"):
            yield Line(id="device-panel")

    @property
    def canvas(self) -> PlateCanvas:
        """The plate."""
        return self.query_one(PlateCanvas)

    @property
    def device(self) -> Device:
        """The chosen device, where it can be changed.

        Raises:
            EditError: where there is none, or its file is not TOML.
        """
        device = self.session.view.device
        if device is None or self.session.control not in device.controls:
            raise EditError("there is no control to change")
        return self._editable(device)

    def _editable(self, device: Device) -> Device:
        reason = self.session.copy.why_read_only(device.id)
        if reason is not None:
            raise EditError(reason)
        return device

    def take_focus(self) -> None:
        """Give the keyboard to the plate."""
        self.canvas.focus()

    def show(self) -> None:
        """Show the device as it is now; a move that goes on is given up."""
        self._end_move()
        self.canvas.show()
        self._show_panel()

    def on_plate_canvas_moved(self) -> None:
        """Another control is chosen."""
        if self._at is not None:
            self._end_move()
            self.canvas.show()
        self._show_panel()

    def _show_panel(self) -> None:
        self.query_one("#device-panel", Line).say("\n".join(self._lines()))

    def _lines(self) -> list[str]:
        device = self.session.view.device
        control = device.controls.get(self.session.control) if device else None
        if device is None or control is None:
            return ["No control here; a adds one."]
        facts = self.session.view.facts[self.session.control]
        x, y = self._at or control.position
        lines = [f"{control.label}  ({self.session.control})", KINDS[facts.kind]]
        lines += [f"centre {x:g}, {y:g} mm", f"hole {show_size(control.hole)} mm"]
        lines += [f"front {show_size(control.front_or_hole)} mm"]
        lines += [f"{one.contact.contact}: input {one.number or 'none'}" for one in facts.contacts]
        if self._at is not None:
            lines += [
                "",
                f"Moving, {self._step:g} mm a step.",
                "Enter puts it down,",
                "Escape back.",
            ]
            lines += ["", self._verdict]
        lines += ["", f"plate {device.plate.width:g} x {device.plate.height:g} mm"]
        return [*lines, "", *[f"{one.severity}: {one.message}" for one in facts.findings]]

    def _try(self, act: Callable[[], None]) -> None:
        try:
            act()
        except EditError as error:
            self.app.tell(str(error))

    # Moving

    def action_move(self) -> None:
        """Take the control up, to move it by the arrows."""

        def act() -> None:
            self._at = self.device.controls[self.session.control].position
            self.canvas.mover = self._shift
            self._show_panel()

        self._try(act)

    def _shift(self, direction: Direction, steps: int) -> None:
        if self._at is None:
            return
        across, up = STEPS[direction]
        by = self._step * steps
        self._at = (round(self._at[0] + across * by, 3), round(self._at[1] + up * by, 3))
        self.canvas.shifts = {self.session.control: self._at}
        self.canvas.show()
        self._show_panel()
        edit = move(self.session.device_id, self.session.control, self._at)
        self._judge(judge_edit(self.session.copy, self.session.profile_id, edit, ""))

    @work(thread=True, exclusive=True, group="preview")
    def _judge(self, compute: Callable[[], str]) -> None:
        verdict = compute()
        if not get_current_worker().is_cancelled:
            self.app.call_from_thread(self._take_verdict, verdict)

    def _take_verdict(self, verdict: str) -> None:
        self._verdict = verdict.strip()
        if self._at is not None:
            self._show_panel()

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
        self._end_move()
        self.app.apply(move(self.session.device_id, self.session.control, at))
        self.show()

    def action_cancel(self) -> None:
        """Leave the control where it was; else stop work that goes on."""
        if self._at is None:
            self.app.action_stop_work()
            return
        self.show()

    def _end_move(self) -> None:
        self._at, self._verdict = None, ""
        self.canvas.mover = None
        self.canvas.shifts = {}

    def action_place(self) -> None:
        """Type where the control's centre goes, in mm."""

        def act() -> None:
            device, control = self.device, self.session.control
            x, y = device.controls[control].position
            fields = {"x": f"{x:g}", "y": f"{y:g}"}
            self.app.push_screen(
                Ask(f"Centre of {control}, mm from the lower left", fields, check=_check_numbers),
                lambda found: self._take_place(device, control, found),
            )

        self._try(act)

    def _take_place(self, device: Device, control: str, found: dict[str, str] | None) -> None:
        if found is not None:
            self.app.apply(move(device.id, control, (float(found["x"]), float(found["y"]))))

    # Id, label, sizes; numbers; adding, deleting

    def action_fields(self) -> None:
        """Type another id, label, hole or front; what that means is shown before."""

        def act() -> None:
            device, control = self.device, self.session.control
            self.app.push_screen(
                Ask(
                    f"{control}: sizes in mm, such as 16.2 or 19 x 13",
                    fields_of(device, control),
                    check=lambda found: check_fields(device, control, found),
                ),
                lambda found: self._take_fields(device, control, found),
            )

        self._try(act)

    def _take_fields(self, device: Device, control: str, found: dict[str, str] | None) -> None:
        if found is None:
            return
        library, new = self.session.library, found["id"].strip()
        edit = change_fields(library, device.id, control, found)
        effects = effects_of_rename(library, device.id, control, new)
        self._decide(edit, effects, lambda: self.canvas.choose(new))

    def action_renumber(self) -> None:
        """Type other input numbers; what that means for profiles is shown before."""

        def act() -> None:
            device, control = self.device, self.session.control
            facts = self.session.view.facts[control]
            fields = {one.contact.contact: str(one.number or "") for one in facts.contacts}
            if not fields:
                fields = dict.fromkeys(device.controls[control].contacts, "")
            self.app.push_screen(
                Ask(f"Input numbers of {control}, from 1", fields, check=_check_inputs),
                lambda found: self._take_numbers(device, control, found),
            )

        self._try(act)

    def _take_numbers(self, device: Device, control: str, found: dict[str, str] | None) -> None:
        if found is None:
            return
        numbers = {name: int(value) for name, value in found.items() if value.strip()}
        effects = effects_of_renumber(self.session.library, device.id, control, numbers)
        self._decide(renumber(device.id, device, control, numbers), effects)

    def action_delete(self) -> None:
        """Delete the control and the bindings that need it; they are shown before."""

        def act() -> None:
            device, control = self.device, self.session.control
            library = self.session.library
            effects = effects_of_delete(library, device.id, control)
            self._decide(delete(library, device.id, control), effects)

        self._try(act)

    def _decide(
        self, edit: Edit, effects: tuple[Effect, ...], after: Callable[[], None] | None = None
    ) -> None:
        """Show what a change means for profiles, and make it when it is wanted."""
        lines = [f"{one.profile} {one.sentence}" for one in effects]
        lines = lines or ["No profile is touched."]
        ways = {"y": f"{edit.words}", "b": "back, change nothing"}

        def take(way: str | None) -> None:
            if way == "y" and self.app.apply(edit) and after is not None:
                after()

        judged = judge_edit(self.session.copy, self.session.profile_id, edit, "")
        self.app.push_screen(Decide(f"{edit.words}?", lines, ways, judged), take)

    def action_add(self) -> None:
        """Add a control: its id, kind, label and place."""

        def act() -> None:
            device = self.session.view.device
            if device is None:
                raise EditError("there is no device; `platebook new device` starts one")
            self._ask_control(self._editable(device))

        self._try(act)

    def _ask_control(self, device: Device) -> None:
        middle = device.plate.width / 2, device.plate.height / 2
        fields = {"id": "", "kind": "momentary", "label": ""}
        fields |= {"x": f"{middle[0]:g}", "y": f"{middle[1]:g}", "input": ""}

        def check(found: dict[str, str]) -> str | None:
            if not found["id"] or not found["label"].strip():
                return "Give an id (letters, digits, hyphens) and a label."
            if found["kind"] not in USUAL_HOLES:
                return f"Kinds are {', '.join(USUAL_HOLES)}."
            if found["id"] in device.controls:
                return f"There is a control {found['id']} already."
            return _check_numbers(found) or _check_inputs({"input": found["input"]})

        def take(found: dict[str, str] | None) -> None:
            if found is None:
                return
            x, y = float(found["x"]), float(found["y"])
            given = starting_fields(device, found["kind"], found["label"].strip(), x, y)
            if found["input"].strip():
                given |= _input_field(found["kind"], int(found["input"]))
            if self.app.apply(add(device.id, found["id"], given)):
                self.canvas.choose(found["id"])

        self.app.push_screen(Ask("A new control", fields, check=check), take)


def _input_field(kind: str, number: int) -> dict[str, object]:
    """The input of a control's main contact; of its first contact where it has no main one."""
    if kind in ("momentary", "latching"):
        return {"input": number}
    return {"inputs": {"clockwise" if kind == "rotary" else "position-1": number}}


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
