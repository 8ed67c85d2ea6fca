"""`platebook changes`: what a change of the files asks you to do at the box, and to print again."""

from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import click

from profiles.cli.exits import Unusable
from profiles.cli.libraries import library_option, open_sound_library, write_problems
from profiles.cli.output import (
    date_option,
    note,
    put_outputs,
    replace_option,
    show_path,
    write_report,
)
from profiles.cli.remarks import describe_remarks
from profiles.files.folder import NoLibraryError
from profiles.files.library import LoadedLibrary, load_library

if TYPE_CHECKING:
    from profiles.sheets.sheet import Remark
    from profiles.work.changes import Changes


@click.command(name="changes")
@click.argument("before", required=False, metavar="[FOLDER]", type=click.Path(path_type=Path))
@click.option("--since", metavar="REVISION", help="A git revision.  [default: HEAD]")
@library_option
@click.option("--print", "folder", metavar="DIR", help="Print the sheets that differ into DIR.")
@click.option(
    "--labels", "labels", metavar="DIR", help="Print only the labels that differ into DIR, to cut."
)
@replace_option
@date_option
@click.option("--json", "as_json", is_flag=True, help="Print the changes as JSON.")
def command(
    before: Path | None,
    since: str | None,
    library_option: str | None,
    folder: str | None,
    labels: str | None,
    replace: bool,
    today: str,
    as_json: bool,
) -> None:
    """Say what changed since FOLDER or a git revision, and what to do about it.

    Wires to move, firmware to load, numbers and bindings that are other than they were, and sheets
    to print again. The files of the library are only read.

    \b
      platebook changes
      platebook changes --since v1 --print changed/
      platebook changes ../boxes-of-last-year --labels changed/
    """
    if before is not None and since is not None:
        raise click.UsageError("name either FOLDER or --since")
    from profiles.work.changes import find_changes
    from profiles.work.changes_report import report_changes

    loaded = open_sound_library(library_option)
    with TemporaryDirectory(prefix="platebook-") as temporary:
        if before is None:
            old, words = _load_revision(
                loaded.folder, "HEAD" if since is None else since, Path(temporary)
            )
        else:
            old, words = _load_folder(before), show_path(before)
        changes = find_changes(old.library, loaded.library)
        write_report(report_changes(loaded.library, changes, words), as_json=as_json)
        _print(loaded, old, changes, folder, labels, today, replace=replace)


def _load_revision(folder: Path, revision: str, target: Path) -> tuple[LoadedLibrary, str]:
    from profiles.files.revision import RevisionError, copy_revision

    try:
        commit = copy_revision(folder, revision, target)
    except RevisionError as error:
        raise Unusable(str(error), error.remedy) from None
    return _load_folder(target), f"{show_path(revision)} ({commit[:10]})"


def _load_folder(folder: Path) -> LoadedLibrary:
    try:
        loaded = load_library(folder)
    except NoLibraryError as error:
        raise Unusable(str(error)) from None
    if loaded.problems:
        raise Unusable(
            f"the earlier state cannot be compared: {write_problems(loaded, loaded.problems)}",
            "Name a state in which `platebook check` can read every file.",
        )
    return loaded


def _print(
    loaded: LoadedLibrary,
    old: LoadedLibrary,
    changes: "Changes",
    folder: str | None,
    labels: str | None,
    today: str,
    *,
    replace: bool,
) -> None:
    """Print the sheets or labels that differ, each told on stderr."""
    from profiles.work.changes import make_changed, make_changed_label_sheets
    from profiles.work.outputs import Output

    made: list[tuple[str, str, bytes]] = []
    remarks: list[Remark] = []
    if folder is not None:
        for name, sheet in make_changed(loaded.library, changes.sheets, today):
            made += [(folder, name, data) for data in sheet.data.values()]
            remarks += sheet.remarks
    if labels is not None:
        found = list(make_changed_label_sheets(old.library, loaded.library, today))
        made += [(labels, *one) for one in found]
        if not found:
            note("note: every label is as it was")
    outputs = [Output(Path(where) / name, data) for where, name, data in made]
    put_outputs(outputs, replace=replace)
    describe_remarks(loaded, remarks)
    for output in outputs:
        note(f"printed {show_path(output.path)}")
