"""A working copy of a library: edits in memory, undo and redo, save, and changes from outside.

    copy = WorkingCopy(load_library(folder))
    copy.edit("Bind horn", lambda open_file: open_file("harbour").set_binding("horn", "sound"))
    copy.undo()
    copy.save()

Nothing reaches the disk before `save`. What others write meanwhile is merged key by key with what
was edited here; only where both changed the same key, `save` leaves the file alone and says so.
Undo takes back what was done here, never what others wrote. Comments and layout of the files
stay, since every edit goes through `FileEditor`.
"""

import difflib
import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from profiles.files.documents import decode_text, digest_of, read_bytes
from profiles.files.edit import FileEditor
from profiles.files.faults import FileFaultError
from profiles.files.library import LoadedLibrary, Source
from profiles.files.locator import Locator
from profiles.files.places import Aim
from profiles.files.save import ChangedOnDiskError, SaveError, create_file, replace_file
from profiles.files.toml_edit import EditError
from profiles.files.validate import AnyValue
from profiles.model import SETTINGS_NAME, Finding, Library, Place, Settings, Spot
from profiles.text.inert import escape_controls
from profiles.work.merge import Clash, Side, merge

OpenFile = Callable[[str], FileEditor]
"""Gives the editor of a document by its id."""

Change = Callable[[OpenFile], None]

NEW_SETTINGS = b"format = 1\n"
"""What the settings file holds before anything is put into it."""

TRIES = 5
"""How often a save begins again where a file changes at that very moment."""


@dataclass(frozen=True, slots=True)
class Version:
    """A file as it was at some moment here: its bytes, and what the model makes of them.

    `data` is None where there is no file, `value` where it cannot be used. `seen` counts the
    changes from outside that it has taken in.
    """

    data: bytes | None
    value: AnyValue | None
    seen: int = 0


State = Mapping[str, Version]
"""The files edited so far, by document."""


@dataclass(slots=True)
class OnDisk:
    """What is known of a file on disk: its bytes, and every change from outside, old and new."""

    data: bytes | None
    first: Version
    changes: list[tuple[bytes | None, bytes | None]] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Step:
    """One change in words, and the states before and after it."""

    words: str
    before: State
    after: State

    @property
    def touched(self) -> tuple[str, ...]:
        """The documents that are different after it."""
        old = {key: version.data for key, version in self.before.items()}
        return tuple(key for key, one in self.after.items() if one.data != old.get(key))


@dataclass(frozen=True, slots=True)
class Trial:
    """What a change would make of the library, and of each file: its text before and after."""

    library: Library
    problems: tuple[Finding, ...]
    texts: Mapping[str, tuple[str, str]]


@dataclass(frozen=True, slots=True)
class Saved:
    """What a save did, by document: written, of these merged; clashes; and other failures."""

    written: tuple[str, ...]
    merged: tuple[str, ...]
    clashes: tuple[str, ...]
    failures: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class News:
    """What came from the disk, by document: taken in, merged with edits, deleted, clashes."""

    taken: tuple[str, ...]
    merged: tuple[str, ...]
    deleted: tuple[str, ...]
    clashes: tuple[str, ...]


