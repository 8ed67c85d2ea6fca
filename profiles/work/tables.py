"""Files as tables for spreadsheets: a profile's bindings, a device's controls, actions.

What a table of bindings tells beside them comes from the library: each contact with its label and
input number, and the actions that no contact does.
"""

from pathlib import Path
from typing import Any

from profiles.facts.profile import write_name
from profiles.files.bindings_csv import Shelf, write_bindings
from profiles.files.csv_rows import Cell
from profiles.files.library import LoadedLibrary
from profiles.files.members_csv import write_members
from profiles.model import DeviceContact, Library, Profile, link_profile
from profiles.plan.carry import list_contacts


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


def holds(loaded: LoadedLibrary, file: Path) -> bool:
    """Whether a file is one of a library's."""
    there = file.resolve()
    return any(source.path.resolve() == there for source in loaded.sources.values())
