"""What the commands share about libraries: the option, and loading with clear ends."""

import os
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from profiles.cli.exits import Unusable
from profiles.cli.output import note, show_path
from profiles.files.folder import NoLibraryError, find_library
from profiles.text.inert import escape_controls

if TYPE_CHECKING:
    from profiles.files.faults import FileFaultError
    from profiles.files.library import LoadedLibrary
    from profiles.text.finding import Finding

Command = TypeVar("Command", bound=Callable[..., Any])


PUT_RIGHT = "Put these right first; `platebook explain CODE` tells more."


def library_option(command: Command) -> Command:
    """Add `--library DIR` to a command."""
    return click.option(
        "--library",
        "library_option",
        metavar="DIR",
        help="The library's folder.  [default: PLATEBOOK_LIBRARY, or the current folder]",
    )(command)


def find_folder(option: str | None, origin: str = "--library") -> Path:
    """The library's folder.

    Raises:
        Unusable: where it is no folder.
    """
    try:
        return find_library(option, os.environ, Path(), origin)
    except NoLibraryError as error:
        raise Unusable(str(error)) from None


def open_library(option: str | None, origin: str = "--library") -> "LoadedLibrary":
    """Load the library as it is, problems and all; its notes go to stderr.

    Raises:
        Unusable: where there is no such folder.
    """
    return open_folder(find_folder(option, origin))


def open_folder(folder: Path) -> "LoadedLibrary":
    """Load the library of a folder as `open_library` does."""
    from profiles.files.library import load_library

    loaded = load_library(folder)
    write_notes(loaded.notes)
    return loaded


def write_notes(notes: Sequence[str]) -> None:
    """Put the notes of a loaded library on stderr, one a line."""
    for line in notes:
        note(f"note: {line}")


def open_sound_library(option: str | None, origin: str = "--library") -> "LoadedLibrary":
    """Load a library of which every file can be read.

    Raises:
        Unusable: where there is no such folder, or files in it have problems; they are all told.
    """
    loaded = open_library(option, origin)
    if loaded.problems:
        raise Unusable(write_problems(loaded, loaded.problems), PUT_RIGHT)
    return loaded


def explain_fault(file: Path, fault: "FileFaultError") -> Unusable:
    """What ends a command that cannot use a file: its name, the place in it, and what is wrong."""
    said = escape_controls(str(fault))
    if fault.region is None and escape_controls(file.name) in said:
        return Unusable(said, f"{fault.remedy}.")
    where = f":{fault.region.line}:{fault.region.column}" if fault.region else ""
    return Unusable(f"{show_path(file)}{where}: {said}", f"{fault.remedy}.")


def write_problems(loaded: "LoadedLibrary", problems: "Sequence[Finding]") -> str:
    """What is wrong with the files of a library, as `check` would print it."""
    from profiles.cli.findings import report_findings
    from profiles.report.terminal import render_text

    found = render_text(report_findings(problems, loaded.excerpt))
    return f"files of the library cannot be used\n\n{found.rstrip()}"
