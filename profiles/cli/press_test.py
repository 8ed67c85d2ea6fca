"""`platebook press test`: asks for every contact, listens, judges, and names the wire."""

from pathlib import Path
from typing import Unpack

import click

from profiles.cli.exits import Exit, Unusable
from profiles.cli.libraries import library_option, open_sound_library
from profiles.cli.output import (
    judge_outputs,
    note,
    put_outputs,
    replace_option,
    show_path,
    write_report,
)
from profiles.cli.press_running import Where, add_where, hear_tests
from profiles.cli.typed import is_terminal_typed
from profiles.live.lines import Depth
from profiles.live.outcome import sum_up
from profiles.live.report import report_outcome
from profiles.work.names import find_named
from profiles.work.press import PATIENCE
from profiles.work.press_report import NAME_IT, form_of, make_reports


@click.command(name="test")
@click.argument("device")
@library_option
@add_where("press", "Replay this recording")
@click.option("--full", is_flag=True, help="Also press several at once, which tries every diode.")
@click.option(
    "--detents",
    metavar="N",
    type=click.IntRange(4, 100),
    default=10,
    show_default=True,
    help="How far to turn a rotary.",
)
@click.option(
    "--wait",
    type=click.IntRange(0, 60),
    metavar="SECONDS",
    help="How long to wait for a sound before going on; 0 waits for Enter.  [default: 8 at a "
    "terminal, otherwise 0]",
)
@click.option("--every", is_flag=True, help="List what was right too.")
@click.option(
    "--report",
    "reports",
    type=click.Path(path_type=Path),
    metavar="FILE",
    multiple=True,
    help="Also write the report: a .pdf, .html or .csv file.",
)
@replace_option
@click.option("--by", "tester", default="", metavar="NAME", help="Who tested, for the report.")
@click.option("--json", "as_json", is_flag=True, help="Print the outcome as JSON.")
def command(
    device: str,
    library_option: str | None,
    full: bool,
    detents: int,
    wait: int | None,
    every: bool,
    reports: tuple[Path, ...],
    replace: bool,
    tester: str,
    as_json: bool,
    **where: Unpack[Where],
) -> Exit:
    """Press every contact of DEVICE when asked, and see which wire is wrong.

    At a terminal no key is needed: what to press is shown large, the bell tells right (once) from
    wrong (twice), and after the last contact it asks again what failed, then what decides.

    What is heard is recorded at once. Stop at any time: the same command resumes from there.

    \b
      platebook press test helm-desk
      platebook press test helm-desk --from helm-desk-press.jsonl --report helm-desk.pdf
    """
    for path in reports:
        if form_of(path) is None:
            raise Unusable(f"{show_path(path)} does not say what the report is to be", NAME_IT)
    judge_outputs([(path, form_of(path) or "") for path in reports], replace=replace)
    found = find_named("device", device, open_sound_library(library_option).library.devices)
    depth: Depth = "full" if full else "short"
    is_free = is_terminal_typed() and not where["lines"]
    patience = wait * 1000 if wait is not None else PATIENCE * is_free
    tests, is_written = hear_tests(
        found, "press", where, depth=depth, detents=detents, patience=patience
    )
    outcome = sum_up([test.session for test in tests])
    write_report(report_outcome(outcome, "every" if every else "faulty"), as_json=as_json)
    outputs, remarks = make_reports(outcome, reports, date=tests[-1].started, tester=tester)
    put_outputs(outputs, replace=replace)
    for words in (*(f"report: {show_path(output.path)}" for output in outputs), *remarks):
        note(words)
    if not is_written:
        return Exit.UNUSABLE
    return Exit.FINDINGS if outcome.faulty else Exit.FINE
