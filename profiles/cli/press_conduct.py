"""From the options of a command to a sitting at the real box, and what came of it."""

import gc
from dataclasses import dataclass
from pathlib import Path

from profiles.cli.exits import Unusable
from profiles.cli.output import note, show_path
from profiles.cli.press_boxes import open_chosen, unusable
from profiles.cli.press_keys import open_keys
from profiles.cli.press_recordings import choose_path, read_named
from profiles.cli.press_sitting import HELP_KEYS, HELP_LINES, sit
from profiles.cli.press_status import StatusLine
from profiles.live.buttons import unheard_inputs
from profiles.live.events import LiveError
from profiles.live.series import date_now
from profiles.live.session import Session, replay
from profiles.live.sitting import LiveTest, resume_session, start_sitting
from profiles.model import Device
from profiles.text.inert import escape_controls
from profiles.text.prose import count, join_words
from profiles.text.version import find_version


@dataclass(frozen=True, slots=True)
class TestOptions:
    """How a test is done; `stem` begins the names of its recordings."""

    stem: str
    recording: Path | None = None
    fresh: bool = False
    which: int | None = None
    full: bool = False
    detents: int = 10
    lines: bool = False
    every: bool = False


@dataclass(frozen=True, slots=True)
class TestRun:
    """A sitting that is over. `is_unsaved`: some of it could not be written down."""

    session: Session
    started: str
    path: Path
    is_unsaved: bool = False


def run_press_test(device: Device, ways: TestOptions) -> TestRun:
    """Sit at the box of a device, from the start or from where the recording left off.

    Raises:
        Unusable: where there is no such box, or the recording cannot be resumed.
        KeyboardInterrupt: after the recording was closed, as always.
    """
    gc.enable()  # the command line turns it off, for runs that end at once
    path = choose_path(device, ways.stem, ways.recording, fresh=ways.fresh)
    try:
        sitting, started = _open_sitting(device, path, ways)
    except LiveError as error:
        raise unusable(error) from None
    is_unsaved = _sit_at_terminal(sitting, path, lines=ways.lines)
    if sitting.session.phase != "finished":
        note(f"note: stopped; run the same command again to resume {show_path(path)}")
    return TestRun(sitting.session, started, path, is_unsaved)


def _sit_at_terminal(sitting: LiveTest, path: Path, *, lines: bool) -> bool:
    """Do the sitting; tell whether some of it could not be written."""
    keys = open_keys(lines=lines)
    status = StatusLine(by_line=keys.by_line)
    _greet(status, sitting, path, by_line=keys.by_line)
    try:
        sit(sitting, keys, status)
    except LiveError as error:
        note(f"platebook: {error.message}\n  {error.remedy}.")
        return True
    except KeyboardInterrupt:
        note(f"note: stopped; run the same command again to resume {show_path(path)}")
        raise
    finally:
        keys.close()
    return False


def _open_sitting(device: Device, path: Path, ways: TestOptions) -> tuple[LiveTest, str]:
    if path.exists():
        return _resume(device, path, ways)
    reader, box = open_chosen(device, ways.which)
    started = date_now()
    try:
        sitting = start_sitting(
            device,
            reader,
            path,
            program=find_version(),
            started=started,
            depth="full" if ways.full else "short",
            detents=ways.detents,
            instance=box.instance,
            every=ways.every,
        )
    except LiveError:
        reader.close()
        raise
    return sitting, started


def _resume(device: Device, path: Path, ways: TestOptions) -> tuple[LiveTest, str]:
    recording = read_named(path, "press-test")
    if replay(device, recording).phase == "finished":
        raise Unusable(
            f"{show_path(path)} is the recording of a finished test",
            f"See it with --from {show_path(path)}, or start a new one with --new.",
        )
    reader, _box = open_chosen(device, ways.which, recording.end)
    try:
        session, recorder = resume_session(device, path)
    except LiveError:
        reader.close()
        raise
    if session.changed:
        note(f"warning: the device file has changed since {show_path(path)} was begun")
    return LiveTest(reader, session, recorder), recording.header.started


def _greet(status: StatusLine, sitting: LiveTest, path: Path, *, by_line: bool) -> None:
    session = sitting.session
    device, done = session.device, len(session.observations)
    begun = f", {done} of them done" if done else ""
    status.say(
        f"{device.name}: {count(len(session.steps), 'step')}{begun}; recorded in {show_path(path)}",
        HELP_LINES if by_line else HELP_KEYS,
    )
    unheard = unheard_inputs(device)
    if unheard:
        numbers = join_words([str(number) for number in unheard])
        status.say(
            f"This computer never hears inputs {numbers} of {escape_controls(device.id)}: "
            "skip them."
        )
