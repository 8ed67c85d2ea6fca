"""Changes between two states of a library in words, as one report for every door."""

from profiles.model import Device, Library
from profiles.report.document import Cell, Column, Facts, Paragraph, Report, Table
from profiles.text.prose import count
from profiles.wiring.boards import board_of, firmware_of
from profiles.work.changes import Changes

NOTHING = "–"
"""Where there was, or is, nothing."""


def report_changes(library: Library, changes: Changes, since: str) -> Report:
    """Return what to do after these changes, in the order in which one does it."""
    if changes.is_empty:
        words = "Nothing to do: wires, firmware, bindings and sheets are as they were."
        return Report("Changes", (Paragraph(words), Facts({"since": since})), f"Since {since}")
    before, after = Column("was", "before", wraps=True), Column("is now", "after", wraps=True)
    name = {key: one.name for key, one in library.devices.items()}
    wires = Table(
        (Column("device", "device"), Column("wire", "wire", wraps=True), before, after),
        tuple(
            (name[wire.device], wire.what, _cell(wire.before), _cell(wire.after))
            for wire in changes.wires
        ),
        "Wires to move: unplug the box first",
        key="wires",
        lead=2,
    )
    numbers = Table(
        (
            *(Column("device", "device"), Column("control", "label", wraps=True)),
            *(Column("contact", "contact", wraps=True), before, after),
        ),
        tuple(
            (name[one.device], one.label, one.contact, _cell(one.before), _cell(one.after))
            for one in changes.numbers
        ),
        "Contacts with other input numbers",
        key="numbers",
        lead=3,
    )
    rebindings = Table(
        (
            Column("application", "application", wraps=True, is_band=True),
            Column("profile", "profile", readers="machines"),
            Column("do", "do"),
            Column("action", "action", wraps=True),
            *(before, after),
        ),
        tuple(
            (
                rebinding.application,
                rebinding.profile,
                "bind again"
                if rebinding.before and rebinding.after
                else "bind"
                if rebinding.after
                else "unbind",
                rebinding.action,
                Cell(", ".join(rebinding.before) or NOTHING, data=list(rebinding.before)),
                Cell(", ".join(rebinding.after) or NOTHING, data=list(rebinding.after)),
            )
            for rebinding in changes.rebindings
        ),
        "Bind again in the applications' own settings",
        key="bindings",
        lead=3,
    )
    firmware = Table(
        (Column("device", "device"), Column("do", readers="people", wraps=True)),
        tuple(
            (Cell(name[key], data=key), _advise(library, library.devices[key]))
            for key in changes.firmware
        ),
        "Load the firmware again",
        key="firmware",
    )
    sheets = Table(
        (Column("sheet", "name", wraps=True), Column("why", "how")),
        tuple((sheet.name, sheet.how) for sheet in changes.sheets),
        "Sheets to print again; one that is gone is no longer printed",
        key="sheets",
    )
    told = (
        (len(changes.wires), "wire end"),
        (len(changes.numbers), "number"),
        (len(changes.rebindings), "binding"),
        (len(changes.firmware), "board"),
        (len(changes.sheets), "sheet"),
    )
    summary = Paragraph(", ".join(count(number, word) for number, word in told if number) + ".")
    facts = Facts({"since": since})
    return Report(
        "Changes",
        (facts, wires, firmware, numbers, rebindings, sheets, summary),
        f"Since {since}",
    )


def _advise(library: Library, device: Device) -> str:
    board = board_of(library, device)
    if firmware_of(board) is None:
        return "change the program of your own, and load it"
    return f"write it with `platebook firmware {device.id}`, and load it"


def _cell(value: str | int | None) -> Cell:
    return Cell(str(value) if value not in (None, "") else NOTHING, data=value or None)
