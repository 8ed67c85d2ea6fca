"""A file that cannot be used, corrected by hand: what is wrong with its text as it is typed."""

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from profiles.files.documents import find_format, parse_text
from profiles.files.edit import FileEditor
from profiles.files.faults import FileFaultError
from profiles.files.locator import Locator
from profiles.files.validate import find_kind, validate_content, validate_settings
from profiles.model import SETTINGS_NAME, Finding, Library, kind_of
from profiles.text.inert import escape_controls
from profiles.work.contents import told
from profiles.work.copy import WorkingCopy
from profiles.work.edits import Edit


class Fault(NamedTuple):
    """One thing wrong with a text: line and column from 1, None where not known; what to do."""

    line: int | None
    column: int | None
    message: str
    remedy: str


def find_faults(
    path: Path, text: str, library: Library, taken: Mapping[str, str] | None = None
) -> tuple[Fault, ...]:
    """All that is wrong with the text of a file, in the order of its lines.

    `taken` has the files of all other documents, by their ids in small letters.
    """
    found = _find(path, text, library, taken or {})
    return tuple(sorted(found, key=lambda one: (one.line or 0, one.column or 0)))


def _find(path: Path, text: str, library: Library, taken: Mapping[str, str]) -> Iterator[Fault]:
    faults: Sequence[Exception] = ()
    locator = None
    try:
        content = parse_text(text, find_format(path))
        locator = Locator(text, find_format(path))
        if path.name == SETTINGS_NAME:
            validate_settings(content)
        else:
            value = validate_content(content, library=library)
            if other := taken.get(value.id.casefold()):
                raise FileFaultError(
                    "repeated-id",
                    f"id `{value.id}` is given in `{escape_controls(other)}` too",
                    "Give one of the two files another id, or delete it",
                    path=(kind_of(value), "id"),
                )
    except FileFaultError as error:
        faults = (error,)
    except ExceptionGroup as group:
        faults = group.exceptions
    for fault in faults:
        assert isinstance(fault, FileFaultError)
        region = fault.region or (locator.locate(fault.path, fault.aim) if locator else None)
        line, column = (region.line, region.column) if region else (None, None)
        yield Fault(line, column, fault.message, fault.remedy)


def list_taken(copy: WorkingCopy, name: str) -> dict[str, str]:
    """The files of all documents but those of one file, by their ids in small letters."""
    path = copy.path(name)
    files = {one: copy.path(one) for one in copy.library.documents}
    return {one.casefold(): file.name for one, file in files.items() if file != path}


class Excerpt(NamedTuple):
    """Whole lines of a text that is too long to be shown, and what is before and after them."""

    before: str
    lines: tuple[str, ...]
    after: str
    first: int
    """Number of the first line shown, from 1."""
    end: str
    """What ends a line in this text."""

    def whole(self, lines: str) -> str:
        """The text with other lines in their place, which end as all do in it."""
        return self.before + lines.replace("\n", self.end) + self.after


def cut_excerpt(text: str, line: int, most: int) -> Excerpt:
    """The lines around one, of at most so many letters; that line alone where it is longer."""
    end = "\r\n" if "\r\n" in text else "\n"
    lines = text.split(end)
    at = min(max(line, 1), len(lines)) - 1
    first, last, room = at, at + 1, most - len(lines[at])
    while room > 0 and (first > 0 or last < len(lines)):
        if last < len(lines):
            room -= len(lines[last]) + 1
            last += room >= 0
        if first > 0 and room > 0:
            room -= len(lines[first - 1]) + 1
            first -= room >= 0
    before = "".join(f"{one}{end}" for one in lines[:first])
    after = "".join(f"{end}{one}" for one in lines[last:])
    return Excerpt(before, tuple(lines[first:last]), after, first + 1, end)


def give_id(copy: WorkingCopy, name: str, new: str) -> str:
    """Give the document of a file whose id another file has an id of its own; returns that.

    Raises:
        EditError: where that is taken too, or no id.
    """
    editor = FileEditor(copy.path(name), copy.text(name).encode(), copy.library)
    with told(editor.path):
        editor.set((find_kind(editor.content), "id"), new)
    return copy.correct(name, editor.text)


def delete_file(copy: WorkingCopy, problem: Finding) -> Edit:
    """Delete a file that cannot be used; no other document can name what is in it."""
    name = copy.loaded.name_of(problem)
    words = f"Delete the file {escape_controls(copy.path(name).name)}"
    return Edit(words, lambda files: files.end(name))
