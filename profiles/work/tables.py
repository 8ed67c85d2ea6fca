"""Files as tables for spreadsheets: a profile's bindings, a device's controls, actions.

What a table of bindings tells beside them comes from the library: each contact with its label and
input number, and the actions that no contact does.
"""

import os
from pathlib import Path
from typing import Any

from profiles.facts.profile import write_name
from profiles.files.bindings_csv import Shelf, Table, write_bindings
from profiles.files.csv_rows import Cell
from profiles.files.library import LoadedLibrary
from profiles.files.members_csv import write_members
from profiles.files.validate import validate_content
from profiles.model import DeviceContact, Library, Profile, link_profile
from profiles.plan.carry import list_contacts
from profiles.text.inert import escape_controls
from profiles.text.prose import list_some


def write_table(kind: str, content: dict[str, Any], value: Any, library: Library | None) -> str:
    """Return a file's table: of its bindings, controls or actions, as its kind has them."""
    if isinstance(value, Profile):
        return write_bindings(value, None if library is None else shelf_of(library, value))
    return write_members(content, kind)


def shelf_of(library: Library, profile: Profile) -> Shelf | None:
    """What the library knows of a profile; None where its device or application is not there."""
    link = link_profile(library, profile)
    if link.application is None or len(link.devices) != len(profile.device_ids):
        return None
    contacts: dict[DeviceContact, tuple[str, str, Cell]] = {}
    for device in link.devices:
        for (control, contact), number in list_contacts(device).items():
            value, who = device.controls[control], DeviceContact(device.id, control, contact)
            label = value.labels.get(contact, value.label)
            contacts[who] = write_name(link, who), label, number or ""
    acting = {binding.key: binding.acting for binding in link.bound}
    used = {who for one in link.bound for who in (*one.held, one.acting)}
    bound = {binding.action_id for binding in link.bound}
    by_key = {key: (label, number) for key, label, number in contacts.values()}
    actions = link.application.actions

    def tell(key: str, action: str) -> tuple[Cell, Cell, Cell]:
        label, number = by_key.get(key, ("", ""))
        if key in acting:
            _, label, number = contacts.get(acting[key], ("", "", ""))
        return label, number, actions[action].name if action in actions else ""

    free = tuple(told[0] for who, told in contacts.items() if who not in used)
    return Shelf(tell, free, tuple(key for key in actions if key not in bound))


def list_doubts(library: Library, content: dict[str, Any], table: Table) -> tuple[str, ...]:
    """What a profile's new content names that is not there, and labels that were typed in vain."""
    try:
        profile = validate_content(content, library=library)
    except ExceptionGroup:  # which `check` tells with its lines
        return ()
    if not isinstance(profile, Profile):
        return ()
    found = []
    for name in link_profile(library, profile).loose:
        meant = f"; did you mean `{name.suggestion}`?" if name.suggestion else ""
        no = "several devices have" if name.kind == "one device" else f"no {name.kind}"
        found.append(f"{no} `{escape_controls(name.word)}`{meant}")
    shelf = shelf_of(library, profile)
    typed = []
    for key, label in table.labels.items():
        known, number, _ = ("", "", "") if shelf is None else shelf.tell(key, "")
        if number != "" and label != str(known).strip():
            typed.append(f"`{escape_controls(label)}` for `{escape_controls(key)}`")
    if typed:
        found.append(f"labels are the device's, and not read from this table: {list_some(typed)}")
    return tuple(found)


def holds(loaded: LoadedLibrary, file: Path) -> bool:
    """Whether a file is one of a library's."""
    there = os.path.realpath(file)
    return any(os.path.realpath(source.path) == there for source in loaded.sources.values())
