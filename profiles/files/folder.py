"""Which folder is the library; loads nothing, so that the screen is there before its files are."""

from collections.abc import Mapping
from pathlib import Path

from profiles.text.inert import escape_controls

ENVIRONMENT_NAME = "PLATEBOOK_LIBRARY"
"""Environment variable that names the library's folder."""

NAME_A_FOLDER = "name the folder that holds your files"


class NoLibraryError(Exception):
    """There is no folder to read a library from; the text says what to do."""


def find_library(
    option: str | None, environ: Mapping[str, str], cwd: Path, origin: str = "--library"
) -> Path:
    """Return the library's folder: the option's, else the environment's, else the current one.

    `origin` is what the user knows the option as.

    Raises:
        NoLibraryError: where that is no folder.
    """
    named = option
    if named is None:
        named, origin = environ.get(ENVIRONMENT_NAME) or None, ENVIRONMENT_NAME
    folder = cwd if named is None else Path(named).expanduser()
    if not is_folder(folder):
        shown = escape_controls(str(folder))
        raise NoLibraryError(f"{origin} names `{shown}`, which is no folder; {NAME_A_FOLDER}")
    return folder


def is_folder(path: Path) -> bool:
    """Whether a path is a folder, whatever the system says of it."""
    try:
        return path.is_dir()
    except (OSError, ValueError):
        return False
