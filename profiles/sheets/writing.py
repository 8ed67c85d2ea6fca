"""A printed sheet as bytes of a format.

PDF carries the numbered pages; SVG and DXF the work itself at true scale, SVG with the ruler
under it; CSV the table of sheets that are lists, JSON their facts; HTML and text are made by
the sheet. Each writer is imported when it is asked for.
"""

from collections.abc import Callable
from dataclasses import dataclass

from profiles.drawing.document import Page
from profiles.drawing.geometry import Box, moved
from profiles.drawing.model3d import Slab
from profiles.drawing.recorder import Drawing, Recorder
from profiles.drawing.ruler import HEIGHT as RULER_HEIGHT
from profiles.drawing.ruler import LENGTH as RULER_LENGTH
from profiles.drawing.ruler import draw_ruler
from profiles.drawing.surface import Written
from profiles.report.document import Report
from profiles.sheets.sheet import PrintedSheet

MARGIN = 5.0
"""Clear strip around a drawing that stands on no paper, mm."""


@dataclass(frozen=True, slots=True)
class Format:
    """An output format: its suffix and how a sheet is written in it."""

    suffix: str
    write: Callable[[PrintedSheet], Written]


def write_sheet(sheet: PrintedSheet, form: str) -> Written:
    """Write a sheet in a format of `FORMATS`.

    Raises:
        KeyError: for a format that is none of them.
    """
    return FORMATS[form].write(sheet)


def _write_pdf(sheet: PrintedSheet) -> Written:
    from profiles.drawing.pdf import write_pdf

    return write_pdf(sheet.document)


def _write_svg(sheet: PrintedSheet) -> Written:
    from profiles.drawing.svg import write_svg

    return write_svg(page_of(sheet.work, has_ruler=True), title=sheet.title)


def _write_dxf(sheet: PrintedSheet) -> Written:
    from profiles.drawing.dxf import write_dxf

    return write_dxf(sheet.work)


def _write_png(sheet: PrintedSheet) -> Written:
    from profiles.drawing.png import write_png

    return write_png(page_of(sheet.work, has_ruler=False))


def _write_stl(sheet: PrintedSheet) -> Written:
    from profiles.drawing.model3d import write_stl

    return write_stl(_slab_of(sheet))


def _write_3mf(sheet: PrintedSheet) -> Written:
    from profiles.drawing.model3d import write_3mf

    return write_3mf(_slab_of(sheet))


def _slab_of(sheet: PrintedSheet) -> Slab:
    if sheet.slab is None:
        raise KeyError(f"{sheet.name} is no 3D model")
    return sheet.slab


def _write_csv(sheet: PrintedSheet) -> Written:
    from profiles.report.data import render_csv

    return Written(render_csv(sheet.table).encode("utf-8"))


def _write_html(sheet: PrintedSheet) -> Written:
    from profiles.report.page import render_page

    return Written(render_page(_report_of(sheet)).encode("utf-8"))


def _write_text(sheet: PrintedSheet) -> Written:
    from profiles.report.terminal import render_text

    return Written(render_text(_report_of(sheet)).encode("utf-8"))


def _report_of(sheet: PrintedSheet) -> Report:
    if sheet.report is None:
        raise KeyError(f"{sheet.name} is no list")
    return sheet.report


def _write_json(sheet: PrintedSheet) -> Written:
    from profiles.report.data import dump_json

    document = {"format": 1, "sheet": sheet.name, "title": sheet.title, **sheet.facts}
    return Written(dump_json(document).encode("ascii"))


def page_of(drawing: Drawing, *, has_ruler: bool) -> Page:
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


FORMATS = {
    "pdf": Format(".pdf", _write_pdf),
    "svg": Format(".svg", _write_svg),
    "dxf": Format(".dxf", _write_dxf),
    "png": Format(".png", _write_png),
    "stl": Format(".stl", _write_stl),
    "3mf": Format(".3mf", _write_3mf),
    "csv": Format(".csv", _write_csv),
    "html": Format(".html", _write_html),
    "text": Format(".txt", _write_text),
    "json": Format(".json", _write_json),
}
"""Every format by the name a person types."""
