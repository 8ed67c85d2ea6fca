"""`platebook press show`: what a control does in an application, large; and a quiz."""

from pathlib import Path

import click

from profiles.cli.exits import Exit, Unusable
from profiles.cli.libraries import library_option, open_sound_library
from profiles.cli.output import note, show_path, write_report
from profiles.cli.press_running import (
    choose_box,
    option_from,
    option_lines,
    option_recording,
    option_which,
    run_at_terminal,
)
from profiles.live.events import LiveError, match_boxes
from profiles.model import Link
from profiles.text.inert import escape_controls
from profiles.work.names import find_named
from profiles.work.press import find_series
from profiles.work.press_boxes import ChosenReader, open_reader
from profiles.work.press_show import LiveShow, begin_quiz, replay_quizzes, report_quizzes


@click.command(name="show")
@click.argument("profile")
@library_option
@option_which
@option_lines
@click.option("--quiz", is_flag=True, help="Ask to find controls; measure time and errors.")
@click.option(
    "--rounds", type=click.IntRange(1), metavar="N", help="With --quiz: end after N questions."
)
@click.option(
    "--seed", type=click.IntRange(0), metavar="N", help="With --quiz: the same questions again."
)
@option_recording("With --quiz: where to record.  [default: PROFILE-quiz.jsonl]")
@option_from("Sum up this recording of a quiz")
@click.option("--json", "as_json", is_flag=True, help="Print the results of the quiz as JSON.")
def command(
    profile: str,
    library_option: str | None,
    which: int | None,
    lines: bool,
    quiz: bool,
    rounds: int | None,
    seed: int | None,
    recording: Path | None,
    sources: tuple[Path, ...],
    as_json: bool,
) -> Exit:
    """Press a control and see large what it does in the application of PROFILE.

    With --quiz the application's actions are asked for, the slow and mistaken ones more often.
    """
    if not quiz and not sources and (rounds, seed, recording, as_json) != (None, None, None, False):
        raise click.UsageError("--rounds, --seed, --recording and --json go with --quiz")
    if sources and recording is not None:
        raise click.UsageError("--from replays and records nothing; remove --recording")
    library = open_sound_library(library_option).library
    link = library.link(find_named("profile", profile, library.profiles).id)
    if sources:
        write_report(report_quizzes(link, replay_quizzes(link, sources)), as_json=as_json)
        return Exit.FINE
    if not quiz:
        run_at_terminal(LiveShow(link, open_boxes(link, which)), lines=lines, keys_told="x: stop")
        return Exit.FINE
    if not link.bound:
        raise Unusable(
            f"profile `{escape_controls(link.profile.id)}` binds nothing",
            "Bind some actions first.",
        )
    reader = open_boxes(link, which)
    path = recording or find_series(f"{link.profile.id}-quiz")[1]
    run = begin_quiz(link, reader, path, rounds=rounds, seed=seed)
    run_at_terminal(run, lines=lines, keys_told="s: give up, show it   x: stop")
    if run.trouble:
        note(f"platebook: {run.trouble.message}\n  {run.trouble.advice}")
    note(f"note: recorded in {show_path(path)}")
    write_report(report_quizzes(link, [run.quiz]), as_json=as_json)
    return Exit.FINE


def open_boxes(link: Link, which: int | None) -> ChosenReader:
    """A reader of the boxes of a profile, without their twins; absent ones may come later.

    Raises:
        Unusable: if the profile has no device.
        LiveError: if no box of it is plugged in, or several may be one and none is chosen.
    """
    if not link.devices:
        raise Unusable(
            f"profile `{escape_controls(link.profile.id)}` names no device of the library",
            "Put the device's file into the library.",
        )
    reader = open_reader()
    boxes = reader.devices()
    try:
        absent = [one for one in link.devices if not match_boxes(boxes, one.device.usb)]
        here = [one for one in link.devices if one not in absent] or absent[:1]
        chosen = [choose_box(boxes, device, which) for device in here]
    except LiveError:
        reader.close()
        raise
    for device in absent:
        note(f"note: `{escape_controls(device.id)}` is not plugged in; it counts as soon as it is")
    return ChosenReader(reader, *chosen)
