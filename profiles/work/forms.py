"""Forms of whole documents: what may be chosen at a place, and what a form changes, as edits.

    form = DocumentForm.of(copy, "desk")
    form.rows(("controls", "horn"))
    form.set(("controls", "horn", "front"), 18.0).apply(copy)

Any document, of any of the formats. The lines of a form come from the published schemas; names of
things of the library are offered where a key takes one.
"""

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from profiles.files.documents import find_format, parse_text
from profiles.files.faults import FileFaultError
from profiles.files.form import (
    ABSENT,
    Row,
    find_branches,
    find_growth,
    list_first_rows,
    list_rows,
    look_up,
    say_key,
    show_value,
)
from profiles.files.places import KeyPath
from profiles.files.schema import Schema
from profiles.files.toml_edit import EditError, with_value
from profiles.model import (
    SETTINGS_NAME,
    Application,
    Device,
    Library,
    Profile,
    Spot,
    kind_of,
)
from profiles.text.inert import escape_controls
from profiles.wiring.boards import board_of, list_boards
from profiles.work.bulk import OWN_KEYS
from profiles.work.controls import change_fields, delete, fields_of, starting_fields
from profiles.work.copy import WorkingCopy
from profiles.work.edits import Edit, action_of, rewrite_uses
from profiles.work.open_files import OpenFiles
from profiles.work.renaming import rename_document

Names = Mapping[str, str]
"""Words by id."""

NAMING = tuple(("profile", key) for key in ("application", "device", "devices"))

TABLES = ("controls", "fixtures", "parts", "actions", "bindings")
"""Tables whose entries have a name of the user's."""

NEW = "new"
"""The name of an entry that has none yet."""


