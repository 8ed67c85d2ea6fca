"""What the screen remembers for its user between two times: the look, and where they last were.

It lies in the user's own settings folder, never beside a library. Nothing depends on it: what
cannot be read or written is as if it had never been.

`PLATEBOOK_CONFIG` names another folder; empty, nothing is remembered.
"""

import json
import os
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import asdict, dataclass, field
from pathlib import Path

from profiles.files.folder import find_own_folder

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

    Source: XDG Base Directory Specification 0.8 (`XDG_CONFIG_HOME`, `~/.config`). Unverified:
    `APPDATA` on Windows, `~/Library/Application Support` on macOS.
    """
    folder = find_own_folder(
        environ,
        ENVIRONMENT_NAME,
        "XDG_CONFIG_HOME",
        windows="APPDATA",
        macos="Library/Application Support",
        unix=".config",
    )
    return None if folder is None else folder / "screen.json"


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
