"""What the box sends for each contact, decided once.

A contact that has an input number and a wire is sent by its own wire. Of a latching control of
which only one side is wired, the board makes the other side: it is sent while, or when, the wired
one opens. A contact that has a number and no wire at all is taken to have a wire that the file does
not tell of: a press test expects it, firmware cannot read it.
"""

from collections.abc import Mapping
from typing import Literal, NamedTuple

from profiles.model import Contact, ControlValue, Device, Latching, Rotary, Selector

Nature = Literal["button", "state", "position", "edge", "turn"]
"""How an input behaves: down while a finger is; down as long as a lever stays, or a selector stays
at a position; a pulse at each change; a pulse for each detent."""


class Signal(NamedTuple):
    """What the box sends for a contact: `number`, while all of `closed` read closed and all of
    `opened` open."""

    number: int
    nature: Nature
    closed: tuple[Contact, ...]
    opened: tuple[Contact, ...] = ()


def nature_of(control: ControlValue, contact: str) -> Nature:
    """How the input of a contact behaves."""
    if isinstance(control, Latching | Selector):
        if control.reports == "edges":
            return "edge"
        return "state" if isinstance(control, Latching) else "position"
    return "turn" if isinstance(control, Rotary) and contact != "press" else "button"


def find_sources(
    device: Device, contact: Contact
) -> tuple[tuple[Contact, ...], tuple[Contact, ...]]:
    """The contacts whose wires tell of this one: those closed while it is, and those open."""
    control = device.controls[contact.control]
    wired = {*control.crossing_by_contact, *control.pin_by_contact, *control.bit_by_contact}
    if isinstance(control, Latching) and wired and contact.contact not in wired:
        return (), (Contact(contact.control, "on" if contact.contact == "off" else "off"),)
    return (contact,), ()


def find_signals(device: Device, inputs: Mapping[Contact, int]) -> dict[Contact, Signal]:
    """What is sent for each contact whose input number is in the box's report."""
    declared = device.device.report.buttons
    return {
        contact: Signal(
            number,
            nature_of(device.controls[contact.control], contact.contact),
            *find_sources(device, contact),
        )
        for contact, number in inputs.items()
        if declared is None or number <= declared
    }
