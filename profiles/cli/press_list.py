"""`platebook press list`: the boxes that are plugged in, and which device each may be."""

from dataclasses import asdict

import click

from profiles.cli.libraries import library_option, open_library
from profiles.cli.output import note, write_report
from profiles.live.events import grade_box
from profiles.report.document import Column, Facts, Report, Table
from profiles.work.press_boxes import NO_ACCESS, open_reader

HEADINGS = ("Box", "USB identity", "Serial", "Buttons", "Axes", "Hats", "Device")


@click.command(name="list")
@library_option
@click.option("--json", "as_json", is_flag=True, help="Print the boxes as JSON.")
def command(library_option: str | None, as_json: bool) -> None:
    """List the boxes that are plugged in, and the devices of the library that each may be."""
    reader = open_reader()
    boxes = reader.devices()
    reader.close()
    devices = open_library(library_option).library.devices.values()
    names = [
        [each.id for each in devices if each.device.usb and grade_box(box, each.device.usb)]
        for box in boxes
    ]
    rows = tuple(
        (
            box.name or "without a name",
            f"{box.vendor}:{box.product}",
            box.serial or "none",
            box.buttons,
            box.axes,
            box.hats,
            ", ".join(found) or "none of the library",
        )
        for box, found in zip(boxes, names, strict=True)
    )
    plain = [{**asdict(box), "devices": found} for box, found in zip(boxes, names, strict=True)]
    if boxes or as_json:
        table = Table(tuple(map(Column, HEADINGS)), rows)
        write_report(Report("", (Facts({"boxes": plain}), table)), as_json=as_json)
    else:
        note(f"{NO_ACCESS}.")
