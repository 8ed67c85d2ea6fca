"""A file changed in place: bindings, controls and single fields.

    editor = FileEditor.open(Path("profiles/harbour.toml"))
    editor.set_binding("shift + horn", "fog-signal")
    editor.save()

Comments, order, quotes, line ends and a byte order mark stay as they are. Nothing is saved that
the model would refuse, or over a file that has changed since it was opened.
"""

import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from profiles.files.documents import (
    BYTE_ORDER_MARK,
    decode_text,
    digest_of,
    find_format,
    parse_text,
    read_bytes,
)
from profiles.files.places import KeyPath
from profiles.files.save import replace_file
from profiles.files.text_edit import append_table, change_many, remove_key, rename_key, set_value
from profiles.files.toml_edit import EditError, drop_comment_line, fill_placeholder
from profiles.files.validate import AnyValue, validate_content, validate_settings
from profiles.model import Library
from profiles.model.binding import BindingKeyError, parse_key
from profiles.model.settings import SETTINGS_NAME
from profiles.text.inert import escape_controls

STILL_TO_BIND = "# Still to bind:"
"""What stands in a starter file above the actions that no contact does, a line each."""

KEPT_READY = re.compile(rf'^#.*= ""|^{STILL_TO_BIND}', re.MULTILINE)
"""Comments of a starter file that a binding takes the place of."""

Uses = str | Mapping[str, Any] | Sequence[str | Mapping[str, Any]]
"""What a binding does, as a file would give it: an action's id, the long form, or a list."""


class FileEditor:
    """Changes to one file, kept in memory until `save`; a device has parts of `library`."""

    def __init__(self, path: Path, data: bytes, library: Library | None = None) -> None:
        self.path = path
        self.format = find_format(path)
        self.library = library
        self.text = decode_text(data)
        self._mark = BYTE_ORDER_MARK if data.startswith(BYTE_ORDER_MARK) else b""
        self._digest = digest_of(data)

    @classmethod
    def open(cls, path: Path, library: Library | None = None) -> "FileEditor":
        """Open a file for changes.

        Raises:
            profiles.files.faults.FileFaultError: where it cannot be read.
        """
        editor = cls(path, read_bytes(path), library)
        _ = editor.content
        return editor

    @property
    def content(self) -> dict[str, Any]:
        """What the file would hold if it were saved now."""
        found: dict[str, Any] = parse_text(self.text, self.format)
        return found

    @property
    def data(self) -> bytes:
        """The bytes that `save` would write."""
        return self._mark + self.text.encode("utf-8")

    def set(self, path: KeyPath, value: Any) -> None:
        """Give the key at `path` a value; the tables on the way are made where they lack.

        Raises:
            EditError: where it cannot be done safely, as for every method below.
        """
        self.text = set_value(self.text, self.format, path, value)

    def remove(self, path: KeyPath) -> None:
        """Remove the key at `path` and all below it."""
        self.text = remove_key(self.text, self.format, path)

    def change_many(self, changes: Sequence[tuple[KeyPath, Any]]) -> None:
        """Set many keys, and remove those of value None, in the time of a few."""
        self.text = change_many(self.text, self.format, changes)

    def append(self, path: KeyPath, table: Mapping[str, Any]) -> None:
        """Add a table to the end of the list of tables at `path`, which is made where it lacks."""
        self.text = append_table(self.text, self.format, path, dict(table))

    def rename(self, path: KeyPath, name: str) -> None:
        """Rename the key at the end of `path`; its place and value stay."""
        self.text = rename_key(self.text, self.format, path, name)

    def set_binding(self, key: str, uses: Uses) -> None:
        """Bind contacts to what they do, whatever spaces their key has in the file.

        The line that a starter file keeps ready for it is used, and the action is taken from those
        that the file says are still to bind.
        """
        value = uses if isinstance(uses, str | Mapping) else list(uses)
        spelled = self._find_binding(key)
        if self.format == "toml" and spelled not in self.content.get("bindings", {}):
            self.text = fill_placeholder(self.text, ("bindings", spelled), value)
        self.set(("bindings", spelled), value)
        if self.format == "toml" and STILL_TO_BIND in self.text:
            for use in [value] if isinstance(value, str | Mapping) else value:
                action = use if isinstance(use, str) else use.get("action", "")
                self.text = drop_comment_line(self.text, f"#   {action}: ")
            if "\n#   " not in self.text.partition(STILL_TO_BIND)[2]:
                self.text = drop_comment_line(self.text, STILL_TO_BIND).rstrip("\n") + "\n"

    def set_bindings(self, bindings: Mapping[str, Uses]) -> None:
        """Bind many contacts, by their keys as the file spells them, in the time of a few."""
        if KEPT_READY.search(self.text):
            for key, uses in bindings.items():
                self.set_binding(key, uses)
        else:
            self.change_many([(("bindings", key), uses) for key, uses in bindings.items()])

    def remove_binding(self, key: str) -> None:
        """Remove a binding."""
        self.remove(("bindings", self._find_binding(key)))

    def rename_binding(self, key: str, new: str) -> None:
        """Move what a binding does to other contacts."""
        self.rename(("bindings", self._find_binding(key)), new)

    def set_control(self, control: str, fields: Mapping[str, Any]) -> None:
        """Add a control, or give it exactly these fields."""
        self.set(("controls", control), dict(fields))

    def remove_control(self, control: str) -> None:
        """Remove a control with all its fields."""
        self.remove(("controls", control))

    def rename_control(self, control: str, new: str) -> None:
        """Give a control another id. Bindings that name it are in other files and stay."""
        self.rename(("controls", control), new)

    def set_control_field(self, control: str, field: str, value: Any) -> None:
        """Give one field of a control a value."""
        if control not in self.content.get("controls", {}):
            raise EditError(f"there is no control `{escape_controls(control)}` to change")
        self.set(("controls", control, field), value)

    def remove_control_field(self, control: str, field: str) -> None:
        """Remove one field of a control."""
        self.remove(("controls", control, field))

    def validate(self) -> AnyValue:
        """Return what the file would hold, as the model's value.

        Raises:
            EditError: where the model refuses it.
        """
        is_settings = self.path.name == SETTINGS_NAME
        try:
            if is_settings:
                return validate_settings(self.content)
            return validate_content(self.content, library=self.library)
        except ExceptionGroup as group:
            problems = "; ".join(str(fault) for fault in group.exceptions)
            raise EditError(
                f"`{escape_controls(self.path.name)}` would not be sound: {problems}"
            ) from None

    def save(self) -> None:
        """Check the changes against the model and replace the file by them.

        Raises:
            EditError: where the model refuses the result.
            profiles.files.save.SaveError: where the file changed on disk or cannot be written.
        """
        self.validate()
        self._digest = replace_file(self.path, self.data, self._digest)

    def _find_binding(self, key: str) -> str:
        """Return a key as the file spells it, or as given where it is not there."""
        try:
            wanted = parse_key(key)
        except BindingKeyError as error:
            raise EditError(f"`{escape_controls(key)}` {error}") from None
        for spelled in self.content.get("bindings", {}):
            try:
                if parse_key(spelled) == wanted:
                    return str(spelled)
            except BindingKeyError:
                continue
        return key
