"""From the options of a command to a sitting at the real box, and what came of it."""

import gc
from dataclasses import dataclass
from pathlib import Path

from profiles.cli.exits import Unusable
from profiles.cli.output import note, show_path
from profiles.cli.press_boxes import open_chosen, unusable
from profiles.cli.press_keys import open_keys
from profiles.cli.press_records import choose_path, read_named
from profiles.cli.press_sitting import HELP_KEYS, HELP_LINES, sit
from profiles.cli.press_talk import Talk
from profiles.live.buttons import unheard_inputs
from profiles.live.events import LiveError
from profiles.live.series import date_now
from profiles.live.session import Session, replay
from profiles.live.sitting import Sitting, resume_session, start_sitting
from profiles.model import Device
from profiles.text.inert import escape_controls
from profiles.text.prose import count, join_words
from profiles.text.version import find_version


@dataclass(frozen=True, slots=True)
class Ways:
    """How a test is done; `stem` begins the names of its records."""

    stem: str
    record: Path | None = None
    fresh: bool = False
    which: int | None = None
    full: bool = False
    detents: int = 10
    lines: bool = False
    every: bool = False


@dataclass(frozen=True, slots=True)
class Conducted:
    """A sitting that is over. `is_unsaved`: some of it could not be written down."""

    session: Session
    started: str
    path: Path
    is_unsaved: bool = False


def conduct(device: Device, ways: Ways) -> Conducted:
    """Sit at the box of a device, from the start or from where the record left off.

    Raises:
        Unusable: where there is no such box, or the record cannot be gone on with.
        KeyboardInterrupt: after the record was closed, as always.
    """
    gc.enable()  # the command line turns it off, for runs that end at once
    path = choose_path(device, ways.stem, ways.record, fresh=ways.fresh)
    try:
        sitting, started = _open_sitting(device, path, ways)
    except LiveError as error:
        raise unusable(error) from None
    is_unsaved = _sit_at_terminal(sitting, path, lines=ways.lines)
    if sitting.session.phase != "finished":
        note(f"note: left off; the same call goes on with {show_path(path)}")
    return Conducted(sitting.session, started, path, is_unsaved)


def _sit_at_terminal(sitting: Sitting, path: Path, *, lines: bool) -> bool:
    """Do the sitting; tell whether some of it could not be written."""
    keys = open_keys(lines=lines)
    talk = Talk(by_line=keys.by_line)
    _greet(talk, sitting, path, by_line=keys.by_line)
    try:
        sit(sitting, keys, talk)
    except LiveError as error:
        note(f"platebook: {error.message}\n  {error.remedy}.")
        return True
    except KeyboardInterrupt:
        note(f"note: left off; the same call goes on with {show_path(path)}")
        raise
    finally:
        keys.close()
    return False


def _open_sitting(device: Device, path: Path, ways: Ways) -> tuple[Sitting, str]:
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


def _resume(device: Device, path: Path, ways: Ways) -> tuple[Sitting, str]:
    record = read_named(path, "press-test")
    if replay(device, record).phase == "finished":
        raise Unusable(
            f"{show_path(path)} is the record of a finished test",
            f"See it with --from {show_path(path)}, or record a new one with --new.",
        )
    reader, _box = open_chosen(device, ways.which, record.end)
    try:
        session, recorder = resume_session(device, path)
    except LiveError:
        reader.close()
        raise
    if session.changed:
        note(f"warning: the device file has changed since {show_path(path)} was begun")
    return Sitting(reader, session, recorder), record.header.started


def _greet(talk: Talk, sitting: Sitting, path: Path, *, by_line: bool) -> None:
    session = sitting.session
    device, done = session.device, len(session.observations)
    begun = f", {done} of them done" if done else ""
    talk.say(
        f"{device.name}: {count(len(session.steps), 'step')}{begun}; recorded in {show_path(path)}",
        HELP_LINES if by_line else HELP_KEYS,
    )
    unheard = unheard_inputs(device)
    if unheard:
        numbers = join_words([str(number) for number in unheard])
        talk.say(
            f"This computer never hears inputs {numbers} of {escape_controls(device.id)}: "
            "skip them."
        )
