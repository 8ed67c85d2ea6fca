"""The drill template: every hole with its centre mark, size and coordinates, true to scale.

The datum is the plate's lower left corner seen from the front. Ordinates run from it along the
lower and the left edge, as running dimensions of ISO 129-1 do: one dimension line that starts in
a small circle. Layers: `outline`, `holes`, `engraving`, `centres`, `numbers`, `dimensions`.
"""

from collections.abc import Sequence
from typing import Any

from profiles.drawing import weights
from profiles.drawing.cautions import DRILLING
from profiles.drawing.frame import Frame
from profiles.drawing.geometry import mirrored, moved
from profiles.drawing.layout import Sheet, bind, lay_out
from profiles.drawing.recorder import Drawing, Recorder
from profiles.drawing.surface import decimal
from profiles.drawing.titleblock import TitleBlock
from profiles.model.device import Device
from profiles.report.data import csv_rows
from profiles.report.document import Column, Report, Table
from profiles.report.paper import lay_out as lay_out_report
from profiles.sheets.contours import draw_countersink, draw_hole
from profiles.sheets.hole_art import draw_centres, draw_numbers
from profiles.sheets.hole_list import Hole, Measured, group_by_size, list_holes, measure_holes
from profiles.sheets.hole_words import plain_size, size_words, tool_words
from profiles.sheets.ordinates import draw_ordinates
from profiles.sheets.plate_art import draw_engravings, draw_outline
from profiles.sheets.requests import DrillRequest
from profiles.sheets.sheet import PrintedSheet, Subject, remark_losses

_APART = 8.0
"""Least clear space between the template and its lists on one sheet, mm."""


def make_sheet(subject: Subject, request: DrillRequest) -> PrintedSheet:
    """Make the drill template of a device's plate.

    Where the template fits one sheet only without the cautions, they are with the lists alone.
    """
    device = subject.device
    holes = list_holes(device)
    measured = measure_holes(device, holes)
    work = draw_template(device, holes, rear=request.rear)
    block = TitleBlock(
        f"{device.name}: drill template",
        "Datum: lower left corner seen from the front",
        date=request.date,
        view="from behind" if request.rear else "from the front",
    )
    bare, pages = (
        lay_out(
            work,
            Frame(request.sheet_paper, block, cautions),
            may_turn=not request.landscape,
            overlap=request.overlap,
            outline=(device.plate.width, device.plate.height),
        )
        for cautions in ((), (DRILLING,))
    )
    if len(bare.sheets) == 1 < len(pages.sheets):
        pages = bare
    listed = TitleBlock(block.title, block.subtitle, block.date, scale="none")
    tables = list_tables(measured)
    list_frame = Frame(request.sheet_paper, listed, (DRILLING,), False)
    lists = lay_out_report(Report(block.title, tuple(tables)), list_frame)
    sheets = join_on_one(pages.sheets, lists.sheets)
    document, short = bind(sheets, title=block.title, subject=block.subtitle)
    return PrintedSheet(
        title=block.title,
        work=work,
        document=document,
        remarks=remark_losses((*pages.losses, *lists.losses, *short)),
        facts={
            "datum": "lower left corner, front",
            "holes": [_describe(measure) for measure in measured],
        },
        table=csv_rows(tables[0]),
    )


def join_on_one(template: Sequence[Sheet], lists: Sequence[Sheet]) -> tuple[Sheet, ...]:
    """The template over its lists where one sheet has room for both, else one after the other.

    The lists stand at the foot, the template in the middle of what is left above them.
    """
    apart = (*template, *lists)
    if len(apart) != 2 or template[0].frame.paper != lists[0].frame.paper:
        return apart
    frame, drawn, listed = template[0].frame, template[0].drawing, lists[0].drawing
    room, over, under = frame.room(), drawn.ink_bounds(), listed.ink_bounds()
    if not frame.cautions or over is None or under is None:
        return apart
    free = room.height - over.height - under.height
    if free < _APART:
        return apart
    middle = (room.top + room.bottom + under.height + _APART) / 2
    upper = drawn.transformed(moved(0.0, middle - over.centre[1]))
    lower = listed.transformed(moved(0.0, room.bottom - under.bottom))
    return (Sheet(frame, Drawing((*upper.entries, *lower.entries))),)


