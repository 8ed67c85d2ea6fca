"""`platebook demo`: the whole thread on the bundled library, in a folder of its own."""

import os
import shlex
import shutil
import subprocess
import sys
from collections.abc import Sequence
from datetime import date
from pathlib import Path

import click

from profiles.api import check, load
from profiles.cli.exits import Exit, Unusable
from profiles.cli.findings import report_findings
from profiles.cli.output import note, show_path, write, write_report
from profiles.cli.sheet_orders import describe_remarks, make_files
from profiles.files.bundled import copy_bundled
from profiles.files.library import LoadedLibrary
from profiles.model.device import Device
from profiles.model.library import Library, Link
from profiles.sheets.registry import SHEETS, SheetKind
from profiles.sheets.sheet import Remark, SheetRequest
from profiles.text.prose import count

EXAMPLE = Path("example_profiles") / "harbour"
"""The library shown, below the demo's folder."""

MOST_ON_ONE_PLATE = 3
"""Titles that a sheet of one plate takes; one that takes more compares them all."""


@click.command(name="demo")
@click.argument("folder", default="platebook-demo", type=click.Path(path_type=Path))
@click.option("--no-date", is_flag=True, help="Leave the date out of the sheets.")
def command(folder: Path, no_date: bool) -> Exit:
    """Copy the bundled library into FOLDER, check it, print its sheets, say what to try next."""
    _copy(folder)
    library = folder / EXAMPLE
    loaded = load(library)
    write(f"Copied the example library to {show_path(library)}.\n")
    write("Checked it:\n")
    checked = check(loaded)
    write_report(report_findings(checked.findings, loaded.excerpt))
    write("\nPrinted its sheets:")
    for path in _print_all(loaded, folder / "sheets", "" if no_date else date.today().isoformat()):
        write(f"  {show_path(path)}")
    write(_advise(folder, library))
    return Exit.FINE if checked.usable else Exit.UNUSABLE


def _copy(folder: Path) -> None:
    try:
        if folder.exists() and any(folder.iterdir()):
            raise Unusable(
                f"{show_path(folder)} is there already and not empty",
                "Name another folder: `platebook demo FOLDER`.",
            )
        folder.mkdir(parents=True, exist_ok=True)
        for name in ("example_profiles", "schemas"):
            copy_bundled(name, folder / name)
    except OSError as error:
        raise Unusable(f"cannot copy to {show_path(folder)}: {error.strerror or error}") from None


def _print_all(loaded: LoadedLibrary, target: Path, today: str) -> list[Path]:
    """Every kind of sheet: the box's own for each device, the titles' for each profile."""
    paths: list[Path] = []
    remarks: list[Remark] = []
    for kind in SHEETS.values():
        form = "pdf" if "pdf" in kind.formats else "svg"
        for device, links in _choose_subjects(loaded.library, kind):
            order = SheetRequest(library=loaded.library, device=device, links=links, date=today)
            made = make_files(kind, order, (form,), f"{target}/")
            remarks.extend(made.remarks)
            paths.extend(made.paths)
    _tell(loaded, remarks)
    return paths


def _tell(loaded: LoadedLibrary, remarks: Sequence[Remark]) -> None:
    """Name what is missing on a sheet; only count what was fitted."""
    losses = [one for one in remarks if one.is_loss]
    describe_remarks(loaded, losses)
    fitted = len(remarks) - len(losses)
    if fitted:
        note(f"note: {count(fitted, 'remark')} on fitting; `print` names them, sheet by sheet")


def _choose_subjects(library: Library, kind: SheetKind) -> list[tuple[Device, tuple[Link, ...]]]:
    """What to make sheets of a kind for: devices, profiles, or all titles of a device at once."""
    devices = [library.devices[id_] for id_ in sorted(library.devices)]
    most = kind.profiles[1]
    if most == 0:
        return [(device, ()) for device in devices]
    if most > MOST_ON_ONE_PLATE:
        return [(device, library.profiles_of(device.id)) for device in devices]
    each = len(devices) if kind.true_scale else 1
    return [(device, (link,)) for link in library.links for device in link.devices[:each]]


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
