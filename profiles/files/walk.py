"""The files below a library's folder, and a line of one as it stands there; imports no model."""

import os
from collections.abc import Iterator, Mapping
from contextlib import suppress
from pathlib import Path

from profiles.files.documents import FORMATS, read_bytes
from profiles.files.faults import FileFaultError
from profiles.files.folder import is_folder
from profiles.files.places import Lines
from profiles.text.finding import Place
from profiles.text.inert import escape_controls


def find_files(folder: Path) -> Iterator[Path]:
    """Find the files of our formats below a folder, sorted; a folder linked within it, once.

    Hidden files and folders are skipped. What may not be entered is given itself: a folder that
    cannot be listed or entered, and a link that leads out of the folder or nowhere.
    """
    top = os.path.realpath(folder)
    seen: set[str] = set()
    todo = [(os.fspath(folder), top, True)]
    while todo:
        path, real, is_entered = todo.pop()
        if not is_entered:
            yield Path(path)
            continue
        if real in seen:
            continue
        seen.add(real)
        try:
            os.lstat(f"{path}{os.sep}.")  # may be refused where listing is not: to be entered
            with os.scandir(path) as listed:
                entries = sorted(listed, key=lambda entry: entry.name, reverse=True)
        except OSError:
            yield Path(path)
            continue
        for entry in entries:
            if entry.name.startswith("."):
                continue
            is_link = entry.is_symlink()
            target = os.path.realpath(entry.path) if is_link else f"{real}{os.sep}{entry.name}"
            if is_folder(Path(entry.path)) if is_link else entry.is_dir():
                todo.append((entry.path, target, is_inside(target, top)))
            elif Path(entry.name).suffix.lower() in FORMATS:
                todo.append((entry.path, target, False))


def is_inside(path: str, folder: str) -> bool:
    """Whether a path is a folder or lies below it; both without links."""
    return Path(path).is_relative_to(folder)


def is_within(path: Path, folder: Path) -> bool:
    """Whether a path leads to a folder or below it; links may lead anywhere, also in a circle."""
    return is_inside(os.path.realpath(path), os.path.realpath(folder))


def refuse_link_out(path: Path, folder: Path, word: str = "the library") -> None:
    """Raise a FileFaultError for a link that leads out of a folder, `word` for short."""
    if path.is_symlink() and not is_within(path, folder):
        raise FileFaultError(
            "unreadable-file",
            f"link `{escape_controls(path.name)}` leads out of {word} and is not followed",
            "Replace the link by a copy of what it leads to",
        )


def show_file(path: Path) -> str:
    """A file's path as findings name it: with slashes, and as text whatever its bytes are."""
    shown = path.as_posix()
    return shown if shown.isascii() else os.fsencode(shown).decode("utf-8", "backslashreplace")


class Excerpts:
    """Lines of files, by their path as findings name it.

    Findings are shown file by file, so the lines of one file at a time are kept.
    """

    def __init__(self, paths: Mapping[str, Path]) -> None:
        self._paths = paths
        self._read: tuple[Path, Lines | None] | None = None

    def __call__(self, place: Place) -> str | None:
        """Return the line of a place as it stands in its file, not made inert; None if unknown."""
        path = self._paths.get(place.file)
        if place.line is None or path is None:
            return None
        if self._read is None or self._read[0] != path:
            self._read = path, None
            with suppress(FileFaultError):
                self._read = path, Lines(read_bytes(path).decode("utf-8-sig", "replace"))
        lines = self._read[1]
        return lines.line(place.line) if lines and place.line <= len(lines.starts) else None
