"""The plate itself: a 3D model to print, or clean lines to cut.

The 3D model has the outline with its corners, the thickness, the holes of controls and the mounting
holes; words are on it as they are asked for (see `plate_words`). SVG and DXF have the same lines on
`outline` and `holes`, and the edges of countersinks on `countersinks`.
"""

from collections.abc import Iterable, Iterator
from typing import Any

from profiles.drawing import weights
from profiles.drawing.document import Document
from profiles.drawing.geometry import Box, Point
from profiles.drawing.model3d import FACET, Cone, Disc, Opening, Slab
from profiles.drawing.paths import Path, rectangle
from profiles.drawing.recorder import Drawing, Recorder
from profiles.model.device import Device
from profiles.model.hole import Countersink, Hole, as_hole
from profiles.plate.holes import Size
from profiles.plate.outlines import outline_of
from profiles.sheets.contours import contour_of, draw_countersink, draw_hole
from profiles.sheets.hole_list import list_holes
from profiles.sheets.plate_art import corner_radius, draw_outline
from profiles.sheets.plate_words import add_words
from profiles.sheets.requests import PlateRequest
from profiles.sheets.sheet import PrintedSheet, Remark, Subject
from profiles.text.finding import Spot
from profiles.text.inert import escape_controls


def make_sheet(subject: Subject, request: PlateRequest) -> PrintedSheet:
    """Make the plate of a device as a 3D model and as lines to cut."""
    device, holes = subject.device, list_holes(subject.device)
    plate = device.plate
    outline = rectangle(Box(0.0, 0.0, plate.width, plate.height), corner_radius(plate))
    cones = cones_of((hole.at, hole.size) for hole in holes)
    openings = openings_of((hole.at, hole.size, hole.rotation) for hole in holes)
    slab = Slab(outline, plate.thickness, openings, cones=cones)
    remarks, facts = list(_note_words(device)), dict[str, Any]()
    if request.words != "none":
        slab, remarks, facts = add_words(slab, subject, request)
    return PrintedSheet(
        title=f"{device.name}: plate",
        work=draw_lines(device),
        document=Document(()),
        remarks=(*remarks, *_judge_bed(device, request)),
        slab=slab,
        is_for_machine=True,
        paged=(),
        facts={
            **facts,
            "size": [plate.width, plate.height, plate.thickness],
            "holes": len(holes),
            "outline_area": round(outline_of(plate).area, 4),
            "hole_area": round(sum(hole.area for hole in holes), 4),
            "facet": FACET,
        },
    )


def draw_lines(device: Device) -> Drawing:
    """The lines of the plate: its edge, its holes, and the edges of countersinks."""
    board, holes = Recorder(), list_holes(device)
    draw_outline(board, device.plate)
    with board.layer("holes"):
        for hole in holes:
            draw_hole(board, hole.at, hole.size, hole.rotation, weights.HOLE)
    for hole in holes:
        draw_countersink(board, hole.at, hole.size, weights.FRONT)
    return board.finish()


def _note_words(device: Device) -> Iterator[Remark]:
    for place, engraving in enumerate(device.plate.engravings):
        yield Remark(
            "note",
            f"the words `{escape_controls(engraving.text)}` are not cut into the plate",
            Spot(device.id, ("plate", "engravings", place)),
        )


def _judge_bed(device: Device, request: PlateRequest) -> Iterator[Remark]:
    """A plate that fits on the bed neither way."""
    if request.bed is None:
        return
    bed = [float(side) for side in request.bed.split("x")]
    sides = [device.plate.width, device.plate.height]
    if any(side > room for side, room in zip(sorted(sides), sorted(bed), strict=True)):
        shown, room = (" x ".join(f"{side:g}" for side in pair) for pair in (sides, bed))
        yield Remark("note", f"the plate is {shown} mm, larger than the bed of {room} mm")


def openings_of(holes: Iterable[tuple[Point, Size, float]]) -> tuple[Opening, ...]:
    """Holes, each with its place and turn, as openings of a slab; those with a countersink not."""
    found = ((at, contour_of(at, size, turn)) for at, size, turn in holes if not _sunk(size))
    return tuple(one if isinstance(one, Path) else Disc(at, one) for at, one in found)


def cones_of(holes: Iterable[tuple[Point, Size]]) -> tuple[Cone, ...]:
    """The holes with a countersink as openings of a slab."""
    return tuple(
        Cone(at, sink.diameter, as_hole(size).sides[0], sink.depth(as_hole(size).sides[0]))
        for at, size in holes
        if (sink := _sunk(size)) is not None
    )


def _sunk(size: Size) -> Countersink | None:
    return size.countersink if isinstance(size, Hole) else None
