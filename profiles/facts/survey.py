"""What many checks ask of a library, worked out once.

- `Survey`: the library with its devices and linked profiles, in the order of their ids
- `LinkFacts`: one linked profile, its bindings by what is pressed
- `DeviceFacts`, in a module of its own: one device
"""

from collections.abc import Iterable
from functools import cached_property

from profiles.facts.device import DeviceFacts, name_contact
from profiles.model import (
    Application,
    Board,
    ControlValue,
    DeviceContact,
    Library,
    Link,
    ResolvedBinding,
)
from profiles.text.prose import join_words

__all__ = ["DeviceFacts", "LinkFacts", "Slot", "Survey", "list_some", "name_contact"]

Slot = tuple[tuple[DeviceContact, ...], DeviceContact]
"""What is pressed: contacts held meanwhile, sorted, and the one that acts."""


class LinkFacts:
    """One linked profile, and its bindings by what is pressed."""

    def __init__(self, link: Link, devices: dict[str, DeviceFacts]) -> None:
        self.link = link
        self.id = link.profile.id
        self.application = link.application
        self.bound = link.bound
        self.used = link.used
        self.devices = [devices[device.id] for device in link.devices]
        self._by_id = devices

    @cached_property
    def slots(self) -> dict[Slot, list[ResolvedBinding]]:
        """Bindings by what is pressed, in the order of the file."""
        found: dict[Slot, list[ResolvedBinding]] = {}
        for one in self.bound:
            held = tuple(sorted(one.held)) if one.held else ()
            found.setdefault((held, one.acting), []).append(one)
        return found

    def control(self, contact: DeviceContact) -> ControlValue:
        """The control a contact belongs to."""
        return self._by_id[contact.device].controls[contact.control]

    def device(self, contact: DeviceContact) -> DeviceFacts:
        """The device a contact belongs to."""
        return self._by_id[contact.device]

    def name(self, contact: DeviceContact) -> str:
        """The contact as a key of this profile would name it, in backticks."""
        return f"`{self._bare_name(contact)}`"

    def name_slot(self, slot: Slot) -> str:
        """What is pressed as a key of this profile would name it, in backticks."""
        held, acting = slot
        return f"`{' + '.join(self._bare_name(one) for one in (*held, acting))}`"

    def _bare_name(self, contact: DeviceContact) -> str:
        name = name_contact(self.control(contact), contact.control, contact.contact)
        return name if len(self.devices) == 1 else f"{contact.device}/{name}"


class Survey:
    """A library with its devices and linked profiles, in the order of their ids."""

    def __init__(self, library: Library) -> None:
        self.library = library
        self._by_id = {key: DeviceFacts(value) for key, value in sorted(library.devices.items())}

    def board(self, device: DeviceFacts) -> Board | None:
        """The controller board of a device, where it names one that is known."""
        from profiles.wiring.boards import board_of

        return board_of(self.library, device.device)

    @property
    def devices(self) -> Iterable[DeviceFacts]:
        """Every device, in the order of the ids."""
        return self._by_id.values()

    @cached_property
    def links(self) -> tuple[LinkFacts, ...]:
        """Every profile, in the order of the ids."""
        return tuple(LinkFacts(link, self._by_id) for link in self.library.links)

    @cached_property
    def applications(self) -> tuple[tuple[str, Application], ...]:
        """Every application with its id, in the order of the ids."""
        return tuple(sorted(self.library.applications.items()))

    def links_of(self, device: str) -> list[LinkFacts]:
        """The profiles that bind a device."""
        return self._links_by_device.get(device, [])

    @cached_property
    def _links_by_device(self) -> dict[str, list[LinkFacts]]:
        found: dict[str, list[LinkFacts]] = {}
        for link in self.links:
            for device in link.devices:
                found.setdefault(device.id, []).append(link)
        return found


def list_some(words: list[str], most: int = 3) -> str:
    """Words as prose, cut after the first few: `a`, `b`, `c` and 4 more."""
    if len(words) <= most + 1:
        return join_words(words)
    return f"{', '.join(words[:most])} and {len(words) - most} more"
