"""`platebook demo`: the whole thread on the bundled library, in a folder of its own."""

import sys
from datetime import date
from pathlib import Path

import click

from profiles.api import check, load
from profiles.cli.exits import Exit, Unusable
from profiles.cli.findings_text import render_findings
from profiles.cli.output import is_colour_wanted, show_path, write
from profiles.cli.sheet_orders import make_files, tell_remarks
from profiles.files.bundled import copy_bundled
from profiles.files.library import LoadedLibrary
from profiles.sheets.registry import SHEETS
from profiles.sheets.sheet import Order

EXAMPLE = Path("example_profiles") / "harbour"
"""The library shown, below the demo's folder."""


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
    colour = is_colour_wanted(sys.stdout)
    write(render_findings(checked.findings, loaded.excerpt, colour=colour) + "\n")
    write("Printed its sheets:")
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
    """The faceplate legend of every profile, and every other sheet of the first device."""
    paths: list[Path] = []
    for link in loaded.library.links:
        for device in link.devices[:1]:
            order = Order(library=loaded.library, device=device, links=(link,), date=today)
            made = make_files(SHEETS["legend"], order, ("pdf",), f"{target}/")
            tell_remarks(loaded, made.remarks)
            paths.extend(made.paths)
    return paths


def _advise(folder: Path, library: Path) -> str:
    shown = show_path(library)
    return f"""
Open a PDF, print it at 100 %, and measure its ruler. Then try:
  platebook check {shown}
  platebook check {show_path(folder / "example_profiles" / "faulty")}
  platebook explain
  platebook print legend --library {shown} --profile brackwater-bridge
  platebook new device my-box --library {shown}
"""
