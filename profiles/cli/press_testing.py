"""`platebook press test`: asks for every contact, listens, judges, and names the wire."""

import json
from pathlib import Path
from typing import TYPE_CHECKING

import click

from profiles.cli.choices import find_named
from profiles.cli.exits import Exit
from profiles.cli.libraries import library_option, open_sound_library
from profiles.cli.output import write

if TYPE_CHECKING:
    from profiles.live.outcome import Outcome


@click.command(name="test")
@click.argument("device")
@library_option
@click.option(
    "--record",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Where to record, or the record to go on with.  [default: DEVICE-press.jsonl]",
)
@click.option(
    "--new", "fresh", is_flag=True, help="Begin a new record, do not go on with the last."
)
@click.option(
    "--from",
    "sources",
    type=click.Path(path_type=Path),
    metavar="FILE",
    multiple=True,
    help="Replay this record; no box is needed. May be given several times.",
)
@click.option("--which", type=click.IntRange(1), metavar="N", help="Which of several like boxes.")
@click.option("--full", is_flag=True, help="Also press several at once, which tries every diode.")
@click.option(
    "--detents",
    type=click.IntRange(4, 100),
    default=10,
    show_default=True,
    help="How far to turn a rotary.",
)
@click.option("--lines", is_flag=True, help="Answer with words on lines, not single keys.")
@click.option("--every", is_flag=True, help="List what was right too.")
@click.option(
    "--report",
    "reports",
    type=click.Path(path_type=Path),
    metavar="FILE",
    multiple=True,
    help="Also write the report: a .pdf or .html file.",
)
@click.option("--by", "tester", default="", metavar="NAME", help="Who tested, for the report.")
@click.option("--json", "as_json", is_flag=True, help="Print the outcome as JSON.")
def command(
    device: str,
    library_option: str | None,
    record: Path | None,
    fresh: bool,
    sources: tuple[Path, ...],
    which: int | None,
    full: bool,
    detents: int,
    lines: bool,
    every: bool,
    reports: tuple[Path, ...],
    tester: str,
    as_json: bool,
) -> Exit:
    """Press every contact of DEVICE when asked, and see which wire is wrong.

    What is heard goes into a record at once. Stop at any time: the same call goes on from there.

    \b
      platebook press test helm-desk
      platebook press test helm-desk --from helm-desk-press.jsonl --report helm-desk.pdf
    """
    if sources and (record is not None or fresh):
        raise click.UsageError("--from replays and records nothing; leave out --record and --new")
    from profiles.cli.press_conduct import Ways, conduct
    from profiles.cli.press_paper import check_names, write_reports
    from profiles.cli.press_records import replay_records
    from profiles.live.outcome import sum_up

    check_names(reports)
    loaded = open_sound_library(library_option)
    found = find_named("device", device, loaded.library.devices)
    is_unsaved = False
    if sources:
        replayed = replay_records(found, sources)
        outcome, started = sum_up(replayed.sessions), replayed.started
    else:
        ways = Ways(f"{found.id}-press", record, fresh, which, full, detents, lines)
        conducted = conduct(found, ways)
        outcome, started = sum_up([conducted.session]), conducted.started
        is_unsaved = conducted.is_unsaved
    write(_render(outcome, every=every, as_json=as_json))
    write_reports(outcome, reports, date=started, tester=tester)
    if is_unsaved:
        return Exit.UNUSABLE
    return Exit.FINDINGS if outcome.faulty else Exit.FINE


def _render(outcome: "Outcome", *, every: bool, as_json: bool) -> str:
    if as_json:
        from profiles.live.outcome import plain_outcome

        return json.dumps({"format": 1, **plain_outcome(outcome)}, indent=2)
    from profiles.cli.press_words import render_outcome

    return render_outcome(outcome, every=every)
