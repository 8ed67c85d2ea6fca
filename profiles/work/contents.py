"""Files of a library: their bytes, what is wrong with them as an `EditError`, where new ones go."""

import contextlib
import os
from collections.abc import Iterable, Iterator
from pathlib import Path

from profiles.files.documents import FORMATS, decode_text, parse_text, read_bytes
from profiles.files.edit import FileEditor
from profiles.files.faults import FileFaultError
from profiles.files.library import LoadedLibrary
from profiles.files.toml_edit import EditError
from profiles.files.validate import find_kind
from profiles.model import SETTINGS_NAME, Library, Settings
from profiles.text.inert import escape_controls


@contextlib.contextmanager
def told(path: Path) -> Iterator[None]:
    """What is wrong with a file, as an EditError."""
    try:
        yield
    except FileFaultError as fault:
        raise EditError(f"`{escape_controls(path.name)}`: {fault.message}") from None


def read_file(path: Path) -> bytes | None:
    """The bytes of a file; None where there is none. Raises EditError where it cannot be read."""
    try:
        return read_bytes(path) if os.path.lexists(path) else None
    except FileFaultError as fault:
        raise EditError(fault.message) from None


def decode(data: bytes | None) -> str:
    """The text of a file; empty where there is none. Raises EditError where it is none."""
    try:
        return decode_text(data or b"")
    except FileFaultError as fault:
        raise EditError(fault.message) from None


def find_id(path: Path, text: str, library: Library) -> str:
    """The id of what a text describes, the settings by name. Raises EditError if it is unsound."""
    with told(path):
        editor = FileEditor(path, b"", library)
        editor.text = text
        value = editor.validate()
    return SETTINGS_NAME if isinstance(value, Settings) else value.id


def refuse_taken(document: str, known: Iterable[str]) -> None:
    """Refuse an id that others have, or that differs from theirs by capitals alone."""
    if document.casefold() in {one.casefold() for one in known}:
        raise EditError(
            f"id `{escape_controls(document)}` is taken in this library; choose another"
        )


def place_text(loaded: LoadedLibrary, document: str, text: str) -> Path:
    """The file of a new document, of whichever format its text is. Raises EditError."""
    for suffix in (".json", ".yaml"):
        with contextlib.suppress(FileFaultError):
            if isinstance(content := parse_text(text, FORMATS[suffix]), dict):
                return choose_path(loaded, find_kind(content), f"{document}{suffix}")
    with told(path := loaded.folder / f"{document}.toml"):
        return choose_path(loaded, find_kind(parse_text(text, "toml")), path.name)


def choose_path(loaded: LoadedLibrary, kind: str, name: str) -> Path:
    """The file of a new document: where all others of its kind are, else the library's folder."""
    folders = {one.path.parent for one in loaded.sources.values() if one.kind == kind}
    return (folders.pop() if len(folders) == 1 else loaded.folder) / name
