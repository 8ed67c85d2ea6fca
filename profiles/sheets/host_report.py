"""Every input of a device as the host and the applications see it, as one report."""

from collections.abc import Iterable, Iterator
from itertools import groupby

from profiles.facts.device import DeviceFacts
from profiles.facts.pace import pace_of
from profiles.host.axes import view_fields
from profiles.host.descriptor import ReportShape, shape_report
from profiles.host.device_view import show_inputs, view_device
from profiles.host.interfaces import find_interface, find_last_input
from profiles.model import Application
from profiles.report.document import (
    Block,
    Cell,
    Column,
    Facts,
    Paragraph,
    Report,
    Table,
    Value,
)
from profiles.sheets.waits import list_waits, turning_blocks

SHORT_NAMES = {
    "usb-hid": "HID",
    "linux-evdev": "Linux event code",
    "linux-joydev": "Linux js",
    "linux-sdl": "SDL, Linux",
    "sdl": "SDL",
    "windows-joyinfoex": "JOYINFOEX",
    "windows-dijoystate2": "DIJOYSTATE2",
    "browser": "browser",
}
"""Interfaces whose numbers people see, and the headings; the others show only what they drop."""


def report_host(facts: DeviceFacts, applications: Iterable[Application]) -> Report:
    """Report a device's inputs as everyone sees them, when they arrive, then the interfaces and
    what they drop."""
    device, contacts = facts.device, dict[int, list[str]]()
    for contact, number in facts.inputs.items():
        contacts.setdefault(number, []).append(str(contact))
    view = view_device(device, contacts)
    shown = [
        (application, show_inputs(application, device, contacts)) for application in applications
    ]
    rows = []
    for row in view.rows:
        who = contacts[row.input]
        cells: list[Value] = [row.input, Cell(" and ".join(who), data=who)]
        for name in view.interfaces:
            index = row.indices[name]
            words = index.label if index.number is not None else "-"
            if name == "linux-evdev" and index.number is not None:
                code = f"{index.number:#x}"
                words = code if words == code else f"{code} {words}"
            cells.append(Cell(words, data=index))
        for _, written in shown:
            one = written[row.input]
            cells.append(Cell(one.text or f"- ({one.reason})", data=one))
        rows.append(tuple(cells))
    interfaces = []
    for name in view.interfaces:
        found, dropped = find_interface(name), view.list_dropped(name)
        last = find_last_input(name, view.collection)
        carries = Cell("no limit known", data=None) if found.buttons is None else found.buttons
        arrives = Cell("-", data=None) if last is None else last
        missing = Cell(write_spans(dropped) or "nothing", data=dropped)
        interfaces.append((name, found.title, found.first, carries, arrives, missing, found.source))
    columns = [
        Column(
            SHORT_NAMES.get(name, name),
            f"indices.{name}",
            readers="all" if name in SHORT_NAMES else "machines",
        )
        for name in view.interfaces
    ]
    shape = shape_report(device.device.report, facts.reported.values())
    fields: list[tuple[Value, ...]] = [
        (
            one.name,
            one.usage,
            *(
                Cell(index.label if index.number is not None else f"- ({index.reason})", data=index)
                for index in one.indices.values()
            ),
        )
        for one in view_fields(shape.hats, shape.axes)
    ]
    return Report(
        f"{device.name} ({device.id}), reports as a {view.collection}",
        (
            Facts({"device": device.id, "collection": view.collection}),
            Table(
                (
                    Column("input", "input"),
                    Column("contact", "contacts", wraps=True, least=40),
                    *columns,
                    *(Column(one.name, f"applications.{one.id}") for one, _ in shown),
                ),
                tuple(rows),
                key="inputs",
                lead=2,
            ),
            *(
                [
                    Table(
                        (
                            Column("field", "field"),
                            Column("usage", "usage", readers="machines"),
                            *columns,
                        ),
                        tuple(fields),
                        "Hats and axes",
                        key="fields",
                    )
                ]
                if fields
                else []
            ),
            Table(
                (
                    Column("id", "id", readers="machines"),
                    Column("interface", "title", wraps=True),
                    Column("first", "first"),
                    Column("carries", "buttons"),
                    Column("last input to arrive", "last"),
                    Column("dropped", "dropped", wraps=True),
                    Column("source", "source", wraps=True, least=40),
                ),
                tuple(interfaces),
                key="interfaces",
            ),
            Facts({"slowest_press": pace_of(facts).slowest_press}),
            Paragraph("\n".join(list_waits(facts))),
            *turning_blocks(facts),
            *_say_axes(shape),
        ),
    )


def _say_axes(shape: ReportShape) -> Iterator[Block]:
    """Which Linux hosts take no box without the axes X and Y."""
    has_axes = {"x", "y"} <= set(shape.axes)
    yield Facts({"has_x_and_y": has_axes})
    if not has_axes:
        yield Paragraph(
            "The box has no axes X and Y. Linux takes it as a joystick by its first button "
            "(drivers/input/joydev.c, joydev_ids), but some hosts take only devices with axes: "
            "kernels whose joydev_ids lists axes alone, and SDL where udev is missing, as in a "
            "container (SDL_EVDEV_GuessDeviceClass). If a host shows no box, give the report two "
            "axes: `axes = 2` in [device.report]; they stay centred."
        )


def write_spans(numbers: Iterable[int]) -> str:
    """Numbers as spans, such as `1 to 3, 7`."""
    parts = []
    for _, pairs in groupby(enumerate(numbers), key=lambda pair: pair[1] - pair[0]):
        run = [number for _, number in pairs]
        parts.append(str(run[0]) if len(run) == 1 else f"{run[0]} to {run[-1]}")
    return ", ".join(parts)
