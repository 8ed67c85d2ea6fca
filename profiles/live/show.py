"""What a control does in an application, while it is pressed.

- `ContactReader` turns events of one box into contacts touched
- `Board` knows, for a linked profile, which bindings a contact triggers with what is held
"""

from dataclasses import dataclass

from profiles.live.events import Event
from profiles.model import Device, DeviceContact, Latching, Link, ResolvedBinding
from profiles.wiring.circuit import numbering_of


@dataclass(frozen=True, slots=True)
class Triggered:
    """A contact touched, and what it does.

    `bound` are the bindings that want the most of what is held; `others` those that want less and
    are met too, which an application may act on as well.
    """

    contact: DeviceContact
    bound: tuple[ResolvedBinding, ...]
    others: tuple[ResolvedBinding, ...] = ()


class ContactReader:
    """Turns the events of one box into contacts; keeps which of them are closed."""

    def __init__(self, device: Device) -> None:
        self.device = device
        self._by_input: dict[int, list[DeviceContact]] = {}
        for terminal, number in numbering_of(device).numbers.items():
            contact = DeviceContact(device.id, terminal.control, terminal.contact)
            self._by_input.setdefault(number, []).append(contact)
        self.held: set[DeviceContact] = set()

    def contacts_at(self, number: int) -> tuple[DeviceContact, ...]:
        """The contacts with this input number."""
        return tuple(self._by_input.get(number, ()))

    def take(self, event: Event) -> tuple[DeviceContact, ...]:
        """The contacts that this event says were touched; several share an input at times."""
        if event.kind == "added":
            self.held = {one for number in event.down for one in self._by_input.get(number, ())}
            return ()
        if event.kind == "removed":
            self.held.clear()
        found = self.contacts_at(event.number)
        if event.kind == "down":
            self.held.update(found)
            return found
        if event.kind == "up":
            self.held.difference_update(found)
            return tuple(off for one in found if (off := self._opposite(one)))
        return ()

    def _opposite(self, contact: DeviceContact) -> DeviceContact | None:
        """A latching control that reports its state is put off when the input of `on` goes up."""
        control = self.device.controls[contact.control]
        if not isinstance(control, Latching) or control.reports != "state":
            return None
        if contact.contact != "on" or "off" in control.input_by_contact:
            return None
        return DeviceContact(contact.device, contact.control, "off")


class Board:
    """All boxes of a linked profile, by instance, and what touching them does."""

    def __init__(self, link: Link) -> None:
        self.link = link
        self._readers: dict[int, ContactReader] = {}

    def attach(self, instance: int, device: Device) -> None:
        """Say which box is which device."""
        self._readers[instance] = ContactReader(device)

    def take(self, event: Event) -> tuple[Triggered, ...]:
        """What this event does in the application; nothing for boxes that are not attached."""
        reader = self._readers.get(event.device)
        if reader is None:
            return ()
        return tuple(self.trigger(contact) for contact in reader.take(event))

    @property
    def held(self) -> frozenset[DeviceContact]:
        """Every contact that is closed now, on all boxes."""
        return frozenset(one for reader in self._readers.values() for one in reader.held)

    def trigger(self, contact: DeviceContact) -> Triggered:
        """What touching a contact does with what is held now."""
        held = self.held - {contact}
        met = [
            one for one in self.link.bound if one.acting == contact and held.issuperset(one.held)
        ]
        most = max((len(one.held) for one in met), default=0)
        return Triggered(
            contact,
            tuple(one for one in met if len(one.held) == most),
            tuple(one for one in met if len(one.held) < most),
        )