def draw_template(device: Device, holes: Sequence[Hole], *, rear: bool = False) -> Drawing:
    """The template, origin at the datum; mirrored with readable words for the rear."""
    board, plate = Recorder(), device.plate
    draw_outline(board, plate)
    with board.layer("holes"):
        for hole in holes:
            draw_hole(board, hole.at, hole.size, hole.rotation, weights.HOLE)
    for hole in holes:
        draw_countersink(board, hole.at, hole.size, weights.FRONT)
    draw_engravings(board, plate)
    draw_centres(board, holes)
    draw_numbers(board, holes, (plate.width, plate.height))
    draw_ordinates(board, holes, (plate.width, plate.height))
    drawing = board.finish()
    if not rear:
        return drawing
    return drawing.transformed(mirrored(plate.width / 2)).readable()


def list_tables(measured: Sequence[Measured]) -> list[Table]:
    """Holes with their coordinates, corners of cut-outs, and the sizes needed."""
    columns = (
        Column("no.", align="right"),
        Column("control", wraps=True),
        Column("label", wraps=True),
        Column("x", align="right"),
        Column("y", align="right"),
        Column("hole"),
        Column("to plate edge", align="right"),
        Column("nearest hole"),
        Column("centres apart", align="right"),
        Column("edges apart", align="right"),
        Column("tool", wraps=True),
    )
    rows = tuple(
        (
            *(measure.hole.number, measure.hole.id, measure.hole.label),
            *(decimal(measure.hole.at[0], 3), decimal(measure.hole.at[1], 3)),
            *(size_words(measure.hole.size), decimal(measure.to_edge, 2)),
            measure.neighbour,
            decimal(measure.centres_apart, 2) if measure.neighbour else "",
            decimal(measure.edges_apart, 2) if measure.neighbour else "",
            tool_words(measure.hole.size),
        )
        for measure in measured
    )
    holes = [measure.hole for measure in measured]
    corners = tuple(
        (
            *(hole.number, size_words(hole.size)),
            *(f"{decimal(x, 3)}, {decimal(y, 3)}" for x, y in hole.corners),
        )
        for hole in holes
        if hole.corners
    )
    ends = tuple(
        (
            *(hole.number, size_words(hole.size)),
            *(f"{decimal(x, 3)}, {decimal(y, 3)}" for x, y in hole.ends),
        )
        for hole in holes
        if hole.ends
    )
    names = ("cut-out", "corner 1", "corner 2", "corner 3", "corner 4")
    sizes = tuple(
        (size_words(size), len(group), tuple(hole.number for hole in group))
        for size, group in group_by_size(holes).items()
    )
    return [
        Table(columns, rows, "Holes, mm from the datum"),
        Table(
            (Column("no.", align="right"), *map(Column, names)),
            corners,
            "Corners of cut-outs: x, y in mm from the datum",
        ),
        *(
            [
                Table(
                    (Column("no.", align="right"), *map(Column, ("slot", "end 1", "end 2"))),
                    ends,
                    "Centres of the ends of slots: x, y in mm from the datum",
                )
            ]
            if ends
            else []
        ),
        Table(
            (Column("size"), Column("count", align="right"), Column("holes", wraps=True)),
            sizes,
            "Sizes to make, mm",
        ),
    ]


def _describe(measure: Measured) -> dict[str, Any]:
    hole = measure.hole
    apart = measure.neighbour != ""
    return {
        "number": hole.number,
        "control": hole.id or None,
        "at": [round(value, 4) for value in hole.at],
        "size": list(hole.size) if isinstance(hole.size, tuple) else plain_size(hole.size),
        "tool": tool_words(hole.size),
        "rotation": hole.rotation,
        "corners": [[round(x, 4), round(y, 4)] for x, y in hole.corners],
        "ends": [[round(x, 4), round(y, 4)] for x, y in hole.ends],
        "to_edge": round(measure.to_edge, 4),
        "neighbour": measure.neighbour or None,
        "centres_apart": round(measure.centres_apart, 4) if apart else None,
        "edges_apart": round(measure.edges_apart, 4) if apart else None,
    }
