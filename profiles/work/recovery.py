"""Unsaved work kept beside the library, so that a crash or a closed window loses nothing.

Each screen writes one hidden file in the library's folder, named by its process, after every
change, and removes it when it ends. One left behind by a process that runs no more is offered the
next time. No library reads hidden files.
"""

import contextlib
import json
import os
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

Work = Mapping[str, tuple[str, str]]
"""By document: its unsaved text, and that of the file it came from."""

PREFIX = ".platebook-unsaved-"


@dataclass(frozen=True, slots=True)
class Leftover:
    """Unsaved work of a screen that ended without saving."""

    path: Path
    work: Work


class Keeper:
    """Keeps the unsaved work of this process in its file."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / f"{PREFIX}{os.getpid()}.json"

    def keep(self, work: Work) -> bool:
        """Write the work, or remove the file where there is none; False where it cannot be."""
        try:
            if work:
                _write(self.path, {"format": 1, "work": {k: list(v) for k, v in work.items()}})
            else:
                self.path.unlink(missing_ok=True)
        except OSError:
            return False
        return True

    def clear(self) -> None:
        """Remove the file."""
        with contextlib.suppress(OSError):
            self.path.unlink(missing_ok=True)


def find_leftovers(folder: Path) -> tuple[Leftover, ...]:
    """Unsaved work in a folder whose process runs no more, oldest name first."""
    try:
        paths = sorted(folder.glob(f"{PREFIX}*.json"))
    except OSError:
        return ()
    found = [(path, _read(path)) for path in paths if not _is_running(path)]
    return tuple(Leftover(path, work) for path, work in found if work)


def discard(leftover: Leftover) -> None:
    """Remove the file of unsaved work."""
    with contextlib.suppress(OSError):
        leftover.path.unlink(missing_ok=True)


def _write(path: Path, content: object) -> None:
    handle, name = tempfile.mkstemp(".tmp", PREFIX, path.parent)
    temporary = Path(name)
    try:
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            json.dump(content, file)
        temporary.replace(path)
    finally:
        temporary.unlink(missing_ok=True)


def _read(path: Path) -> Work:
    """The work in a file; nothing where the file is not one of ours or is cut off."""
    try:
        content = json.loads(path.read_text("utf-8"))
        return {str(key): (str(text), str(base)) for key, (text, base) in _items(content)}
    except (OSError, ValueError, TypeError):
        return {}


def _items(content: object) -> list[tuple[object, tuple[object, object]]]:
    if not isinstance(content, dict) or content.get("format") != 1:
        return []
    work = content.get("work")
    return list(work.items()) if isinstance(work, dict) else []


def _is_running(path: Path) -> bool:
    """Whether the process that a file is named by still runs; this one's own counts as running."""
    number = path.name.removeprefix(PREFIX).removesuffix(".json")
    if not number.isdigit():
        return False
    if int(number) == os.getpid():
        return True
    if os.name != "posix":
        return False
    try:
        os.kill(int(number), 0)
    except (ProcessLookupError, OverflowError):
        return False
    except OSError:
        return True
    return True
