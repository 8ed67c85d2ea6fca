"""Findings in the names that people gave: labels, actions and documents in place of their ids.

An id stays where it is unknown, or where it names several things of different names.
"""

import re
from collections.abc import Iterable, Mapping

from profiles.facts.device import name_contact
from profiles.model import Finding, Library

QUOTED = re.compile(r"`([^`]+)`")

Names = Mapping[str, str]
"""Names by id; empty where one id has several."""


def find_names(library: Library, documents: Iterable[str]) -> Names:
    """What the ids of these documents stand for, and those of the documents that they lead to."""
    reached = list(documents)
    for profile in filter(None, map(library.profiles.get, tuple(reached))):
        reached += [*profile.device_ids, profile.profile.application]
    named: dict[str, set[str]] = {}
    for id_ in reached:
        for kind in (library.profiles, library.devices, library.applications):
            if id_ in kind:
                named.setdefault(id_, set()).add(kind[id_].name)
    for device in filter(None, map(library.devices.get, reached)):
        for key, control in device.controls.items():
            named.setdefault(key, set()).add(control.spoken_label)
            for contact in control.contacts:
                many = len(control.contacts) > 1
                words = f"{control.spoken_label} {contact}" if many else control.spoken_label
                shown = name_contact(control, key, contact)
                for id_ in {f"{key}.{contact}", shown, f"{device.id}/{shown}"} - {key}:
                    named.setdefault(id_, set()).add(words)
    for application in filter(None, map(library.applications.get, reached)):
        for key, action in application.actions.items():
            named.setdefault(key, set()).add(action.name)
    return {id_: names.pop() if len(names) == 1 else "" for id_, names in named.items()}


def name_ids(text: str, names: Names) -> str:
    """A sentence with a name for each id in backticks, chords part by part."""

    def name(match: re.Match[str]) -> str:
        parts = [names.get(part, "") for part in match[1].split(" + ")]
        return " + ".join(parts) if all(parts) else match[0]

    return QUOTED.sub(name, text)


def documents_of(finding: Finding) -> tuple[str, ...]:
    """The documents that a finding is about."""
    return finding.spot.document, *(relation.spot.document for relation in finding.related)


def name_place(library: Library, finding: Finding) -> str:
    """What a finding is about by its names: the document, and the control, action or key in it."""
    document, path = finding.spot.document, [str(part) for part in finding.spot.path]
    names = find_names(library, [document])
    parts = [names.get(document) or document]
    if len(path) > 1 and path[0] in ("controls", "actions", "bindings"):
        keys = path[1].split(" + ")
        parts.append(" + ".join(names.get(key) or key for key in keys))
        path = path[2:]
    return ", ".join([*parts, *([" ".join(path)] if path else [])])
