"""What the lines of a form are called: keys in words, entries by their names; ids stay in the help.

An entry that has no name of its own, or shares it with another, is called by its id.
"""

from typing import Any

from profiles.files.form import Row, say_key, show_value
from profiles.files.places import KeyPath
from profiles.text.cells import cut_to
from profiles.tui.naming import Names
from profiles.work.forms import TABLES, DocumentForm

NAMES_WIDE = 17
"""Cells of a line's name."""

OWN_NAMES = ("label", "name")
"""Keys of an entry that say what it is called."""


def name_place(form: DocumentForm, names: Names, path: KeyPath) -> str:
    """What the last part of a path is called."""
    key, holder = path[-1], path[:-1]
    if isinstance(key, int):
        return f"{key + 1}."
    if form.growth(holder) != "name":
        return say_key(key)
    match holder:
        case ("controls" | "bindings",):
            return names.contact(key)
        case ("actions",):
            return names.action(key)
        case (table,) if table in TABLES:
            return _find_own_name(form.value(path)) or key
        case _:
            return key


def say_path(form: DocumentForm, names: Names, path: KeyPath) -> str:
    """A place by its names, from the document inwards."""
    return " › ".join(name_place(form, names, path[: at + 1]) for at in range(len(path)))


def say_value(form: DocumentForm, names: Names, path: KeyPath, value: Any) -> str:
    """A value as people read it: things by their names, of an entry what is not its name."""
    if isinstance(value, str):
        return form.names(path).get(value, value)
    if isinstance(value, list) and any(isinstance(one, str | dict | list) for one in value):
        shown = [say_value(form, names, (*path, at), one) for at, one in enumerate(value)]
        return ("; " if any(isinstance(one, dict | list) for one in value) else ", ").join(shown)
    if not isinstance(value, dict):
        return show_value(value)
    own, called = _find_own_name(value), name_place(form, names, path)
    if own and own != called:
        return own
    return ", ".join(
        f"{say_key(key)} {say_value(form, names, (*path, key), one)}"
        for key, one in value.items()
        if not isinstance(one, dict) and not (own and key in OWN_NAMES)
    )


def _find_own_name(value: Any) -> str:
    found = (value.get(key) for key in OWN_NAMES) if isinstance(value, dict) else ()
    return next((one for one in found if isinstance(one, str)), "")


def write_line(form: DocumentForm, names: Names, row: Row, wide: int) -> str:
    """A line of the form: its name, its value, and whether it opens."""
    name = cut_to(name_place(form, names, row.path), NAMES_WIDE)
    mark = "*" if row.needed and not row.is_there else " "
    ends = " ›" if row.holds_rows else ""
    if row.is_there:
        value = say_value(form, names, row.path, row.value)
    else:
        value = f"– {form.names(row.path).get(row.default, row.default)}".rstrip()
    return f"{mark}{name:<{NAMES_WIDE}} {cut_to(value, wide - len(ends))}{ends}"


def write_help(form: DocumentForm, names: Names, row: Row) -> list[str]:
    """What a line is for, what it takes, what it is now, and its key in the file."""
    lines = [name_place(form, names, row.path), row.help, ""]
    if row.holds_rows:
        lines.append("Enter opens it.")
    elif form.names(row.path):
        lines.append("Enter lists what can be chosen.")
    elif row.is_closed:
        lines.append(f"One of: {', '.join(row.choices)}")
    else:
        lines.append(f"Takes {row.takes}")
    lines += ["Needed."] if row.needed else []
    lines += [f"Default: {row.default}"] if row.default else []
    if row.is_there and not row.holds_rows:
        lines.append(f"Now: {say_value(form, names, row.path, row.value)}")
    return [*lines, f"In the file: {form.name(row.path)}"]
