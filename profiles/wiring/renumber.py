"""What becomes of the input numbers of a device when its matrix is numbered another way.

Crossings and register bits take the numbers that the new way gives; contacts on pins of their
own, and contacts that only the board makes, keep what the file declares.
"""

from collections.abc import Mapping
from typing import NamedTuple

from profiles.model import Contact, Device
from profiles.wiring.circuit import layout_of, numbering_of
from profiles.wiring.numbering import Along, Clash, Unused, compute_numbers, find_clashes


class Change(NamedTuple):
    """A contact whose number changes; None where it has none."""

    contact: Contact
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
    wiring, wanted = device.wiring, {"numbering": along, "first_input": first, "unused": unused}
    turned = device.model_copy(update={"wiring": wiring.model_copy(update=wanted)})
    layout = layout_of(turned)
    old, new = numbering_of(device).numbers, {**layout.declared, **compute_numbers(layout)}
    changes = tuple(
        Change(contact, old.get(contact), new.get(contact))
        for contact in dict.fromkeys([*old, *new])
        if old.get(contact) != new.get(contact)
    )
    edits: list[tuple[tuple[str, ...], str | int]] = [
        (("wiring", key), value) for key, value in wanted.items() if getattr(wiring, key) != value
    ]
    for (control_id, name), number in device.declared_inputs.items():
        if (then := new[Contact(control_id, name)]) != number:
            control = device.controls[control_id]
            is_singular = control.input is not None and name == control.main_contact
            key = ("input",) if is_singular else ("inputs", name)
            edits.append((("controls", control_id, *key), then))
    return Renumbering(changes, find_clashes(new), tuple(edits))


class Declaration(NamedTuple):
    """The numbers to declare for a control, those whose contacts change, and those that cannot.

    `fixed` are the numbers that the wiring gives instead of the wanted ones.
    """

    declared: Mapping[str, int]
    changed: frozenset[str]
    fixed: Mapping[str, int]


def declare_inputs(device: Device, control: str, wanted: Mapping[str, int]) -> Declaration:
    """Return what it takes to give a control's contacts these numbers, by contact.

    A number that the wiring gives, wanted or not, is declared only where the file declares one.
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
            contact: fixed.get(contact, number)
            for contact, number in wanted.items()
            if contact in value.input_by_contact
            or before.numbers.get(names[contact]) != fixed.get(contact, number)
        },
        frozenset(
            contact
            for contact, name in names.items()
            if before.numbers.get(name) != after.numbers.get(name)
        ),
        fixed,
    )
