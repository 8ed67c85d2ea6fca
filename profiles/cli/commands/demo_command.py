"""`platebook demo`: the whole thread on the bundled library, in a folder of its own."""

import os
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import click

from profiles.api import check, load
from profiles.cli.exits import Exit, Unusable
from profiles.cli.findings import report_findings
from profiles.cli.output import date_option, show_path, write, write_report
from profiles.cli.remarks import describe_losses
from profiles.files.bundled import find_bundled
from profiles.files.folder import explain_unmade
from profiles.files.guess import holds_document
from profiles.files.library import LoadedLibrary
from profiles.files.save import SaveError, create_file, remove_leftovers
from profiles.work.every_sheet import LISTING, print_all
from profiles.work.outputs import is_own

EXAMPLE = Path("example_profiles") / "harbour"
"""The library shown, below the demo's folder."""


@click.command(name="demo")
@click.argument("folder", default="platebook-demo", type=click.Path(path_type=Path))
@date_option
def command(folder: Path, today: str) -> Exit:
    """Copy the bundled library into FOLDER, check it, print its sheets, say what to try next."""
    _copy(folder)
    library = folder / EXAMPLE
    loaded = load(library)
    write(f"Copied the example library to {show_path(library)}.\n")
    write("Checked it:\n")
    checked = check(loaded)
    write_report(report_findings(checked.findings, loaded.excerpt))
    write("\nPrinted its sheets:")
    for path in _print_all(loaded, folder / "sheets", today):
        write(f"  {show_path(path)}")
    write(_advise(folder, library))
    return Exit.FINE if checked.usable else Exit.UNUSABLE


def _copy(folder: Path) -> None:
    """Copy the bundled files, each whole; what an earlier demo made in the folder may stay."""
    bundled = {
        folder / name / path.relative_to(find_bundled(name)): path.read_bytes()
        for name in ("example_profiles", "schemas")
        for path in sorted(find_bundled(name).rglob("*"))
        if path.is_file()
    }
    own = Path(os.path.realpath(folder))
    beside = own.parent
    for path in (*beside.glob("*.*"), *beside.glob("*/*.*")):
        if own not in path.parents and holds_document(path):
            raise Unusable(
                f"{show_path(beside)} is a library, and the demo would become part of it",
                "Name a folder elsewhere: `platebook demo FOLDER`.",
            )
    try:
        for path in folder.rglob("*") if folder.is_dir() else ():
            if path.is_dir():
                remove_leftovers(path)
            elif not path.is_file() or (
                bundled.get(path) != (data := path.read_bytes()) and not is_own(data)
            ):
                raise Unusable(
                    f"{show_path(folder)} is there already and not empty",
                    "Name another folder: `platebook demo FOLDER`.",
                )
        for path, data in bundled.items():
            path.parent.mkdir(parents=True, exist_ok=True)
            if not path.exists():
                create_file(path, data)
    except (OSError, SaveError) as error:
        reason = explain_unmade(error) if isinstance(error, OSError) else str(error)
        raise Unusable(
            f"cannot copy to {show_path(folder)}: {reason}",
            "Name another folder: `platebook demo FOLDER`.",
        ) from None


def _print_all(loaded: LoadedLibrary, target: Path, today: str) -> list[Path]:
    """Every kind of sheet: the box's own for each device, the applications' for each profile."""
    steps = list(print_all(loaded.library, target, date=today))
    describe_losses(loaded, [remark for step in steps for remark in step.remarks])
    return [*(path for step in steps for path in step.files), target / LISTING]


def _advise(folder: Path, library: Path) -> str:
    program, shown = _name_program(), _quote(library)
    return f"""
Open a PDF, print it at 100 %, and measure its ruler. Then try:
  {program} check {shown}
  {program} check {_quote(folder / "example_profiles" / "faulty")}
  {program} explain
  {program} print legend --library {shown} --profile brackwater-bridge
  {program} new device my-box --library {shown}
"""


def _name_program() -> str:
    """The program as the shell will find it: by its name alone, or as it was called."""
    if shutil.which("platebook"):
        return "platebook"
    called = Path(sys.argv[0])
    return _quote(called) if called.stem == "platebook" else "python -m profiles"


def _quote(path: Path) -> str:
    """A path fit for the shell at hand."""
    text = show_path(path)
    return subprocess.list2cmdline([text]) if os.name == "nt" else shlex.quote(text)
