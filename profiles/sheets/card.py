"""The reference card: what every control does in one application, in plate order and by function.

One page where the words allow it, in letters that can be read from where the plate is seen. It
shows all devices of the profile, or the one that was named.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from profiles.drawing.frame import Frame
from profiles.drawing.titleblock import TitleBlock
from profiles.model.device import Device
from profiles.plate.legibility import readable_height
from profiles.report.document import Cell, Column, Facts, Report, Table
from profiles.report.paper import Setting
from profiles.sheets.card_rows import CardRow, find_rows, group_rows, name_group
from profiles.sheets.report_sheet import print_report
from profiles.sheets.requests import CardRequest
from profiles.sheets.sheet import PrintedSheet, Remark, Subject
from profiles.text.sign_words import speak


def make_sheet(subject: Subject, request: CardRequest) -> PrintedSheet:
    """Make the reference card of one profile."""
    link = subject.links[0]
    devices = subject.devices or link.devices or (subject.device,)
    rows = find_rows(link, devices)
    groups = group_rows(link, rows)
    title = link.application.name if link.application else link.profile.name
    names = ", ".join(device.name for device in devices)
    actions = {group: [row.action_id for row in members] for group, members in groups.items()}
    report = Report(
        f"{title}: reference card",
        (
            _plate_table(rows, several=len(devices) > 1),
            _function_table(groups),
            Facts({"groups": actions}),
        ),
        names,
    )
    block = TitleBlock(report.title, names, date=request.date, scale="", unit="")
    spots = {
        (binding.acting.control, binding.action_id): binding.spot
        for binding in reversed(link.bound)
    }
    remarks = [
        Remark("note", f"`{row.chord}` has no input number", spots[row.control_id, row.action_id])
        for row in rows
        if row.is_bound and not row.number
    ]
    sheet = print_report(
        report,
        Frame(request.sheet_paper, block, has_ruler=False),
        remarks=remarks,
        lanes=0,
        to_fit=choose_letters(devices, large=request.large),
        has_pages=request.needs("pdf"),
    )
    pages = len(sheet.document.pages)
    if pages <= 1:
        return sheet
    crowded = Remark("note", f"the card needs {pages} pages; try larger --paper")
    return replace(sheet, remarks=(*sheet.remarks, crowded))


def choose_letters(devices: Sequence[Device], *, large: bool) -> tuple[Setting, ...]:
    """The settings tried for a card: capitals no lower than can be read from where the plates are
    seen, or from twice as far."""
    distance = max(device.plate.viewing_distance for device in devices)
    least = readable_height(distance * 2 if large else distance)
    return tuple(Setting(least, pad, least) for pad in (0.6, 0.45, 0.3))


def _plate_table(rows: Sequence[CardRow], *, several: bool) -> Table:
    """Every contact in plate order; the device only where there are several."""
    columns = (
        Column("Device", "device", is_band=True, readers="all" if several else "machines"),
        Column("Control", "control", readers="machines"),
        Column("Contact", "contact", readers="machines"),
        Column("Held", "held", readers="machines"),
        Column("Control", wraps=True, readers="people"),
        Column("Does", "does", wraps=True),
        Column("Number", "number", wraps=True),
        Column("Where", wraps=True, readers="people", behind=2),
        Column("Legend", "legend", readers="machines"),
        Column("Group", "group", readers="machines"),
        Column("Contexts", "contexts", readers="machines"),
        Column("Input", "input", readers="machines"),
        Column("Control id", "control_id", readers="machines"),
        Column("Action id", "action_id", readers="machines"),
    )
    cells = tuple(
        (
            *(row.device, row.control, row.contact, row.held),
            Cell(row.chord, strong=row.is_bound),
            *(row.does, row.number, row.contexts),
            Cell(speak(row.legend), data=row.legend),
            *(row.group, row.contexts, row.input, row.control_id, row.action_id),
        )
        for row in rows
    )
    return Table(columns, cells, "On the plate", key="rows")


def _function_table(groups: Mapping[str, Sequence[CardRow]]) -> Table:
    columns = (
        Column("Group", is_band=True),
        Column("Does", wraps=True),
        Column("Control", wraps=True),
        Column("Number", wraps=True),
        Column("Where", wraps=True, behind=3),
    )
    cells = tuple(
        (name_group(group), row.does, Cell(row.chord, strong=True), row.number, row.contexts)
        for group, members in groups.items()
        for row in members
    )
    return Table(columns, cells, "By function")
