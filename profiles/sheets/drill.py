"""The drill template: every hole with its centre mark, size and coordinates, true to scale.

The datum is the plate's lower left corner seen from the front. Ordinates run from it along the
lower and the left edge, as running dimensions of ISO 129-1 do: one dimension line that starts in
a small circle. Layers: `outline`, `holes`, `engraving`, `centres`, `numbers`, `dimensions`,
`notes`.
"""

from collections.abc import Sequence
from dataclasses import replace
from math import sqrt
from typing import Any

from profiles.drawing import weights
from profiles.drawing.cautions import DRILLING
from profiles.drawing.document import Document
from profiles.drawing.frame import Frame
from profiles.drawing.geometry import mirrored
from profiles.drawing.layout import bind, find_frame, lay_out
from profiles.drawing.recorder import Drawing, Recorder
from profiles.drawing.style import Lettering
from profiles.drawing.surface import Loss, decimal
from profiles.drawing.titleblock import TitleBlock
from profiles.model.device import Device, Plate
from profiles.report.data import csv_rows
from profiles.report.document import Column, Report, Table
from profiles.report.paper import lay_out as lay_out_report
from profiles.sheets.contours import draw_countersink, draw_hole
from profiles.sheets.hole_art import draw_centres, draw_numbers
from profiles.sheets.hole_list import Hole, Measured, list_holes, measure_holes
from profiles.sheets.hole_words import Step, plain_size, size_words, tool_steps, tool_words
from profiles.sheets.ordinates import draw_ordinates
from profiles.sheets.plate_art import corner_radius, draw_engravings, draw_outline
from profiles.sheets.requests import DrillRequest
from profiles.sheets.sheet import PrintedSheet, Subject, remark_losses

_CORNER = Lettering(2.0)
"""Of the words that tell the radius of the corners."""
_NOTE = Lettering(2.5)


def make_sheet(subject: Subject, request: DrillRequest) -> PrintedSheet:
    """Make the drill template of a device's plate."""
    device = subject.device
    plate, holes = device.plate, list_holes(device)
    measured = measure_holes(device, holes)
    work = draw_template(device, holes, rear=request.rear)
    block = TitleBlock(
        f"{device.name}: drill template",
        "Datum: lower left corner seen from the front",
        date=request.date,
        view="from behind" if request.rear else "from the front",
        details=describe_plate(plate),
    )
    holes_table, *others = list_tables(measured)
    tables = Report(block.title, (holes_table, *others))
    document, losses = Document(()), tuple[Loss, ...]()
    if request.needs("pdf"):
        document, losses = _lay_out(work, tables, block, plate, request)
    return PrintedSheet(
        title=block.title,
        work=_add_notes(work, plate),
        document=document,
        remarks=remark_losses(losses),
        facts={
            "datum": "lower left corner, front",
            "plate": {caption.lower(): value for caption, value in describe_plate(plate)},
            "holes": [_describe(measure) for measure in measured],
        },
        table=csv_rows(holes_table),
        paged=(block, tables),
    )


def _lay_out(
    work: Drawing, tables: Report, block: TitleBlock, plate: Plate, request: DrillRequest
) -> tuple[Document, tuple[Loss, ...]]:
    """Template and lists on paper, and what was left out.

    The lists stand under the template, or under the map of its parts, where they have room there.
    The cautions are on the first sheet; where the template fits one sheet only without them, with
    the lists.
    """
    frame = Frame(request.sheet_paper, block, (DRILLING,))
    listed = Frame(request.sheet_paper, replace(block, view="", scale="none"), (), False)
    lists = lay_out_report(tables, listed.bare())
    foot = lists.sheets[0].drawing if len(lists.sheets) == 1 else None
    may_turn = not request.landscape
    options: dict[str, Any] = {
        "may_turn": may_turn,
        "overlap": request.overlap,
        "outline": (plate.width, plate.height),
    }
    pages = lay_out(work, frame, foot=foot, **options)
    bounds = work.ink_bounds()
    if len(pages.sheets) > 1 and bounds and find_frame(bounds, frame.bare(), may_turn=may_turn):
        pages = lay_out(work, frame.bare(), **options)
        lists = lay_out_report(tables, replace(listed, cautions=(DRILLING,)))
    sheets = pages.sheets if pages.has_foot else (*pages.sheets, *lists.sheets)
    document, short = bind(sheets, title=block.title, subject=block.subtitle)
    return document, (*pages.losses, *lists.losses, *short)


def describe_plate(plate: Plate) -> tuple[tuple[str, str], ...]:
    """What a workshop must know of the plate beside its holes: captions and values, mm."""
    size = " × ".join(decimal(side, 2) for side in (plate.width, plate.height, plate.thickness))
    radius, tolerance = corner_radius(plate), plate.tolerance
    details = (
        ("Plate", size),
        ("Material", plate.material or ""),
        ("Corners", f"R{decimal(radius, 2)}" if radius else "sharp"),
        ("Tolerance", f"±{decimal(tolerance, 3)}" if tolerance else ""),
        ("Revision", plate.revision or ""),
        ("Quantity", str(plate.quantity)),
    )
    return tuple((caption, value) for caption, value in details if value)


def _add_notes(template: Drawing, plate: Plate) -> Drawing:
    """The template with the details of the plate under it, for formats without a title block."""
    board, bounds = Recorder(), template.ink_bounds()
    board.place(template)
    with board.layer("notes"):
        words = "   ".join(f"{caption}: {value}" for caption, value in describe_plate(plate))
        board.text((0.0, (bounds.bottom if bounds else 0.0) - 5.0), words, _NOTE)
    return board.finish()


def draw_template(device: Device, holes: Sequence[Hole], *, rear: bool = False) -> Drawing:
    """The template, origin at the datum; mirrored with readable words for the rear."""
    board, plate = Recorder(), device.plate
    draw_outline(board, plate)
    if radius := corner_radius(plate):
        off = radius * (1 - sqrt(0.5))
        words, at = f"4 × R{decimal(radius, 2)}", (plate.width - radius - 3.0, plate.height + 3.0)
        end = (at[0] + 1.0, at[1] + _CORNER.cap_height / 2)
        with board.layer("dimensions"):
            board.text(at, words, _CORNER, anchor="right")
            board.line(end, (plate.width - off, plate.height - off), weights.DIMENSION)
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
    """Holes with their coordinates, corners of cut-outs, ends of slots, and all holes by tool."""
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
    by_tool: dict[Step, list[Hole]] = {}
    for hole in holes:
        for step in tool_steps(hole.size):
            by_tool.setdefault(step, []).append(hole)
    tools = tuple(
        (
            step.words,
            "; ".join(dict.fromkeys(size_words(hole.size) for hole in group)),
            len(group),
            tuple(hole.number for hole in group),
        )
        for step, group in sorted(by_tool.items(), key=lambda one: (*one[0][1:], one[0].words))
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
            (
                Column("tool", wraps=True),
                Column("for", wraps=True),
                Column("count", align="right"),
                Column("holes", wraps=True),
            ),
            tools,
            "By tool, mm",
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
