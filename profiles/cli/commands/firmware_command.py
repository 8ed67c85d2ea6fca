"""`platebook firmware`: the firmware of a board, written from a device."""

import json
from pathlib import Path

import click

from profiles.cli.exits import Unusable
from profiles.cli.libraries import library_option, open_sound_library
from profiles.cli.output import note, put_outputs, replace_option, show_path, write
from profiles.model import Firmware
from profiles.text.inert import escape_controls
from profiles.wiring.boards import board_of, firmware_of
from profiles.work.names import find_named, find_only


@click.command(name="firmware")
@click.argument("device", required=False)
@library_option
@click.option(
    "--for",
    "target",
    type=click.Choice(["avr", "python"]),
    help="A C++ sketch for 8-bit AVR boards with native USB, or files for a Python interpreter. "
    "Default: what the board's file says it runs.",
)
@click.option(
    "--output",
    "-o",
    type=click.Path(path_type=Path, file_okay=False),
    default=".",
    show_default=True,
    help="The folder to write into.",
)
@replace_option
@click.option("--json", "as_json", is_flag=True, help="Print what was written as JSON.")
def command(
    device: str | None,
    library_option: str | None,
    target: Firmware | None,
    output: Path,
    replace: bool,
    as_json: bool,
) -> None:
    """Write the firmware of DEVICE's board into a folder."""
    loaded = open_sound_library(library_option)
    devices = loaded.library.devices
    found = (
        find_only("device", devices) if device is None else find_named("device", device, devices)
    )
    board = board_of(loaded.library, found)
    target = target or firmware_of(board)
    if target is None:
        raise click.UsageError("no known board says which firmware it runs: add --for")
    from profiles.firmware import (
        WRITERS,
        CannotBuildError,
        next_steps,
        plan_firmware,
    )
    from profiles.work.outputs import Output

    try:
        cautions = plan_firmware(found, board).cautions
        files = WRITERS[target](found, board)
    except CannotBuildError as error:
        reasons = "\n".join(f"  {escape_controls(problem)}" for problem in error.problems)
        name = escape_controls(found.id)
        raise Unusable(f"no firmware can be written for `{name}`\n{reasons}") from None
    paths = [output / name for name in files]
    put_outputs(
        [Output(path, text.encode()) for path, text in zip(paths, files.values(), strict=True)],
        replace=replace,
    )
    shown = [str(path) for path in paths]
    if as_json:
        write(json.dumps({"format": 1, "device": found.id, "files": shown}, indent=2))
    else:
        write("\n".join(show_path(path) for path in paths))
    for caution in cautions:
        note(f"note: {escape_controls(caution)}")
    note("\n".join(["Next:", *(f"  {step}" for step in next_steps(found, target, output))]))
