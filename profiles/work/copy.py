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

import contextlib
import os
from collections.abc import Callable, Collection, Mapping
from pathlib import Path
from typing import Literal

from profiles.files.documents import digest_of, find_format
from profiles.files.edit import FileEditor
from profiles.files.faults import FileFaultError
from profiles.files.library import LoadedLibrary
from profiles.files.locator import Locator
from profiles.files.places import Aim
from profiles.files.save import (
    ChangedOnDiskError,
    SaveError,
    create_file,
    remove_file,
    replace_file,
)
from profiles.files.toml_edit import EditError
from profiles.model import SETTINGS_NAME, Device, Finding, Library, Part, Place, Settings, Spot
from profiles.text.inert import escape_controls
from profiles.work.contents import decode, find_id, place_text, read_file, refuse_taken, told
from profiles.work.merge import Clash, Side, merge
from profiles.work.open_files import OpenFiles
from profiles.work.starter_comments import renew_comments
from profiles.work.versions import NEW_SETTINGS, News, OnDisk, Saved, State, Step, Trial, Version

Change = Callable[[OpenFiles], None]

TRIES = 5
"""How often a save begins again where a file changes at that very moment."""


class WorkingCopy:
    """The library with what was edited here. `EditError` tells what cannot be done, and why."""

    def __init__(self, loaded: LoadedLibrary) -> None:
        self.past: list[Step] = []
        self.future: list[Step] = []
        self.state: State = {}
        self._disk: dict[str, OnDisk] = {}
        self._paths: dict[str, Path] = {SETTINGS_NAME: loaded.folder / SETTINGS_NAME}
        self._load(loaded)

    def _load(self, loaded: LoadedLibrary) -> None:
        self.loaded = loaded
        self._library: Library | None = None
        named = {loaded.name_of(one): loaded.path_of(one) for one in loaded.problems}
        self._broken = {key: at for key, at in named.items() if at and key not in loaded.sources}
        self._paths |= self._broken | {key: one.path for key, one in loaded.sources.items()}

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
            if document == SETTINGS_NAME:
                settings = Settings(format=1)
            if isinstance(version.value, Settings):
                settings = version.value
            elif version.value is None:
                documents.pop(document, None)
            else:
                documents[document] = version.value  # where it was, for the order
                unusable = tuple(one for one in unusable if one.id != document)
        return Library.of(documents.values(), settings, unusable)

    @property
    def problems(self) -> tuple[Finding, ...]:
        """What is wrong with the files themselves, but for those put right here."""
        return self._problems_of(self.state)

    def _problems_of(self, state: State) -> tuple[Finding, ...]:
        right = [key for key in self._broken if key in state and not state[key].is_unsound]
        sound = {self._broken[key] for key in right}
        return tuple(one for one in self.loaded.problems if self.loaded.path_of(one) not in sound)

    # Edits

    def edit(self, words: str, change: Change) -> bool:
        """Make a change of one or several files; returns whether anything is different.

        Raises:
            EditError: where it cannot be made; nothing has changed then.
        """
        return self._advance(words, self._changed(change))

    def correct(self, document: str, text: str) -> str:
        """Give a file that cannot be used another text, which can be; returns its id from now on.

        Raises:
            EditError: where the text cannot be used either, or has an id that is taken.
        """
        path = self.path(document)
        id_ = find_id(path, text, self.library)
        known = {*self.library.documents, *self._broken, *self._disk}
        refuse_taken(id_, [one for one in known if self._paths.get(one) != path])
        if id_ != document:  # it was not known until now
            self._broken[id_] = self._paths[id_] = path
        data, _, seen = self._touch(id_)
        self._advance(f"Correct {path.name}", {id_: self._version(id_, data or b"", seen, text)})
        return id_

    def _claim(self, document: str, path: Path, ended: Collection[str]) -> None:
        """Make room for a document that begins, where its id and its file are free by then."""
        refuse_taken(document, {*self.library.documents, *self._broken}.difference(ended))
        if any(one.id == document for one in self.library.unusable):
            name = escape_controls(document)
            raise EditError(f"id `{name}` is taken by a file that cannot be used; fix that first")
        if path != self._paths.get(document) and os.path.lexists(path):
            raise EditError(f"`{escape_controls(path.name)}` is there already; choose another id")
        self._make_room(document, path)

    def _make_room(self, document: str, path: Path) -> None:
        """Know a document whose file is not there yet, or goes on where it was ended unsaved."""
        if document not in self._disk:
            self._disk[document] = OnDisk(None, Version(None, None))
            self.state = {**self.state, document: self._disk[document].first}
        elif self._disk[document].data is not None:
            if find_format(path) != find_format(self.path(document)):
                name = escape_controls(self.path(document).name)
                raise EditError(f"`{name}` is still there; save first, or choose another id")
            return
        self._paths[document] = path

    def trial(self, change: Change) -> Trial:
        """What a change would bring that is not made. Raises EditError."""
        changed = self._changed(change)
        after = {**self.state, **changed}
        differ = {key: one for key, one in changed.items() if one.data != self.state[key].data}
        texts = {key: (self.text(key), decode(one.data)) for key, one in differ.items()}
        return Trial(self._make_library(after), self._problems_of(after), texts)

    def _changed(self, change: Change) -> dict[str, Version]:
        files = OpenFiles(lambda document: (self.path(document), self._touch(document).data))
        change(files)
        renew_comments(self.library, files)
        for document, path in files.begun.items():
            self._claim(document, path, files.ended)
        changed = {one: Version(None, None, self.state[one].seen) for one in files.ended}
        parts = self.library.parts.keys() & changed.keys()
        library = self._make_library({**self.state, **changed}) if parts else self.library
        first = self.library.parts.keys() | files.begun.keys()  # devices are made of parts
        for document, editor in sorted(files.editors.items(), key=lambda one: one[0] not in first):
            before = self.state[document]
            if editor.data != before.data:
                made = self._version(document, editor.data, before.seen, library=library)
                changed[document] = made
                parts |= {document} if isinstance(made.value, Part) else set()
                library = self._make_library({**self.state, **changed}) if parts else library
        for key, device in library.devices.items() if parts else ():
            if key not in changed and not parts.isdisjoint(device.parts):
                data, _, seen = self._touch(key)  # as it is, with the part as it is now
                changed[key] = self._version(key, data or b"", seen, library=library)
        return changed

    def _version(
        self,
        document: str,
        data: bytes,
        seen: int,
        text: str | None = None,
        library: Library | None = None,
    ) -> Version:
        """A version of a file of these bytes, or of another text with their byte order mark.

        Raises:
            EditError: where the model refuses it, or it has another id.
        """
        path = self.path(document)
        with told(path):
            editor = FileEditor(path, data, library or self.library)
            editor.text = editor.text if text is None else text
            value = editor.validate()
        if not isinstance(value, Settings) and value.id != document:
            name = escape_controls(document)
            raise EditError(f"`{name}` would get another id; change that by hand")
        return Version(editor.data, value, seen)

    def _advance(self, words: str, changed: Mapping[str, Version]) -> bool:
        if changed:
            self.past.append(Step(words, self.state, {**self.state, **changed}))
            self.future.clear()
            self._show(self.past[-1].after)
        return bool(changed)

    def _show(self, state: State) -> None:
        """Show a state, each file with what others wrote since then."""
        self.state = {
            document: self._catch_up(document, state.get(document, disk.first))
            for document, disk in self._disk.items()
        }
        self._library = None

    def path(self, document: str) -> Path:
        """The file of a document. Raises EditError where the library has none of this id."""
        if document not in self._paths:
            raise EditError(f"the library has no file for `{escape_controls(document)}`")
        return self._paths[document]

    def _touch(self, document: str) -> Version:
        """The present version of a file, which is read where it was not edited before."""
        if document not in self._disk:
            path, source = self.path(document), self.loaded.sources.get(document)
            data, base = read_file(path), self.loaded.library
            is_as_read = (data and digest_of(data)) == (source and source.digest)
            if not is_as_read and document not in self._broken:
                changed = "is not as it was read; fix it, or wait a moment"
                what = changed if data is not None else "was deleted on disk"
                raise EditError(f"`{escape_controls(path.name)}` {what}")
            value = base.settings if document == SETTINGS_NAME else base.documents.get(document)
            first = Version(NEW_SETTINGS if data is None else data, value)
            self._disk[document] = OnDisk(data, first)
            self.state = {**self.state, document: first}
        return self.state[document]

    def text(self, document: str) -> str:
        """The text of a document as it is here. Raises EditError where it cannot be read."""
        if document in self._disk:
            return decode(self.state[document].data)
        return decode(read_file(self.path(document)))

    def text_at(self, finding: Finding) -> str:
        """The text of the file that a finding is in, sound or not. Raises EditError."""
        path, name = self.loaded.path_of(finding), self.loaded.name_of(finding)
        if name in self._disk or path is None:
            return self.text(name)
        return (read_file(path) or b"").decode("utf-8-sig", "replace")

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
        found = []
        for document, disk in sorted(self._disk.items()):
            is_new = disk.data is None and document == SETTINGS_NAME
            same = (disk.data, NEW_SETTINGS) if is_new else (disk.data,)
            if self._is_behind(document) or self.state[document].data not in same:
                found.append(document)
        return tuple(found)

    def _is_behind(self, document: str) -> bool:
        """Whether others wrote what clashes with the version here."""
        disk = self._disk.get(document)
        return disk is not None and self.state[document].seen < len(disk.changes)

    def unsaved(self) -> dict[str, tuple[str, str]]:
        """The text of every dirty document, and the text of the file that it came from."""
        found = {}
        for document in self.dirty:
            disk, seen = self._disk[document], self.state[document].seen
            base = disk.changes[seen][0] if self._is_behind(document) else disk.data
            found[document] = self.text(document), decode(base)
        return found

    def save(self) -> Saved:
        """Write every dirty document, whole or not at all, merged with what others wrote.

        New files and removals wait until all else is on disk, so that no renamed document is lost.
        """
        found: dict[str, list[str]] = {name: [] for name in Saved._fields}
        rank = {one: (self.state[one].data is None, not self._disk[one].data) for one in self.dirty}
        for document in sorted(rank, key=lambda one: rank[one]):
            if any(rank[document]) and (found["failures"] or found["clashes"]):
                break
            before = self.state[document]
            try:
                is_written = self._save(document)
            except (SaveError, EditError) as error:
                found["failures"].append(str(error))
                continue
            found["written" if is_written else "clashes"].append(document)
            if is_written and self.state[document].seen != before.seen:
                found["merged"].append(document)
        return Saved(*(tuple(found[name]) for name in Saved._fields))

    def _save(self, document: str) -> bool:
        """Write one document; returns False where it clashes with what others wrote."""
        path, disk = self.path(document), self._disk[document]
        for _ in range(TRIES):
            self._look(document)
            version = self.state[document]
            if self._is_behind(document):
                return False
            if version.data == disk.data:
                return True
            try:
                if version.data is None:  # begun here, written, and taken back
                    remove_file(path, digest_of(disk.data or b""))
                elif disk.data is None:
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
        disk, data = self._disk[document], read_file(self.path(document))
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
            base, mine, theirs_now = map(decode, (old, version.data, new))
            form = find_format(self.path(document))
            merged = merge(base, mine, theirs_now, prefer, form)
            return self._version(document, new, seen, merged.text), merged.clashes
        except (FileFaultError, EditError) as error:
            raise EditError(f"Both changes cannot be put together: {error}") from None

    def describe_clash(self, document: str) -> list[str]:
        """Why a document is not saved: the keys that both sides changed, or what else is wrong."""
        try:
            return [str(clash) for clash in self._merged(document, self.state[document])[1]]
        except EditError as error:
            return [str(error)]

    def settle(self, document: str, winner: Side | Literal["disk"]) -> bool:
        """Settle a clash as was decided; only ever done when asked, and it can be undone.

        `mine` or `theirs` wins where both sides changed a key, and all other edits stay. Where the
        two cannot be put together, `mine` lets the next save write the whole file. `disk` takes
        the whole file as it is on disk.

        Raises:
            EditError: where the file on disk is to win and cannot be used.
        """
        version = self._touch(document)
        self._look(document)
        disk, name = self._disk[document], escape_controls(self.path(document).name)
        try:
            if winner != "disk" and self._is_behind(document):
                version, _ = self._merged(document, self.state[document], winner)
                return self._advance(f"Settle {name}, {winner} first", {document: version})
        except EditError:
            if winner == "theirs" and disk.data is not None:
                raise
        if winner == "mine":
            version = version._replace(seen=len(disk.changes))
        elif disk.data is None:
            version = Version(None, None, len(disk.changes))
        else:
            version = self._version(document, disk.data, len(disk.changes))
        changed = {document: version} if version != self.state[document] else {}
        return self._advance(f"Settle {name}: {winner}", changed)

    def restore(self, work: Mapping[str, tuple[str, str]]) -> tuple[str, ...]:
        """Take up unsaved work of an earlier time; returns why some of it could not be.

        Work is a text, empty where it was deleted, and that of the file it came from, by document.
        What was changed in the file since then is merged with it.
        """
        changed, refused = {}, []
        for document, (text, base) in work.items():
            try:
                if document not in self._paths and not base:
                    self._make_room(document, place_text(self.loaded, document, text))
                self._touch(document)
                disk, seen = self._disk[document], len(self._disk[document].changes)
                if base != decode(disk.data):
                    disk.changes.append((base.encode("utf-8"), disk.data))
                changed[document] = Version(None, None, seen)
                if text or not base:
                    changed[document] = self._version(document, disk.data or b"", seen, text)
            except (EditError, ValueError) as error:
                refused.append(escape_controls(str(error)))
        self._advance("Take up unsaved work", changed)
        return tuple(refused)

    def take_in(self, loaded: LoadedLibrary) -> News:
        """Take in the library as it is on disk now, merged with what is unsaved here."""
        before, unsaved = self.loaded.sources, self.dirty
        found: dict[str, list[str]] = {name: [] for name in News._fields}
        self._load(loaded)
        for document, version in self.state.items():
            if isinstance(version.value, Device) and version.data is not None:
                with contextlib.suppress(EditError):  # the parts that it names may have changed
                    again = self._version(document, version.data, version.seen)
                    self.state = {**self.state, document: again}
        for document in dict.fromkeys([*loaded.sources, *before, *self._disk]):
            old, new = before.get(document), loaded.sources.get(document)
            is_news = (old and old.digest) != (new and new.digest)
            if document in self._disk:
                with contextlib.suppress(EditError):  # a file that cannot be read is a problem
                    is_news = self._look(document)
            kind = "merged" if document in unsaved else "taken"
            if self._is_behind(document):
                kind = "clashes"
            elif not os.path.lexists(self.path(document)):
                kind = "deleted"
            if is_news:
                found[kind].append(document)
        return News(*(tuple(found[name]) for name in News._fields))

    # Places

    def locate(self, spot: Spot, aim: Aim = "entry") -> Place | None:
        """File, line and column of a spot, in the text as it is on the screen."""
        if spot.document not in self._disk:
            return self.loaded.locate(spot, aim)
        shown = escape_controls(str(self.path(spot.document)))
        form = find_format(self.path(spot.document))
        region = Locator(self.text(spot.document), form).locate(spot.path, aim)
        return Place(shown, *region) if region else Place(shown)

    def place_of(self, finding: Finding) -> Place | None:
        """Where a finding is."""
        return finding.place or self.locate(finding.spot)
