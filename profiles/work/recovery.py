"""Unsaved work kept beside the library, and changes of its files noticed.

Each screen writes one hidden file in the library's folder, named by its process, after every
change, and removes it when it ends. One left behind by a process that runs no more is offered the
next time. No library reads hidden files.
"""

import contextlib
import json
import os
from collections.abc import Mapping
from pathlib import Path
from typing import NamedTuple

from profiles.files.documents import read_bytes
from profiles.files.faults import FileFaultError
from profiles.files.save import put_file
from profiles.files.walk import find_files

Work = Mapping[str, tuple[str, str]]
"""By document: its unsaved text, and that of the file it came from."""

LARGEST = 64 * 1024 * 1024
"""Bytes of one file of unsaved work, which holds two texts of each file that was changed."""

PREFIX = ".platebook-unsaved-"


class Leftover(NamedTuple):
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
                content = {"format": 1, "work": {key: list(texts) for key, texts in work.items()}}
                put_file(self.path, json.dumps(content).encode("utf-8"))
            else:
                self.path.unlink(missing_ok=True)
        except OSError:
            return False
        return True

    def clear(self) -> None:
        """Remove the file."""
        discard(Leftover(self.path, {}))


def find_leftovers(folder: Path) -> tuple[Leftover, ...]:
    """Unsaved work in a folder whose process runs no more, oldest name first."""
    found = []
    with contextlib.suppress(OSError):
        for path in sorted(folder.glob(f"{PREFIX}*.json")):
            number = path.name.removeprefix(PREFIX).removesuffix(".json")
            work = {} if number.isdigit() and _is_running(int(number)) else _read(path)
            found += [Leftover(path, work)] if work else []
    return tuple(found)


def discard(leftover: Leftover) -> None:
    """Remove the file of unsaved work."""
    with contextlib.suppress(OSError):
        leftover.path.unlink(missing_ok=True)


def _read(path: Path) -> Work:
    """The work in a file; nothing where the file is not one of ours or is cut short."""
    try:
        content = json.loads(read_bytes(path, LARGEST))
        work = content["work"] if content["format"] == 1 else {}
        return {str(key): (str(text), str(base)) for key, (text, base) in work.items()}
    except (FileFaultError, RecursionError, ValueError, TypeError, KeyError, AttributeError):
        return {}


def _is_running(process: int) -> bool:
    """Whether a process still runs; where the system cannot tell, only this one does."""
    if process == os.getpid() or os.name != "posix":
        return process == os.getpid()
    try:
        os.kill(process, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except OSError:
        return True
    return True


class Watch:
    """Remembers size and time of change of the files that a library reads."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._seen = self._sign()

    def look(self) -> bool:
        """Whether any file came, went or changed since the last look."""
        before, self._seen = self._seen, self._sign()
        return before != self._seen

    def _sign(self) -> dict[str, tuple[int, int]]:
        found: dict[str, tuple[int, int]] = {}
        for path in find_files(self.folder):
            with contextlib.suppress(OSError):
                status = path.stat()
                found[str(path)] = (status.st_size, status.st_mtime_ns)
        return found
