"""The facts of a library: its devices and linked profiles, each worked out once.

`survey_of` and `facts_of` keep what they find with the library, so that whoever asks again is
answered from it. Libraries that hold the same device, such as those before and after a change of
something else, share its facts.
"""

from collections import deque
from collections.abc import Iterable
from functools import cached_property
from weakref import WeakValueDictionary

from profiles.facts.device import DeviceFacts
from profiles.facts.profile import ProfileFacts
from profiles.model import Application, Board, Device, Library

_SHARED: WeakValueDictionary[tuple[int, int], DeviceFacts] = WeakValueDictionary()
"""Facts by the identities of device and board, which they keep alive."""

_RECENT: deque[DeviceFacts] = deque(maxlen=8)
"""The last facts that were begun, for who reads a library again of which most is unchanged."""


def share_facts(device: Device, board: Board | None) -> DeviceFacts:
    """The facts of a device with its board, the same for whoever holds these very values."""
    key = id(device), id(board)
    found = _SHARED.get(key)
    if found is None:
        found = _SHARED[key] = DeviceFacts(device, board)
        _RECENT.append(found)
    return found


class Survey:
    """A library with its devices and linked profiles, in the order of their ids."""

    def __init__(self, library: Library) -> None:
        self.library = library
        self.by_id: dict[str, DeviceFacts] = {}
        for key, device in sorted(library.devices.items()):
            board = None
            if device.wiring.board is not None:
                from profiles.wiring.boards import board_of

                board = board_of(library, device)
            self.by_id[key] = share_facts(device, board)

    @property
    def devices(self) -> Iterable[DeviceFacts]:
        """Every device, in the order of the ids."""
        return self.by_id.values()

    @cached_property
    def links(self) -> tuple[ProfileFacts, ...]:
        """Every profile, in the order of the ids."""
        return tuple(ProfileFacts(link, self.by_id) for link in self.library.links)

    @cached_property
    def applications(self) -> tuple[tuple[str, Application], ...]:
        """Every application with its id, in the order of the ids."""
        return tuple(sorted(self.library.applications.items()))

    def links_of(self, device: str) -> list[ProfileFacts]:
        """The profiles that bind a device."""
        return self._links_by_device.get(device, [])

    @cached_property
    def _links_by_device(self) -> dict[str, list[ProfileFacts]]:
        found: dict[str, list[ProfileFacts]] = {}
        for link in self.links:
            for device in link.devices:
                found.setdefault(device.id, []).append(link)
        return found


def survey_of(library: Library) -> Survey:
    """The survey of a library, worked out once."""
    found = library.kept.get(Survey)
    if not isinstance(found, Survey):
        found = library.kept[Survey] = Survey(library)
    return found


def facts_of(library: Library, device_id: str) -> DeviceFacts:
    """The facts of a device of a library, worked out once. Raises KeyError."""
    return survey_of(library).by_id[device_id]
