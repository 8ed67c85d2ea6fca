"""A binding session: the steps that lead through an application's own settings page.

The steps come in the order of the actions in the application's file, which is best that of its
settings page. Each names the action, which control to move and how, what the application should
then show, and which controls are not to be touched: those whose input stays down.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from profiles.drawing.frame import Frame
from profiles.drawing.paper import PAPERS
from profiles.drawing.titleblock import TitleBlock
from profiles.facts.device import DeviceFacts
from profiles.facts.signals import write_input
from profiles.model import Axis, Contact, DeviceContact, Link
from profiles.model.control_value import TURNS
from profiles.report.document import Block, Column, Facts, Paragraph, Report, Table
from profiles.sheets.report_sheet import print_report
from profiles.sheets.sheet import PrintedSheet
from profiles.text.prose import join_words
from profiles.wiring.box import hand_words

OPEN, DONE, SKIPPED = "[ ]", "[x]", "[-]"
"""How a step stands: by a sign that paper and terminal both have."""


@dataclass(frozen=True, slots=True)
class SessionStep:
    """One binding to make: `key` is the same as long as nothing about it changes."""

    action: str
    """Id of the action."""
    name: str
    group: str
    move: str
    """What the hand does, in words."""
    shows: str
    """The input as the application writes it; empty where it has none."""
    leave: tuple[str, ...]
    """Labels of controls that are not to be touched meanwhile."""
    after: str
    """What the hand does afterwards, for a control that stays; empty otherwise."""

    @property
    def key(self) -> str:
        """The action, the move and what it shows."""
        return f"{self.action}: {self.move}: {self.shows}"


def list_steps(link: Link) -> tuple[SessionStep, ...]:
    """Return the steps of a profile, in the order of its application's actions."""
    actions = link.application.actions if link.application else {}
    facts = {device.id: DeviceFacts(device) for device in link.devices}
    places = {action: place for place, action in enumerate(actions)}
    staying = {
        (device.id, control): device.controls[control].spoken_label
        for device in link.devices
        for control in facts[device.id].staying
    }
    steps = []
    for one in sorted(link.bound, key=lambda one: places.get(one.action_id, 0)):
        used = {(who.device, who.control) for who in (*one.held, one.acting)}
        move, after = _say_move(link, facts, one.acting)
        held = [_say_move(link, facts, who)[0] for who in one.held]
        if held:
            move = f"hold: {', '.join(held)}; then {move}"
        steps.append(
            SessionStep(
                action=one.action_id,
                name=one.action.name,
                group=one.action.group or "",
                move=move,
                shows=" + ".join(_show(link, facts, who) for who in (*one.held, one.acting)),
                leave=tuple(label for key, label in staying.items() if key not in used),
                after=after,
            )
        )
    return tuple(steps)


def _say_move(link: Link, facts: Mapping[str, DeviceFacts], who: DeviceContact) -> tuple[str, str]:
    """What the hand does for a contact, and afterwards where the control stays."""
    control = facts[who.device].controls[who.control]
    label = control.spoken_label
    if len(link.devices) > 1:
        label = f"{label} ({facts[who.device].device.name})"
    if isinstance(control, Axis):
        return f"move {label} from one end to the other", ""
    if who.contact in TURNS:
        return f"turn {label} one detent {who.contact}", ""
    do, undo = hand_words(Contact(label, who.contact), control)
    if who.contact == control.rest_contact and control.positions_held:
        return f"{undo} before you choose the action, then {do}", ""
    return do, undo if who.contact in control.positions_held else ""


def _show(link: Link, facts: Mapping[str, DeviceFacts], who: DeviceContact) -> str:
    number = facts[who.device].reported.get(who.local)
    return "no input" if number is None else write_input(link.application, number)


def say_first(link: Link) -> list[str]:
    """Return what to do before the first step, a sentence each: controls that stay come first."""
    found = []
    for device in link.devices:
        facts = DeviceFacts(device)
        controls = [
            (device.controls[key], device.controls[key].spoken_label) for key in facts.staying
        ]
        moves = [
            hand_words(Contact(label, one.rest_contact), one)[0]
            for one, label in controls
            if one.rest_contact is not None and one.positions_held
        ]
        if moves:
            found.append(f"{device.name}: {', '.join(moves)}, and leave it so.")
    catches = link.application is not None and link.application.application.catches_held
    if found and catches:
        found.append("The application takes an input that is already down for the one you mean.")
    return found


def report_session(
    link: Link, steps: Sequence[SessionStep], states: Mapping[str, str] | None = None
) -> Report:
    """Return the steps as one report; `states` are the signs of steps by their key."""
    states = states or {}
    name = link.application.name if link.application else link.profile.name
    rows = tuple(
        (
            *(states.get(step.key, OPEN), number, step.name, step.move, step.shows),
            *(f"then {step.after}" if step.after else "", step.action, step.leave),
        )
        for number, step in enumerate(steps, 1)
    )
    columns = (
        *(Column("done", "done"), Column("no.", "number", align="right")),
        *(Column("action", "name", wraps=True), Column("move", "move", wraps=True)),
        Column("shows", "shows", wraps=True),
        Column("afterwards", "after", wraps=True),
        *(Column("action id", "action", readers="machines"),),
        Column("leave alone", "leave", readers="machines"),
    )
    leave = sorted({label for step in steps for label in step.leave})
    first = say_first(link)
    if leave:
        first.append(f"Touch only what a step names; do not touch {join_words(leave)}.")
    open_ = sum(states.get(step.key, OPEN) == OPEN for step in steps)
    blocks: tuple[Block, ...] = (
        Facts({"profile": link.profile.id, "open": open_}),
        *([Paragraph("\n".join(first), "Before you start")] if first else []),
        Table(columns, rows, "Steps, in the order of the settings page", key="steps", lead=3),
    )
    return Report(f"{name}: binding session", blocks, link.profile.name)


def print_session(link: Link, report: Report, date: str = "", paper: str = "a4") -> PrintedSheet:
    """Return the session as a sheet to tick off."""
    block = TitleBlock(report.title, report.subtitle, date=date, scale="", unit="")
    frame = Frame(PAPERS[paper], block, has_ruler=False)
    return print_report(report, frame, name=f"{link.profile.id}-session")
