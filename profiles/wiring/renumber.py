"""What becomes of the input numbers of a device when its matrix is numbered another way.

Crossings and register bits take the numbers that the new way gives; contacts on pins of their
own, and contacts that only the board makes, keep what the file declares.
"""

from collections.abc import Mapping
from typing import NamedTuple

from profiles.model import Contact, Device
from profiles.wiring.circuit import layout_of, numbering_of
from profiles.wiring.numbering import Along, Clash, Unused, compute_numbers


class Change(NamedTuple):
    """A contact whose number changes; None where it has none."""

    terminal: Contact
    old: int | None
    new: int | None


class Renumbering(NamedTuple):
    """The changes, contacts that would share a number, and the declared numbers to rewrite.

    `edits` are (path in the device's file, value) pairs; contacts that declare nothing need none.
    """

    changes: tuple[Change, ...]
    clashes: tuple[Clash, ...]
    edits: tuple[tuple[tuple[str, ...], str | int], ...]


def renumber(device: Device, along: Along, first: int, unused: Unused) -> Renumbering:
    """Return what numbering the matrix this way changes."""
    wiring = device.wiring.model_copy(
        update={"numbering": along, "first_input": first, "unused": unused}
    )
    old = numbering_of(device).numbers
    layout = layout_of(device.model_copy(update={"wiring": wiring}))
    new = {**layout.declared, **compute_numbers(layout)}
    terminals = dict.fromkeys([*old, *new])
    changes = tuple(
        Change(terminal, old.get(terminal), new.get(terminal))
        for terminal in terminals
        if old.get(terminal) != new.get(terminal)
    )
    return Renumbering(changes, _clashes(new), _edits(device, along, first, unused, new))


class Declaration(NamedTuple):
    """The numbers to declare for a control, those whose contacts change, and those that cannot.

    `fixed` are the numbers that the wiring gives instead of the wanted ones.
    """

    declared: Mapping[str, int]
    changed: frozenset[str]
    fixed: Mapping[str, int]


def declare_inputs(device: Device, control: str, wanted: Mapping[str, int]) -> Declaration:
    """Return what it takes to give a control's contacts these numbers, by contact.

    A number that the wiring gives anyway is declared only where the file declares it already.
    """
    before = numbering_of(device)
    plain = device.plain()
    plain["controls"][control].pop("input", None)
    plain["controls"][control]["inputs"] = dict(wanted)
    after = numbering_of(Device.model_validate(plain))
    value = device.controls[control]
    names = {contact: Contact(control, contact) for contact in value.contacts}
    fixed = {
        contact: before.computed[name]
        for contact, name in names.items()
        if contact in wanted and after.numbers.get(name) != wanted[contact]
    }
    return Declaration(
        {
            contact: number
            for contact, number in wanted.items()
            if contact in value.input_by_contact or before.numbers.get(names[contact]) != number
        },
        frozenset(
            contact
            for contact, name in names.items()
            if before.numbers.get(name) != after.numbers.get(name)
        ),
        fixed,
    )


def _clashes(numbers: dict[Contact, int]) -> tuple[Clash, ...]:
    by_number: dict[int, list[Contact]] = {}
    for terminal, number in numbers.items():
        by_number.setdefault(number, []).append(terminal)
    return tuple(
        Clash(number, tuple(who)) for number, who in sorted(by_number.items()) if len(who) > 1
    )


def _edits(
    device: Device, along: Along, first: int, unused: Unused, new: dict[Contact, int]
) -> tuple[tuple[tuple[str, ...], str | int], ...]:
    wiring = device.wiring
    edits: list[tuple[tuple[str, ...], str | int]] = []
    for key, was, wanted in (
        ("numbering", wiring.numbering, along),
        ("first_input", wiring.first_input, first),
        ("unused", wiring.unused, unused),
    ):
        if was != wanted:
            edits.append((("wiring", key), wanted))
    for (control_id, contact), number in device.declared_inputs.items():
        wanted_number = new[Contact(control_id, contact)]
        if wanted_number != number:
            edits.append((_declared_at(device, control_id, contact), wanted_number))
    return tuple(edits)


def _declared_at(device: Device, control_id: str, contact: str) -> tuple[str, ...]:
    control = device.controls[control_id]
    if control.input is not None and contact == control.main_contact:
        return ("controls", control_id, "input")
    return ("controls", control_id, "inputs", contact)
