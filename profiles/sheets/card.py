"""The reference card: what every control does in one title, in plate order and by function.

One page where the words allow it. It shows all devices of the profile, or the one that was named.
"""

from collections.abc import Sequence

from profiles.drawing.frame import Frame
from profiles.drawing.layout import bind
from profiles.drawing.recorder import Drawing
from profiles.drawing.titleblock import TitleBlock
from profiles.model.device import Device
from profiles.model.library import Link
from profiles.sheets.card_page import write_page
from profiles.sheets.card_rows import (
    BY_FUNCTION,
    ON_PLATE,
    CardRow,
    Groups,
    break_by_device,
    find_rows,
    group_rows,
    name_group,
)
from profiles.sheets.paper_list import Cell, Column, Section, lay_out_list
from profiles.sheets.requests import CardRequest
from profiles.sheets.sheet import PrintedSheet, Remark, Subject, remark_losses
from profiles.sheets.text_table import render_table

HEADINGS = (
    *("Device", "Control", "Contact", "Held", "Number"),
    *("Does", "Legend", "Group", "Contexts", "Input"),
)
"""Headings of the table for spreadsheets."""

PLATE_COLUMNS = (Column("Control", 0.33), Column("Does", 0.43), Column("Number", 0.24))
FUNCTION_COLUMNS = (Column("Does", 0.62), Column("Control", 0.38))


def make_sheet(subject: Subject, request: CardRequest) -> PrintedSheet:
    """Make the reference card of one profile."""
    link = subject.links[0]
    devices = subject.devices or link.devices or (subject.device,)
    rows = find_rows(link, devices)
    groups = group_rows(link, rows)
    title = link.application.name if link.application else link.profile.name
    names = ", ".join(device.name for device in devices)
    block = TitleBlock(f"{title}: reference card", names, date=request.date, scale="", unit="")
    frame = Frame(request.sheet_paper, block, has_ruler=False)
    layout = lay_out_list(_paper_sections(rows, groups, devices), frame)
    document, cut = bind(layout.sheets, title=block.title, subject=names)
    remarks = (*_find_remarks(link, rows, len(document.pages)), *remark_losses(cut))
    return PrintedSheet(
        title=block.title,
        work=Drawing(),
        document=document,
        remarks=remarks,
        facts={"rows": [row.plain() for row in rows], "groups": _plain_groups(groups)},
        table=(HEADINGS, *(_csv_row(row) for row in rows)),
        texts={
            "text": _write_text(block.title, rows, groups, devices),
            "html": write_page(title, names, break_by_device(rows, devices), groups),
        },
    )


def _find_remarks(link: Link, rows: Sequence[CardRow], pages: int) -> list[Remark]:
    spots = {(one.acting.control, one.action_id): one.spot for one in reversed(link.bound)}
    remarks = [
        Remark("note", f"`{row.chord}` has no input number", spots[row.control_id, row.action_id])
        for row in rows
        if row.is_bound and not row.number
    ]
    if pages > 1:
        remarks.append(Remark("note", f"the card needs {pages} pages; try larger --paper"))
    return remarks


def _plain_groups(groups: Groups) -> dict[str, list[str]]:
    return {group: [row.action_id for row in rows] for group, rows in groups.items()}


def _csv_row(row: CardRow) -> tuple[str, ...]:
    number = "" if row.input is None else str(row.input)
    words = (row.device, row.control, row.contact, row.held, row.number, row.does, row.legend)
    return (*words, row.group, ", ".join(row.contexts), number)


def _paper_sections(
    rows: Sequence[CardRow], groups: Groups, devices: Sequence[Device]
) -> tuple[Section, Section]:
    plate: list[tuple[Cell, ...]] = []
    for row in break_by_device(rows, devices):
        if isinstance(row, str):
            plate.append((Cell(row),))
            continue
        does = Cell(row.does, ", ".join(row.contexts))
        plate.append((Cell(row.chord, strong=row.is_bound), does, Cell(row.number)))
    functions: list[tuple[Cell, ...]] = []
    for group, members in groups.items():
        functions.append((Cell(name_group(group)),))
        for row in members:
            does = Cell(row.does, ", ".join(row.contexts))
            functions.append((does, Cell(row.chord, strong=True)))
    return (
        Section(ON_PLATE, PLATE_COLUMNS, tuple(plate)),
        Section(BY_FUNCTION, FUNCTION_COLUMNS, tuple(functions)),
    )


def _write_text(
    title: str, rows: Sequence[CardRow], groups: Groups, devices: Sequence[Device]
) -> str:
    from profiles.text.inert import escape_controls

    several = len(devices) > 1
    plate = [
        [
            *([row.device] if several else []),
            row.chord,
            row.does,
            row.number,
            ", ".join(row.contexts),
        ]
        for row in rows
    ]
    functions = [
        [group, row.does, row.chord, row.number, ", ".join(row.contexts)]
        for group, members in groups.items()
        for row in members
    ]
    first = ["Device"] if several else []
    return "\n".join(
        [
            escape_controls(title),
            "",
            ON_PLATE.upper(),
            render_table([*first, "Control", "Does", "Number", "Where"], plate),
            "",
            BY_FUNCTION.upper(),
            render_table(["Group", "Does", "Control", "Number", "Where"], functions),
            "",
        ]
    )
