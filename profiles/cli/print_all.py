"""`platebook print all`: every sheet of a library into a folder, told one by one on stderr."""

from pathlib import Path

import click

from profiles.cli.exits import Exit
from profiles.cli.libraries import library_option, open_sound_library
from profiles.cli.output import (
    date_option,
    explained_refusals,
    note,
    replace_option,
    show_path,
    write,
)
from profiles.cli.remarks import describe_losses, plain_remarks
from profiles.text.inert import escape_controls


@click.command(name="all")
@click.argument("folder", type=click.Path(path_type=Path, file_okay=False))
@library_option
@click.option("--changed", is_flag=True, help="Only sheets that differ from those in FOLDER.")
@click.option("--paper", metavar="SIZE", default="a4", show_default=True, help="Size of the paper.")
@replace_option
@date_option
@click.option("--json", "as_json", is_flag=True, help="Print what was made as JSON.")
@click.option(
    "--strict", is_flag=True, help="Exit with 1 if something was skipped, shrunk or moved."
)
def print_all_command(
    folder: Path,
    library_option: str | None,
    changed: bool,
    paper: str,
    replace: bool,
    today: str,
    as_json: bool,
    strict: bool,
) -> Exit:
    """Print every sheet of every device and profile into FOLDER.

    Each is a PDF, or SVG where it has none. A sheet that cannot be made is named, the others are
    made, and the exit code is 1.
    """
    from profiles.work.every_sheet import list_left, name_request, print_all

    loaded = open_sound_library(library_option)
    steps = []
    made = print_all(
        loaded.library,
        folder,
        date=today,
        paper=paper,
        only_changed=changed,
        replace_others=replace,
    )
    with explained_refusals(replace=replace):
        for step in made:
            steps.append(step)
            told = "as it was" if step.names and not step.files else ", ".join(step.names)
            words = step.problem or told
            name = escape_controls(f"{name_request(step.request)}: {words}")
            note(f"{'skipped: ' if step.problem else ''}{step.number}/{step.total} {name}")
            if not as_json:
                for path in step.files:
                    write(show_path(path))
    left = list_left(folder, steps)
    for name in left:
        note(
            f"note: {show_path(folder / name)} is of an earlier run; delete it if no longer wanted"
        )
    remarks = [remark for step in steps for remark in step.remarks]
    describe_losses(loaded, remarks)
    problems = [step for step in steps if step.problem]
    if as_json:
        from profiles.report.data import dump_json

        members = {
            "format": 1,
            "files": [str(path) for step in steps for path in step.files],
            "unchanged": [
                name for step in steps for name in step.names if folder / name not in step.files
            ],
            "left": left,
            "skipped": [
                {"sheet": name_request(problem.request), "reason": problem.problem}
                for problem in problems
            ],
            "remarks": plain_remarks(loaded, remarks),
        }
        write(dump_json(members))
    failed = problems or (strict and any(remark.fails_strict for remark in remarks))
    return Exit.FINDINGS if failed else Exit.FINE
