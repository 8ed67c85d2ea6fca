"""The words of each control for one profile.

What a contact does in different contexts is side by side, joined by a slash. What it does
while other contacts are held is under its own words, the held control's label in front.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, NamedTuple

from profiles.text.finding import Spot

if TYPE_CHECKING:
    from profiles.model.contact import DeviceContact
    from profiles.model.device import Device
    from profiles.model.library import Link, ResolvedBinding

JOINT = "\u00a0/ "
"""Between what one contact does in different contexts; a line never begins with it."""


class Legend(NamedTuple):
    """The words for one contact of a control, and the bindings they come from."""

    contact: DeviceContact
    text: str
    held: tuple[DeviceContact, ...]
    short: str
    """The same in shorter words where some were given by hand."""
    bound: tuple[ResolvedBinding, ...]

    @property
    def spot(self) -> Spot:
        """Where the first of its bindings is."""
        return self.bound[0].spot

    @property
    def held_id(self) -> str:
        """The contacts held meanwhile, as one word; empty for none."""
        return "+".join(one.short for one in self.held)


def find_legends(link: Link, device: Device) -> tuple[Legend, ...]:
    """The legends of one device in a profile, in the order of its controls and contacts."""
    grouped: dict[tuple[DeviceContact, tuple[DeviceContact, ...]], list[ResolvedBinding]] = {}
    for bound in link.bound:
        if bound.acting.device == device.id:
            grouped.setdefault((bound.acting, bound.held), []).append(bound)
    legends = [
        Legend(
            contact,
            join_legends(bound.legend for bound in found),
            held,
            join_legends(bound.short for bound in found),
            tuple(found),
        )
        for (contact, held), found in grouped.items()
    ]
    controls = list(device.controls)

    def order(legend: Legend) -> tuple[int, int, int]:
        control = legend.contact.control
        contacts = device.controls[control].contacts
        return controls.index(control), len(legend.held), contacts.index(legend.contact.contact)

    return tuple(sorted(legends, key=order))


def join_legends(words: Iterable[str]) -> str:
    """Different words once each, in order."""
    return JOINT.join(dict.fromkeys(words))
