"""What the screen is looking at: the working copy, the device and profile chosen, what was found.

Panes read from one `Session` and change it by its methods; it knows nothing of widgets.
"""

from collections.abc import Callable, Iterable
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from profiles.facts.device import DeviceFacts
from profiles.facts.profile import ControlFacts, control_facts, controls_of
from profiles.files.library import LoadedLibrary
from profiles.files.toml_edit import EditError
from profiles.model import SEVERITIES, Device, DeviceContact, Finding, Library, Link
from profiles.plate.order import Direction, moves, reading_order
from profiles.plate.outlines import centres_of
from profiles.text.finding import Accepted
from profiles.text.prose import count
from profiles.tui.heading import UNCHECKED, tell_unchecked, write_heading
from profiles.tui.naming import (
    Names,
    documents_of,
    find_names,
    find_quoted,
    name_documents,
    name_ids,
)
from profiles.tui.ways import say_here
from profiles.work.copy import WorkingCopy
from profiles.work.edits import Edit, Slot, link_of
from profiles.work.judge import describe_change, judge_edit

if TYPE_CHECKING:
    from profiles.checks.registry import Result
    from profiles.host.device_view import Shown


class Tally(NamedTuple):
    """How many findings of each severity there are."""

    error: int
    warning: int
    note: int

    @classmethod
    def of(cls, findings: Iterable[Finding]) -> "Tally":
        """Count findings."""
        found = [finding.severity for finding in findings]
        return cls(*(found.count(severity) for severity in SEVERITIES))

    def __str__(self) -> str:
        return ", ".join(map(count, self, SEVERITIES))

    @property
    def brief(self) -> str:
        """The same in few letters, those that the list of findings has."""
        return f"{self.error} E, {self.warning} w, {self.note} n"


class Look:
    """What is derived from one state of the library, computed when asked for."""

    def __init__(self, session: "Session") -> None:
        self.session = session

    @cached_property
    def device(self) -> Device | None:
        """The chosen device."""
        return self.session.library.devices.get(self.session.device_id)

    @cached_property
    def link(self) -> Link | None:
        """The chosen profile, resolved."""
        if self.session.profile_id not in self.session.library.profiles:
            return None
        return link_of(self.session.library, self.session.profile_id)

    @cached_property
    def facts(self) -> dict[str, ControlFacts]:
        """Every control of the device in the profile."""
        if self.device is None:
            return {}
        return control_facts(self.device, self.link, self.session.findings)

    @cached_property
    def moves(self) -> dict[str, dict[Direction, str]]:
        """Where each arrow key leads."""
        return moves(centres_of(self.device)) if self.device and self.device.controls else {}

    @cached_property
    def order(self) -> tuple[str, ...]:
        """Controls as one reads the plate."""
        return reading_order(centres_of(self.device)) if self.device else ()

    @cached_property
    def shown(self) -> "dict[int, Shown]":
        """How the application writes each button of the device, or why it never sees it."""
        from profiles.facts.signals import LAST_BUTTON
        from profiles.host.device_view import show_inputs

        link, device = self.link, self.device
        if link is None or link.application is None or device is None:
            return {}
        numbers = [one for one in DeviceFacts(device).reported.values() if one <= LAST_BUTTON]
        return show_inputs(link.application, device, numbers)

    @cached_property
    def names(self) -> dict[tuple[str, ...], Names]:
        """What ids stand for, by the documents that are spoken of."""
        return {}

    @cached_property
    def documents(self) -> dict[str, str]:
        """The documents of the library by their names."""
        return name_documents(self.session.library)


