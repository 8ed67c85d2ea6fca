"""The library: devices, applications, profiles, boards and parts, and what links them.

`Library.links` resolves every profile once. A name that leads nowhere is kept as an
`UnresolvedName` with its spot and one close spelling, for a check to report; nothing raises.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

from profiles.model.application import Action, Application
from profiles.model.binding import BindingKey, BoundAction, ContactName
from profiles.model.board import Board
from profiles.model.contact import DeviceContact
from profiles.model.device import Device
from profiles.model.part import Part
from profiles.model.profile import Profile
from profiles.model.settings import Settings
from profiles.text.finding import Spot
from profiles.text.suggest import closest


class UnresolvedName(NamedTuple):
    """A name that leads nowhere."""

    spot: Spot
    kind: str
    word: str
    suggestion: str | None


class ResolvedBinding(NamedTuple):
    """One action on one contact, with what is held meanwhile."""

    profile: str
    key: str
    held: tuple[DeviceContact, ...]
    acting: DeviceContact
    action_id: str
    action: Action
    use: BoundAction

    @property
    def spot(self) -> Spot:
        """Where the key is written."""
        return Spot(self.profile, ("bindings", self.key))

    @property
    def legend(self) -> str:
        """The words to print for this binding."""
        return self.action.words if self.use.legend is None else self.use.legend

    @property
    def short(self) -> str:
        """The words to print where those have no place: shorter ones given by hand, or the same."""
        if self.use.legend is None and self.use.short is None:
            return self.action.short or self.legend
        return self.use.short or self.legend


class Link(NamedTuple):
    """A profile with everything its names lead to.

    `used` are the contacts that its keys name, or most likely mean, whether or not what they are
    bound to is known.
    """

    profile: Profile
    application: Application | None
    devices: tuple[Device, ...]
    bound: tuple[ResolvedBinding, ...]
    loose: tuple[UnresolvedName, ...]
    used: frozenset[DeviceContact]


class Unusable(NamedTuple):
    """What is known of a document whose file cannot be used; None where it could not be read."""

    kind: str | None
    id: str | None


LibraryDocument = Device | Application | Profile | Board | Part
"""What one file of a library describes."""


def kind_of(document: LibraryDocument) -> str:
    """The kind of a document, which is the name of its table too."""
    return type(document).__name__.lower()


@dataclass(frozen=True)
class Library:
    """All documents of one library, by id."""

    devices: Mapping[str, Device] = field(default_factory=dict)
    applications: Mapping[str, Application] = field(default_factory=dict)
    profiles: Mapping[str, Profile] = field(default_factory=dict)
    boards: Mapping[str, Board] = field(default_factory=dict)
    parts: Mapping[str, Part] = field(default_factory=dict)
    settings: Settings = field(default_factory=lambda: Settings(format=1))
    unusable: tuple[Unusable, ...] = ()

    @classmethod
    def of(
        cls,
        documents: Iterable[LibraryDocument],
        settings: Settings | None = None,
        unusable: tuple[Unusable, ...] = (),
    ) -> "Library":
        """A library of these documents; of two with one id the first stays."""
        devices: dict[str, Device] = {}
        applications: dict[str, Application] = {}
        profiles: dict[str, Profile] = {}
        boards: dict[str, Board] = {}
        parts: dict[str, Part] = {}
        for document in documents:
            match document:
                case Device():
                    devices.setdefault(document.id, document)
                case Application():
                    applications.setdefault(document.id, document)
                case Profile():
                    profiles.setdefault(document.id, document)
                case Board():
                    boards.setdefault(document.id, document)
                case Part():
                    parts.setdefault(document.id, document)
        settings = settings or Settings(format=1)
        return cls(devices, applications, profiles, boards, parts, settings, unusable)

    def may_define(self, kind: str, word: str | None = None) -> bool:
        """Whether a file that cannot be used may hold this document, or any of this kind.

        Nothing is to be concluded from the absence of such a document.
        """
        return any(
            document.kind in (None, kind) and (word is None or document.id in (None, word))
            for document in self.unusable
        )

    @cached_property
    def documents(self) -> Mapping[str, LibraryDocument]:
        """Every document by id."""
        kinds = (self.devices, self.applications, self.profiles, self.boards, self.parts)
        return {key: document for kind in kinds for key, document in kind.items()}

    @cached_property
    def links(self) -> tuple[Link, ...]:
        """Every profile, resolved, in the order of their ids."""
        return tuple(link_profile(self, self.profiles[key]) for key in sorted(self.profiles))

    @cached_property
    def kept(self) -> dict[type, object]:
        """What rooms above work out once for this library, by class."""
        return {}

    @cached_property
    def _pressed(self) -> dict[tuple[str, ...], dict[str, "Pressed"]]:
        """What binding keys lead to, by the devices of a profile; filled while linking."""
        return {}

    def link(self, profile_id: str) -> Link:
        """The resolved profile of this id.

        Raises:
            KeyError: where there is none.
        """
        return self.links_by_id[profile_id]

    @cached_property
    def links_by_id(self) -> Mapping[str, Link]:
        """Every resolved profile by its id."""
        return {link.profile.id: link for link in self.links}

    def profiles_of(self, device_id: str) -> tuple[Link, ...]:
        """The resolved profiles that bind this device."""
        return tuple(link for link in self.links if device_id in link.profile.device_ids)


Pressed = tuple[tuple[DeviceContact, ...], DeviceContact]
"""Contacts held meanwhile, and the one that acts."""


def link_profile(library: Library, profile: Profile) -> Link:
    """Resolve one profile against a library."""
    return _Linker(library, profile).link()


class _Linker:
    """Resolves the names of one profile, collecting those that lead nowhere."""

    def __init__(self, library: Library, profile: Profile) -> None:
        self.library = library
        self.profile = profile
        self.loose: dict[UnresolvedName, None] = {}
        self.used: set[DeviceContact] = set()
        self.known = library._pressed.setdefault(profile.device_ids, {})

    def link(self) -> Link:
        library, profile = self.library, self.profile
        word = profile.profile.application
        application = library.applications.get(word)
        if application is None and not library.may_define("application", word):
            spot = Spot(profile.id, ("profile", "application"))
            self._miss(spot, "application", word, library.applications)
        for place, word in enumerate(profile.device_ids):
            if word not in library.devices and not library.may_define("device", word):
                several = profile.profile.devices is not None
                path = ("profile", "devices", place) if several else ("profile", "device")
                self._miss(Spot(profile.id, path), "device", word, library.devices)
        devices = tuple(
            library.devices[id_] for id_ in profile.device_ids if id_ in library.devices
        )
        bound: list[ResolvedBinding] = []
        is_whole = len(devices) == len(profile.device_ids)
        actions = {} if application is None else application.actions
        profile_id = profile.id
        for key, parsed, uses in profile.entries:
            pressed = self.known.get(key) or self._find_pressed(key, parsed, devices)
            if pressed is not None:
                held, acting = pressed
                self.used.update((acting, *held))
            if not is_whole and None in {name.device for name in (*parsed.held, parsed.acting)}:
                pressed = None
            if application is None:
                continue
            for use in uses:
                word = use.action
                action = actions.get(word)
                if action is None:
                    self._miss(Spot(profile_id, ("bindings", key)), "action", word, actions)
                elif pressed is not None:
                    bound.append(ResolvedBinding(profile_id, key, held, acting, word, action, use))
        loose = tuple(self.loose)
        return Link(profile, application, devices, tuple(bound), loose, frozenset(self.used))

    def _miss(self, spot: Spot, kind: str, word: str, known: Iterable[str]) -> str | None:
        meant = closest(word, known)
        self.loose.setdefault(UnresolvedName(spot, kind, word, meant))
        return meant

    def _use(self, device: Device, control: str | None, contact: str | None) -> None:
        """Count a contact as used that a misspelt key most likely means."""
        meant = device.controls.get(control or "")
        contact = contact or (meant.main_contact if meant else None)
        if control and contact and meant and contact in meant.contacts:
            self.used.add(DeviceContact(device.id, control, contact))

    def _find_pressed(
        self, key: str, parsed: BindingKey, devices: tuple[Device, ...]
    ) -> Pressed | None:
        """The contacts of a key; kept for other profiles of the same devices."""
        spot = Spot(self.profile.id, ("bindings", key))
        held = [self._find_contact(name, devices, spot) for name in parsed.held]
        acting = self._find_contact(parsed.acting, devices, spot)
        kept = tuple(one for one in held if one is not None)
        if acting is None or len(kept) < len(held):
            return None
        self.known[key] = (kept, acting)
        return self.known[key]

    def _find_contact(
        self, name: ContactName, devices: tuple[Device, ...], spot: Spot
    ) -> DeviceContact | None:
        """The contact of a name; a miss is told unless a device that is missing may explain it."""
        if name.device is None:
            owners = [device for device in devices if name.control in device.controls]
        else:
            owners = [device for device in devices if device.id == name.device]
        if len(owners) > 1:
            self._miss(spot, "one device", name.control, ())
            return None
        if not owners:
            if name.device is not None:
                if name.device not in self.profile.device_ids:
                    self._miss(spot, "device", name.device, self.profile.device_ids)
            elif len(devices) == len(self.profile.device_ids):
                known = [control for device in devices for control in device.controls]
                meant = self._miss(spot, "control", name.control, known)
                for device in devices:
                    self._use(device, meant, name.contact)
            return None
        device = owners[0]
        control = device.controls.get(name.control)
        if control is None:
            meant = self._miss(spot, "control", name.control, device.controls)
            self._use(device, meant, name.contact)
            return None
        contact = name.contact or control.main_contact
        if contact is None:
            self._miss(spot, "contact", name.control, ())
            return None
        if contact not in control.contacts:
            meant = self._miss(spot, "contact", contact, control.contacts)
            self._use(device, name.control, meant)
            return None
        return DeviceContact(device.id, name.control, contact)
