"""`platebook bundle`: profiles with all they need in one file, made and opened."""

import os
from pathlib import Path

import click

from profiles.cli.exits import Exit, Unusable
from profiles.cli.group import WholeGroup
from profiles.cli.libraries import (
    explain_fault,
    find_folder,
    library_option,
    open_sound_library,
    write_problems,
)
from profiles.cli.output import note, put_outputs, replace_option, show_path, write, write_report
from profiles.files.bundle import Bundle, BundleError, unpack_bundle, write_bundle
from profiles.files.faults import FileFaultError
from profiles.files.library import LoadedLibrary, load_library
from profiles.files.walk import is_within
from profiles.report.data import dump_json
from profiles.text.inert import escape_controls, file_name


@click.group(name="bundle", cls=WholeGroup)
def command() -> None:
    """Carry profiles with all they need in one file."""


@command.command(name="make")
@click.argument("profiles", nargs=-1, required=True, metavar="PROFILE...")
@click.option(
    "--recording",
    "recordings",
    multiple=True,
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="A recording of a press test to carry, too; may be given several times.",
)
@click.option(
    "--output",
    "-o",
    type=click.Path(path_type=Path, dir_okay=False),
    help="The file to write.  [default: PROFILE.zip]",
)
@replace_option
@click.option("--json", "as_json", is_flag=True, help="Print what was written as JSON.")
@library_option
def make_bundle(
    profiles: tuple[str, ...],
    recordings: tuple[Path, ...],
    output: Path | None,
    replace: bool,
    as_json: bool,
    library_option: str | None,
) -> None:
    """Put PROFILE and all it needs into one file: device, application, boards and parts."""
    from profiles.work.bundling import gather_bundle
    from profiles.work.outputs import Output

    loaded = open_sound_library(library_option)
    try:
        bundle = gather_bundle(loaded, profiles, recordings)
        data = write_bundle(bundle)
    except BundleError as error:
        raise Unusable(str(error), error.remedy) from None
    except FileFaultError as fault:
        raise Unusable(escape_controls(str(fault)), f"{fault.remedy}.") from None
    path = output or Path(f"{file_name(profiles[0])}.zip")
    put_outputs([Output(path, data, "zip")], replace=replace)
    if as_json:
        members = {"profiles": list(bundle.profiles), "holds": list(bundle.files)}
        write(dump_json({"format": 1, "files": [str(path)], **members}))
    else:
        write(show_path(path))
    for name in bundle.files:
        note(f"  {name}")


@command.command(name="show")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print it as JSON.")
def show_bundle(file: Path, as_json: bool) -> Exit:
    """Say what is in the bundle FILE and what `check` finds in it; nothing is unpacked."""
    from profiles.api import check
    from profiles.report.document import Column, Facts, Report, Table

    bundle, loaded = _open(file)
    kinds = {name: name.partition("/")[0].removesuffix("s") for name in bundle.files}
    rows = tuple((kinds[name], name, len(data)) for name, data in bundle.files.items())
    columns = (
        *(Column("kind", "kind"), Column("file", "file", wraps=True)),
        Column("bytes", "bytes", align="right"),
    )
    found = check(loaded).findings
    told = {one: sum(f.severity == one for f in found) for one in ("error", "warning", "note")}
    counts = Table(
        (Column("findings", "severity"), Column("count", "count", align="right")),
        tuple(told.items()),
        "What `check` finds in it",
        key="findings",
    )
    facts = Facts({"profiles": list(bundle.profiles)})
    report = Report(
        "Bundle",
        (facts, Table(columns, rows, "Files", key="files"), counts),
        ", ".join(bundle.profiles),
    )
    write_report(report, as_json=as_json)
    return Exit.FINE


@command.command(name="unpack")
@click.argument("file", type=click.Path(path_type=Path))
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print what was written as JSON.")
@library_option
def unpack(file: Path, folder: Path, as_json: bool, library_option: str | None) -> None:
    """Unpack the bundle FILE into FOLDER, which must not be there yet.

    FILE is a stranger's: what is not as Platebook makes it is refused as a whole. Within your own
    library it is only unpacked where no id is in both.
    """
    from profiles.work.bundling import refuse_clashes

    bundle, loaded = _open(file)
    try:
        own = find_folder(library_option)
        if is_within(folder, own) and not os.path.lexists(folder):
            refuse_clashes(loaded, load_library(own))
        paths = unpack_bundle(bundle, folder)
    except BundleError as error:
        raise Unusable(str(error), error.remedy) from None
    if as_json:
        members = {"profiles": list(bundle.profiles), "files": [str(path) for path in paths]}
        write(dump_json({"format": 1, **members}))
    else:
        for path in paths:
            write(show_path(path))
    note(f"see what is in it: `platebook check {show_path(folder)}`")


def _open(file: Path) -> tuple[Bundle, LoadedLibrary]:
    """A bundle whose files can all be read.

    Raises:
        Unusable: where it is not as Platebook makes it, or a file in it cannot be used.
    """
    from profiles.work.bundling import open_bundle

    try:
        bundle, loaded, problems = open_bundle(file)
    except BundleError as error:
        raise Unusable(f"{show_path(file)}: {escape_controls(str(error))}", error.remedy) from None
    except FileFaultError as fault:
        raise explain_fault(file, fault) from None
    if problems:  # the folder that it was read in is gone by now
        told = write_problems(loaded, problems).replace(f"{loaded.folder.as_posix()}/", "")
        raise Unusable(f"{show_path(file)}: {told}")
    return bundle, loaded
