"""A report as a printed sheet: the same document on paper, on a page, as text, CSV and JSON."""

from collections.abc import Iterable, Sequence

from profiles.drawing.document import Document
from profiles.drawing.frame import Frame
from profiles.drawing.layout import bind
from profiles.drawing.recorder import Drawing
from profiles.drawing.surface import Loss
from profiles.report.data import csv_rows, plain_report
from profiles.report.document import Report
from profiles.report.paper import Setting, lay_out
from profiles.sheets.sheet import PrintedSheet, Remark, remark_losses


def print_report(
    report: Report,
    frame: Frame,
    *,
    remarks: Iterable[Remark] = (),
    name: str = "",
    table: tuple[tuple[str, ...], ...] = (),
    lanes: int = 1,
    to_fit: Sequence[Setting] = (),
    has_pages: bool = True,
) -> PrintedSheet:
    """Print a report; `table` are the rows for CSV, its first table where none are given.

    Without pages it is as all formats but PDF have it.
    """
    block, document, losses = frame.block, Document(()), tuple[Loss, ...]()
    if has_pages:
        layout = lay_out(report, frame, lanes=lanes, to_fit=to_fit)
        document, cut = bind(layout.sheets, title=block.title, subject=block.subtitle)
        losses = (*layout.losses, *cut)
    return PrintedSheet(
        name=name,
        title=block.title,
        work=Drawing(),
        document=document,
        remarks=(*remarks, *remark_losses(losses)),
        facts=plain_report(report),
        table=table or (csv_rows(report.tables[0]) if report.tables else ()),
        report=report,
        paged=(frame, lanes, tuple(to_fit)),
    )
