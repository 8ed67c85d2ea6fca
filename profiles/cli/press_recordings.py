"""Records on the disk: which file a test goes to, and recordings replayed."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from profiles.cli.exits import Unusable
from profiles.cli.output import note, show_path
from profiles.cli.press_boxes import unusable
from profiles.live.events import LiveError
from profiles.live.lines import Recording
from profiles.live.recording import read_recording
from profiles.live.series import find_series, replay_open
from profiles.live.session import Session, replay
from profiles.model import Device


@dataclass(frozen=True, slots=True)
class Replayed:
    """The recordings named, and where each leads."""

    recordings: tuple[Recording, ...]
    sessions: tuple[Session, ...]

    @property
    def started(self) -> str:
        """When the last of them was begun, in words."""
        return self.recordings[-1].header.started


def replay_recordings(device: Device, paths: Sequence[Path]) -> Replayed:
    """Replay recordings of a device, in the order given.

    Raises:
        Unusable: where one cannot be read, or is of another device or another kind.
    """
    recordings, sessions = [], []
    for path in paths:
        recording = read_named(path, "press-test")
        try:
            session = replay(device, recording)
        except LiveError as error:
            raise Unusable(
                f"{show_path(path)}: {_lower(error.message)}", f"{error.remedy}."
            ) from None
        recordings.append(recording)
        sessions.append(session)
    return Replayed(tuple(recordings), tuple(sessions))


def read_named(path: Path, kind: str) -> Recording:
    """Read a recording of this kind; a line cut short is said.

    Raises:
        Unusable: where it cannot be read or is a recording of another kind.
    """
    try:
        recording = read_recording(path)
    except LiveError as error:
        raise unusable(error) from None
    if recording.header.recording != kind:
        raise Unusable(
            f"{show_path(path)} is a recording of a {recording.header.recording}, not of a {kind}",
            "Choose another recording.",
        )
    if recording.cut:
        note(f"note: the last line of {show_path(path)} was cut short and is ignored")
    return recording


def choose_path(device: Device, stem: str, named: Path | None = None, *, fresh: bool) -> Path:
    """Where to record: the file named, the last of the series if it can be resumed, a new one.

    The series is `<stem>.jsonl`, `<stem>-2.jsonl` and so on, in the current folder.
    """
    if named is not None:
        return named
    last, new = _find_series(stem)
    return last if last and not fresh and replay_open(device, last) else new


def choose_new(stem: str) -> Path:
    """The next file of a series."""
    return _find_series(stem)[1]


def _find_series(stem: str) -> tuple[Path | None, Path]:
    try:
        return find_series(Path(), stem)
    except LiveError as error:
        raise unusable(error) from None


def _lower(message: str) -> str:
    return message[:1].lower() + message[1:]
