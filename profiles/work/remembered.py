"""What the screen remembers for its user between two times: the look, and where they last were.

It lies in the user's own settings folder, never beside a library. Nothing depends on it: what
cannot be read or written is as if it had never been.

`PLATEBOOK_CONFIG` names another folder; empty, nothing is remembered.
"""

import json
import os
import sys
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import asdict, dataclass, field
from pathlib import Path

ENVIRONMENT_NAME = "PLATEBOOK_CONFIG"
"""Environment variable that names the folder."""

MOST = 50
"""Libraries remembered; the one longest not opened makes room."""

LARGEST = 256 * 1024
"""Bytes of a file that is read."""


@dataclass
class Remembered:
    """The look by its name, and the profile and device last looked at in each library's folder."""

    look: str = ""
    places: dict[str, tuple[str, str]] = field(default_factory=dict)


def find_settings(environ: Mapping[str, str]) -> Path | None:
    """Return the file of what is remembered, or None where there is to be none.

    Source: XDG Base Directory Specification 0.8 (`XDG_CONFIG_HOME`, `~/.config`; a path that is
    not absolute is ignored). Unverified: `APPDATA` on Windows, `~/Library/Application Support` on
    macOS.
    """
    named = environ.get(ENVIRONMENT_NAME)
    if named is not None:
        return Path(named, "screen.json") if named else None
    base = environ.get("XDG_CONFIG_HOME", "")
    if sys.platform == "win32":
        base = environ.get("APPDATA", "")
    elif not Path(base).is_absolute():
        own = "Library/Application Support" if sys.platform == "darwin" else ".config"
        base = str(Path(environ.get("HOME", ""), own))
    return Path(base, "platebook", "screen.json") if Path(base).is_absolute() else None


def recall() -> Remembered:
    """Return what is remembered; nothing where the file is missing, foreign or damaged."""
    path = find_settings(os.environ)
    with suppress(OSError, ValueError, RecursionError):
        if path is not None and path.is_file() and path.stat().st_size <= LARGEST:
            match json.loads(path.read_text("utf-8")):
                case {"format": 1, "look": str(look), "places": dict(places)}:
                    return Remembered(
                        look,
                        {
                            folder: (place[0], place[1])
                            for folder, place in places.items()
                            if isinstance(place, list) and [type(one) for one in place] == [str] * 2
                        },
                    )
    return Remembered()


def remember(folder: Path, look: str, profile: str, device: str) -> None:
    """Remember the look and where the user was in a library, where that can be written."""
    from profiles.files.save import put_file

    path = find_settings(os.environ)
    if path is None:
        return
    known = recall()
    known.look = look
    known.places.pop(str(folder), None)
    known.places = dict([*known.places.items(), (str(folder), (profile, device))][-MOST:])
    with suppress(OSError, ValueError):
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        put_file(path, json.dumps({"format": 1, **asdict(known)}, indent=1).encode("ascii"))