class Session:
    """The working copy, and what is chosen and found in it."""

    def __init__(self, loaded: LoadedLibrary) -> None:
        self.copy = WorkingCopy(loaded)
        self.checked: Library | None = None
        """The library that these findings are of."""
        self.library_findings: tuple[Finding, ...] = ()
        self.accepted: tuple[Accepted, ...] = ()
        self._own: tuple[tuple[str, str], tuple[Finding, ...]] = ("", ""), ()
        self._moves: list[tuple[str, str]] = []
        self.device_id = ""
        self.profile_id = ""
        self.control = ""
        self.contact = 0
        self.view = Look(self)
        self.settle()

    @property
    def library(self) -> Library:
        """The library as it is on the screen."""
        return self.copy.library

    @property
    def problems(self) -> tuple[Finding, ...]:
        """What is wrong with the files themselves."""
        return self.copy.problems

    def problem_of(self, document: str) -> Finding | None:
        """The first problem of a file that cannot be used, by the name of what it describes."""
        known = self.library.documents
        mine = (one for one in self.problems if self.copy.loaded.name_of(one) == document)
        return None if document in known else next(mine, None)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What the checks found of the chosen profile and device alone; nothing before that."""
        chosen, found = self._own
        return found if chosen == (self.profile_id, self.device_id) else ()

    @property
    def tally(self) -> Tally:
        """How many findings of the chosen profile and device there are, by severity."""
        return Tally.of(self.findings)

    @property
    def next_step(self) -> str:
        """What comes next on the way to a box with words on it; empty where all is there."""
        from profiles.work.beginning import find_next_step

        following = find_next_step(self.library, self.device_id)
        return f"{following.words} Ctrl+N starts it." if following else ""

    @property
    def heading(self) -> str:
        """What is unsaved, what was found, and what is looked at, on one line."""
        device, link = self.view.device, self.view.link
        unsaved = len(self.copy.dirty)
        return write_heading(
            f"{unsaved} unsaved" if unsaved else "saved",
            str(self.tally) if self._own[0] == (self.profile_id, self.device_id) else UNCHECKED,
            link.profile.name if link else "no profile",
            device.name if device else "no device",
        )

    @property
    def library_count(self) -> tuple[str, str]:
        """What was found in the whole library, in words and in few letters."""
        found, name = Tally.of(self.all_findings), self.copy.loaded.folder.name
        if self.checked is None and not self.problems:
            return tell_unchecked(name)
        return f"library {name}: {found}", f"library: {found.brief}"

    @property
    def all_findings(self) -> tuple[Finding, ...]:
        """Those of the library: problems of files first, then what the checks found."""
        return (*self.problems, *self.library_findings)

    def settle(self) -> None:
        """Keep every choice that still leads somewhere; choose another where one does not."""
        self.view = Look(self)
        library = self.library
        profiles, devices = library.profiles, library.devices
        for pair in self._moves:  # made, or taken back
            for old, new in (pair, pair[::-1]):
                if self.profile_id == old and old not in profiles and new in profiles:
                    self.profile_id = new
                if self.device_id == old and old not in devices and new in devices:
                    self.device_id = new
        if self.profile_id not in profiles:
            chosen = self.device_id in devices
            fit = (
                k
                for k in sorted(profiles)
                if not chosen or self.device_id in profiles[k].device_ids
            )
            self.profile_id = next(fit, "")
        if self.device_id not in devices:
            profile = profiles.get(self.profile_id)
            named = [one for one in (profile.device_ids if profile else ()) if one in devices]
            self.device_id = next(iter([*named, *sorted(devices)]), "")
        if self.control not in self.view.facts:
            self.control, self.contact = next(iter(self.view.order), ""), 0
        self.contact = min(self.contact, max(len(self.contacts) - 1, 0))

    def return_to(self, profile: str, device: str) -> None:
        """Look at a profile and device as before, where they are still there."""
        if profile in self.library.profiles:
            self.choose_profile(profile)
        if device in self.library.devices and device != self.device_id:
            self.choose_device(device)
        self.control = next(iter(self.view.order), "")

    def choose_profile(self, profile: str) -> None:
        """Look at another profile, and at a device that it binds."""
        self.profile_id = profile
        value = self.library.profiles[profile]
        if self.device_id not in value.device_ids:
            self.device_id = ""
        self.settle()

    def choose_device(self, device: str) -> None:
        """Look at another device, and at a profile that binds it."""
        self.device_id = device
        value = self.library.profiles.get(self.profile_id)
        if value is None or device not in value.device_ids:
            self.profile_id = ""
        self.control = ""
        self.settle()

    @property
    def in_view(self) -> tuple[str, ...]:
        """The documents that are looked at: device, profile, application."""
        link = self.view.link
        application = link.profile.profile.application if link else ""
        return self.device_id, self.profile_id, application

    @property
    def binds(self) -> Link:
        """The profile, where the chosen device can be bound in it.

        Raises:
            EditError: where there is no profile, or it binds other devices.
        """
        link = self.view.link
        if link is None:
            raise EditError("no profile binds this device; Ctrl+N starts one")
        if self.device_id not in {one.id for one in link.devices}:
            raise EditError(f"profile `{link.profile.id}` does not bind `{self.device_id}`")
        return link

    @property
    def contacts(self) -> tuple[DeviceContact, ...]:
        """The contacts of the chosen control that have an input or a binding."""
        facts = self.view.facts.get(self.control)
        return tuple(contact.contact for contact in facts.contacts) if facts else ()

    @property
    def slot(self) -> Slot | None:
        """The chosen contact, pressed alone."""
        contacts = self.contacts
        return Slot((), contacts[self.contact]) if self.contact < len(contacts) else None

    def select(self, control: str, contact: str | None = None) -> None:
        """Choose a control, and one of its contacts."""
        if control not in self.view.facts:
            return
        self.control, self.contact = control, 0
        names = [one.contact for one in self.contacts]
        if contact in names:
            self.contact = names.index(contact)

    def step(self, direction: Direction) -> bool:
        """Go to the control that lies there; returns whether there is one."""
        after = self.view.moves.get(self.control, {}).get(direction)
        if after is not None:
            self.select(after)
        return after is not None

    def turn_contact(self, by: int) -> None:
        """Go to another contact of the control, round and round."""
        if self.contacts:
            self.contact = (self.contact + by) % len(self.contacts)

    def aim_at(self, finding: Finding) -> bool:
        """Choose the device, profile and control of a finding; returns whether there is one."""
        spots = [finding.spot, *(relation.spot for relation in finding.related)]
        named = [spot.document for spot in spots]
        profile = next((one for one in named if one in self.library.profiles), None)
        if profile is not None and profile != self.profile_id:
            self.choose_profile(profile)
        chosen = self.library.profiles.get(self.profile_id)
        places = [*named, self.device_id, *(chosen.device_ids if chosen else ())]
        for device in dict.fromkeys(place for place in places if place in self.library.devices):
            value = self.library.devices[device]
            for control in controls_of(value, self.view.link, finding):
                if device != self.device_id:
                    self.choose_device(device)
                self.select(control)
                return True
        return False

    def describe(self, finding: Finding) -> str:
        """The message of a finding, with names in place of ids."""
        return self.name(finding.message, documents_of(finding))

    def advise(self, finding: Finding) -> str:
        """The remedy of a finding, with names in place of ids."""
        return self.name(finding.remedy, documents_of(finding))

    @property
    def names(self) -> Names:
        """What the ids of the chosen profile and device stand for."""
        return self.names_of(self.profile_id, self.device_id)

    def name(self, text: str, documents: Iterable[str] = (), before: Library | None = None) -> str:
        """A sentence with names in place of ids.

        They are of the documents that it names itself, otherwise of those that it is about, which
        are the chosen ones where none is given; `before` may still know what is gone by now.
        """
        about = tuple(documents) or (self.profile_id, self.device_id)
        known, quoted = self.view.documents, dict.fromkeys(find_quoted(text))
        names = self.names_of(*about)
        if before is not None and before is not self.library:
            names = find_names(before, about) | names
        if not quoted.keys() <= names.known.keys():
            named = tuple(one for one in quoted if one in self.library.documents)
            others = {one: known[one] for one in named if one in known}
            names = Names(others) | names
            names |= self.names_of(*named) if named else Names()
        return name_ids(say_here(text), names)

    def judge(self, edit: Edit, heading: str = "", *, profile: str = "") -> Callable[[], str]:
        """What to compute, off the screen's thread, to tell by names what a change would bring to
        the chosen profile, or to another."""
        profile = profile or self.profile_id
        names = self.names_of(profile, self.device_id)
        find = judge_edit(self.copy, profile, edit, heading)
        return lambda: name_ids(find(), names)

    def describe_change(self, before: Library, after: Library, heading: str) -> Callable[[], str]:
        """What to compute to tell by names which findings of the chosen profile come and go."""
        names, profile = self.names, self.profile_id
        return lambda: name_ids(describe_change(profile, before, after, heading), names)

    def names_of(self, *documents: str) -> Names:
        """What the ids of documents stand for, and those of the documents that they lead to."""
        if documents not in self.view.names:
            named = self.view.documents
            self.view.names[documents] = find_names(self.library, documents, named)
        return self.view.names[documents]

    def apply(self, edit: Edit) -> bool:
        """Make a change; what is looked at is followed to its new id. Raises EditError."""
        changed = edit.apply(self.copy)
        if changed and edit.moved is not None:
            self._moves.append(edit.moved)
        self.settle()
        return changed

    def take_result(self, profile: str, device: str, result: "Result") -> None:
        """Show what the checks found of one profile and device alone."""
        self._own = (profile, device), result.findings
        self.settle()

    def take_library_result(self, library: Library, result: "Result") -> None:
        """Show what the checks found of the library as a whole."""
        self.checked = library
        self.library_findings, self.accepted = result.findings, result.accepted
