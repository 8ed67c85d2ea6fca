"""All applications of a device side by side: a row for each contact, a cell for each.

A function that sits elsewhere in most applications is marked by a sign, and where it usually sits.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from profiles.checks.groups import Move, find_moves
from profiles.facts.device import DeviceFacts
from profiles.facts.legends import join_legends
from profiles.model.contact import Contact, DeviceContact
from profiles.model.device import Device
from profiles.model.library import Link, ResolvedBinding
from profiles.plate.order import reading_order
from profiles.plate.outlines import centres_of
from profiles.sheets.card_rows import HELD, name_contact, name_held
from profiles.text.prose import join_words

MOVED = "»"
"""Stands before a function that has moved."""

Slot = tuple[tuple[DeviceContact, ...], DeviceContact]


@dataclass(frozen=True, slots=True)
class ComparedCell:
    """What a contact does in one application, and where most have that function."""

    does: str = ""
    moved: str = ""
    """Such as `usually LIGHTS`; empty for what has not moved."""

    @property
    def words(self) -> str:
        """The words, with the sign before them where they have moved."""
        return f"{MOVED} {self.does}" if self.moved else self.does


@dataclass(frozen=True, slots=True)
class ComparedRow:
    """One contact, with what is held meanwhile, and its cell in every application."""

    control: str
    contact: str
    held: str
    input: int | None
    cells: tuple[ComparedCell, ...]
    slot: Slot
    """Contacts held meanwhile and the one that acts, by ids; its contact empty for none."""

    @property
    def chord(self) -> str:
        """Everything to press: what is held, a plus, the control and its contact."""
        name = f"{self.control}, {self.contact}" if self.contact else self.control
        return f"{self.held} + {name}" if self.held else name


def compare_applications(device: Device, links: Sequence[Link]) -> tuple[ComparedRow, ...]:
    """The rows of a device for these profiles, in plate order; idle controls have one."""
    moves = [
        move
        for move in find_moves((link.profile.id, link.bound) for link in links)
        if move.device == device.id
    ]
    facts = {one.id: DeviceFacts(one) for link in links for one in link.devices}
    facts.setdefault(device.id, DeviceFacts(device))
    known = {key: one.device for key, one in facts.items()}
    columns: list[dict[Slot, list[ResolvedBinding]]] = []
    for link in links:
        column: dict[Slot, list[ResolvedBinding]] = {}
        for one in link.bound:
            if one.acting.device == device.id:
                column.setdefault((tuple(sorted(one.held)), one.acting), []).append(one)
        columns.append(column)
    pressed = {slot for column in columns for slot in column}
    pressed |= {((), one) for held, _ in pressed for one in held if one.device == device.id}
    by_control: dict[str, list[Slot]] = {}
    for slot in pressed:
        by_control.setdefault(slot[1].control, []).append(slot)
    rows = []
    for control_id in reading_order(centres_of(device)):
        contacts = device.controls[control_id].contacts
        here = by_control.get(control_id, [])
        here.sort(key=lambda slot: (len(slot[0]), contacts.index(slot[1].contact), slot[0]))
        for slot in here or [((), DeviceContact(device.id, control_id, ""))]:
            held, acting = slot
            read = contacts[0] if not acting.contact and len(contacts) == 1 else acting.contact
            cells = (
                _compare_cell(known, slot, column.get(slot, []), link, moves)
                for link, column in zip(links, columns, strict=True)
            )
            rows.append(
                ComparedRow(
                    control=device.controls[control_id].spoken_label,
                    contact=name_contact(device, acting) if acting.contact else "",
                    held=name_held(facts, held),
                    input=facts[device.id].inputs.get(Contact(control_id, read)),
                    cells=tuple(cells),
                    slot=slot,
                )
            )
    return tuple(rows)


def _compare_cell(
    devices: Mapping[str, Device],
    slot: Slot,
    bound: Sequence[ResolvedBinding],
    link: Link,
    moves: Sequence[Move],
) -> ComparedCell:
    """What a slot does in one application, and where most have the functions that moved."""
    held, acting = slot
    if not bound and not held and any(acting in other.held for other in link.bound):
        return ComparedCell(HELD)
    groups = {binding.action.group for binding in bound}
    homes = {
        (
            move.usual_device,
            devices[move.usual_device or move.device].controls[control].spoken_label,
        )
        for move in moves
        if move.profile == link.profile.id
        and move.group in groups
        and any(binding.acting.control in move.new for binding in bound)
        for control in move.left
    }
    labels = join_words(
        [f"{label} of {devices[there].name}" if there else label for there, label in sorted(homes)]
    )
    does = join_legends(binding.action.name for binding in bound)
    return ComparedCell(does, f"usually {labels}" if labels else "")
