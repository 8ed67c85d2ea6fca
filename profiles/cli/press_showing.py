"""`platebook press show`: what a control does in an application, large; and a quiz."""

import gc
from pathlib import Path

import click

from profiles.cli.exits import Exit
from profiles.cli.libraries import library_option, open_sound_library
from profiles.work.names import find_named


@click.command(name="show")
@click.argument("profile")
@library_option
@click.option("--which", type=click.IntRange(1), metavar="N", help="Which of identical boxes.")
@click.option("--lines", is_flag=True, help="Write and answer line by line, not on a whole screen.")
@click.option("--quiz", is_flag=True, help="Ask to find controls; measure time and errors.")
@click.option(
    "--rounds", type=click.IntRange(1), metavar="N", help="With --quiz: end after N questions."
)
@click.option(
    "--seed", type=click.IntRange(0), metavar="N", help="With --quiz: the same questions again."
)
@click.option(
    "--recording",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="With --quiz: where to record.  [default: PROFILE-quiz.jsonl]",
)
@click.option(
    "--from",
    "sources",
    type=click.Path(path_type=Path),
    metavar="FILE",
    multiple=True,
    help="Sum up this recording of a quiz; no box is needed. May be given several times.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the quiz's measurements as JSON.")
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
    loaded = open_sound_library(library_option)
    found = find_named("profile", profile, loaded.library.profiles)
    link = loaded.library.link(found.id)
    gc.enable()  # the command line turns it off, for runs that end at once
    if quiz or sources:
        from profiles.cli.press_quiz import run_quiz, sum_up_quizzes

        if sources:
            return sum_up_quizzes(link, sources, as_json=as_json)
        return run_quiz(
            link, which, lines=lines, rounds=rounds, seed=seed, recording=recording, as_json=as_json
        )
    from profiles.cli.press_board import run_board

    run_board(link, which, lines=lines)
    return Exit.FINE
