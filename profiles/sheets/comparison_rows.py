"""All titles of a device side by side: a row for each contact, a cell for each title.

A function that sits elsewhere in most titles is marked: a sign, and where it is usually found.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from profiles.checks.groups import Move, find_moves
from profiles.facts.device import DeviceFacts
from profiles.model.contact import DeviceContact
from profiles.model.device import Device
from profiles.model.library import Link, ResolvedBinding
from profiles.plate.order import reading_order
from profiles.plate.outlines import centres_of
from profiles.sheets.card_rows import HELD, name_contact
from profiles.sheets.legends import join_legends
from profiles.text.prose import join_words

MOVED = "»"
"""Stands before a function that has moved."""

Slot = tuple[tuple[DeviceContact, ...], DeviceContact]


@dataclass(frozen=True, slots=True)
class ComparedCell:
    """What a contact does in one title, and where most titles have that function."""

    does: str = ""
    moved: str = ""
    """Such as `usually LIGHTS`; empty for what has not moved."""

    @property
    def words(self) -> str:
        """The words, with the sign before them where they have moved."""
        return f"{MOVED} {self.does}" if self.moved else self.does


@dataclass(frozen=True, slots=True)
class ComparedRow:
    """One contact, with what is held meanwhile, and its cell in every title."""

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


def compare_titles(device: Device, links: Sequence[Link]) -> tuple[ComparedRow, ...]:
    """The rows of a device for these profiles, in plate order."""
    moves = [
        move
        for move in find_moves((link.profile.id, link.bound) for link in links)
        if move.device == device.id
    ]
    inputs = DeviceFacts(device).inputs
    columns = [_by_slot(link, device) for link in links]
    known = {one.id: one for link in links for one in link.devices} | {device.id: device}
    rows = []
    for held, acting in _slots(device, columns):
        cells = tuple(
            _cell(device, (held, acting), column.get((held, acting), []), link, moves)
            for link, column in zip(links, columns, strict=True)
        )
        rows.append(
            ComparedRow(
                control=device.controls[acting.control].label,
                contact=name_contact(device, acting) if acting.contact else "",
                held=" + ".join(_label(known[one.device], one) for one in held),
                input=inputs.get((acting.control, _contact_read(device, acting))),
                cells=cells,
                slot=(held, acting),
            )
        )
    return tuple(rows)


def _contact_read(device: Device, acting: DeviceContact) -> str:
    """The contact whose input a row shows: of a control left alone, the only one it has."""
    contacts = device.controls[acting.control].contacts
    return contacts[0] if not acting.contact and len(contacts) == 1 else acting.contact


def _by_slot(link: Link, device: Device) -> dict[Slot, list[ResolvedBinding]]:
    found: dict[Slot, list[ResolvedBinding]] = {}
    for one in link.bound:
        if one.acting.device == device.id:
            found.setdefault((tuple(sorted(one.held)), one.acting), []).append(one)
    return found


def _slots(device: Device, columns: Sequence[dict[Slot, list[ResolvedBinding]]]) -> Iterator[Slot]:
    """What is pressed or held in any title, in plate order; controls left alone once."""
    pressed = {slot for column in columns for slot in column}
    pressed |= {((), one) for held, _ in pressed for one in held if one.device == device.id}
    for control_id in reading_order(centres_of(device)):
        contacts = device.controls[control_id].contacts
        here = [slot for slot in pressed if slot[1].control == control_id]
        here.sort(key=lambda slot: (len(slot[0]), contacts.index(slot[1].contact), slot[0]))
        yield from here or [((), DeviceContact(device.id, control_id, ""))]


def _cell(
    device: Device, slot: Slot, bound: Sequence[ResolvedBinding], link: Link, moves: Sequence[Move]
) -> ComparedCell:
    if not bound and _is_held(device, slot, link):
        return ComparedCell(HELD)
    groups = {one.action.group for one in bound}
    moved = [
        move
        for move in moves
        if move.profile == link.profile.id
        and move.group in groups
        and any(one.acting.control in move.new for one in bound)
    ]
    homes = sorted({control for move in moved for control in move.left})
    labels = join_words([device.controls[control].label for control in homes])
    return ComparedCell(
        join_legends(one.action.name for one in bound), f"usually {labels}" if labels else ""
    )


def _is_held(device: Device, slot: Slot, link: Link) -> bool:
    """Whether a title only ever holds what is pressed here, while others act."""
    held, acting = slot
    pressed = {one for other in link.bound for one in other.held}
    return not held and acting in pressed


def _label(device: Device, contact: DeviceContact) -> str:
    return device.controls[contact.control].label
