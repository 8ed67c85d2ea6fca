"""A person at a terminal and a box: what is typed as answers, what is asked and heard as lines.

- `run_at_terminal`: any run at the box, to its end
- `begin_at_terminal`, `finish_at_terminal`, `replay_all`: a test from the options of a command
- `choose_box`, `unusable`: the box that is meant; a fault outside as the end of a command
- `option_which` and the like: options that several commands share
"""

import gc
from collections.abc import Callable, Sequence
from pathlib import Path

import click

from profiles.cli.exits import Unusable
from profiles.cli.output import note, show_path
from profiles.cli.press_keys import ANSWERS, HELP_KEYS, HELP_LINES, open_keys
from profiles.cli.press_status import TerminalStatusLine
from profiles.live.events import Box, LiveError
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

Decorator = Callable[[Callable[..., object]], Callable[..., object]]


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


def begin_at_terminal(
    device: Device,
    kind: str,
    *,
    recording: Path | None,
    fresh: bool,
    which: int | None,
    depth: Depth = "short",
    detents: int = 10,
    every: bool = False,
) -> LiveTest:
    """Begin a test of a device, or resume its recording: the one named, or the last of its kind.

    Raises:
        Unusable: if there is no such box, or the recording cannot be resumed.
    """
    try:
        if recording is None:
            found = find_options(device, kind, depth, detents, every=every)
            options = found[-1] if fresh else found[0]
        elif recording.exists() and not fresh:
            options = resume_options(device, recording)
        else:
            options = TestOptions(device, recording, depth, detents, every)
        if options.resumed is not None and options.resumed.phase == "finished":
            name = show_path(options.path)
            raise Unusable(
                f"{name} is the recording of a finished test",
                f"See it with --from {name}, or start a new one with --new.",
            )
        reader = open_reader(options.time)
        try:
            box = choose_box(reader.devices(), device, which)
        except (LiveError, Unusable):
            reader.close()
            raise
        return begin_test(options, reader, box)
    except LiveError as error:
        raise unusable(error) from None


def finish_at_terminal(test: LiveTest, *, lines: bool) -> bool:
    """Run a test to its end, or until the person stops; whether all of it is written.

    Raises:
        KeyboardInterrupt: after the recording was closed, as always.
    """
    again = f"note: stopped; run the same command again to resume {show_path(test.path)}"
    failure: LiveError | None = None
    try:
        run_at_terminal(test, lines=lines)
    except LiveError as error:
        failure = error
    except KeyboardInterrupt:
        note(again)
        raise
    failure = failure or test.trouble
    if failure is not None:
        note(f"platebook: {failure.message}\n  {failure.remedy}.")
    if test.session.phase != "finished":
        note(again)
    return failure is None


def choose_box(boxes: Sequence[Box], device: Device, which: int | None) -> Box:
    """The box of this device among those plugged in.

    Raises:
        LiveError: if none may be.
        Unusable: if several may be, and `which` chooses none of them.
    """
    found = find_boxes(boxes, device)
    choice = f"Choose with --which 1 to {len(found)}"
    name = escape_controls(device.id)
    if which is None and len(found) > 1:
        told = "; ".join(f"{at}: {describe_box(box)}" for at, box in enumerate(found, 1))
        raise Unusable(
            f"{len(found)} boxes that are plugged in may be `{name}`: {told}",
            f"{choice}, or unplug the others.",
        )
    at = 1 if which is None else which
    if not 1 <= at <= len(found):
        raise Unusable(
            f"--which {at} is none of the {count(len(found), 'box')} that may be `{name}`",
            f"{choice}.",
        )
    return found[at - 1]


def replay_all(device: Device, paths: Sequence[Path]) -> list[LiveTest]:
    """The tests that recordings lead to, in the order given; lines cut short are noted.

    Raises:
        Unusable: if one is no recording of a test of this device.
    """
    try:
        tests = [replay_test(device, path) for path in paths]
    except LiveError as error:
        raise unusable(error) from None
    for test in tests:
        for words in test.greeting:
            note(words)
    return tests


def unusable(error: LiveError) -> Unusable:
    """What went wrong outside, as the end of a command."""
    first = error.message.split(" ", 1)[0]
    message = error.message
    if first.isalpha():  # not a path
        message = message[:1].lower() + message[1:]
    return Unusable(message, f"{error.remedy}.")


def option_recording(words: str) -> Decorator:
    """The option that names the recording."""
    return click.option("--recording", type=click.Path(path_type=Path), metavar="FILE", help=words)


def option_from(words: str) -> Decorator:
    """The option that names recordings to replay."""
    return click.option(
        "--from",
        "sources",
        type=click.Path(path_type=Path),
        metavar="FILE",
        multiple=True,
        help=f"{words}; no box is needed. May be given several times.",
    )


option_new = click.option(
    "--new", "fresh", is_flag=True, help="Start a new recording; do not resume the last one."
)
option_which = click.option(
    "--which", type=click.IntRange(1), metavar="N", help="Which of identical boxes."
)
option_lines = click.option(
    "--lines", is_flag=True, help="Answer with words on lines, not single keys."
)


def refuse_both(sources: Sequence[Path], recording: Path | None, fresh: bool) -> None:
    """Refuse to replay and record at once."""
    if sources and (recording is not None or fresh):
        raise click.UsageError("--from replays and records nothing; remove --recording and --new")
