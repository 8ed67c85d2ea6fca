"""Free places of a profile: what a hand could still be given to do.

A slot is one contact, or both directions of a rotary for a pair of steps.
"""

from dataclasses import dataclass

from profiles.facts.profile import ProfileFacts
from profiles.facts.signals import Nature, nature_of
from profiles.model import ControlValue, DeviceContact, Rotary


@dataclass(frozen=True, slots=True)
class Slot:
    """Free contacts that would be bound together, on one control."""

    contacts: tuple[DeviceContact, ...]
    control: ControlValue

    @property
    def contact(self) -> DeviceContact:
        """The first, and for all but rotary pairs the only, contact."""
        return self.contacts[0]

    @property
    def nature(self) -> Nature:
        """How the input of the contact behaves."""
        return nature_of(self.control, self.contact.contact)


def find_slots(link: ProfileFacts) -> tuple[list[Slot], list[Slot]]:
    """Single contacts, and rotary pairs, that the box sends and the profile leaves unused."""
    singles: list[Slot] = []
    pairs: list[Slot] = []
    for device in link.devices:
        for control_id, contacts in device.contacts.items():
            control = device.controls[control_id]
            free = [
                DeviceContact(device.id, control_id, contact)
                for contact in contacts
                if (device.id, control_id, contact) not in link.used
                and (control_id, contact) in device.signals
            ]
            turns = tuple(one for one in free if one.contact.endswith("clockwise"))
            if isinstance(control, Rotary) and len(turns) == 2:
                pairs.append(Slot(turns, control))
                free = [one for one in free if one not in turns]
            singles.extend(Slot((one,), control) for one in free)
    return singles, pairs


SUITS: dict[str, dict[str, float]] = {
    "pulse": {"button": 0, "edge": 1, "turn": 2, "position": 4, "state": 5},
    "held": {"button": 0, "state": 2, "position": 3},
    "follows": {"state": 0, "position": 1},
    "step": {"turn": 0, "button": 1, "edge": 4},
    "axis": {"axis": 0},
}
"""How ill a contact suits a behaviour, 0 best; a pair that is missing does not work.

A pulse on a contact that stays down acts once and then waits for the next change; a held action
on a rotary detent would last for one pulse; rule of thumb.
"""
