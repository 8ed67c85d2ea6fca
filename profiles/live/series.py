"""The recordings of one box in a folder: `<stem>.jsonl`, `<stem>-2.jsonl` and so on."""

from datetime import datetime
from pathlib import Path

from profiles.live.events import LiveError
from profiles.live.recording import read_recording
from profiles.live.session import Session, replay
from profiles.model import Device
from profiles.text.inert import file_name

MOST_TRIED = 9999
"""Numbered recordings of one box in one folder, at most."""


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
    raise LiveError(f"This folder holds {MOST_TRIED} recordings", "Name a file with --recording")


def replay_open(device: Device, path: Path) -> Session | None:
    """The session of a recording of this device, as it is now, that is unfinished; else None."""
    try:
        session = replay(device, read_recording(path))
    except LiveError:
        return None
    return None if session.phase == "finished" or session.changed else session


def date_now() -> str:
    """The date and time for a recording's first line."""
    return datetime.now().astimezone().strftime("%Y-%m-%d %H:%M")
