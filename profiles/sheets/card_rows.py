"""What every control does in one title: one row a binding, in plate order.

A control that does nothing in the title has a row as well, and so has one that only serves to be
held while others act.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from profiles.facts.device import DeviceFacts
from profiles.model.contact import DeviceContact
from profiles.model.control import Momentary
from profiles.model.device import Device
from profiles.model.library import Link, ResolvedBinding
from profiles.plate.order import reading_order
from profiles.plate.outlines import centres_of

NOTHING = "–"
"""What a control does that does nothing in the title."""
HELD = "held while others act"
OTHER = "other"
"""Heading of actions without a group."""
ON_PLATE = "On the plate"
BY_FUNCTION = "By function"
"""Headings of the two orders."""


Groups = Mapping[str, Sequence["CardRow"]]
"""Rows by function group."""


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
    legend: str
    """The words printed on the plate."""
    group: str
    contexts: tuple[str, ...]
    input: int | None
    control_id: str
    action_id: str

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
        """Whether an action stands behind the row."""
        return bool(self.action_id)

    def plain(self) -> dict[str, Any]:
        """The row as plain types."""
        return asdict(self) | {"contexts": list(self.contexts)}


def find_rows(link: Link, devices: Sequence[Device]) -> tuple[CardRow, ...]:
    """The rows of these devices in a profile, device by device in plate order."""
    facts = {device.id: DeviceFacts(device) for device in link.devices}
    facts |= {device.id: DeviceFacts(device) for device in devices}
    return tuple(row for device in devices for row in _device_rows(link, device, facts))


def _device_rows(link: Link, device: Device, facts: dict[str, DeviceFacts]) -> Iterator[CardRow]:
    bound = [one for one in link.bound if one.acting.device == device.id]
    held = {one for other in link.bound for one in other.held if one.device == device.id}
    for control_id in reading_order(centres_of(device)):
        here = [one for one in bound if one.acting.control == control_id]
        contacts = device.controls[control_id].contacts
        here.sort(key=lambda one: (contacts.index(one.acting.contact), len(one.held)))
        acting = {one.acting for one in here if not one.held}
        only_held = [one for one in sorted(held) if one.control == control_id]
        for contact in only_held:
            if contact not in acting:
                yield _idle_row(link, device, contact, HELD, facts)
        yield from (_bound_row(link, one, facts) for one in here)
        if not here and not only_held:
            main = device.controls[control_id].main_contact or ""
            yield _idle_row(
                link, device, DeviceContact(device.id, control_id, main), NOTHING, facts
            )


def _bound_row(link: Link, bound: ResolvedBinding, facts: dict[str, DeviceFacts]) -> CardRow:
    contact = bound.acting
    device = facts[contact.device].device
    return CardRow(
        device=device.name,
        control=device.controls[contact.control].label,
        contact=name_contact(device, contact),
        held=" + ".join(_name(facts[one.device].device, one) for one in bound.held),
        number=_write_numbers(link, (*bound.held, contact), facts),
        does=bound.action.name,
        legend=bound.legend,
        group=bound.action.group or "",
        contexts=bound.action.contexts,
        input=facts[contact.device].inputs.get((contact.control, contact.contact)),
        control_id=contact.control,
        action_id=bound.action_id,
    )


def _idle_row(
    link: Link, device: Device, contact: DeviceContact, does: str, facts: dict[str, DeviceFacts]
) -> CardRow:
    is_held = does == HELD
    place = (contact.control, contact.contact)
    return CardRow(
        device=device.name,
        control=device.controls[contact.control].label,
        contact=name_contact(device, contact) if is_held else "",
        held="",
        number=_write_numbers(link, (contact,), facts) if is_held else "",
        does=does,
        legend="",
        group="",
        contexts=(),
        input=facts[device.id].inputs.get(place) if is_held else None,
        control_id=contact.control,
        action_id="",
    )


def _name(device: Device, contact: DeviceContact) -> str:
    label = device.controls[contact.control].label
    words = name_contact(device, contact)
    return f"{label}, {words}" if words else label


def name_contact(device: Device, contact: DeviceContact) -> str:
    """A contact in plain words; empty for the one contact of a push-button."""
    if isinstance(device.controls[contact.control], Momentary):
        return ""
    return contact.contact.replace("-", " ")


def _write_numbers(
    link: Link, contacts: Iterable[DeviceContact], facts: dict[str, DeviceFacts]
) -> str:
    """The inputs as the application writes them; empty where one of them has none."""
    numbers = [facts[one.device].inputs.get((one.control, one.contact)) for one in contacts]
    if link.application is None:
        return " + ".join(map(str, numbers)) if None not in numbers else ""
    written = [link.application.write_number(one) for one in numbers if one is not None]
    return " + ".join(written) if len(written) == len(numbers) else ""


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


def break_by_device(rows: Sequence[CardRow], devices: Sequence[Device]) -> list[CardRow | str]:
    """The rows; where there are several devices, each device's name before its rows."""
    found: list[CardRow | str] = []
    for place, row in enumerate(rows):
        if len(devices) > 1 and (place == 0 or rows[place - 1].device != row.device):
            found.append(row.device)
        found.append(row)
    return found
