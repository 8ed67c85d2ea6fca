"""A working copy of a library: edits in memory, undo and redo, save, and changes from outside.

    copy = WorkingCopy(load_library(folder))
    copy.edit("Bind horn", lambda open_file: open_file("harbour").set_binding("horn", "sound"))
    copy.undo()
    copy.save()

Nothing reaches the disk before `save`, and `save` never replaces a file that has changed since it
was read. Comments and layout of the files stay, since every edit goes through `FileEditor`.
"""

import difflib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from profiles.files.documents import decode_text, digest_of, parse_text, read_bytes
from profiles.files.edit import FileEditor
from profiles.files.faults import FileFaultError
from profiles.files.library import LoadedLibrary, Source
from profiles.files.locator import Locator
from profiles.files.places import Aim
from profiles.files.save import ChangedOnDiskError, SaveError, create_file, replace_file
from profiles.files.toml_edit import EditError
from profiles.files.validate import AnyValue
from profiles.model import (
    SETTINGS_NAME,
    Finding,
    Library,
    Place,
    Settings,
    Spot,
)
from profiles.text.inert import escape_controls

OpenFile = Callable[[str], FileEditor]
"""Gives the editor of a document by its id."""

NEW_SETTINGS = b"format = 1\n"
"""What the settings file holds before anything is put into it."""

ABSENT = b""
"""Digest that stands for a file which is not on disk."""


@dataclass(frozen=True, slots=True)
class State:
    """The files touched so far: their bytes, and what the model makes of them."""

    data: Mapping[str, bytes] = field(default_factory=dict)
    values: Mapping[str, AnyValue] = field(default_factory=dict)

    def put(self, document: str, data: bytes, value: AnyValue) -> "State":
        """The state with one file changed."""
        return State({**self.data, document: data}, {**self.values, document: value})


@dataclass(frozen=True, slots=True)
class Step:
    """One change in words, and the states before and after it."""

    words: str
    before: State
    after: State

    @property
    def touched(self) -> tuple[str, ...]:
        """The documents that are different after it."""
        old, new = self.before.data, self.after.data
        return tuple(one for one in new if new[one] != old.get(one))


@dataclass(frozen=True, slots=True)
class Saved:
    """What a save did: documents written, those changed by someone else, and other failures."""

    written: tuple[str, ...]
    clashes: tuple[str, ...]
    failures: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class News:
    """What came from the disk: documents taken in, and those that clash with unsaved edits."""

    taken: tuple[str, ...]
    clashes: tuple[str, ...]