@dataclass(frozen=True)
class DocumentForm:
    """A document as it is in the working copy, key by key."""

    copy: WorkingCopy
    document: str
    kind: str

    @classmethod
    def of(cls, copy: WorkingCopy, document: str) -> "DocumentForm":
        """The form of a document; of the settings by the name of their file.

        Raises:
            EditError: where the library has no such document that can be used.
        """
        if document == SETTINGS_NAME:
            return cls(copy, document, "settings")
        if document not in copy.library.documents:
            raise EditError(f"`{escape_controls(document)}` cannot be used as it is; fix its file")
        return cls(copy, document, kind_of(copy.library.documents[document]))

    @cached_property
    def content(self) -> dict[str, Any]:
        """What the file holds now. Raises EditError."""
        try:
            text = self.copy.text(self.document)
            parsed: dict[str, Any] = parse_text(text, find_format(self.copy.path(self.document)))
        except FileFaultError as fault:
            raise EditError(str(fault)) from None
        return parsed or {}

    def rows(self, path: KeyPath) -> tuple[Row, ...]:
        """The lines of the form at a place."""
        found = list_rows(self.kind, self.content, path)
        given = self._from_part(path)
        return tuple(
            row if row.is_there else row._replace(default=given.get(str(row.key), row.default))
            for row in found
            if path or row.key != "format"
        )

    def _from_part(self, path: KeyPath) -> dict[str, str]:
        """What a control has from its part, as it is shown where the file says nothing."""
        device = self.library.documents.get(self.document)
        if not isinstance(device, Device) or len(path) != 2 or path[0] != "controls":
            return {}
        control = device.controls.get(str(path[1]))
        if control is None or self.value((*path, "part")) is ABSENT:
            return {}
        return {key: show_value(one) for key, one in control.plain().items()}

    def value(self, path: KeyPath) -> Any:
        """The value at a place; `ABSENT` where there is none."""
        return look_up(self.content, path)

    def branches(self, path: KeyPath) -> tuple[Schema, ...]:
        """The schemas of what may stand at a place."""
        return find_branches(self.kind, self.content, path)

    def growth(self, path: KeyPath) -> str:
        """What can be added at a place: `name`, `member` or nothing."""
        return find_growth(self.kind, self.content, path)

    def first_rows(self, path: KeyPath, given: Mapping[str, Any]) -> tuple[Row, ...]:
        """The lines that a new entry below a place begins with, some of them given already."""
        before = self.value(path)
        members = before if isinstance(before, list) else []
        here = (*path, len(members) if self.growth(path) == "member" else NEW)
        content = self.content
        if given and isinstance(here[-1], int):
            content = with_value(content, path, [*members, dict(given)])
        elif given:
            content = with_value(content, here, dict(given))
        return list_first_rows(self.kind, content, here)

    def first_values(self, path: KeyPath, kind: str) -> dict[str, Any]:
        """What a new control of a kind begins with: size, and a place in the plate's middle."""
        device = self.copy.library.documents.get(self.document)
        if not isinstance(device, Device) or path != ("controls",) or not kind:
            return {}
        middle = device.plate.width / 2, device.plate.height / 2
        return starting_fields(device, kind, "", *middle)

    # What is chosen from

    def names(self, path: KeyPath) -> Names:
        """The names that a key takes, each with its words; empty where it takes none."""
        pattern = tuple(
            "*" if place in _free_places(path) else one for place, one in enumerate(path)
        )
        find = NAMES.get((self.kind, *map(str, pattern)))
        return find(self) if find else {}

    @property
    def library(self) -> Library:
        """The library as it is in the working copy."""
        return self.copy.library

    def _application(self) -> Application | None:
        value = self.library.documents.get(self.document)
        if isinstance(value, Profile):
            return self.library.applications.get(value.profile.application)
        return value if isinstance(value, Application) else None

    def _actions(self) -> Names:
        application = self._application()
        return {key: one.name for key, one in application.actions.items()} if application else {}

    def _pins(self) -> Names:
        device = self.library.documents.get(self.document)
        board = board_of(self.library, device) if isinstance(device, Device) else None
        return dict(board.pins) if board else {}

    def _parts(self) -> Names:
        own = self.value(("parts",))
        found = {key: show_value(one) for key, one in own.items()} if isinstance(own, dict) else {}
        return found | {key: one.part.name or key for key, one in self.library.parts.items()}

    def _controls(self) -> Names:
        controls = self.value(("controls",))
        if not isinstance(controls, dict):
            return {}
        return {key: show_value(one) for key, one in controls.items()}

    # Changes

    def set(self, path: KeyPath, value: Any) -> Edit:
        """Give a key a value; where it is the document's id, wherever the library names it."""
        if path == (self.kind, "id") and self.document in self.library.documents:
            return rename_document(self.library, self.document, str(value))
        words = f"Set {self.describe(path)} to {show_value(value)[:40] or 'nothing'}"
        now = self.library.documents.get(self.document)
        is_nameless = isinstance(now, Profile) and now.profile.id is None

        def change(files: OpenFiles) -> None:
            if is_nameless and path[:2] in NAMING:  # its id is made of these
                files(self.document).set(("profile", "id"), self.document)
            files(self.document).set(path, value)

        return Edit(words, change)

    def add(self, path: KeyPath, value: Any) -> Edit:
        """Add an entry under its name, or a member at the end of the list that `path` is."""
        if self.growth(path) == "member":
            now = self.value(path)

            def append(open_file: OpenFiles) -> None:
                if isinstance(value, dict):
                    open_file(self.document).append(path, value)
                else:
                    before = list(now) if isinstance(now, list) else []
                    open_file(self.document).set(path, [*before, value])

            return Edit(f"Add to {self.describe(path)}", append)
        if self.value(path) is not ABSENT:
            raise EditError(f"there is `{escape_controls(str(path[-1]))}` already")
        return Edit(
            f"Add {self.describe(path)}", lambda files: files(self.document).set(path, value)
        )

    def duplicate(self, path: KeyPath, name: str) -> Edit:
        """Add the same once more: under another name, or at the end of its list."""
        value = self.value(path)
        if isinstance(path[-1], int):
            return self.add(path[:-1], value)._replace(words=f"Copy {self.describe(path)}")
        if self.kind == "device" and path[:1] == ("controls",) and isinstance(value, dict):
            value = {key: one for key, one in value.items() if key not in OWN_KEYS}
        edit = self.add((*path[:-1], name), value)
        return edit._replace(words=f"Copy {self.describe(path)} as `{name}`")

    def remove(self, path: KeyPath) -> Edit:
        """Take a key away, with all below it; of a control its bindings too."""
        if self.kind == "device" and len(path) == 2 and path[0] == "controls":
            return delete(self.library, self.document, str(path[1]))
        holder = self.value(path[:-1])
        is_last = isinstance(holder, list) and len(holder) == 1
        at = path[:-1] if is_last else path
        return Edit(f"Remove {self.describe(path)}", lambda files: files(self.document).remove(at))

    def rename(self, path: KeyPath, name: str) -> Edit:
        """Give an entry another name; what names a control or an action follows.

        Raises:
            EditError: where the name is taken, or a member of a list has none.
        """
        if isinstance(path[-1], int):
            raise EditError("a member of a list has no name to change")
        device = self.library.documents.get(self.document)
        old, is_entry = str(path[-1]), len(path) == 2
        if isinstance(device, Device) and is_entry and path[0] == "controls":
            found = {**fields_of(device, old), "id": name}
            return change_fields(self.library, self.document, old, found)
        if self.kind == "application" and is_entry and path[0] == "actions":
            return _rename_action(self.library, self.document, old, name)
        return Edit(
            f"Change id `{old}` to id `{name}`",
            lambda files: files(self.document).rename(path, name),
        )

    def name(self, path: KeyPath) -> str:
        """A place as the file's own keys spell it."""
        return str(Spot("", path))[1:] or self.document

    def describe(self, path: KeyPath) -> str:
        """A place in a sentence: whose key it is, an entry of a table by its id in backticks."""
        if len(path) < 2 or path[0] not in TABLES:
            return _say_keys(path) or f"`{self.document}`"
        whose, keys = f"`{path[1]}`", _say_keys(path[2:])
        whose = f"the binding of {whose}" if path[0] == "bindings" else whose
        return f"{keys} of {whose}" if keys else whose


