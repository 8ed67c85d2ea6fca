"""The plate itself: a 3D model to print, or clean lines to cut.

The 3D model has the outline with its corners, the thickness, the holes of controls and the mounting
holes; words are not cut into it. SVG and DXF have the same lines on `outline` and `holes`.
"""

from profiles.drawing import weights
from profiles.drawing.document import Document
from profiles.drawing.geometry import Box, Point
from profiles.drawing.model3d import FACET, Disc, Opening, Slab
from profiles.drawing.paths import rectangle
from profiles.drawing.recorder import Recorder
from profiles.model.finding import Spot
from profiles.plate.outlines import outline_of
from profiles.sheets.hole_list import Size, list_holes
from profiles.sheets.plate_art import corner_radius, draw_outline, draw_size, turned_rectangle
from profiles.sheets.requests import PlateRequest
from profiles.sheets.sheet import PrintedSheet, Remark, Subject
from profiles.text.inert import escape_controls


def make_sheet(subject: Subject, request: PlateRequest) -> PrintedSheet:
    """Make the plate of a device as a 3D model and as lines to cut."""
    device, holes = subject.device, list_holes(subject.device)
    board = Recorder()
    draw_outline(board, device.plate)
    with board.layer("holes"):
        for hole in holes:
            draw_size(board, hole.at, hole.size, hole.rotation, weights.HOLE)
    plate = device.plate
    outline = rectangle(Box(0.0, 0.0, plate.width, plate.height), corner_radius(plate))
    openings = tuple(opening_of(hole.at, hole.size, hole.rotation) for hole in holes)
    return PrintedSheet(
        title=f"{device.name}: plate",
        work=board.finish(),
        document=Document(()),
        remarks=tuple(
            Remark(
                "note",
                f"the words `{escape_controls(engraving.text)}` are not cut into the plate",
                Spot(device.id, ("plate", "engravings", place)),
            )
            for place, engraving in enumerate(device.plate.engravings)
        ),
        slab=Slab(outline, plate.thickness, openings),
        facts={
            "size": [plate.width, plate.height, plate.thickness],
            "holes": len(holes),
            "outline_area": round(outline_of(plate).area, 4),
            "hole_area": round(sum(hole.shape.area for hole in holes), 4),
            "facet": FACET,
        },
    )


def opening_of(at: Point, size: Size, rotation: float = 0.0) -> Opening:
    """A hole as an opening of a slab."""
    return turned_rectangle(at, size, rotation) if isinstance(size, tuple) else Disc(at, size)
