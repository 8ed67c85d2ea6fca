"""The HID report descriptor of a box, and where each thing sits in its report.

A report holds, in this order and each padded to a whole byte: the buttons (one bit each,
button 1 in bit 0 of byte 0), the hats (four bits each), the axes (eight bits each). A
report of zeros is the box at rest: no button down, hats in the null state, axes centred.

Sources: USB HID 1.11, 6.2.2 (items), 8.4 (report constraints); HID Usage Tables 1.12,
tables 6 and 14 (usages), A.12 (how a joystick's hat and buttons are written).
"""

from collections.abc import Iterable
from typing import NamedTuple

from profiles.host.evdev import Collection
from profiles.host.hid_items import encode_items
from profiles.model import Report

DESKTOP_PAGE = 0x01
BUTTON_PAGE = 0x09

COLLECTION_USAGES: dict[Collection, int] = {"joystick": 0x04, "game-pad": 0x05, "multi-axis": 0x08}
"""Generic Desktop usages of the top-level collection."""

AXIS_USAGES = (0x30, 0x31, 0x32, 0x33, 0x34, 0x35, 0x36, 0x37)
"""X, Y, Z, Rx, Ry, Rz, Slider, Dial: the order in which axes are taken."""

HAT_USAGE = 0x39
APPLICATION = 0x01

DATA = 0b0000_0010
"""Input flags: data, variable, absolute."""
PADDING = 0b0000_0011
"""Input flags: constant, variable, absolute."""
HAT = 0b0100_0010
"""Input flags: data, variable, absolute, with a null state."""

HAT_BITS = 4
AXIS_BITS = 8
AXIS_LIMIT = 127
DEGREES = 0x14
"""Unit code for English rotation, degrees (USB HID 1.11, 6.2.2.7)."""

LARGEST_PACKET = 64
"""Bytes of one interrupt transaction of a full-speed device (USB 2.0, 5.7.3)."""


class ReportShape(NamedTuple):
    """What a box reports: its top-level collection and how many of each field."""

    collection: Collection
    buttons: int
    hats: int = 0
    axes: int = 0


class ReportLayout(NamedTuple):
    """First byte and number of bytes of each part; `size` is without the report id byte."""

    hats_at: int
    axes_at: int
    size: int


Items = list[tuple[str, int | None]]


def shape_report(report: Report, inputs: Iterable[int]) -> ReportShape:
    """What a device reports: the buttons declared, or as many as its highest input.

    A declared number that is lower than the highest input is kept: the inputs above it
    never leave the box, and a check says so.
    """
    buttons = report.buttons
    if buttons is None:
        buttons = max(inputs, default=0)
    return ReportShape(report.collection, buttons, report.hats, report.axes)


def lay_out_report(shape: ReportShape) -> ReportLayout:
    """Where the parts of a report begin, in bytes after the report id."""
    hats_at = count_bytes(shape.buttons)
    axes_at = hats_at + count_bytes(shape.hats * HAT_BITS)
    return ReportLayout(hats_at, axes_at, axes_at + count_bytes(shape.axes * AXIS_BITS))


def count_bytes(bits: int) -> int:
    """Whole bytes that hold so many bits."""
    return -(-bits // 8)


def pack_buttons(pressed: Iterable[int], shape: ReportShape) -> bytes:
    """The report of a box with these buttons (from 1) down and all else at rest.

    Raises ValueError for a number outside the shape's buttons.
    """
    report = bytearray(lay_out_report(shape).size)
    for button in pressed:
        if not 1 <= button <= shape.buttons:
            raise ValueError(f"the report has buttons 1 to {shape.buttons}, not {button}")
        report[(button - 1) // 8] |= 1 << ((button - 1) % 8)
    return bytes(report)


def write_descriptor(shape: ReportShape, report_id: int | None = None) -> bytes:
    """The report descriptor, every item in its shortest form.

    `report_id` (1 to 255) stands before the first field; the host then expects that byte
    before every report (USB HID 1.11, 8.1). Raises ValueError for another number, since 0
    is reserved, or for more axes than `AXIS_USAGES` has.
    """
    if report_id is not None and not 1 <= report_id <= 255:
        raise ValueError(f"a report id is 1 to 255, not {report_id}")
    if shape.axes > len(AXIS_USAGES):
        raise ValueError(f"a report has at most {len(AXIS_USAGES)} axes, not {shape.axes}")
    items: Items = [
        ("Usage Page", DESKTOP_PAGE),
        ("Usage", COLLECTION_USAGES[shape.collection]),
        ("Collection", APPLICATION),
    ]
    if report_id is not None:
        items.append(("Report ID", report_id))
    if shape.buttons:
        items += [
            ("Usage Page", BUTTON_PAGE),
            ("Usage Minimum", 1),
            ("Usage Maximum", shape.buttons),
            ("Logical Minimum", 0),
            ("Logical Maximum", 1),
            ("Report Size", 1),
            ("Report Count", shape.buttons),
            ("Input", DATA),
        ]
    if shape.buttons % 8:
        items += [("Report Count", 8 - shape.buttons % 8), ("Input", PADDING)]
    if shape.hats or shape.axes:
        items.append(("Usage Page", DESKTOP_PAGE))
    if shape.hats:  # positions 1 to 8 are 0 to 315 degrees, 0 is the null state
        items += [("Usage", HAT_USAGE)] * shape.hats
        items += [
            ("Logical Minimum", 1),
            ("Logical Maximum", 8),
            ("Physical Minimum", 0),
            ("Physical Maximum", 315),
            ("Unit", DEGREES),
            ("Report Size", HAT_BITS),
            ("Report Count", shape.hats),
            ("Input", HAT),
            ("Physical Maximum", 0),
            ("Unit", 0),
        ]
    if shape.hats % 2:
        items += [("Report Count", 1), ("Input", PADDING)]
    if shape.axes:
        items += [("Usage", usage) for usage in AXIS_USAGES[: shape.axes]]
        items += [
            ("Logical Minimum", -AXIS_LIMIT),
            ("Logical Maximum", AXIS_LIMIT),
            ("Report Size", AXIS_BITS),
            ("Report Count", shape.axes),
            ("Input", DATA),
        ]
    items.append(("End Collection", None))
    return encode_items(items)
