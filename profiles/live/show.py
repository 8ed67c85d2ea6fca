"""What a control does in an application, while it is pressed.

- `ContactReader` turns events of one box into contacts touched
- `Board` knows, for a linked profile, which bindings a contact triggers with what is held
- `describe_application`, `name_touched`, `describe_touched`: the same in words
"""

from collections.abc import Sequence
from dataclasses import dataclass

from profiles.facts.device import DeviceFacts
from profiles.host.axes import whole_axis
from profiles.live.buttons import FieldReader
from profiles.live.events import Event, grade_box
from profiles.model import Contact, Device, DeviceContact, Latching, Link, ResolvedBinding
from profiles.text.prose import join_words


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
        self._inputs = DeviceFacts(device).reported
        self._fields = FieldReader(device)
        for contact, number in self._inputs.items():
            self._by_input.setdefault(number, []).append(DeviceContact(device.id, *contact))
        self.held: set[DeviceContact] = set()
        self._released = {
            name: str(control.rest_contact)
            for name, control in device.controls.items()
            if isinstance(control, Latching)
            and not control.is_pulsing
            and Contact(name, control.rest_contact or "") not in self._inputs
        }
        """Controls that are put to rest when an input of theirs goes up: rest has no other."""

    def take(self, event: Event) -> tuple[DeviceContact, ...]:
        """The contacts that this event says were touched; several share an input at times."""
        if event.kind in ("hat", "axis"):
            came, left = self._fields.take(event) or (frozenset(), frozenset())
            for number in left:
                self.held.difference_update(self._by_input.get(number, ()))
            # A lever has one contact, whichever end it came to.
            fields = (n if n in self._by_input else whole_axis(n) for n in came)
            touched = [one for number in fields for one in self._by_input.get(number, ())]
            self.held.update(touched if event.kind == "hat" else ())
            return tuple(touched)
        found = self._by_input.get(event.number, [])
        match event.kind:
            case "added":
                self.held = {
                    contact for number in event.down for contact in self._by_input.get(number, ())
                }
            case "removed":
                self.held.clear()
            case "down":
                self.held.update(found)
                return tuple(found)
            case "up":
                self.held.difference_update(found)
                return tuple(
                    DeviceContact(contact.device, contact.control, self._released[contact.control])
                    for contact in found
                    if contact.control in self._released
                )
        return ()


class Board:
    """All boxes of a linked profile, by instance, and what touching them does."""

    def __init__(self, link: Link) -> None:
        self.link = link
        self._readers: dict[int, ContactReader] = {}

    @property
    def boxes(self) -> frozenset[int]:
        """Instances of the boxes that are plugged in."""
        return frozenset(self._readers)

    def attach(self, instance: int, device: Device) -> None:
        """Say which box is which device."""
        self._readers[instance] = ContactReader(device)

    def take(self, event: Event) -> tuple[Triggered, ...]:
        """What this event does in the application; nothing for boxes that are not attached.

        A box that is plugged in is attached if it may be a device of the profile.
        """
        if event.kind == "added" and event.box is not None:
            box = event.box
            grades = {device.id: grade_box(box, device.device.usb) for device in self.link.devices}
            best = max(self.link.devices, key=lambda one: grades[one.id], default=None)
            if best is not None and grades[best.id]:
                self.attach(event.device, best)
        reader = self._readers.get(event.device)
        if event.kind == "removed":
            self._readers.pop(event.device, None)
        touched = reader.take(event) if reader else ()
        return tuple(self.trigger(contact) for contact in touched)

    @property
    def held(self) -> frozenset[DeviceContact]:
        """Every contact that is closed now, on all boxes."""
        return frozenset(contact for reader in self._readers.values() for contact in reader.held)

    def trigger(self, contact: DeviceContact) -> Triggered:
        """What touching a contact does with what is held now."""
        held = self.held - {contact}
        met = [
            bound
            for bound in self.link.bound
            if bound.acting == contact and held.issuperset(bound.held)
        ]
        most = max((len(bound.held) for bound in met), default=0)
        return Triggered(
            contact,
            tuple(bound for bound in met if len(bound.held) == most),
            tuple(bound for bound in met if len(bound.held) < most),
        )


def describe_application(link: Link) -> str:
    """The application's name, or the profile's where its file is not in the library."""
    return link.application.name if link.application else link.profile.name


def describe_touched(link: Link, touched: Triggered) -> tuple[str, list[str]]:
    """What a contact does: the words to show large, and the lines under them."""
    where = name_touched(link, touched.contact)
    others = [f"by itself: {_name_actions(touched.others)}"] if touched.others else []
    if not touched.bound:
        return "nothing", [f"{where} is not bound", *others]
    words = " / ".join(dict.fromkeys(bound.legend for bound in touched.bound))
    lines = [f"{where}: {_name_actions(touched.bound)}"]
    held = dict.fromkeys(
        name_touched(link, contact) for bound in touched.bound for contact in bound.held
    )
    if held:
        lines.append(f"with {join_words(list(held))} held")
    return words, [*lines, *others]


def _name_actions(bound: Sequence[ResolvedBinding]) -> str:
    return join_words(list(dict.fromkeys(binding.action.name for binding in bound)))


def name_touched(link: Link, contact: DeviceContact) -> str:
    """A contact as its plate names it: label first, then the contact where it has several."""
    device = {device.id: device for device in link.devices}.get(contact.device)
    control = device.controls.get(contact.control) if device else None
    name = control.spoken_label if control and control.label else contact.control
    several = control is not None and len(control.contacts) > 1
    return f"{name} {contact.contact.replace('-', ' ')}" if several else name


def name_place(link: Link, bound: ResolvedBinding) -> str:
    """Where a binding is: its contacts, those held first."""
    return " + ".join(name_touched(link, contact) for contact in (*bound.held, bound.acting))
