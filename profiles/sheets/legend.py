"""The faceplate legend: the plate from the front, every label in its place, true to scale.

With no profile it shows the words of the plate itself; with one, what each control does in that
application; with two or three, all of them on one plate, a row of each label for each application;
they differ by order and weight, and a key says which is which.

With `colours` it is artwork for the front: plate colour and ink, and thin lines to cut along on
layers `cut-outline` and `cut-holes`. Seen from behind, a sheet to read has its words turned to be
read, while artwork is truly mirrored, for the back of clear film.
"""

from profiles.drawing.frame import Frame
from profiles.drawing.geometry import mirrored
from profiles.drawing.layout import bind, lay_out
from profiles.drawing.recorder import Drawing, Recorder
from profiles.drawing.style import BLACK
from profiles.drawing.titleblock import TitleBlock
from profiles.model.device import Device
from profiles.sheets.label_art import choose_styles, draw_key, draw_kinds, draw_label
from profiles.sheets.legend_layout import LegendLayout, describe_labels, lay_out_legend
from profiles.sheets.plate_art import draw_artwork, draw_plate, full_colour
from profiles.sheets.requests import LegendRequest
from profiles.sheets.sheet import PrintedSheet, Subject, remark_losses


def make_sheet(subject: Subject, request: LegendRequest) -> PrintedSheet:
    """Make the faceplate legend of a device for up to three profiles."""
    layout = lay_out_legend(subject.device, subject.links, request.labels)
    work = draw_legend(subject.device, request, layout)
    view = "from the front"
    if request.rear:
        view = "mirrored" if request.colours else "from behind"
    block = TitleBlock(
        f"{subject.device.name}: {'front artwork' if request.colours else 'faceplate legend'}",
        ", ".join(layout.names),
        date=request.date,
        view=view,
    )
    plate = subject.device.plate
    outline = (plate.width, plate.height)
    pages = lay_out(
        work,
        Frame(request.sheet_paper, block),
        may_turn=not request.landscape,
        overlap=request.overlap,
        outline=outline,
    )
    document, cut = bind(pages.sheets, title=block.title, subject=block.subtitle)
    return PrintedSheet(
        title=block.title,
        work=work,
        document=document,
        remarks=(*layout.remarks, *remark_losses((*pages.losses, *cut))),
        facts={
            "labels": describe_labels(layout.placement),
            "proven": layout.placement.proven,
        },
    )


def draw_legend(device: Device, request: LegendRequest, layout: LegendLayout) -> Drawing:
    """The plate with its labels, origin at its lower left corner; mirrored for the rear."""
    board = Recorder()
    plate = device.plate
    ink = full_colour(plate.ink) if request.colours else BLACK
    if request.colours:
        draw_artwork(board, device)
    else:
        draw_plate(board, device)
        draw_kinds(board, device, layout.placement.placed)
    styles = choose_styles(layout.names)
    with board.layer("legends"):
        for placed in layout.placement.placed:
            lines = [styles[number] for number in layout.styles(placed)]
            draw_label(board, placed, lines, ink=ink)
    if len(styles) > 1 and not request.colours:
        draw_key(board, styles, plate.width)
    drawing = board.finish()
    if not request.rear:
        return drawing
    behind = drawing.transformed(mirrored(plate.width / 2))
    return behind if request.colours else behind.readable()
