"""A printed sheet as bytes of a format.

PDF carries the numbered pages; SVG and DXF the work itself at true scale, SVG with the ruler
under it, DXF with words as lines; CSV the table of sheets that are lists, JSON their facts, HTML
and text their report.
Each writer is imported when it is asked for.
"""

from dataclasses import replace

from profiles.drawing.correction import correct_page
from profiles.drawing.document import Page
from profiles.drawing.geometry import Box, moved
from profiles.drawing.letters import keep_once, letters_as_lines
from profiles.drawing.recorder import Drawing, Recorder
from profiles.drawing.ruler import HEIGHT as RULER_HEIGHT
from profiles.drawing.ruler import LENGTH as RULER_LENGTH
from profiles.drawing.ruler import draw_ruler
from profiles.drawing.surface import Loss, Written
from profiles.sheets.sheet import PrintedSheet

MARGIN = 5.0
"""Clear strip around a drawing that stands on no paper, mm."""

HEAD_DOTS = 180.0
"""Dots an inch of a label printer's head (as the table of tapes in libptouch has it)."""

NOT_CORRECTED = "DXF keeps its lengths: machines read them, no printer errs"
"""What is said of `measured` where a format is not corrected."""

SUFFIXES = {
    **{form: f".{form}" for form in ("pdf", "svg", "dxf", "png", "stl", "3mf", "csv", "html")},
    "text": ".txt",
    "json": ".json",
}
"""The end of a file's name by the name of its format, as a person types that."""


def write_sheet(sheet: PrintedSheet, form: str) -> Written:
    """Write a sheet in a format of `SUFFIXES` that it has.

    Raises:
        KeyError: for a format that it does not have.
    """
    match form:
        case "pdf":
            from profiles.drawing.pdf import write_pdf

            return write_pdf(sheet.document)
        case "svg":
            from profiles.drawing.svg import write_svg

            if sheet.is_for_machine:
                return write_svg(page_of_work(sheet.work), title=sheet.title)
            page = page_of(sheet.work)
            page = correct_page(page, sheet.measured) if sheet.measured else page
            return write_svg(page, title=sheet.title)
        case "dxf":
            from profiles.drawing.dxf import write_dxf

            lines, _ = keep_once(letters_as_lines(sheet.work, sheet.letters).entries)
            written = write_dxf(lines)
            note = (Loss("sheet", NOT_CORRECTED),) if sheet.measured else ()
            return replace(written, losses=(*written.losses, *note))
        case "png":
            from profiles.drawing.png import write_png

            if sheet.head is not None:
                return write_png(sheet.head, dots_per_inch=HEAD_DOTS, is_two_tone=True)
            page = page_of(sheet.work, has_ruler=False)
            page = correct_page(page, sheet.measured) if sheet.measured else page
            return write_png(page)
        case "stl" | "3mf" if sheet.slab is not None:
            from profiles.drawing.model3d import write_3mf, write_stl

            return write_stl(sheet.slab) if form == "stl" else write_3mf(sheet.slab)
        case "csv":
            from profiles.report.data import render_csv

            return Written(render_csv(sheet.table).encode("utf-8"))
        case "json":
            from profiles.report.data import dump_json

            document = {"format": 1, "sheet": sheet.name, "title": sheet.title, **sheet.facts}
            return Written(dump_json(document).encode("ascii"))
        case "html" if sheet.report is not None:
            from profiles.report.page import render_page

            return Written(render_page(sheet.report).encode("utf-8"))
        case "text" if sheet.report is not None:
            from profiles.report.terminal import render_text

            return Written(render_text(sheet.report).encode("utf-8"))
    raise KeyError(form)


def page_of_work(drawing: Drawing) -> Page:
    """A drawing on a page of its own size, with nothing beside it."""
    bounds = drawing.bounds() or Box(0.0, 0.0, 1.0, 1.0)
    moving = moved(-bounds.left, -bounds.bottom)
    return Page(bounds.width, bounds.height, drawing.transformed(moving))


def page_of(drawing: Drawing, *, has_ruler: bool = True) -> Page:
    """A drawing on a page of its own, as large as it needs, with the ruler under it if wanted."""
    bounds = drawing.ink_bounds() or Box(0.0, 0.0, 1.0, 1.0)
    foot = RULER_HEIGHT + MARGIN if has_ruler else 0.0
    board = Recorder()
    board.place(drawing, moved(MARGIN - bounds.left, MARGIN + foot - bounds.bottom))
    width = bounds.width
    if has_ruler:
        draw_ruler(board, (MARGIN, MARGIN))
        width = max(width, RULER_LENGTH + MARGIN)
    return Page(width + 2 * MARGIN, bounds.height + foot + 2 * MARGIN, board.finish())
