"""`platebook press list`: the boxes that are plugged in, and which device each may be."""

import json
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

import click

from profiles.cli.libraries import library_option, open_library
from profiles.cli.output import note, write

if TYPE_CHECKING:
    from profiles.live.events import Box
    from profiles.model import Device


@click.command(name="list")
@library_option
@click.option("--json", "as_json", is_flag=True, help="Print the boxes as JSON.")
def command(library_option: str | None, as_json: bool) -> None:
    """List the boxes that are plugged in, and the devices of the library that each may be."""
    from profiles.cli.press_boxes import NOTHING, open_reader

    reader = open_reader()
    try:
        boxes = reader.devices()
    finally:
        reader.close()
    devices = open_library(library_option).library.devices.values()
    rows = [(box, [device.id for device in devices if _may_be(box, device)]) for box in boxes]
    if as_json:
        write(json.dumps({"format": 1, "boxes": [_plain(*row) for row in rows]}, indent=2))
    elif rows:
        write(_render(rows))
    else:
        note(NOTHING)


def _may_be(box: "Box", device: "Device") -> bool:
    from profiles.live.events import match_boxes

    return device.device.usb is not None and bool(match_boxes([box], device.device.usb))


def _plain(box: "Box", devices: list[str]) -> dict[str, Any]:
    return {**asdict(box), "devices": devices}


def _render(rows: "list[tuple[Box, list[str]]]") -> str:
    from profiles.sheets.text_table import render_table

    headings = ("Box", "USB identity", "Serial", "Buttons", "Axes", "Hats", "Device")
    return render_table(
        headings,
        [
            (
                box.name or "without a name",
                f"{box.vendor}:{box.product}",
                box.serial or "none",
                str(box.buttons),
                str(box.axes),
                str(box.hats),
                ", ".join(devices) or "none of the library",
            )
            for box, devices in rows
        ],
    )