def _say_keys(path: KeyPath) -> str:
    return " ".join(say_key(one) if isinstance(one, str) else f"{one + 1}" for one in path)


def _free_places(path: KeyPath) -> tuple[int, ...]:
    """The places of a path where a name of the user's or a number of a list is."""
    named = [1] if len(path) > 1 and path[0] in TABLES else []
    return (*named, *(place for place, one in enumerate(path) if isinstance(one, int)))


def _names_of(attribute: str) -> Callable[[DocumentForm], Names]:
    return lambda form: {
        key: str(getattr(one, "name", key)) for key, one in getattr(form.library, attribute).items()
    }


def _boards(form: DocumentForm) -> Names:
    return {key: board.board.name for key, board in list_boards(form.library).items()}


NAMES: dict[tuple[str, ...], Callable[[DocumentForm], Names]] = {
    ("profile", "profile", "application"): _names_of("applications"),
    ("profile", "profile", "device"): _names_of("devices"),
    ("profile", "profile", "devices", "*"): _names_of("devices"),
    ("profile", "bindings", "*"): DocumentForm._actions,
    ("profile", "bindings", "*", "*"): DocumentForm._actions,
    ("profile", "bindings", "*", "action"): DocumentForm._actions,
    ("profile", "bindings", "*", "*", "action"): DocumentForm._actions,
    ("application", "actions", "*", "partner"): DocumentForm._actions,
    ("device", "wiring", "board"): _boards,
    ("device", "controls", "*", "part"): DocumentForm._parts,
    ("device", "fixtures", "*", "part"): DocumentForm._parts,
    ("device", "controls", "*", "concentric_with"): DocumentForm._controls,
    ("device", "controls", "*", "pin"): DocumentForm._pins,
    ("device", "controls", "*", "common"): DocumentForm._pins,
}
"""By kind and place, `*` for a name of the user's or a number of a list: what may be named."""


def _rename_action(library: Library, application: str, old: str, new: str) -> Edit:
    """Give an action another id, in its partners and in every binding that names it."""
    value = library.applications[application]
    bound: dict[str, list[str]] = {}
    for key, profile in library.profiles.items():
        if profile.profile.application == application:
            link = library.link(key)
            keys = [one.key for one in link.bound if one.action_id == old]
            bound |= {key: list(dict.fromkeys(keys))} if keys else {}

    def respell(uses: list[Any]) -> list[Any]:
        return [
            use
            if action_of(use) != old
            else {**use, "action": new}
            if isinstance(use, dict)
            else new
            for use in uses
        ]

    def change(open_file: OpenFiles) -> None:
        editor = open_file(application)
        editor.rename(("actions", old), new)
        for key, action in value.actions.items():
            if action.partner == old:
                editor.set(("actions", new if key == old else key, "partner"), new)
        if value.settings_file is not None and old in value.settings_file.actions:
            editor.rename(("settings_file", "actions", old), new)
        for profile, keys in bound.items():
            for key in keys:
                rewrite_uses(open_file, profile, key, respell)

    effects = tuple(f"`{profile}`: id `{old}` is written as id `{new}`" for profile in bound)
    return Edit(f"Change id `{old}` to id `{new}`", change, effects)


def list_documents(copy: WorkingCopy, first: tuple[str, ...] = ()) -> dict[str, str]:
    """Every document that has a form, those in view first, each in words; of alike ones the id."""
    known = copy.library.documents
    order = dict.fromkeys((*(one for one in first if one in known), *known))
    words = {key: f"{known[key].name}, {kind_of(known[key])}" for key in order}
    often = Counter(one.casefold() for one in words.values())
    found = {
        key: f"{one} [{key}]" if often[one.casefold()] > 1 else one for key, one in words.items()
    }
    found |= {SETTINGS_NAME: "Settings of the library"}
    unsound = {copy.loaded.name_of(one): one.place for one in copy.problems if one.place}
    names = {key: place.file.rpartition("/")[2] for key, place in unsound.items()}
    return {
        key: f"{escape_controls(name)}, cannot be used: correct its lines"
        for key, name in names.items()
        if key not in known
    } | found
