"""Which folder is the library, and which is the user's own for what belongs to none.

Loads nothing, so that the screen is there before its files are.
"""

import errno
import sys
from collections.abc import Mapping
from pathlib import Path

from profiles.text.inert import escape_controls

ENVIRONMENT_NAME = "PLATEBOOK_LIBRARY"
"""Environment variable that names the library's folder."""

NAME_A_FOLDER = "name the folder that holds your files"


NO_FOLDER = "its folder would be in the place of a file"


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
    folder = cwd if named is None else read_path(named)
    if not is_folder(folder):
        shown = escape_controls(str(folder))
        raise NoLibraryError(f"{origin} names `{shown}`, which is no folder; {NAME_A_FOLDER}")
    return folder


def read_path(word: str) -> Path:
    """Return the path that is typed: `~` is the user's own folder, unless no user is meant."""
    try:
        return Path(word).expanduser() if word.startswith("~") else Path(word)
    except RuntimeError:
        return Path(word)


def find_own_folder(
    environ: Mapping[str, str], name: str, xdg: str, *, windows: str, macos: str, unix: str
) -> Path | None:
    """Return Platebook's folder among the user's own of one kind, or None if there is to be none.

    The variable `name` names the folder itself, empty for none. `xdg`, and on Windows `windows`,
    is the variable of the folder around it; otherwise it is `macos` or `unix` in the user's home.

    Source: XDG Base Directory Specification 0.8; a path that is not absolute is ignored.
    """
    named = environ.get(name)
    if named is not None:
        return Path(named) if named else None
    base = environ.get(xdg, "")
    if sys.platform == "win32":
        base = environ.get(windows, "")
    elif not Path(base).is_absolute():
        base = str(Path(environ.get("HOME", ""), macos if sys.platform == "darwin" else unix))
    return Path(base, "platebook") if Path(base).is_absolute() else None


def explain_unmade(error: OSError) -> str:
    """Why a folder cannot be made, or nothing be made in it."""
    if error.errno in (errno.EEXIST, errno.ENOTDIR):
        return NO_FOLDER
    return escape_controls(error.strerror or "no reason given").lower()


def is_folder(path: Path) -> bool:
    """Whether a path is a folder, whatever the system says of it."""
    try:
        return path.is_dir()
    except (OSError, ValueError):
        return False