class WorkingCopy:
    """The library as it stands on the screen."""

    def __init__(self, loaded: LoadedLibrary) -> None:
        self.loaded = loaded
        self.past: list[Step] = []
        self.future: list[Step] = []
        self.state = State()
        self._origin = State()
        self._known: dict[str, bytes] = {}
        self._sources: dict[str, Source] = dict(loaded.sources)
        self._library: Library | None = None

    @property
    def library(self) -> Library:
        """The library with all edits made so far."""
        if self._library is None:
            self._library = self._make_library(self.state)
        return self._library

    def _make_library(self, state: State) -> Library:
        settings, documents = self.loaded.library.settings, dict(self.loaded.library.documents)
        for document, value in {**self._origin.values, **state.values}.items():
            if isinstance(value, Settings):
                settings = value
            else:
                documents[document] = value
        return Library.of(documents.values(), settings)

    def edit(self, words: str, change: Callable[[OpenFile], None]) -> bool:
        """Make a change; several files may take part. Returns whether anything is different.

        Raises:
            EditError: where it cannot be made; nothing has changed then.
        """
        return self._advance(words, self._changed(change))

    def trial(self, change: Callable[[OpenFile], None]) -> Library:
        """The library as it would be after a change that is not made. Raises EditError."""
        return self._make_library(self._changed(change))

    def _changed(self, change: Callable[[OpenFile], None]) -> State:
        editors: dict[str, FileEditor] = {}

        def open_file(document: str) -> FileEditor:
            if document not in editors:
                editors[document] = self._open(document)
            return editors[document]

        change(open_file)
        after = self.state
        for document, editor in editors.items():
            if editor.data != self._data(document):
                after = after.put(document, editor.data, self._validate(document, editor))
        return after

    def _advance(self, words: str, after: State) -> bool:
        if after is self.state:
            return False
        self.past.append(Step(words, self.state, after))
        self.future.clear()
        self._show(after)
        return True

    def _show(self, state: State) -> None:
        self.state = state
        self._library = None

    def _validate(self, document: str, editor: FileEditor) -> AnyValue:
        value = editor.validate()
        if not isinstance(value, Settings) and value.id != document:
            raise EditError(
                f"`{escape_controls(document)}` would get another id; change that by hand"
            )
        return value

    def _open(self, document: str) -> FileEditor:
        path = self.path(document)
        source = self._sources.get(document)
        if source is not None and source.format != "toml":
            return FileEditor.open(path)
        self._touch(document)
        return FileEditor(path, self._data(document))

    def path(self, document: str) -> Path:
        """The file of a document.

        Raises:
            EditError: where the library has none of this id.
        """
        if document in self._sources:
            return self._sources[document].path
        if document == SETTINGS_NAME:
            return self.loaded.folder / SETTINGS_NAME
        raise EditError(f"the library has no file for `{escape_controls(document)}`")

    def why_read_only(self, document: str) -> str | None:
        """Why a document cannot be changed here, or None where it can."""
        source = self._sources.get(document)
        if source is None or source.format == "toml":
            return None
        name = escape_controls(source.path.name)
        return (
            f"{name} is {source.format.upper()}, and only TOML is changed in place. Read-only "
            f"here; `platebook convert {name} --to toml` makes it editable."
        )

    def _touch(self, document: str) -> None:
        """Read a file for the first time it is edited."""
        if document in self._known:
            return
        source = self._sources.get(document)
        if source is None:
            self._known[document] = ABSENT
            value: AnyValue = self.loaded.library.settings
            self._origin = self._origin.put(document, NEW_SETTINGS, value)
            return
        data = _read(source.path)
        if digest_of(data) != source.digest:
            raise EditError(
                f"`{escape_controls(source.path.name)}` has changed on disk; wait a moment"
            )
        self._known[document] = source.digest
        self._origin = self._origin.put(document, data, self._base_value(document))

    def _base_value(self, document: str) -> AnyValue:
        base = self.loaded.library
        if document == SETTINGS_NAME:
            return base.settings
        return base.documents[document]

    def _data(self, document: str) -> bytes:
        found = self.state.data.get(document)
        return self._origin.data[document] if found is None else found

    def text(self, document: str) -> str:
        """The text of a document as it stands on the screen.

        Raises:
            EditError: where it cannot be read.
        """
        if document in self._known:
            return decode_text(self._data(document))
        return _decode(_read(self.path(document)))

    def text_at(self, finding: Finding) -> str:
        """The text of the file in which a finding stands, readable or not.

        Raises:
            EditError: where it cannot be read.
        """
        place = finding.place
        if finding.spot.document in self._known or place is None:
            return self.text(finding.spot.document)
        path = self.loaded.paths.get(place.file)
        if path is None:
            return self.text(finding.spot.document)
        return _read(path).decode("utf-8-sig", "replace")

    def undo(self) -> Step | None:
        """Take the last change back; None where there is none."""
        if not self.past:
            return None
        step = self.past.pop()
        self.future.append(step)
        self._show(step.before)
        return step

    def redo(self) -> Step | None:
        """Make the change again that was last taken back; None where there is none."""
        if not self.future:
            return None
        step = self.future.pop()
        self.past.append(step)
        self._show(step.after)
        return step

    @property
    def dirty(self) -> tuple[str, ...]:
        """Documents that differ from their files, in the order of their ids."""
        return tuple(document for document in sorted(self._known) if self._is_dirty(document))

    def _is_dirty(self, document: str) -> bool:
        data, known = self._data(document), self._known[document]
        return data != NEW_SETTINGS if known == ABSENT else digest_of(data) != known

    def unsaved(self) -> dict[str, tuple[str, str]]:
        """The text of every dirty document, and the digest (hex) of the file it came from."""
        return {one: (self.text(one), self._known[one].hex()) for one in self.dirty}

    def save(self) -> Saved:
        """Write every dirty document, whole or not at all; the others are told."""
        written, clashes, failures = [], [], []
        for document in self.dirty:
            try:
                self._save(document)
                written.append(document)
            except ChangedOnDiskError:
                clashes.append(document)
            except SaveError as error:
                failures.append(str(error))
        return Saved(tuple(written), tuple(clashes), tuple(failures))

    def _save(self, document: str) -> None:
        path, data = self.path(document), self._data(document)
        if self._known[document] == ABSENT:
            self._known[document] = create_file(path, data)
        else:
            self._known[document] = replace_file(path, data, self._known[document])

    def difference(self, document: str) -> list[str]:
        """Lines that differ between the file on disk (-) and the screen (+)."""
        try:
            theirs = _decode(_read(self.path(document))).splitlines()
        except EditError as error:
            return [str(error)]
        mine = self.text(document).splitlines()
        return list(difflib.unified_diff(theirs, mine, "on disk", "on the screen", lineterm=""))

    def keep_mine(self, document: str) -> None:
        """Let the next save replace what someone else wrote; only ever done when asked."""
        try:
            self._known[document] = digest_of(_read(self.path(document)))
        except EditError:
            self._known[document] = ABSENT

    def take_theirs(self, document: str) -> bool:
        """Let the file on disk replace the edits of a document, as a change that can be undone.

        Raises:
            EditError: where the file on disk cannot be used.
        """
        path = self.path(document)
        data = _read(path)
        editor = FileEditor(path, data)
        _require_toml(editor)
        value = self._validate(document, editor)
        self._known[document] = digest_of(data)
        if data == self._data(document):
            return False
        words = f"Take {escape_controls(path.name)} from disk"
        return self._advance(words, self.state.put(document, data, value))

    def restore(self, work: Mapping[str, tuple[str, str]]) -> tuple[str, ...]:
        """Take up unsaved work of an earlier time; returns why some of it could not be.

        A file that has changed since counts as changed by someone else.
        """
        after, refused = self.state, []
        for document, (text, digest) in work.items():
            try:
                self._touch(document)
                editor = FileEditor(self.path(document), text.encode("utf-8"))
                _require_toml(editor)
                after = after.put(document, editor.data, self._validate(document, editor))
                self._known[document] = bytes.fromhex(digest)
            except (EditError, ValueError) as error:
                refused.append(escape_controls(str(error)))
        self._advance("Take up unsaved work", after)
        return tuple(refused)

    def take_in(self, loaded: LoadedLibrary) -> News:
        """Take in the library as it is on disk now; unsaved edits stay, and clashes are told."""
        taken = [key for key, one in loaded.sources.items() if self._is_news(key, one)]
        taken += [key for key in self.loaded.sources if key not in loaded.sources]
        clashes = [one for one in taken if one in self._known and self._is_dirty(one)]
        self._sources.update(loaded.sources)
        self.loaded = loaded
        self._library = None
        for document in taken:
            if document in self._known and document not in clashes:
                self._take_quietly(document)
        return News(tuple(one for one in taken if one not in clashes), tuple(clashes))

    def _is_news(self, document: str, source: Source) -> bool:
        known = self._known.get(document)
        if known is None:
            before = self.loaded.sources.get(document)
            return before is None or before.digest != source.digest
        return known != source.digest

    def _take_quietly(self, document: str) -> None:
        try:
            self.take_theirs(document)
        except EditError:
            self._known[document] = ABSENT

    def locate(self, spot: Spot, aim: Aim = "entry") -> Place | None:
        """File, line and column of a spot, in the text as it stands on the screen."""
        if spot.document not in self._known:
            return self.loaded.locate(spot, aim)
        shown = escape_controls(str(self.path(spot.document)))
        region = Locator(self.text(spot.document), "toml").locate(spot.path, aim)
        return Place(shown, *region) if region else Place(shown)

    def place_of(self, finding: Finding) -> Place | None:
        """Where a finding stands."""
        return finding.place or self.locate(finding.spot)


def _read(path: Path) -> bytes:
    try:
        return read_bytes(path)
    except FileFaultError as fault:
        raise EditError(fault.message) from None


def _decode(data: bytes) -> str:
    try:
        return decode_text(data)
    except FileFaultError as fault:
        raise EditError(fault.message) from None


def _require_toml(editor: FileEditor) -> None:
    try:
        parse_text(editor.text, "toml")
    except FileFaultError as fault:
        raise EditError(f"`{escape_controls(editor.path.name)}`: {fault.message}") from None
