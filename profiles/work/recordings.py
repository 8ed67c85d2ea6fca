"""Where a library keeps its recordings, and which there are of a box."""

import json
from itertools import islice
from pathlib import Path
from typing import NamedTuple

from profiles.files.documents import read_start
from profiles.files.faults import FileFaultError
from profiles.live.events import LiveError
from profiles.text.inert import escape_controls

FOLDER = "recordings"
"""The library's folder for them."""

MOST = 2000
"""Files that are looked at."""

LONGEST_HEADER = 64 * 1024
"""Bytes of a first line that are read."""


class FoundRecording(NamedTuple):
    """A recording of a press test: its file, and when it was started, as the file says it."""

    path: Path
    started: str


def recordings_folder(library: Path) -> Path:
    """The library's folder for recordings, made where it is missing.

    Raises:
        LiveError: where it cannot be made.
    """
    folder = library / FOLDER
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        name = escape_controls(str(folder))
        raise LiveError(f"Cannot make {name}: {error.strerror}", "Check its permissions") from None
    return folder


def list_recordings(library: Path, device: str, *others: Path) -> tuple[FoundRecording, ...]:
    """The press tests of a device below a library and in other folders, the last started first."""
    paths = list(islice(library.rglob("*.jsonl"), MOST))
    for folder in others:
        paths += islice(folder.glob("*.jsonl"), MOST)
    found = {}
    for path in paths:
        header = _read_header(path)
        if header.get("recording") == "press-test" and header.get("device") == device:
            found[path.resolve()] = FoundRecording(path, str(header.get("started", "")))
    return tuple(sorted(found.values(), key=lambda one: (one.started, str(one.path)), reverse=True))


def _read_header(path: Path) -> dict[str, object]:
    """The first line of a recording; nothing where it is none."""
    try:
        content = json.loads(read_start(path, LONGEST_HEADER).split(b"\n", 1)[0])
    except (FileFaultError, ValueError, RecursionError):
        return {}
    return content if isinstance(content, dict) else {}
