"""The records of one box in a folder: `<stem>.jsonl`, `<stem>-2.jsonl` and so on."""

from datetime import datetime
from pathlib import Path

from profiles.live.events import LiveError
from profiles.live.record import read_record
from profiles.live.session import replay
from profiles.model import Device
from profiles.text.inert import file_name

MOST_TRIED = 9999
"""Numbered records of one box in one folder, at most."""


def find_series(folder: Path, stem: str) -> tuple[Path | None, Path]:
    """The last file of a series, None where there is none, and the one to come.

    Raises LiveError where the folder holds too many.
    """
    name = file_name(stem)
    last: Path | None = None
    for number in range(1, MOST_TRIED):
        path = folder / (f"{name}.jsonl" if number == 1 else f"{name}-{number}.jsonl")
        if not path.exists():
            return last, path
        last = path
    raise LiveError(f"This folder holds {MOST_TRIED} records", "Name a file with --record")


def is_open(device: Device, path: Path) -> bool:
    """Whether a record is of this device, as it is now, and unfinished."""
    try:
        session = replay(device, read_record(path))
    except LiveError:
        return False
    return session.phase != "finished" and not session.changed


def date_now() -> str:
    """The date and time for a record's first line."""
    return datetime.now().astimezone().strftime("%Y-%m-%d %H:%M")