class WorkingCopy:
    """The library as it is on the screen."""

    def __init__(self, loaded: LoadedLibrary) -> None:
        self.loaded = loaded
        self.past: list[Step] = []
        self.future: list[Step] = []
        self.state: State = {}
        self._disk: dict[str, OnDisk] = {}
        self._sources: dict[str, Source] = dict(loaded.sources)
        self._broken = _find_broken(loaded)
        self._library: Library | None = None

    @property
    def library(self) -> Library:
        """The library with all edits made so far."""
        if self._library is None:
            self._library = self._make_library(self.state)
        return self._library

    def _make_library(self, state: State) -> Library:
        base = self.loaded.library
        settings, documents, unusable = base.settings, dict(base.documents), base.unusable
        for document, version in state.items():
            documents.pop(document, None)
            match version.value:
                case Settings():
                    settings = version.value
                case None:
                    settings = Settings(format=1) if document == SETTINGS_NAME else settings
                case _:
                    documents[document] = version.value
                    unusable = tuple(one for one in unusable if one.id != document)
        return Library.of(documents.values(), settings, unusable)

    @property
    def problems(self) -> tuple[Finding, ...]:
        """What is wrong with the files themselves, but for those put right here."""
        return self._problems_of(self.state)

    def _problems_of(self, state: State) -> tuple[Finding, ...]:
        sound = {document for document, version in state.items() if version.value is not None}
        sound &= self._broken.keys()
        return tuple(one for one in self.loaded.problems if one.spot.document not in sound)

    # Edits

    def edit(self, words: str, change: Change) -> bool:
        """Make a change; several files may take part. Returns whether anything is different.

        Raises:
            EditError: where it cannot be made; nothing has changed then.
        """
        return self._advance(words, self._changed(change))

    def trial(self, change: Change) -> Trial:
        """What a change would bring that is not made. Raises EditError."""
        changed = self._changed(change)
        after = {**self.state, **changed}
        texts = {key: (self.text(key), _decode(one.data)) for key, one in changed.items()}
        return Trial(self._make_library(after), self._problems_of(after), texts)

    def _changed(self, change: Change) -> dict[str, Version]:
        editors: dict[str, FileEditor] = {}

        def open_file(document: str) -> FileEditor:
            if document not in editors:
                path, source = self.path(document), self._sources.get(document)
                if source is not None and source.format != "toml":
                    return FileEditor.open(path)  # which refuses it
                version, name = self._touch(document), escape_controls(path.name)
                if version.data is None:
                    raise EditError(f"`{name}` was deleted on disk")
                editors[document] = FileEditor(path, version.data)
                try:
                    _ = editors[document].content
                except FileFaultError as fault:
                    raise EditError(f"`{name}`: {fault.message}") from None
            return editors[document]

        change(open_file)
        return {
            document: self._version(document, editor.data, before.seen)
            for document, editor in editors.items()
            if editor.data != (before := self.state[document]).data
        }

    def _version(self, document: str, data: bytes, seen: int, text: str | None = None) -> Version:
        """A version of a file of these bytes, or of another text with their byte order mark.

        Raises:
            EditError: where the model refuses it, or it has another id.
        """
        path = self.path(document)
        try:
            editor = FileEditor(path, data)
            editor.text = editor.text if text is None else text
            value = editor.validate()
        except FileFaultError as fault:
            raise EditError(f"`{escape_controls(path.name)}`: {fault.message}") from None
        if not isinstance(value, Settings) and value.id != document:
            name = escape_controls(document)
            raise EditError(f"`{name}` would get another id; change that by hand")
        return Version(editor.data, value, seen)

    def _advance(self, words: str, changed: Mapping[str, Version]) -> bool:
        if changed:
            after = {**self.state, **changed}
            self.past.append(Step(words, self.state, after))
            self.future.clear()
            self._show(after)
        return bool(changed)

    def _show(self, state: State) -> None:
        """Show a state, each file with what others wrote since then."""
        self.state = {
            document: self._catch_up(document, state.get(document, disk.first))
            for document, disk in self._disk.items()
        }
        self._library = None

    def path(self, document: str) -> Path:
        """The file of a document.

        Raises:
            EditError: where the library has none of this id.
        """
        if document in self._sources:
            return self._sources[document].path
        if document in self._broken:
            return self._broken[document]
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

    def _touch(self, document: str) -> Version:
        """The present version of a file, which is read where it was not edited before."""
        if document not in self._disk:
            path, source = self.path(document), self._sources.get(document)
            data = _read(path)
            is_as_read = (data and digest_of(data)) == (source and source.digest)
            if not is_as_read and document not in self._broken:
                name = escape_controls(path.name)
                if data is None:
                    raise EditError(f"`{name}` was deleted on disk")
                raise EditError(f"`{name}` is not as it was read; fix it, or wait a moment")
            base = self.loaded.library
            value = base.settings if document == SETTINGS_NAME else base.documents.get(document)
            first = Version(NEW_SETTINGS if data is None else data, value)
            self._disk[document] = OnDisk(data, first)
            self.state = {**self.state, document: first}
        return self.state[document]

    def text(self, document: str) -> str:
        """The text of a document as it is on the screen.

        Raises:
            EditError: where it cannot be read.
        """
        if document in self._disk:
            return _decode(self.state[document].data)
        return _decode(_read(self.path(document)))

    def text_at(self, finding: Finding) -> str:
        """The text of the file that a finding is in, readable or not.

        Raises:
            EditError: where it cannot be read.
        """
        place = finding.place
        path = self.loaded.paths.get(place.file) if place else None
        if finding.spot.document in self._disk or path is None:
            return self.text(finding.spot.document)
        return (_read(path) or b"").decode("utf-8-sig", "replace")

    def undo(self) -> Step | None:
        """Take the last change back; None where there is none."""
        if not self.past:
            return None
        self.future.append(self.past.pop())
        self._show(self.future[-1].before)
        return self.future[-1]

    def redo(self) -> Step | None:
        """Make the change again that was last taken back; None where there is none."""
        if not self.future:
            return None
        self.past.append(self.future.pop())
        self._show(self.past[-1].after)
        return self.past[-1]

    # What is unsaved, and saving

    @property
    def dirty(self) -> tuple[str, ...]:
        """Documents that differ from their files, in the order of their ids."""
        return tuple(document for document in sorted(self._disk) if self._is_dirty(document))

    def _is_dirty(self, document: str) -> bool:
        disk, version = self._disk[document], self.state[document]
        if self._is_behind(document):
            return True
        is_new_settings = disk.data is None and version.data == NEW_SETTINGS
        return version.data != disk.data and not is_new_settings

    def _is_behind(self, document: str) -> bool:
        """Whether others wrote what clashes with the version here."""
        disk = self._disk.get(document)
        return disk is not None and self.state[document].seen < len(disk.changes)

    def unsaved(self) -> dict[str, tuple[str, str]]:
        """The text of every dirty document, and the text of the file that it came from."""
        return {one: (self.text(one), _decode(self._base(one))) for one in self.dirty}

    def _base(self, document: str) -> bytes | None:
        """The file on disk as the present version knows it."""
        disk, seen = self._disk[document], self.state[document].seen
        return disk.changes[seen][0] if seen < len(disk.changes) else disk.data

    def save(self) -> Saved:
        """Write every dirty document, whole or not at all, merged with what others wrote."""
        written, merged, clashes, failures = [], [], [], []
        for document in self.dirty:
            before = self.state[document]
            try:
                if self._save(document):
                    written.append(document)
                    if self.state[document] != before:
                        merged.append(document)
                else:
                    clashes.append(document)
            except (SaveError, EditError) as error:
                failures.append(str(error))
        return Saved(tuple(written), tuple(merged), tuple(clashes), tuple(failures))

    def _save(self, document: str) -> bool:
        """Write one document; returns False where it clashes with what others wrote."""
        path, disk = self.path(document), self._disk[document]
        for _ in range(TRIES):
            self._look(document)
            version = self.state[document]
            if self._is_behind(document):
                return False
            if version.data is None or version.data == disk.data:
                return True
            try:
                if disk.data is None:
                    create_file(path, version.data)
                else:
                    replace_file(path, version.data, digest_of(disk.data))
            except ChangedOnDiskError:
                continue
            disk.data = version.data
            return True
        raise SaveError(f"`{escape_controls(path.name)}` changes all the time; save again later")

    # Changes from outside

    def _look(self, document: str) -> bool:
        """Take in what others wrote into a file; returns whether they did. Raises EditError."""
        disk, data = self._disk[document], _read(self.path(document))
        if data == disk.data:
            return False
        disk.changes.append((disk.data, data))
        disk.data = data
        self._show(self.state)
        return True

    def _catch_up(self, document: str, version: Version) -> Version:
        """A version with what others wrote since then; as it is from the first clash on."""
        while version.seen < len(self._disk[document].changes):
            try:
                later, clashes = self._merged(document, version)
            except EditError:
                return version
            if clashes:
                return version
            version = later
        return version

    def _merged(
        self, document: str, version: Version, prefer: Side = "theirs"
    ) -> tuple[Version, tuple[Clash, ...]]:
        """A version merged with the next changes from outside, and where both changed a key.

        Raises:
            EditError: where they cannot be merged.
        """
        changes, seen = self._disk[document].changes, version.seen
        old, new = changes[seen]
        while (seen := seen + 1) < len(changes) and changes[seen][0] == new:
            new = changes[seen][1]  # nothing was saved here in between
        if old is None and document == SETTINGS_NAME:
            old = NEW_SETTINGS
        try:
            theirs = None if new is None else self._version(document, new, seen)
        except EditError as error:
            if version.data != old:
                raise EditError(f"The file on disk cannot be used: {error}") from None
            theirs = Version(new, None, seen)
        if version.data == old or version.data == new:
            return theirs or Version(None, None, seen), ()
        if theirs is None or new is None:
            raise EditError("The file was deleted on disk.")
        if version.data is None or old is None:
            raise EditError("The file was deleted here and changed on disk.")
        try:
            merged = merge(_decode(old), _decode(version.data), _decode(new), prefer)
            return self._version(document, new, seen, merged.text), merged.clashes
        except (FileFaultError, EditError) as error:
            raise EditError(f"Both changes cannot be put together: {error}") from None

    def describe_clash(self, document: str) -> list[str]:
        """Why a document is not saved: the keys that both sides changed, or what else is wrong."""
        if not self._is_behind(document):
            return []
        try:
            return [str(clash) for clash in self._merged(document, self.state[document])[1]]
        except EditError as error:
            return [str(error)]

    def keep_mine(self, document: str) -> None:
        """Let what was edited here win where both sides changed a key; only done when asked.

        Where the two cannot be put together, the next save replaces the file, or writes it again.
        """
        if not self._is_behind(document):
            return
        version = self.state[document]
        try:
            version, _ = self._merged(document, version, "mine")
        except EditError:
            version = replace(version, seen=len(self._disk[document].changes))
        self._advance(f"Keep my {escape_controls(self.path(document).name)}", {document: version})

    def take_theirs(self, document: str) -> bool:
        """Let what is on disk win where both sides changed a key; my other edits stay.

        Raises:
            EditError: where the file on disk cannot be used.
        """
        self._touch(document)
        self._look(document)
        if self._disk[document].data is None or not self._is_behind(document):
            return self.read_again(document)
        version, _ = self._merged(document, self.state[document])
        words = f"Take {escape_controls(self.path(document).name)} from disk"
        return self._advance(words, {document: version})

    def read_again(self, document: str) -> bool:
        """Let the file on disk replace all edits of a document, as a change that can be undone.

        Raises:
            EditError: where the file on disk cannot be used.
        """
        before = self._touch(document)
        self._look(document)
        disk = self._disk[document]
        version = Version(None, None, len(disk.changes))
        if disk.data is not None:
            version = self._version(document, disk.data, len(disk.changes))
        if version.data == before.data:
            return False
        words = f"Read {escape_controls(self.path(document).name)} again"
        return self._advance(words, {document: version})

    def restore(self, work: Mapping[str, tuple[str, str]]) -> tuple[str, ...]:
        """Take up unsaved work of an earlier time; returns why some of it could not be.

        Work is a text and that of the file it came from, by document. What was changed in the
        file since then is merged with it.
        """
        changed, refused = {}, []
        for document, (text, base) in work.items():
            try:
                self._touch(document)
                disk = self._disk[document]
                seen = len(disk.changes)
                if base != _decode(disk.data):
                    disk.changes.append((base.encode("utf-8"), disk.data))
                changed[document] = self._version(document, disk.data or b"", seen, text)
            except (EditError, ValueError) as error:
                refused.append(escape_controls(str(error)))
        self._advance("Take up unsaved work", changed)
        return tuple(refused)

    def take_in(self, loaded: LoadedLibrary) -> News:
        """Take in the library as it is on disk now, merged with what is unsaved here."""
        before, unsaved = self.loaded.sources, self.dirty
        taken: list[str] = []
        merged: list[str] = []
        deleted: list[str] = []
        clashes: list[str] = []
        self.loaded = loaded
        self._sources.update(loaded.sources)
        self._broken = _find_broken(loaded)
        self._library = None
        for document in dict.fromkeys([*loaded.sources, *before, *self._disk]):
            old, new = before.get(document), loaded.sources.get(document)
            if document in self._disk:
                is_news = self._look(document)
            else:
                is_news = (old and old.digest) != (new and new.digest)
            if is_news and self._is_behind(document):
                clashes.append(document)
            elif is_news and not os.path.lexists(self.path(document)):
                deleted.append(document)
            elif is_news:
                (merged if document in unsaved else taken).append(document)
        return News(tuple(taken), tuple(merged), tuple(deleted), tuple(clashes))

    # Places

    def difference(self, document: str) -> list[str]:
        """Lines that differ between the file on disk (-) and the screen (+)."""
        try:
            theirs = _decode(_read(self.path(document))).splitlines()
        except EditError as error:
            return [str(error)]
        mine = self.text(document).splitlines()
        return list(difflib.unified_diff(theirs, mine, "on disk", "on the screen", lineterm=""))

    def locate(self, spot: Spot, aim: Aim = "entry") -> Place | None:
        """File, line and column of a spot, in the text as it is on the screen."""
        if spot.document not in self._disk:
            return self.loaded.locate(spot, aim)
        shown = escape_controls(str(self.path(spot.document)))
        region = Locator(self.text(spot.document), "toml").locate(spot.path, aim)
        return Place(shown, *region) if region else Place(shown)

    def place_of(self, finding: Finding) -> Place | None:
        """Where a finding is."""
        return finding.place or self.locate(finding.spot)


def _find_broken(loaded: LoadedLibrary) -> dict[str, Path]:
    """The files that cannot be used, by the id that findings give them."""
    return {
        one.spot.document: loaded.paths[one.place.file]
        for one in loaded.problems
        if one.place and one.place.file in loaded.paths
        if one.spot.document not in loaded.sources
    }


def _read(path: Path) -> bytes | None:
    """The bytes of a file; None where there is none. Raises EditError where it cannot be read."""
    try:
        return read_bytes(path) if os.path.lexists(path) else None
    except FileFaultError as fault:
        raise EditError(fault.message) from None


def _decode(data: bytes | None) -> str:
    try:
        return decode_text(data or b"")
    except FileFaultError as fault:
        raise EditError(fault.message) from None
