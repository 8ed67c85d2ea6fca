"""What every control does in one application: one row a binding, in plate order.

A control that does nothing in the application has a row as well, and so has one that only serves
to be held while others act.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from profiles.facts.device import DeviceFacts
from profiles.facts.signals import write_input
from profiles.model.contact import DeviceContact
from profiles.model.control import Momentary
from profiles.model.device import Device
from profiles.model.library import Link, ResolvedBinding
from profiles.plate.order import reading_order
from profiles.plate.outlines import centres_of

NOTHING = "–"
"""What a control does that does nothing in the application."""
HELD = "held while others act"
OTHER = "other"
"""Heading of actions without a group."""


@dataclass(frozen=True, slots=True)
class CardRow:
    """What one contact does, with what is held meanwhile."""

    device: str
    """Name of the device."""
    control: str
    """The control's label."""
    contact: str
    """Which contact, in plain words; empty where the control has only one."""
    held: str
    """Labels of what is held meanwhile, joined by a plus; empty for none."""
    number: str
    """The inputs as the application writes them, those held first; empty where one has none."""
    does: str
    """Name of the action; `NOTHING` or `HELD` where it has none."""
    input: int | None
    control_id: str
    legend: str = ""
    """The words printed on the plate."""
    group: str = ""
    contexts: tuple[str, ...] = ()
    action_id: str = ""

    @property
    def name(self) -> str:
        """Control and contact."""
        return f"{self.control}, {self.contact}" if self.contact else self.control

    @property
    def chord(self) -> str:
        """Everything to press: what is held, a plus, the control."""
        return f"{self.held} + {self.name}" if self.held else self.name

    @property
    def is_bound(self) -> bool:
        """Whether the row is of an action."""
        return bool(self.action_id)


def find_rows(link: Link, devices: Sequence[Device]) -> tuple[CardRow, ...]:
    """The rows of these devices in a profile, device by device in plate order."""
    facts = {device.id: DeviceFacts(device) for device in link.devices}
    facts |= {device.id: DeviceFacts(device) for device in devices}
    return tuple(row for device in devices for row in _device_rows(link, device, facts))


def _device_rows(link: Link, device: Device, facts: dict[str, DeviceFacts]) -> Iterator[CardRow]:
    """A row for each binding and each contact only held; of an idle control one row."""

    def make_row(
        acting: DeviceContact, does: str, held: tuple[DeviceContact, ...] = (), **more: Any
    ) -> CardRow:
        is_idle = does == NOTHING
        inputs = [facts[one.device].reported.get(one.local) for one in (*held, acting)]
        written = [write_input(link.application, one) for one in inputs if one is not None]
        return CardRow(
            device=device.name,
            control=device.controls[acting.control].spoken_label,
            contact="" if is_idle else name_contact(device, acting),
            held=name_held(facts, held),
            number="" if is_idle or len(written) < len(inputs) else " + ".join(written),
            does=does,
            input=None if is_idle else inputs[-1],
            control_id=acting.control,
            **more,
        )

    by_control: dict[str, list[ResolvedBinding]] = {}
    for binding in link.bound:
        if binding.acting.device == device.id:
            by_control.setdefault(binding.acting.control, []).append(binding)
    held = sorted({one for other in link.bound for one in other.held if one.device == device.id})
    for control_id in reading_order(centres_of(device)):
        here = by_control.get(control_id, [])
        contacts = device.controls[control_id].contacts
        here.sort(key=lambda one: (contacts.index(one.acting.contact), len(one.held)))
        acting = {one.acting for one in here if not one.held}
        only_held = [one for one in held if one.control == control_id]
        yield from (make_row(one, HELD) for one in only_held if one not in acting)
        for one in here:
            action = one.action
            yield make_row(
                one.acting,
                action.name,
                one.held,
                legend=one.legend,
                group=action.group or "",
                contexts=action.contexts,
                action_id=one.action_id,
            )
        if not here and not only_held:
            main = device.controls[control_id].main_contact or ""
            yield make_row(DeviceContact(device.id, control_id, main), NOTHING)


def name_held(facts: Mapping[str, DeviceFacts], held: Iterable[DeviceContact]) -> str:
    """What is held, by label and contact, joined by a plus."""
    named = []
    for one in held:
        device = facts[one.device].device
        parts = (device.controls[one.control].spoken_label, name_contact(device, one))
        named.append(", ".join(part for part in parts if part))
    return " + ".join(named)


def name_contact(device: Device, contact: DeviceContact) -> str:
    """A contact in plain words; empty for the one contact of a push-button."""
    if isinstance(device.controls[contact.control], Momentary):
        return ""
    return contact.contact.replace("-", " ")


def group_rows(link: Link, rows: Iterable[CardRow]) -> dict[str, tuple[CardRow, ...]]:
    """Rows with an action by its group, both in the order of the application's file."""
    actions = link.application.actions if link.application else {}
    places = {action: place for place, action in enumerate(actions)}
    found: dict[str, list[CardRow]] = {}
    bound = [row for row in rows if row.is_bound]
    for row in sorted(bound, key=lambda row: places.get(row.action_id, 0)):
        found.setdefault(row.group or OTHER, []).append(row)
    if OTHER in found:
        found[OTHER] = found.pop(OTHER)
    return {group: tuple(many) for group, many in found.items()}


def name_group(group: str) -> str:
    """A group's id as a heading."""
    return group.replace("-", " ").capitalize()
