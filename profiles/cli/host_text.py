"""What `platebook wiring host` tells: every input as the host and the applications see it."""

from collections.abc import Iterable, Mapping
from itertools import groupby
from typing import Any, NamedTuple

from profiles.host.device_view import Shown, show_inputs, view_device
from profiles.host.interfaces import ButtonIndex, HostView, find_interface, find_last_input
from profiles.model import Application, Device
from profiles.sheets.text_table import render_table
from profiles.text.inert import escape_controls
from profiles.wiring.circuit import numbering_of

COLUMNS = {
    "usb-hid": "HID",
    "linux-evdev": "Linux event code",
    "linux-joydev": "Linux js",
    "linux-sdl": "SDL, Linux",
    "sdl": "SDL",
    "windows-joyinfoex": "JOYINFOEX",
    "windows-dijoystate2": "DIJOYSTATE2",
    "browser": "browser",
}
"""Interfaces with a column of their own in the text, and its heading; the others show ranges."""


class HostReport(NamedTuple):
    """A device's inputs, the contacts behind them, and how everyone sees them."""

    device: Device
    contacts: Mapping[int, tuple[str, ...]]
    view: HostView
    shown: tuple[tuple[Application, Mapping[int, Shown]], ...]


def make_host_report(device: Device, applications: Iterable[Application]) -> HostReport:
    """Gather what the host room says of a device."""
    contacts: dict[int, list[str]] = {}
    for terminal, number in numbering_of(device).numbers.items():
        contacts.setdefault(number, []).append(str(terminal))
    ordered = {number: tuple(contacts[number]) for number in sorted(contacts)}
    shown = tuple((one, show_inputs(one, device, ordered)) for one in applications)
    return HostReport(device, ordered, view_device(device, ordered), shown)


def render_host(report: HostReport) -> str:
    """The report as two tables: inputs, and interfaces with what they drop."""
    headings = ["input", "contact", *COLUMNS.values()]
    headings += [application.name for application, _ in report.shown]
    rows = [_input_row(report, number) for number in report.contacts]
    interfaces = [_interface_row(report, name) for name in report.view.interfaces]
    collection = f"reports as a {report.view.collection}"
    return "\n\n".join(
        [
            f"{escape_controls(report.device.name)} ({report.device.id}), {collection}",
            render_table(headings, rows),
            render_table(
                ("interface", "first", "carries", "last input to arrive", "dropped", "source"),
                interfaces,
            ),
        ]
    )


def _input_row(report: HostReport, number: int) -> list[str]:
    row = next(one for one in report.view.rows if one.input == number)
    cells = [str(number), " and ".join(report.contacts[number])]
    cells += [_seat_words(name, row.seats[name]) for name in COLUMNS]
    for _, shown in report.shown:
        one = shown[number]
        cells.append(one.text or f"- ({one.reason})")
    return cells


def _seat_words(interface: str, seat: ButtonIndex) -> str:
    if seat.number is None:
        return "-"
    code = f"{seat.number:#x}"
    return (
        f"{code} {seat.label}" if interface == "linux-evdev" and seat.label != code else seat.label
    )


def _interface_row(report: HostReport, name: str) -> tuple[str, ...]:
    found = find_interface(name)
    last = find_last_input(name, report.view.collection)
    return (
        found.title,
        str(found.first),
        "no limit known" if found.buttons is None else str(found.buttons),
        "-" if last is None else str(last),
        spans(report.view.list_dropped(name)) or "nothing",
        found.source,
    )


def spans(numbers: Iterable[int]) -> str:
    """Numbers as spans, such as `1 to 3, 7`."""
    runs = groupby(enumerate(numbers), key=lambda pair: pair[1] - pair[0])
    parts = []
    for _, pairs in runs:
        run = [number for _, number in pairs]
        parts.append(str(run[0]) if len(run) == 1 else f"{run[0]} to {run[-1]}")
    return ", ".join(parts)


def describe_host(report: HostReport) -> dict[str, Any]:
    """The report as plain types."""
    return {
        "format": 1,
        "device": report.device.id,
        "collection": report.view.collection,
        "inputs": [
            {
                "input": row.input,
                "contacts": list(report.contacts[row.input]),
                "seats": {name: seat._asdict() for name, seat in row.seats.items()},
                "applications": {
                    application.id: shown[row.input]._asdict()
                    for application, shown in report.shown
                },
            }
            for row in report.view.rows
        ],
        "interfaces": [
            {**find_interface(name)._asdict(), "dropped": report.view.list_dropped(name)}
            for name in report.view.interfaces
        ],
    }
