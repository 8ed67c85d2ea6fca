"""`platebook arrange`: controls on a plate put in order, shown before anything is written."""

import click

from profiles.cli.editing import offer_edit
from profiles.cli.exits import Unusable
from profiles.cli.libraries import library_option, open_sound_library
from profiles.plan.arrange import ALIGNMENTS, LINES, MIRRORINGS, Alignment, Lines, Mirroring
from profiles.plan.layout import LayoutError
from profiles.report.document import Column, Facts, Report, Table
from profiles.text.inert import escape_controls
from profiles.work.arranging import arrange_controls, read_steps
from profiles.work.names import find_named


@click.command(name="arrange")
@click.argument("device")
@click.argument("controls", nargs=-1)
@library_option
@click.option(
    "--kind",
    "kinds",
    metavar="KIND",
    multiple=True,
    help="Only controls of this kind; again for more.",
)
@click.option("--grid", metavar="5x4", help="Put them on a grid, in the order of reading.")
@click.option(
    "--align",
    type=click.Choice(ALIGNMENTS),
    multiple=True,
    help="Straighten rows or columns, or bring fronts to one edge.",
)
@click.option(
    "--spread",
    type=click.Choice(LINES),
    multiple=True,
    help="Equal gaps in each row or column; the outermost stay.",
)
@click.option("--pitch", metavar="35", help="With --grid or --spread: centre to centre in mm.")
@click.option(
    "--mirror", type=click.Choice(MIRRORINGS), multiple=True, help="About the plate's middle."
)
@click.option("--shift", metavar="5,-2.5", help="To the right and up in mm.")
@click.option(
    "--tolerance",
    metavar="MM",
    type=click.FloatRange(0, 100),
    default=2.0,
    show_default=True,
    help="How far off its row or column a centre may lie, mm.",
)
@click.option("--write", "is_written", is_flag=True, help="Change the device's file.")
@click.option("--json", "as_json", is_flag=True, help="Print it as JSON.")
def command(
    device: str,
    controls: tuple[str, ...],
    library_option: str | None,
    kinds: tuple[str, ...],
    grid: str | None,
    align: tuple[Alignment, ...],
    spread: tuple[Lines, ...],
    pitch: str | None,
    mirror: tuple[Mirroring, ...],
    shift: str | None,
    tolerance: float,
    is_written: bool,
    as_json: bool,
) -> None:
    """Put CONTROLS of DEVICE in order: all of them, or those of these ids or patterns.

    Shows what changes in the file and which findings come and go; --write does it. Steps are made
    in the order in which they stand below. Rows, columns and a grid keep their middle.

    \b
      platebook arrange box --align rows --spread rows
      platebook arrange box "push-*" --grid 5x2 --pitch 35 --write
    """
    loaded = open_sound_library(library_option)
    found = find_named("device", device, loaded.library.devices)
    try:
        steps = read_steps(grid, align, spread, pitch, mirror, shift, tolerance)
        edit, moves = arrange_controls(found, controls, kinds, steps)
    except LayoutError as error:
        raise Unusable(escape_controls(str(error)), error.remedy) from None
    columns = Column("control", "control"), Column("before", "before"), Column("after", "after")
    rows = [(move.control, _show(move.before), _show(move.after)) for move in moves]
    blocks = (Facts({"device": found.id}), Table(columns, tuple(rows), key="moves"))
    offer_edit(
        loaded,
        edit,
        Report("", blocks),
        is_written=is_written,
        as_json=as_json,
        families=("layout", "legibility"),
    )


def _show(at: tuple[float, float]) -> str:
    return f"{at[0]:g}, {at[1]:g}"
