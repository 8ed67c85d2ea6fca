"""The faceplate legend: the plate from the front, every label in its place, true to scale.

With no profile it shows the words of the plate itself; with one, what each control does in that
application; with two or three, all of them on one plate, a row of each label for each application;
they differ by order and weight, and a key says which is which.

With `colours` it is artwork for the front: plate colour and ink, and thin lines to cut along on
layers `cut-outline` and `cut-holes`. With `bleed` the artwork is one page for a print shop, without
the outline and the keys. Seen from behind, a sheet to read has its words turned to be
read, while artwork is truly mirrored, for the back of clear film.
"""

from collections.abc import Iterator

from profiles.drawing import weights
from profiles.drawing.document import Document, Page
from profiles.drawing.frame import Frame
from profiles.drawing.geometry import Box, mirrored, moved
from profiles.drawing.layout import bind, lay_out
from profiles.drawing.recorder import Drawing, Recorder
from profiles.drawing.style import BLACK
from profiles.drawing.surface import Loss
from profiles.drawing.titleblock import TitleBlock
from profiles.facts.legend_layout import LegendLayout, describe_labels, lay_out_legend
from profiles.model.device import Device, Plate
from profiles.plate.labels import heights
from profiles.sheets.label_art import (
    choose_styles,
    draw_kinds,
    draw_label,
    draw_notes,
    draw_numbers,
    draw_styles,
)
from profiles.sheets.plate_art import draw_artwork, draw_plate, full_colour
from profiles.sheets.requests import LegendRequest
from profiles.sheets.setting import find_setting_remarks
from profiles.sheets.sheet import PrintedSheet, Remark, Subject, remark_losses
from profiles.text.sign_words import spell_signs

PRINTED_KEY = "the key of the legend on paper"
"""What explains the numbers where there is the plate alone."""
TRIM_MARK = 5.0
"""Length of a trim mark, mm; it begins 1 mm beyond the ink."""


def make_sheet(subject: Subject, request: LegendRequest) -> PrintedSheet:
    """Make the faceplate legend of a device for up to three profiles."""
    layout = lay_out_legend(subject.device, subject.links, request.labels)
    work = draw_legend(subject.device, request, layout)
    view = "from the front"
    if request.rear:
        view = "mirrored" if request.is_artwork else "from behind"
    block = TitleBlock(
        f"{subject.device.name}: {'front artwork' if request.is_artwork else 'faceplate legend'}",
        ", ".join(layout.names),
        date=request.date,
        view=view,
    )
    plate, losses, key = subject.device.plate, list[Loss](), "the key"
    document = Document(())
    if request.bleed is not None:
        key = PRINTED_KEY
        page = make_shop_page(work, plate, request.bleed)
        document = Document((page,), block.title, block.subtitle)
    elif request.needs("pdf"):
        pages = lay_out(
            work,
            Frame(request.sheet_paper, block),
            may_turn=not request.landscape,
            overlap=request.overlap,
            outline=(plate.width, plate.height),
        )
        document, cut = bind(pages.sheets, title=block.title, subject=block.subtitle)
        losses = [*pages.losses, *cut]
    return PrintedSheet(
        title=block.title,
        work=work,
        document=document,
        remarks=(*find_remarks(subject.device, layout, key), *remark_losses(tuple(losses))),
        facts={
            "labels": describe_labels(layout.placement),
            "proven": layout.placement.proven,
        },
        paged=(block, request.bleed),
    )


def make_shop_page(work: Drawing, plate: Plate, bleed: float) -> Page:
    """The artwork on a page of its own, as print shops take it.

    Ink goes on beyond where they cut, and marks stand at the corners beyond the ink. The file says
    where to cut as well (ISO 32000-1, 14.11.2).
    """
    room = bleed + 2.0 + TRIM_MARK
    trim = Box(room, room, room + plate.width, room + plate.height)
    board = Recorder()
    board.place(work, moved(room, room))
    with board.layer("trim"):
        for x in (trim.left, trim.right):
            for end, way in ((trim.bottom, -1.0), (trim.top, 1.0)):
                start = end + way * (bleed + 1.0)
                board.line((x, start), (x, start + way * TRIM_MARK), weights.DIMENSION)
        for y in (trim.bottom, trim.top):
            for end, way in ((trim.left, -1.0), (trim.right, 1.0)):
                start = end + way * (bleed + 1.0)
                board.line((start, y), (start + way * TRIM_MARK, y), weights.DIMENSION)
    width, height = trim.width + 2 * room, trim.height + 2 * room
    return Page(width, height, board.finish(), trim=trim, bleed=bleed)


def find_remarks(device: Device, layout: LegendLayout, key: str = "the key") -> Iterator[Remark]:
    """Labels that are not shown by their words as wanted, and those smaller or narrower.

    `key` is what explains the numbers.
    """
    wanted = heights(device.plate)[0]
    settings = []
    for missing in layout.placement.unplaced:
        label = layout.label(missing.id)
        yield Remark("skipped", f"{_name(missing.text, missing.id)}: {missing.cause}", label.spot)
    for placed in layout.placement.placed:
        label, name = layout.label(placed.id), _name(placed.text, placed.id)
        if placed.means == "number":
            message = f"{name}: number {placed.number}, explained by {key}: {placed.cause}"
            yield Remark("moved", message, label.spot)
            continue
        if placed.means != "words":
            for row in layout.left_out(placed):
                yield Remark(
                    "skipped", f"no room for `{spell_signs(row.text)}` at `{label.id}`", label.spot
                )
            if placed.means in _MEANS:
                yield Remark("note", f"{name}: {_MEANS[placed.means]}: {placed.cause}", label.spot)
        settings.append((name, placed.fit, label.spot))
    yield from find_setting_remarks(settings, wanted)


_MEANS = {
    "short": "in short",
    "divided": "words divided",
    "leader": "at the end of a line",
}


def _name(text: str, id_: str) -> str:
    return f"`{spell_signs(text).replace(chr(10), ', ')}` at `{id_}`"


def draw_legend(device: Device, request: LegendRequest, layout: LegendLayout) -> Drawing:
    """The plate with its labels, origin at its lower left corner; mirrored for the rear."""
    board = Recorder()
    plate = device.plate
    ink = full_colour(plate.ink) if request.is_artwork else BLACK
    if request.is_artwork:
        draw_artwork(board, device, request.bleed)
    else:
        draw_plate(board, device)
        draw_kinds(board, device, layout.placement.placed)
    styles = choose_styles(layout.names)
    with board.layer("legends"):
        for placed in layout.placement.placed:
            lines = [styles[row.style] for row in layout.rows(placed)]
            draw_label(board, placed, lines, ink=ink)
    if request.bleed is None:
        low = draw_styles(board, styles, plate.width) if len(styles) > 1 else 0.0
        low = draw_notes(board, device, plate.width, low)
        draw_numbers(board, layout, plate.width, low)
    drawing = board.finish()
    if not request.rear:
        return drawing
    behind = drawing.transformed(mirrored(plate.width / 2))
    return behind if request.is_artwork else behind.readable()
