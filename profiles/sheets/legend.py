"""The faceplate legend: the plate from the front, every label in its place, true to scale.

With no profile it shows the words of the plate itself; with one, what each control does in that
title; with two or three, all of them on one plate, a row of each label for each title, told apart
by their order and by weight, and a key says which is which.

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
from profiles.sheets.label_art import choose_manners, draw_key, draw_kinds, draw_label
from profiles.sheets.legend_layout import LegendLayout, describe_labels, lay_out_legend
from profiles.sheets.plate_art import draw_artwork, draw_plate, full_colour
from profiles.sheets.sheet import PrintedSheet, SheetRequest, remark_losses


def make_sheet(order: SheetRequest) -> PrintedSheet:
    """Make the faceplate legend of a device for up to three profiles."""
    layout = lay_out_legend(order.device, order.links, order.options.get("labels", ""))
    work = draw_legend(order, layout)
    block = TitleBlock(
        f"{order.device.name}: {'front artwork' if _is_artwork(order) else 'faceplate legend'}",
        ", ".join(layout.names),
        date=order.date,
        view=_name_view(order),
    )
    plate = order.device.plate
    outline = (plate.width, plate.height)
    pages = lay_out(
        work,
        Frame(order.paper, block),
        may_turn=order.may_turn,
        overlap=order.overlap,
        outline=outline,
    )
    document, cut = bind(pages.sheets, title=block.title, subject=block.subtitle)
    return PrintedSheet(
        name="-".join([order.device.id, *(link.profile.id for link in order.links), "legend"]),
        title=block.title,
        work=work,
        document=document,
        remarks=(*layout.remarks, *remark_losses((*pages.losses, *cut))),
        facts={
            "labels": describe_labels(layout.placement),
            "proven": layout.placement.proven,
        },
    )


def _is_artwork(order: SheetRequest) -> bool:
    return bool(order.options.get("colours"))


def _name_view(order: SheetRequest) -> str:
    if not order.rear:
        return "from the front"
    return "mirrored" if _is_artwork(order) else "from behind"


def draw_legend(order: SheetRequest, layout: LegendLayout) -> Drawing:
    """The plate with its labels, origin at its lower left corner; mirrored for the rear."""
    board = Recorder()
    plate = order.device.plate
    ink = full_colour(plate.ink) if _is_artwork(order) else BLACK
    if _is_artwork(order):
        draw_artwork(board, order.device)
    else:
        draw_plate(board, order.device)
        draw_kinds(board, order.device, layout.placement.placed)
    manners = choose_manners(layout.names)
    with board.layer("legends"):
        for placed in layout.placement.placed:
            lines = [manners[number] for number in layout.manners(placed)]
            draw_label(board, placed, lines, ink=ink)
    if len(manners) > 1 and not _is_artwork(order):
        draw_key(board, manners, plate.width)
    drawing = board.finish()
    if not order.rear:
        return drawing
    behind = drawing.transformed(mirrored(plate.width / 2))
    return behind if _is_artwork(order) else behind.readable()
