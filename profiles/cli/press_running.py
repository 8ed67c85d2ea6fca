"""A person at a terminal and a box: what is typed as answers, what is asked and heard as lines.

- `run_at_terminal`: any run at the box, to its end
- `hear_tests`, `add_where`, `Where`: tests replayed or done at the box, as a command's options say
- `choose_box`: the box that is meant
- `option_which` and the like: options that several commands share
"""

import gc
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TypedDict, TypeVar

import click

from profiles.cli.exits import Unusable
from profiles.cli.output import note, show_path
from profiles.cli.press_keys import ANSWERS, HELP_KEYS, HELP_LINES, open_keys
from profiles.cli.press_status import TerminalStatusLine
from profiles.live.events import FoundBox, LiveError
from profiles.live.lines import AnswerKind, Depth
from profiles.model import Device
from profiles.text.inert import escape_controls
from profiles.text.prose import count
from profiles.work.press import (
    LiveRun,
    LiveTest,
    TestOptions,
    begin_test,
    find_options,
    replay_test,
    resume_options,
    run_press_test,
)
from profiles.work.press_boxes import describe_box, find_boxes, open_reader

Command = TypeVar("Command", bound=Callable[..., object])


def run_at_terminal(run: LiveRun, *, lines: bool, keys_told: str = "") -> None:
    """Run to the end, or until the person stops.

    `keys_told` says under a poster what can be typed; a run without has the answers of a test.

    Raises:
        LiveError: if the box cannot be read.
    """
    gc.enable()  # the command line turns it off, for runs that end at once
    keys = open_keys(lines=lines)
    status = TerminalStatusLine(by_line=keys.by_line, keys=keys_told)
    answers = "" if keys_told else (HELP_LINES if keys.by_line else HELP_KEYS)

    def next_answer(timeout: float) -> AnswerKind | None:
        word = keys.next(timeout)
        answer = None if word is None else ANSWERS.get(word)
        if word is not None and answer is None and answers:
            status.say(answers)
        return answer

    try:
        for shown in run.greeting:
            if isinstance(shown, str):
                status.say(shown)
            else:
                status.show(shown)
        if answers:
            status.say(answers)
        run_press_test(run, next_answer, status)
    finally:
        status.end()
        keys.close()


class Where(TypedDict):
    """What the options of `add_where` give: recordings to replay, or how to make one."""

    recording: Path | None
    fresh: bool
    sources: tuple[Path, ...]
    which: int | None
    lines: bool


def add_where(kind: str, replays: str) -> Callable[[Command], Command]:
    """Add the options of `Where`; a recording is named for its kind unless it is named."""

    def add(command: Command) -> Command:
        named = f"Where to record, or the recording to resume.  [default: DEVICE-{kind}.jsonl]"
        fresh = "Start a new recording; do not resume the last one."
        for option in (
            option_lines,
            option_which,
            option_from(replays),
            click.option("--new", "fresh", is_flag=True, help=fresh),
            option_recording(named),
        ):
            command = option(command)
        return command

    return add


def is_replay(where: Where) -> bool:
    """Whether recordings are replayed, and nothing is recorded."""
    if where["sources"] and (where["recording"] is not None or where["fresh"]):
        words = "--from replays and records nothing; remove --recording and --new"
        raise click.UsageError(words)
    return bool(where["sources"])


def hear_tests(
    device: Device,
    kind: str,
    where: Where,
    *,
    depth: Depth = "short",
    detents: int = 10,
    every: bool = False,
    patience: int = 0,
) -> tuple[list[LiveTest], bool]:
    """The tests that recordings lead to, or one done at the box; whether all of it is written.

    Raises:
        LiveError: if a recording is not of this device, or there is no such box.
        KeyboardInterrupt: after the recording was closed, as always.
    """
    recording, fresh = where["recording"], where["fresh"]
    if is_replay(where):
        return replay_all(device, where["sources"]), True
    if recording is None:
        found = find_options(device, kind, depth, detents, every=every, patience=patience)
        options = found[-1] if fresh else found[0]
    elif recording.exists() and not fresh:
        options = resume_options(device, recording)
    else:
        options = TestOptions(device, recording, depth, detents, every, patience)
    if options.resumed is not None and options.resumed.phase == "finished":
        name = show_path(options.path)
        raise Unusable(
            f"{name} is the recording of a finished test",
            f"See it with --from {name}, or start a new one with --new.",
        )
    reader = open_reader(options.time)
    try:
        box = choose_box(reader.devices(), device, where["which"])
    except LiveError:
        reader.close()
        raise
    test = begin_test(options, reader, box)
    again = f"note: stopped; run the same command again to resume {show_path(test.path)}"
    failure: LiveError | None = None
    try:
        run_at_terminal(test, lines=where["lines"])
    except LiveError as error:
        failure = error
    except KeyboardInterrupt:
        note(again)
        raise
    failure = failure or test.trouble
    if failure is not None:
        note(f"platebook: {failure.message}\n  {failure.advice}")
    if test.session.phase != "finished":
        note(again)
    return [test], failure is None


def replay_all(device: Device, paths: Sequence[Path]) -> list[LiveTest]:
    """The tests that recordings lead to, in the order given; lines cut short are noted.

    Raises:
        LiveError: if one is no recording of a test of this device.
    """
    tests = [replay_test(device, path) for path in paths]
    for words in (words for test in tests for words in test.greeting):
        note(words)
    return tests


def choose_box(boxes: Sequence[FoundBox], device: Device, which: int | None) -> FoundBox:
    """The box of this device among those plugged in.

    Raises:
        LiveError: if none may be, or several may and `which` chooses none of them.
    """
    found = find_boxes(boxes, device)
    choice = f"Choose with --which 1 to {len(found)}"
    name = escape_controls(device.id)
    if which is None and len(found) > 1:
        told = "; ".join(f"{at}: {describe_box(box)}" for at, box in enumerate(found, 1))
        raise LiveError(
            f"{len(found)} boxes that are plugged in may be `{name}`: {told}",
            f"{choice}, or unplug the others",
        )
    at = 1 if which is None else which
    if not 1 <= at <= len(found):
        raise LiveError(
            f"--which {at} is none of the {count(len(found), 'box')} that may be `{name}`", choice
        )
    box, usb = found[at - 1], device.device.usb
    if usb is not None and usb.serial and box.serial and box.serial != usb.serial:
        note(
            f"note: its serial number is {escape_controls(box.serial)}, not "
            f"{escape_controls(usb.serial)} as described: it may be another box, or the board "
            "has one of its own"
        )
    return box


def option_recording(words: str) -> Callable[[Command], Command]:
    """The option that names the recording."""
    return click.option("--recording", type=click.Path(path_type=Path), metavar="FILE", help=words)


def option_from(words: str) -> Callable[[Command], Command]:
    """The option that names recordings to replay."""
    return click.option(
        "--from",
        "sources",
        type=click.Path(path_type=Path),
        metavar="FILE",
        multiple=True,
        help=f"{words}; no box is needed. May be given several times.",
    )


option_which = click.option(
    "--which", type=click.IntRange(1), metavar="N", help="Which of identical boxes."
)
option_lines = click.option(
    "--lines", is_flag=True, help="Answer with words on lines, not single keys."
)
