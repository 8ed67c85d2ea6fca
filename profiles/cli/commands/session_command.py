"""`platebook session`: through an application's own settings page, step by step."""

import sys
from pathlib import Path

import click

from profiles.cli.exits import Exit, Unusable
from profiles.cli.libraries import library_option, open_sound_library
from profiles.cli.output import (
    date_option,
    note,
    put_outputs,
    replace_option,
    show_path,
    write,
    write_report,
)
from profiles.cli.typed import read_line
from profiles.model import Link
from profiles.sheets.session_steps import (
    DONE,
    OPEN,
    SKIPPED,
    list_steps,
    print_session,
    report_session,
    say_first,
)
from profiles.text.inert import escape_controls
from profiles.text.prose import count
from profiles.work.binding_session import BindingSession

KEYS = "Enter: done   s: skip   b: back   q: quit"
"""What can be answered to a step."""


@click.command(name="session")
@click.argument("profile", required=False)
@library_option
@click.option("--list", "is_listed", is_flag=True, help="Print the steps and how each stands.")
@click.option("--json", "as_json", is_flag=True, help="With --list: as JSON.")
@click.option(
    "--sheet",
    type=click.Path(path_type=Path, dir_okay=False),
    help="Write the steps as a sheet to tick off instead: .pdf, .html or .csv.",
)
@click.option(
    "--state",
    type=click.Path(path_type=Path, dir_okay=False),
    help="The file that keeps how far you are.  [default: PROFILE-session.json]",
)
@click.option("--restart", is_flag=True, help="Open every step again.")
@replace_option
@date_option
def command(
    profile: str | None,
    library_option: str | None,
    is_listed: bool,
    as_json: bool,
    sheet: Path | None,
    state: Path | None,
    restart: bool,
    replace: bool,
    today: str,
) -> Exit:
    """Bind PROFILE in its application, in the order of the application's own settings page.

    Each step says which action it is, which control to move, and what the application should show.
    Controls that stay where they are put come first, so that none is caught by mistake. Every
    answer is kept, and the next run goes on from there.

    Exit code 0: no step is open. 1: some are.
    """
    from profiles.work.names import find_named, find_only

    if as_json and not is_listed:
        raise click.UsageError("--json goes with --list")
    library = open_sound_library(library_option).library
    if profile is None:
        found = find_only("profile", library.profiles)
    else:
        found = find_named("profile", profile, library.profiles)
    link = library.link(found.id)
    steps = list_steps(link)
    if sheet is not None:
        _write_sheet(link, sheet, today, replace=replace)
        return Exit.FINE
    path = state or Path(f"{found.id}-session.json")
    session = BindingSession.resume(found.id, steps, path)
    if restart:
        session.states.clear()
        session.at = 0
    if is_listed:
        write_report(report_session(link, steps, session.states), as_json=as_json)
    else:
        _run(link, session)
    return Exit.FINDINGS if session.count()[OPEN] else Exit.FINE


def _write_sheet(link: Link, path: Path, today: str, *, replace: bool) -> None:
    from profiles.sheets.writing import write_sheet
    from profiles.work.outputs import Output
    from profiles.work.press_report import form_of

    form = form_of(path)
    if form is None:
        raise Unusable(
            f"{show_path(path)} does not say its format", "End it with .pdf, .html or .csv."
        )
    made = print_session(link, report_session(link, list_steps(link)), today)
    put_outputs([Output(path, write_sheet(made, form).data, form)], replace=replace)
    write(show_path(path))


def _run(link: Link, session: BindingSession) -> None:
    """Ask for one step after the other until the end, a quit, or the end of what is typed."""
    if session.step is not None:
        session.keep()  # before anything is answered in vain
    if session.step is not None and not session.states:
        for line in say_first(link):
            write(escape_controls(line))
    elif session.step is not None:
        write(f"Resumed at step {session.at + 1} of {len(session.steps)}.")
    while (step := session.step) is not None:
        write(f"\n{session.at + 1}/{len(session.steps)}  {escape_controls(step.name)}")
        write(f"  {escape_controls(step.move)}")
        write(f"  it should show: {escape_controls(step.shows)}")
        if step.after:
            write(f"  then {escape_controls(step.after)}")
        if step.leave:
            write(f"  do not touch: {escape_controls(', '.join(step.leave))}")
        note(KEYS)
        line = read_line(sys.stdin)
        answer = line.strip().lower()
        if not line or answer == "q":
            break
        if answer in ("", "d"):
            session.tick(DONE)
        elif answer == "s":
            session.tick(SKIPPED)
        elif answer == "b":
            session.go_back()
        else:
            note(f"`{escape_controls(answer)}` is no answer here")
    told = session.count()
    write(f"\n{count(told[DONE], 'step')} done, {told[SKIPPED]} skipped, {told[OPEN]} open.")
    if told[OPEN]:
        note(f"run it again to continue; {show_path(session.path)} keeps how far you are")
