"""The crib card: what every control does in one title, in plate order and by function.

One page where the words allow it. It shows all devices of the profile, or the one that was named.
"""

from collections.abc import Mapping, Sequence

from profiles.drawing.frame import Frame
from profiles.drawing.layout import bind
from profiles.drawing.recorder import Drawing
from profiles.drawing.titleblock import TitleBlock
from profiles.model.device import Device
from profiles.model.finding import Spot
from profiles.model.library import Link
from profiles.sheets.crib_rows import CribRow, find_rows, group_rows
from profiles.sheets.html_page import Html, element, join, page
from profiles.sheets.paper_list import Cell, Column, Section, lay_out_list
from profiles.sheets.sheet import Order, PrintedSheet, Remark, remark_losses
from profiles.sheets.text_table import render_table

ON_PLATE = "On the plate"
BY_FUNCTION = "By function"
HEADINGS = (
    *("Device", "Control", "Contact", "Held", "Number"),
    *("Does", "Legend", "Group", "Contexts", "Input"),
)
"""Headings of the table for spreadsheets."""

PLATE_COLUMNS = (Column("Control", 0.33), Column("Does", 0.43), Column("Number", 0.24))
FUNCTION_COLUMNS = (Column("Does", 0.62), Column("Control", 0.38))

Groups = Mapping[str, Sequence[CribRow]]


def make_sheet(order: Order) -> PrintedSheet:
    """Make the crib card of one profile."""
    link = order.links[0]
    devices = order.devices or link.devices or (order.device,)
    rows = find_rows(link, devices)
    groups = group_rows(link, rows)
    title = link.application.name if link.application else link.profile.name
    names = ", ".join(device.name for device in devices)
    block = TitleBlock(f"{title}: crib card", names, date=order.date, scale="", unit="")
    frame = Frame(order.paper, block, has_ruler=False)
    layout = lay_out_list(_paper_sections(rows, groups, devices), frame)
    document, cut = bind(layout.sheets, title=block.title, subject=names)
    remarks = (*_find_remarks(link, rows, len(document.pages)), *remark_losses(cut))
    return PrintedSheet(
        name=f"{link.profile.id}-crib",
        title=block.title,
        work=Drawing(),
        document=document,
        remarks=remarks,
        facts={"rows": [row.plain() for row in rows], "groups": _plain_groups(groups)},
        table=(HEADINGS, *(_csv_row(row) for row in rows)),
        texts={
            "text": _write_text(block.title, rows, groups, devices),
            "html": _write_html(title, names, rows, groups, devices),
        },
    )


def _find_remarks(link: Link, rows: Sequence[CribRow], pages: int) -> list[Remark]:
    remarks = []
    for row in rows:
        if row.is_bound and not row.number:
            spot = Spot(link.profile.id, ("bindings",))
            remarks.append(Remark("note", f"`{row.chord}` has no input number", spot))
    if pages > 1:
        remarks.append(Remark("note", f"the card needs {pages} pages; try larger --paper"))
    return remarks


def _plain_groups(groups: Groups) -> dict[str, list[str]]:
    return {group: [row.action_id for row in rows] for group, rows in groups.items()}


def _csv_row(row: CribRow) -> tuple[str, ...]:
    number = "" if row.input is None else str(row.input)
    words = (row.device, row.control, row.contact, row.held, row.number, row.does, row.legend)
    return (*words, row.group, ", ".join(row.contexts), number)


def _paper_sections(
    rows: Sequence[CribRow], groups: Groups, devices: Sequence[Device]
) -> tuple[Section, Section]:
    plate: list[tuple[Cell, ...]] = []
    for row in _with_device_breaks(rows, devices):
        if isinstance(row, str):
            plate.append((Cell(row),))
            continue
        does = Cell(row.does, ", ".join(row.contexts))
        plate.append((Cell(row.chord, strong=row.is_bound), does, Cell(row.number)))
    functions: list[tuple[Cell, ...]] = []
    for group, members in groups.items():
        functions.append((Cell(group.replace("-", " ").capitalize()),))
        for row in members:
            does = Cell(row.does, ", ".join(row.contexts))
            functions.append((does, Cell(row.chord, strong=True)))
    return (
        Section(ON_PLATE, PLATE_COLUMNS, tuple(plate)),
        Section(BY_FUNCTION, FUNCTION_COLUMNS, tuple(functions)),
    )


def _with_device_breaks(rows: Sequence[CribRow], devices: Sequence[Device]) -> list[CribRow | str]:
    """The rows; where there are several devices, each device's name before its rows."""
    found: list[CribRow | str] = []
    for place, row in enumerate(rows):
        if len(devices) > 1 and (place == 0 or rows[place - 1].device != row.device):
            found.append(row.device)
        found.append(row)
    return found


def _write_text(
    title: str, rows: Sequence[CribRow], groups: Groups, devices: Sequence[Device]
) -> str:
    from profiles.text.inert import visible

    several = len(devices) > 1
    plate = [
        [*([row.device] if several else []), row.chord, row.does, row.number, _contexts(row)]
        for row in rows
    ]
    functions = [
        [group, row.does, row.chord, row.number, _contexts(row)]
        for group, members in groups.items()
        for row in members
    ]
    first = ["Device"] if several else []
    return "\n".join(
        [
            visible(title),
            "",
            ON_PLATE.upper(),
            render_table([*first, "Control", "Does", "Number", "Where"], plate),
            "",
            BY_FUNCTION.upper(),
            render_table(["Group", "Does", "Control", "Number", "Where"], functions),
            "",
        ]
    )


def _contexts(row: CribRow) -> str:
    return ", ".join(row.contexts)


def _write_html(
    title: str,
    names: str,
    rows: Sequence[CribRow],
    groups: Groups,
    devices: Sequence[Device],
) -> str:
    head = element("header", element("h1", title), element("p", names))
    plate = _html_section(
        ON_PLATE,
        "plate",
        ("Control", "Does", "Number"),
        [
            _html_heading(row) if isinstance(row, str) else _html_plate_row(row)
            for row in _with_device_breaks(rows, devices)
        ],
    )
    functions = _html_section(
        BY_FUNCTION,
        "functions",
        ("Does", "Control", "Number"),
        [
            line
            for group, members in groups.items()
            for line in (
                _html_heading(group.replace("-", " ").capitalize()),
                *(_html_function_row(row) for row in members),
            )
        ],
    )
    return page(f"{title}: crib card", join(head, element("div", plate, functions, class_="pair")))


def _html_section(title: str, name: str, headings: Sequence[str], rows: Sequence[Html]) -> Html:
    cells = join(*(element("th", one, scope="col") for one in headings))
    table = element(
        "table",
        element("thead", element("tr", cells)),
        element("tbody", *rows),
        aria_labelledby=name,
    )
    return element("section", element("h2", title, id=name), table, aria_labelledby=name)


def _html_heading(words: str) -> Html:
    return element("tr", element("th", words, scope="rowgroup", colspan="3"))


def _html_plate_row(row: CribRow) -> Html:
    manner = {} if row.is_bound else {"class_": "idle"}
    return element(
        "tr",
        element("th", row.chord, scope="row"),
        element("td", *_html_does(row)),
        element("td", row.number),
        **manner,
    )


def _html_function_row(row: CribRow) -> Html:
    return element(
        "tr",
        element("th", *_html_does(row), scope="row"),
        element("td", row.chord),
        element("td", row.number),
    )


def _html_does(row: CribRow) -> tuple[Html | str, ...]:
    where = _contexts(row)
    return (row.does, element("small", where)) if where else (row.does,)
