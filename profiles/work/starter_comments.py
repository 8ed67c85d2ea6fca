"""Comments that Platebook writes into a new profile, kept true by the edits that follow.

Behind the line of each contact is its label and input number, `# HORN, input 1`, and below all is
a list of the actions still to bind. `renew_comments` writes anew what an edit made untrue, where
it is word for word what Platebook would have written before; a comment of anybody else stays.
"""

import re
import tomllib
from collections.abc import Collection, Iterable, Mapping
from contextlib import suppress
from itertools import takewhile
from operator import is_not

from profiles.facts.device import name_contact
from profiles.files.edit import STILL_TO_BIND
from profiles.files.toml_edit import EditError, same_content, write_key
from profiles.files.validate import validate_content
from profiles.model import Action, Application, Device, Library, LibraryDocument, Profile
from profiles.plan.carry import list_contacts
from profiles.text.inert import escape_controls
from profiles.work.open_files import OpenFiles

NEEDS = ("must", "want", "may")

BEHIND = re.compile(r'(# )?("[^"]*"|[\w-]+)( = .+?)  # (.*)')
"""A line of a binding, or one kept ready for it: whether it is, key, value, comment behind it."""

MADE = re.compile(rf"  # |^{STILL_TO_BIND}", re.MULTILINE)
"""What a profile has that may have such comments."""


def tell_contacts(device: Device) -> dict[str, str]:
    """What stands behind the line of each contact, by its key in a profile."""
    found = {}
    for (control, contact), number in list_contacts(device).items():
        value = device.controls[control]
        words = escape_controls(value.labels.get(contact, value.label))
        told = words if number is None else f"{words}, input {number}"
        found[name_contact(value, control, contact)] = told
    return found


def list_unbound(actions: Mapping[str, Action], done: Collection[str]) -> list[str]:
    """A line for each action still to bind, those first that must be."""
    rest = [(key, one) for key, one in actions.items() if key not in done]
    return [
        f"#   {key}: {escape_controls(one.name)} "
        f"({', '.join([one.need, one.behaviour, *([one.group] if one.group else [])])})"
        for key, one in sorted(rest, key=lambda pair: NEEDS.index(pair[1].need))
    ]


class _State:
    """The documents before or after a change, and what comments would say of them then."""

    def __init__(self, documents: dict[str, LibraryDocument]) -> None:
        self.documents = documents
        self._told: dict[str, dict[str, str]] = {}

    def leads_to(self, profile: Profile) -> list[LibraryDocument | None]:
        """Application and devices of a profile."""
        return [*map(self.documents.get, (profile.profile.application, *profile.device_ids))]

    def tell(self, profile: Profile) -> dict[str, str]:
        """What stands behind the lines of a profile of one device, by their keys."""
        if len(profile.device_ids) != 1:
            return {}
        (id_,) = profile.device_ids
        device = self.documents.get(id_)
        if id_ not in self._told:
            self._told[id_] = tell_contacts(device) if isinstance(device, Device) else {}
        return self._told[id_]

    def list_unbound(self, profile: Profile) -> list[str]:
        """The lines of what a profile leaves to be bound."""
        application = self.documents.get(profile.profile.application)
        actions = application.actions if isinstance(application, Application) else {}
        return list_unbound(actions, {use.action for *_, uses in profile.entries for use in uses})


def renew_comments(library: Library, files: OpenFiles) -> None:
    """Keep the comments of profiles true to what a change makes of the files it has open."""
    before, after = _State({**library.documents}), _State({**library.documents})
    for document in files.ended:
        after.documents.pop(document, None)
    for document, editor in files.editors.items():
        with suppress(ExceptionGroup):  # refused, with all reasons, where it is taken
            after.documents[document] = validate_content(editor.content, library=library)
    for document, new in [*after.documents.items()]:
        old = before.documents.get(document)
        if not (isinstance(old, Profile) and isinstance(new, Profile)):
            continue
        is_led = any(map(is_not, before.leads_to(old), after.leads_to(new)))
        if is_led or document in files.editors:
            with suppress(EditError):  # a file that cannot be read now keeps its comments
                editor = files(document)
                if editor.format == "toml" and MADE.search(editor.text):
                    lines = _renew_lines(editor.text.split("\n"), (before, old), (after, new))
                    text = "\n".join(
                        _renew_list(lines, before.list_unbound(old), after.list_unbound(new))
                    )
                    if same_content(tomllib.loads(text), tomllib.loads(editor.text)):
                        editor.text = text


def _renew_lines(
    lines: list[str], old: tuple[_State, Profile], new: tuple[_State, Profile]
) -> list[str]:
    """The lines of a profile with what is behind each as it is true now."""
    told, now = old[0].tell(old[1]), new[0].tell(new[1])
    came_from = _pair(new[1].bindings, old[1].bindings)  # a line that was moved to another contact
    called_now = _pair(told, now)
    found = []
    for line in lines:
        match = BEHIND.fullmatch(line)
        off, written, value, words = match.groups() if match else (None, "", "", None)
        key = written.strip('"')
        if words is None or words != told.get(key if off else came_from.get(key, key)):
            found.append(line)
            continue
        if off:
            key = came_from.get(key) or called_now.get(key, key)
        if key in now:
            found.append(f"{off or ''}{write_key(key)}{value}  # {now[key]}")
        elif not off:
            found.append(line)
    return found


def _pair(some: Iterable[str], others: Iterable[str]) -> dict[str, str]:
    """What only the one has with what only the other has, in their order; nothing where they are
    not as many."""
    mine, theirs = dict.fromkeys(some), dict.fromkeys(others)
    gone = [one for one in mine if one not in theirs]
    come = [one for one in theirs if one not in mine]
    return dict(zip(gone, come, strict=True)) if len(gone) == len(come) else {}


def _renew_list(lines: list[str], before: list[str], after: list[str]) -> list[str]:
    """The lines with the list of what is still to bind, if there is one and it was true."""
    if STILL_TO_BIND not in lines:
        return lines
    at = lines.index(STILL_TO_BIND) + 1
    written = [*takewhile(lambda line: line.startswith("#   "), lines[at:])]
    if not written or written not in (before, [line for line in before if line in after]):
        return lines
    return [*lines[: at if after else at - 1], *after, *lines[at + len(written) :]]
