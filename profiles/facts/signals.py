"""What the box sends for each contact, decided once.

A contact that has an input number and a wire is sent by its own wire. Of a latching control, or a
selector with an off position, of which all positions but one are wired, the board makes that one:
it is sent while, or when, none of the others is closed. Of a hat of eight ways the board makes
those between that have no wire. A contact that has a number and no wire at all is taken to have a
wire that the file does not tell of: a press test expects it, firmware cannot read it.
"""

from collections.abc import Mapping
from typing import Literal, NamedTuple

from profiles.model import (
    HAT_WAYS,
    Application,
    Axis,
    Contact,
    ControlValue,
    Device,
    Hat,
    Latching,
    Rotary,
    Selector,
)
from profiles.model.control_value import TURNS, name_position

Nature = Literal["button", "state", "position", "edge", "turn", "axis"]
"""How an input behaves: down while a finger is; down as long as a lever stays, or a selector stays
at a position; a pulse at each change; a pulse for each detent; a value between two ends."""

LAST_BUTTON = 0xFFFF
"""Input numbers beyond it are ways of hats and axes (`host.axes`)."""


def write_input(application: Application | None, number: int) -> str:
    """An input as an application writes it, and as people do where it is no button or of none."""
    if application is not None and number <= LAST_BUTTON:
        return application.write_number(number)
    from profiles.host.axes import show_input

    return show_input(number)


class Signal(NamedTuple):
    """What the box sends for a contact: `number`, while all of `closed` read closed and all of
    `opened` open; of an edge `both_ways`, also when that ends. One that `waits` does so once that
    has lasted for the hold time of the wiring."""

    number: int
    nature: Nature
    closed: tuple[Contact, ...]
    opened: tuple[Contact, ...] = ()
    both_ways: bool = False
    waits: bool = False


def passes_gaps(control: ControlValue) -> bool:
    """Whether nothing is closed for a moment while a control goes from one position to another that
    is not the one without a contact: it has three or more, and breaks before it makes."""
    makes_first = isinstance(control, Selector) and control.switching == "make-before-break"
    return len(control.positions_held) > 2 and not makes_first


def nature_of(control: ControlValue, contact: str) -> Nature:
    """How the input of a contact behaves."""
    if control.is_pulsing:
        return "edge"
    if isinstance(control, Axis) or (isinstance(control, Rotary) and contact in control.fields):
        return "axis"
    if not control.positions_held or contact in control.sprung:
        return "turn" if isinstance(control, Rotary) and contact in TURNS else "button"
    return "state" if isinstance(control, Latching) else "position"


def find_sources(
    device: Device, contact: Contact
) -> tuple[tuple[Contact, ...], tuple[Contact, ...]]:
    """The contacts whose wires tell of this one: those closed while it is, and those open."""
    control = device.controls[contact.control]
    positions, wired = control.positions_held, control.wired_contacts
    is_off = isinstance(control, Selector) and contact.contact in map(name_position, control.off)
    if [position for position in positions if position not in wired] == [contact.contact] and (
        is_off or isinstance(control, Latching)
    ):
        return (), tuple(
            Contact(contact.control, position) for position in positions if position in wired
        )
    if isinstance(control, Hat) and contact.contact in HAT_WAYS:
        closed, opened = _find_ways(control, contact.contact, {*wired})
        name = contact.control
        return tuple(Contact(name, one) for one in closed), tuple(
            Contact(name, one) for one in opened
        )
    return (contact,), ()


def _find_ways(control: Hat, way: str, wired: set[str]) -> tuple[list[str], list[str]]:
    """Ways that are closed, and ways that are open, while a hat is tilted to this one.

    A way between that the board makes takes the place of the two it is made of, if all are
    buttons; a hat of four ways points nowhere while two neighbours are closed.
    """
    if way not in HAT_WAYS[:4]:
        return ([way], []) if way in wired else (way.split("-"), [])
    beside = [one for one in HAT_WAYS[:4] if HAT_WAYS.index(one) % 2 != HAT_WAYS.index(way) % 2]
    if control.ways != 8:
        return [way], [one for one in beside if one in wired and control.reports == "hat"]
    made = [one for one in HAT_WAYS[4:] if one in control.inputs and one not in wired]
    return [way], [one for one in beside for between in made if {one, way} == {*between.split("-")}]


def find_signals(device: Device, inputs: Mapping[Contact, int]) -> dict[Contact, Signal]:
    """What is sent for each contact whose input number is in the box's report."""
    declared = device.device.report.buttons
    found = {}
    for contact, number in inputs.items():
        control = device.controls[contact.control]
        both_ways = isinstance(control, Latching) and control.reports == "changes"
        is_sent = contact.contact == control.main_contact or not both_ways
        if is_sent and (declared is None or number <= declared or number > LAST_BUTTON):
            nature = nature_of(control, contact.contact)
            closed, opened = find_sources(device, contact)
            waits = not closed and passes_gaps(control)
            found[contact] = Signal(number, nature, closed, opened, both_ways, waits)
    return found
