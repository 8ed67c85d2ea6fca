"""`platebook press test`: asks for every contact, listens, judges, and names the wire."""

from pathlib import Path

import click

from profiles.cli.exits import Exit, Unusable
from profiles.cli.libraries import library_option, open_sound_library
from profiles.cli.output import note, put_outputs, show_path, write_report
from profiles.cli.press_running import (
    begin_at_terminal,
    finish_at_terminal,
    option_from,
    option_lines,
    option_new,
    option_recording,
    option_which,
    refuse_both,
    replay_all,
)
from profiles.live.outcome import sum_up
from profiles.live.report import report_outcome
from profiles.work.names import find_named
from profiles.work.press_report import NAME_IT, form_of, make_reports


@click.command(name="test")
@click.argument("device")
@library_option
@option_recording("Where to record, or the recording to resume.  [default: DEVICE-press.jsonl]")
@option_new
@option_from("Replay this recording")
@option_which
@click.option("--full", is_flag=True, help="Also press several at once, which tries every diode.")
@click.option(
    "--detents",
    type=click.IntRange(4, 100),
    default=10,
    show_default=True,
    help="How far to turn a rotary.",
)
@option_lines
@click.option("--every", is_flag=True, help="List what was right too.")
@click.option(
    "--report",
    "reports",
    type=click.Path(path_type=Path),
    metavar="FILE",
    multiple=True,
    help="Also write the report: a .pdf, .html or .csv file.",
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
    refuse_both(sources, recording, fresh)
    for path in reports:
        if form_of(path) is None:
            raise Unusable(f"{show_path(path)} does not say what the report is to be", NAME_IT)
    found = find_named("device", device, open_sound_library(library_option).library.devices)
    is_written = True
    if sources:
        tests = replay_all(found, sources)
    else:
        tests = [
            begin_at_terminal(
                found,
                "press",
                recording=recording,
                fresh=fresh,
                which=which,
                depth="full" if full else "short",
                detents=detents,
            )
        ]
        is_written = finish_at_terminal(tests[0], lines=lines)
    outcome = sum_up([test.session for test in tests])
    write_report(report_outcome(outcome, "every" if every else "faulty"), as_json=as_json)
    outputs, remarks = make_reports(outcome, reports, date=tests[-1].started, tester=tester)
    put_outputs(outputs)
    for words in (*(f"report: {show_path(one.path)}" for one in outputs), *remarks):
        note(words)
    if not is_written:
        return Exit.UNUSABLE
    return Exit.FINDINGS if outcome.faulty else Exit.FINE
