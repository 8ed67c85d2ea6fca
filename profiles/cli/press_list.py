"""`platebook press list`: the boxes that are plugged in, and which device each may be."""

import click

from profiles.cli.libraries import library_option, open_library
from profiles.cli.output import note, write_report
from profiles.live.events import match_boxes
from profiles.report.document import Cell, Column, Report, Table
from profiles.work.press_boxes import NO_ACCESS, open_reader

COLUMNS = (
    Column("Instance", key="instance", readers="machines"),
    Column("Box", key="name"),
    Column("USB identity", readers="people"),
    Column("Vendor", key="vendor", readers="machines"),
    Column("Product", key="product", readers="machines"),
    Column("Serial", key="serial"),
    Column("Path", key="path", readers="machines"),
    Column("Buttons", key="buttons"),
    Column("Axes", key="axes"),
    Column("Hats", key="hats"),
    Column("Device", key="devices"),
)


@click.command(name="list")
@library_option
@click.option("--json", "as_json", is_flag=True, help="Print the boxes as JSON.")
def command(library_option: str | None, as_json: bool) -> None:
    """List the boxes that are plugged in, and the devices of the library that each may be."""
    reader = open_reader()
    boxes = reader.devices()
    reader.close()
    devices = open_library(library_option).library.devices.values()
    rows = []
    for box in boxes:
        names = [
            device.id
            for device in devices
            if device.device.usb is not None and match_boxes([box], device.device.usb)
        ]
        rows.append(
            (
                box.instance,
                Cell(box.name or "without a name", data=box.name),
                f"{box.vendor}:{box.product}",
                box.vendor,
                box.product,
                Cell(box.serial or "none", data=box.serial),
                box.path,
                box.buttons,
                box.axes,
                box.hats,
                Cell(", ".join(names) or "none of the library", data=names),
            )
        )
    if rows or as_json:
        write_report(Report("", (Table(COLUMNS, tuple(rows), key="boxes"),)), as_json=as_json)
    else:
        note(f"{NO_ACCESS}.")
