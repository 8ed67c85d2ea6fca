"""The comparison: controls against applications, moved functions marked by a sign and in words."""

from collections.abc import Sequence
from dataclasses import replace

from profiles.drawing.frame import Frame
from profiles.drawing.titleblock import TitleBlock
from profiles.model.library import Link
from profiles.report.document import Cell, Column, Facts, Paragraph, Report, Table
from profiles.report.paper import TO_FIT
from profiles.sheets.comparison_rows import MOVED, ComparedRow, compare_applications
from profiles.sheets.report_sheet import print_report
from profiles.sheets.requests import ComparisonRequest
from profiles.sheets.sheet import PrintedSheet, Remark, Subject

NARROWEST = 34.0
"""Least width of an application's column on paper, mm; more applications go on below."""
KEY = f"{MOVED} sits elsewhere in most applications"
"""What the sign means."""
NONE_MOVED = "no function sits elsewhere in most applications"
"""Replaces the key where there are applications to compare and nothing is marked."""


def make_sheet(subject: Subject, request: ComparisonRequest) -> PrintedSheet:
    """Make the comparison of a device's profiles: those named, otherwise all."""
    device = subject.device
    links = subject.links or subject.library.profiles_of(device.id)
    rows = compare_applications(device, links)
    names = name_applications(links)
    key = ""
    if any(cell.moved for row in rows for cell in row.cells):
        key = KEY
    elif any(len(row.cells) > 1 for row in rows):
        key = NONE_MOVED
    facts = Facts(
        {"profiles": {link.profile.id: name for link, name in zip(links, names, strict=True)}}
    )
    table = _compare_table(links, names, rows)
    report = Report(f"{device.name}: applications compared", (facts, table))
    block = TitleBlock(report.title, key, request.date, scale="", unit="")
    sheet = print_report(
        report,
        Frame(request.sheet_paper, block, has_ruler=False),
        remarks=[] if links else [Remark("note", f"no profile binds {device.name}")],
        to_fit=TO_FIT,
        has_pages=request.needs("pdf"),
    )
    if not key:
        return sheet
    return replace(sheet, report=report._replace(blocks=(*report.blocks, Paragraph(key))))


def name_applications(links: Sequence[Link]) -> list[str]:
    """The applications' names; of two profiles of one application, each with the profile's id."""
    names = [link.application.name if link.application else link.profile.name for link in links]
    return [
        f"{name} ({link.profile.id})" if names.count(name) > 1 else name
        for name, link in zip(names, links, strict=True)
    ]


def _compare_table(
    links: Sequence[Link], names: Sequence[str], rows: Sequence[ComparedRow]
) -> Table:
    columns = (
        Column("Control", "control", readers="machines"),
        Column("Contact", "contact", readers="machines"),
        Column("Held", "held", readers="machines"),
        Column("Control", wraps=True, readers="people", least=30.0),
        Column("Input", "input"),
        *(
            Column(name, f"applications.{link.profile.id}", wraps=True, least=NARROWEST)
            for link, name in zip(links, names, strict=True)
        ),
    )
    cells = tuple(
        (
            *(row.control, row.contact, row.held),
            Cell(row.chord, strong=True),
            row.input,
            *(
                Cell(
                    cell.words,
                    cell.moved,
                    bool(cell.moved),
                    {"does": cell.does, "moved": cell.moved},
                )
                for cell in row.cells
            ),
        )
        for row in rows
    )
    return Table(columns, cells, "Controls against applications", key="rows", lead=2)
