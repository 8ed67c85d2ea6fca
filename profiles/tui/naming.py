"""What people call things: labels, actions and documents by their names in place of ids.

Rooms below write ids between backticks; here a sentence gets a name for each. An id stays where it
has no name, where two things of one sort are called the same, and where the id itself is meant.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from profiles.facts.device import name_contact
from profiles.model import Contact, Device, DeviceContact, Finding, Library, Spot

QUOTED = re.compile(r"`([^`]+)`")

ITSELF = re.compile(r"\b[iI]ds? $")
"""What comes before an id that is meant itself."""

TYPED = re.compile(r"(?:^|[.;] )Write [^.;]*$|such as $")
"""What comes before an id that is typed into a file: it stays beside the name."""

ACTS = re.compile(r"\bBind [^.]*\bto $|\bloses [^.]*$|\bagain in the application: [^.]*$")
"""What comes before the id of an action in the words of an edit."""

UNBINDS = re.compile(r"\bUnbind $")
"""What comes before that of an action, where ` from ` and a control follow."""

ON = re.compile(
    r"\b(?:Bind|Unbind|Unbind [^.]* from|Swap|Swap [^.]* and|Move|Renumber|Delete|the legend of) $"
)
"""What comes before that of a control, or of its contact."""

TABLES = ("controls", "actions", "bindings")
"""Tables of files whose keys are ids of things that have names."""


@dataclass(frozen=True)
class Names:
    """Names by id of some things; one that has none, or shares it with another, is not there."""

    documents: Mapping[str, str] = field(default_factory=dict)
    contacts: Mapping[str, str] = field(default_factory=dict)
    """Controls and contacts, by every spelling of them: `trim`, `trim.press`, `desk/trim.press`."""
    actions: Mapping[str, str] = field(default_factory=dict)

    def __or__(self, other: "Names") -> "Names":
        """These and others, which win."""
        return Names(
            {**self.documents, **other.documents},
            {**self.contacts, **other.contacts},
            {**self.actions, **other.actions},
        )

    @cached_property
    def known(self) -> Mapping[str, str]:
        """The name of each id, whatever it is of; none where that is not clear. Of a control and
        an action that differ in capitals alone it is that of the control."""
        both = self.contacts.keys() & self.actions.keys()
        unclear = {
            id_ for id_ in both if self.contacts[id_].casefold() != self.actions[id_].casefold()
        }
        unclear |= {
            id_
            for id_ in self.documents.keys() & (self.contacts.keys() | self.actions.keys())
            if self.documents[id_] != (self.contacts.get(id_) or self.actions[id_])
        }
        found = {**self.documents, **self.actions, **self.contacts}
        return {id_: name for id_, name in found.items() if id_ not in unclear}

    @cached_property
    def called(self) -> frozenset[str]:
        """Names that are no ids, so that a sentence that has one means it."""
        return frozenset(self.known.values()) - self.contacts.keys() - self.actions.keys()

    def document(self, id_: str) -> str:
        """A document by its name, or its id."""
        return self.documents.get(id_, id_)

    def action(self, id_: str) -> str:
        """An action by its name, or its id."""
        return self.actions.get(id_, id_)

    def contact(self, key: str | Contact | DeviceContact) -> str:
        """A control, a contact or a chord of them by the labels, or as it is spelled."""
        if isinstance(key, DeviceContact):
            return self.contacts.get(str(key), key.short)
        return " + ".join(self.contacts.get(part, part) for part in str(key).split(" + "))


def name_documents(library: Library) -> dict[str, str]:
    """The documents of a library by their names."""
    found: dict[str, str] = {}
    for documents in (library.profiles, library.devices, library.applications, library.parts):
        found |= _unlike((id_, one.name) for id_, one in documents.items())
    return found


def find_names(
    library: Library, documents: Iterable[str], named: Mapping[str, str] | None = None
) -> Names:
    """What the ids of these documents stand for, and those of the documents that they lead to.

    `named` is what `name_documents` finds, where that is known.
    """
    reached = list(documents)
    for profile in filter(None, map(library.profiles.get, tuple(reached))):
        reached += [*profile.device_ids, profile.profile.application]
    reached = list(dict.fromkeys(reached))
    named = name_documents(library) if named is None else named
    devices = [library.devices[one] for one in reached if one in library.devices]
    applications = [library.applications[one] for one in reached if one in library.applications]
    return Names(
        {id_: named[id_] for id_ in reached if id_ in named},
        _name_contacts(devices),
        _unlike((key, one.name) for app in applications for key, one in app.actions.items()),
    )


def _unlike(named: Iterable[tuple[str, str]]) -> dict[str, str]:
    """The name of each id that has one name, which nothing else has, whatever its capitals."""
    names: dict[str, set[str]] = {}
    owners: dict[str, set[str]] = {}
    for id_, given in named:
        name = " ".join(given.split())
        names.setdefault(id_, set()).add(name)
        owners.setdefault(name.casefold(), set()).add(id_)
    return {
        id_: name
        for id_, (name, *others) in ((id_, [*found]) for id_, found in names.items())
        if name and not others and len(owners[name.casefold()]) == 1
    }


def _name_contacts(devices: Iterable[Device]) -> dict[str, str]:
    known = [(device, key, one) for device in devices for key, one in device.controls.items()]
    labels = _unlike((f"{device.id}/{key}", one.spoken_label) for device, key, one in known)
    found: dict[str, set[str]] = {}
    for device, key, control in known:
        label = labels.get(f"{device.id}/{key}", "")
        spelled = {key: label}
        for contact in control.contacts:
            way = contact.replace("-", " ")
            words = f"{label} {way}" if label and len(control.contacts) > 1 else label
            for spelling in (f"{key}.{contact}", name_contact(control, key, contact)):
                spelled.setdefault(spelling, words)
        for spelling, words in spelled.items():
            found.setdefault(spelling, set()).add(words)
            found.setdefault(f"{device.id}/{spelling}", set()).add(words)
    return {
        spelling: words
        for spelling, (words, *others) in ((key, [*one]) for key, one in found.items())
        if words and not others
    }


def name_ids(text: str, names: Names) -> str:
    """A sentence with a name for each id in backticks, chords part by part, keys by their owner."""

    def name(match: re.Match[str]) -> str:
        if match[1] in names.called:
            return _quote(match[1])
        before = text[: match.start()]
        known = names.known
        if ACTS.search(before) or (
            UNBINDS.search(before) and text.startswith(" from `", match.end())
        ):
            known = {**known, **names.actions}
        elif ON.search(before):
            known = {**known, **names.contacts}
        parts = [known.get(part, "") for part in match[1].split(" + ")]
        if not all(parts) or ITSELF.search(before):
            return match[0]
        words = " + ".join(_quote(part) for part in parts)
        return f"{words} ({match[0]})" if TYPED.search(before) else words

    return QUOTED.sub(name, text)


SPELLED = re.compile(
    r"(?<![\w./-])[\w/-]+\.[\w-]+(?![\w/-])|(?<=\bof )[\w/-]+(?=$|[,:;)])|(?<=\b[Pp]rofile )[\w-]+"
)
"""Where words that are no sentence of ours have an id: a contact, what something is of."""

BEHIND = re.compile(r" \(([\w-]+)\)(?=$|[,:])")
"""An id behind the name of its document."""


def name_words(text: str, names: Names) -> str:
    """Words of a table or report with names in place of ids, which are bare there."""
    if text in names.contacts:
        return names.contacts[text]

    def name(match: re.Match[str]) -> str:
        return names.contacts.get(match[0]) or names.documents.get(match[0], match[0])

    bare = BEHIND.sub(lambda match: "" if match[1] in names.documents else match[0], text)
    return name_ids(SPELLED.sub(name, bare), names)


def _quote(name: str) -> str:
    """A name as it is written in a sentence, where one without letters would be taken for a sum."""
    return name if any(map(str.isalpha, name)) else f'"{name}"'


def find_quoted(text: str) -> Iterator[str]:
    """The ids in backticks of a sentence."""
    return (match[1] for match in QUOTED.finditer(text))


def documents_of(finding: Finding) -> tuple[str, ...]:
    """The documents that a finding is about."""
    return finding.spot.document, *(relation.spot.document for relation in finding.related)


def name_spot(names: Names, spot: Spot) -> str:
    """A place by its names: the document, and the control, action or key in it."""
    path = [str(part) for part in spot.path]
    parts = [names.document(spot.document)]
    if len(path) > 1 and path[0] in TABLES:
        parts.append(names.action(path[1]) if path[0] == "actions" else names.contact(path[1]))
        path = path[2:]
    return ", ".join([*parts, *([" ".join(path)] if path else [])])


COPIED = re.compile(r"(?:^|\s)\S*[/\\]\S*$| -m pip install .*$")
"""A path or a command at the end of a note, which people copy."""


def make_note(text: str) -> str:
    """A sentence as all notes are: a capital first, a full stop last, but behind what is copied."""
    words = text.strip()
    if not words:
        return ""
    is_whole = words.endswith((".", "?", "!", "…", ":")) or COPIED.search(words)
    whole = words if is_whole else f"{words}."
    return whole[0].upper() + whole[1:]
