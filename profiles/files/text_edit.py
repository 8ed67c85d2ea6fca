"""Changes in the text of a file of any format, every other byte left alone.

Each function takes the format, and raises `EditError` where a change cannot be made safely.
"""

from collections.abc import Sequence
from typing import Any

from profiles.files import place_edit, toml_edit, toml_many
from profiles.files.places import Format, KeyPath


def set_value(text: str, form: Format, path: KeyPath, value: Any) -> str:
    """Return `text` with `value` at `path`; tables on the way are made where they lack."""
    if form == "toml":
        return toml_edit.set_value(text, path, value)
    return place_edit.set_value(text, form, path, value)


def remove_key(text: str, form: Format, path: KeyPath) -> str:
    """Return `text` without the key at `path`, and all below it."""
    if form == "toml":
        return toml_edit.remove_key(text, path)
    return place_edit.remove_key(text, form, path)


def append_table(text: str, form: Format, path: KeyPath, table: dict[str, Any]) -> str:
    """Return `text` with one more table at the end of the list at `path`."""
    if form == "toml":
        return toml_edit.append_table(text, path, table)
    return place_edit.append_table(text, form, path, table)


def rename_key(text: str, form: Format, path: KeyPath, name: str) -> str:
    """Return `text` with the key at the end of `path` named otherwise."""
    if form == "toml":
        return toml_edit.rename_key(text, path, name)
    return place_edit.rename_key(text, form, path, name)


def change_many(text: str, form: Format, changes: Sequence[tuple[KeyPath, Any]]) -> str:
    """Return `text` with many keys set, and those of value None removed."""
    if form == "toml":
        return toml_many.change_many(text, changes)
    return place_edit.change_many(text, form, changes)
