"""`platebook press show`: what a control does in a title, large; and a drill."""

import gc
from pathlib import Path

import click

from profiles.cli.choices import find_named
from profiles.cli.exits import Exit
from profiles.cli.libraries import library_option, open_sound_library


@click.command(name="show")
@click.argument("profile")
@library_option
@click.option("--which", type=click.IntRange(1), metavar="N", help="Which of several like boxes.")
@click.option("--lines", is_flag=True, help="Write and answer line by line, not on a whole screen.")
@click.option("--drill", is_flag=True, help="Ask to find controls; measure time and errors.")
@click.option(
    "--rounds", type=click.IntRange(1), metavar="N", help="With --drill: end after N questions."
)
@click.option(
    "--seed", type=click.IntRange(0), metavar="N", help="With --drill: the same questions again."
)
@click.option(
    "--record",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="With --drill: where to record.  [default: PROFILE-drill.jsonl]",
)
@click.option(
    "--from",
    "sources",
    type=click.Path(path_type=Path),
    metavar="FILE",
    multiple=True,
    help="Sum up this record of a drill; no box is needed. May be given several times.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the drill's figures as JSON.")
def command(
    profile: str,
    library_option: str | None,
    which: int | None,
    lines: bool,
    drill: bool,
    rounds: int | None,
    seed: int | None,
    record: Path | None,
    sources: tuple[Path, ...],
    as_json: bool,
) -> Exit:
    """Press a control and see large what it does in the title of PROFILE.

    With --drill the title's actions are asked for, the slow and mistaken ones more often.
    """
    if not drill and not sources and (rounds, seed, record, as_json) != (None, None, None, False):
        raise click.UsageError("--rounds, --seed, --record and --json go with --drill")
    if sources and record is not None:
        raise click.UsageError("--from replays and records nothing; leave out --record")
    loaded = open_sound_library(library_option)
    found = find_named("profile", profile, loaded.library.profiles)
    link = loaded.library.link(found.id)
    gc.enable()  # the command line turns it off, for runs that end at once
    if drill or sources:
        from profiles.cli.press_drilling import run_drill, sum_up_drills

        if sources:
            return sum_up_drills(link, sources, as_json=as_json)
        return run_drill(
            link, which, lines=lines, rounds=rounds, seed=seed, record=record, as_json=as_json
        )
    from profiles.cli.press_board import run_board

    run_board(link, which, lines=lines)
    return Exit.FINE
