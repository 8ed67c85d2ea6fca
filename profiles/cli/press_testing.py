"""`platebook press test`: asks for every contact, listens, judges, and names the wire."""

import json
from pathlib import Path
from typing import TYPE_CHECKING

import click

from profiles.cli.exits import Exit
from profiles.cli.libraries import library_option, open_sound_library
from profiles.cli.output import write
from profiles.work.names import find_named

if TYPE_CHECKING:
    from profiles.live.outcome import Outcome


@click.command(name="test")
@click.argument("device")
@library_option
@click.option(
    "--recording",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Where to record, or the recording to resume.  [default: DEVICE-press.jsonl]",
)
@click.option(
    "--new", "fresh", is_flag=True, help="Start a new recording; do not resume the last one."
)
@click.option(
    "--from",
    "sources",
    type=click.Path(path_type=Path),
    metavar="FILE",
    multiple=True,
    help="Replay this recording; no box is needed. May be given several times.",
)
@click.option("--which", type=click.IntRange(1), metavar="N", help="Which of identical boxes.")
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
    recording: Path | None,
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

    What is heard is recorded at once. Stop at any time: the same command resumes from there.

    \b
      platebook press test helm-desk
      platebook press test helm-desk --from helm-desk-press.jsonl --report helm-desk.pdf
    """
    if sources and (recording is not None or fresh):
        raise click.UsageError("--from replays and records nothing; remove --recording and --new")
    from profiles.cli.press_conduct import TestOptions, run_press_test
    from profiles.cli.press_paper import check_names, write_reports
    from profiles.cli.press_recordings import replay_recordings
    from profiles.live.outcome import sum_up

    check_names(reports)
    loaded = open_sound_library(library_option)
    found = find_named("device", device, loaded.library.devices)
    is_unsaved = False
    if sources:
        replayed = replay_recordings(found, sources)
        outcome, started = sum_up(replayed.sessions), replayed.started
    else:
        ways = TestOptions(f"{found.id}-press", recording, fresh, which, full, detents, lines)
        conducted = run_press_test(found, ways)
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
