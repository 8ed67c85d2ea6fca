"""The comparison: controls against titles, moved functions marked by a sign and in words."""

from collections.abc import Sequence

from profiles.drawing.frame import Frame
from profiles.drawing.layout import bind
from profiles.drawing.recorder import Drawing
from profiles.drawing.titleblock import TitleBlock
from profiles.model.library import Link
from profiles.sheets.comparison_rows import MOVED, ComparedCell, ComparedRow, compare_titles
from profiles.sheets.html_page import Html, element, join, page
from profiles.sheets.paper_list import Cell, Column, Section, lay_out_list
from profiles.sheets.requests import ComparisonRequest
from profiles.sheets.sheet import PrintedSheet, Remark, Subject, remark_losses
from profiles.sheets.text_table import render_table

NARROWEST = 34.0
"""Least width of a title's column on paper, mm; more titles go on further sheets."""
CONTROL_WIDTH = 40.0
INPUT_WIDTH = 12.0
"""Widths of the columns before the titles on paper, mm."""
KEY = f"{MOVED} sits elsewhere in most titles"
"""What the sign means."""
NONE_MOVED = "no function sits elsewhere in most titles"
"""Said in place of the key where there are titles to compare and nothing is marked."""


def make_sheet(subject: Subject, request: ComparisonRequest) -> PrintedSheet:
    """Make the comparison of a device's profiles: those named, else all."""
    device = subject.device
    links = subject.links or subject.library.profiles_of(device.id)
    rows = compare_titles(device, links)
    names = name_titles(links)
    key = _key(rows)
    block = TitleBlock(f"{device.name}: titles compared", key, request.date, scale="", unit="")
    frame = Frame(request.sheet_paper, block, has_ruler=False)
    layout = lay_out_list(_paper_sections(names, rows, frame.room().width), frame, across=1)
    document, cut = bind(layout.sheets, title=block.title, subject=", ".join(names))
    profiles = [link.profile.id for link in links]
    return PrintedSheet(
        title=block.title,
        work=Drawing(),
        document=document,
        remarks=(*_find_remarks(links, device.name), *remark_losses(cut)),
        facts={
            "profiles": dict(zip(profiles, names, strict=True)),
            "rows": [row.plain(profiles) for row in rows],
        },
        table=(("Control", "Contact", "Held", "Input", *names), *map(_csv_row, rows)),
        texts={
            "text": _write_text(block.title, names, rows),
            "html": _write_html(block.title, names, rows),
        },
    )


def _key(rows: Sequence[ComparedRow]) -> str:
    """What the sign means where it is used; with one title or none there is nothing to tell."""
    if any(cell.moved for row in rows for cell in row.cells):
        return KEY
    return NONE_MOVED if any(len(row.cells) > 1 for row in rows) else ""


def _find_remarks(links: Sequence[Link], name: str) -> list[Remark]:
    return [] if links else [Remark("note", f"no profile binds {name}")]


def name_titles(links: Sequence[Link]) -> list[str]:
    """The titles' names; of two profiles of one title, each with the profile's id."""
    names = [link.application.name if link.application else link.profile.name for link in links]
    return [
        f"{name} ({link.profile.id})" if names.count(name) > 1 else name
        for name, link in zip(names, links, strict=True)
    ]


def _write_cell(cell: ComparedCell) -> str:
    return f"{cell.words} ({cell.moved})" if cell.moved else cell.words


def _write_input(row: ComparedRow) -> str:
    return "" if row.input is None else str(row.input)


def _csv_row(row: ComparedRow) -> tuple[str, ...]:
    cells = (_write_cell(cell) for cell in row.cells)
    return (row.control, row.contact, row.held, _write_input(row), *cells)


def _write_text(title: str, names: Sequence[str], rows: Sequence[ComparedRow]) -> str:
    from profiles.text.inert import escape_controls

    table = render_table(
        ["Control", "Input", *names],
        [[row.chord, _write_input(row), *map(_write_cell, row.cells)] for row in rows],
    )
    key = _key(rows)
    return f"{escape_controls(title)}\n\n{table}\n" + (f"\n{key}\n" if key else "")


def _paper_sections(
    names: Sequence[str], rows: Sequence[ComparedRow], width: float
) -> list[Section]:
    """As many titles on a sheet as there is room for."""
    left = width - CONTROL_WIDTH - INPUT_WIDTH
    most = max(1, int(left // NARROWEST))
    sections = []
    for start in range(0, max(1, len(names)), most):
        part = names[start : start + most]
        share = left / max(1, len(part))
        columns = (
            Column("Control", CONTROL_WIDTH),
            Column("Input", INPUT_WIDTH),
            *(Column(name, share) for name in part),
        )
        entries = tuple(_paper_entry(row, row.cells[start : start + most]) for row in rows)
        sections.append(Section(_name_part(start, len(part), len(names)), columns, entries))
    return sections


def _name_part(start: int, part: int, count: int) -> str:
    if part == count:
        return "Controls against titles"
    if part == 1:
        return f"Controls against title {start + 1} of {count}"
    return f"Controls against titles {start + 1} to {start + part} of {count}"


def _paper_entry(row: ComparedRow, cells: Sequence[ComparedCell]) -> tuple[Cell, ...]:
    return (
        Cell(row.chord, strong=True),
        Cell(_write_input(row)),
        *(Cell(cell.words, cell.moved, strong=bool(cell.moved)) for cell in cells),
    )


def _write_html(title: str, names: Sequence[str], rows: Sequence[ComparedRow]) -> str:
    key = _key(rows)
    notes = [element("p", key)] if key else []
    head = element("header", element("h1", title), *notes)
    headings = join(
        _html_heading("Control"),
        element("th", "Input", scope="col", role="columnheader", class_="short"),
        *map(_html_heading, names),
    )
    table = element(
        "table",
        element("thead", element("tr", headings, role="row"), role="rowgroup"),
        element("tbody", *(_html_row(names, row) for row in rows), role="rowgroup"),
        class_="wide",
        role="table",
        aria_label=title,
    )
    return page(title, join(head, table))


def _html_heading(words: str) -> Html:
    return element("th", words, scope="col", role="columnheader")


def _html_row(names: Sequence[str], row: ComparedRow) -> Html:
    cells = [element("th", row.chord, scope="row", role="rowheader")]
    cells.append(_html_cell("Input", _write_input(row)))
    for name, cell in zip(names, row.cells, strict=True):
        words = [element("span", cell.words, class_="moved")] if cell.moved else [cell.words]
        notes = [element("small", cell.moved)] if cell.moved else []
        cells.append(_html_cell(name, *words, *notes))
    return element("tr", *cells, role="row")


def _html_cell(title: str, *children: Html | str) -> Html:
    return element("td", *children, role="cell", data_title=title)
