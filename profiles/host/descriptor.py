"""The HID report descriptor of a box, and where each thing sits in its report.

A report holds, in this order and each padded to a whole byte: the buttons (one bit each,
button 1 in bit 0 of byte 0), the hats (four bits each), the axes (two bytes each). A
report of zeros is the box at rest: no button down, hats in the null state, axes centred.

Sources: USB HID 1.11, 6.2.2 (items), 8.4 (report constraints); HID Usage Tables 1.12,
tables 6, 7 and 14 (usages), A.12 (how a joystick's hat and buttons are written).
"""

from collections.abc import Iterable
from itertools import groupby
from typing import NamedTuple

from profiles.host.axes import (
    AXES,
    DESKTOP_PAGE,
    HAT_USAGE,
    find_axis,
    split_axis_input,
    split_hat_input,
)
from profiles.host.evdev import Collection
from profiles.host.hid_items import encode_items
from profiles.model import Report

BUTTON_PAGE = 0x09

COLLECTION_USAGES: dict[Collection, int] = {"joystick": 0x04, "game-pad": 0x05, "multi-axis": 0x08}
"""Generic Desktop usages of the top-level collection."""

APPLICATION = 0x01

DATA = 0b0000_0010
"""Input flags: data, variable, absolute."""
PADDING = 0b0000_0011
"""Input flags: constant, variable, absolute."""
HAT = 0b0100_0010
"""Input flags: data, variable, absolute, with a null state."""

HAT_BITS = 4
AXIS_BITS = 16
AXIS_LIMIT = 32767
"""An axis runs from -32767 to 32767, finer than any converter of the boards known here."""

DEGREES = 0x14
"""Unit code for English rotation, degrees (USB HID 1.11, 6.2.2.7)."""

LARGEST_PACKET = 64
"""Bytes of one interrupt transaction of a full-speed device (USB 2.0, 5.7.3)."""


class ReportShape(NamedTuple):
    """What a box reports: its top-level collection, how many buttons and hats, and which axes."""

    collection: Collection
    buttons: int
    hats: int = 0
    axes: tuple[str, ...] = ()


class ReportLayout(NamedTuple):
    """First byte and number of bytes of each part; `size` is without the report id byte."""

    hats_at: int
    axes_at: int
    size: int


Items = list[tuple[str, int | None]]


def shape_report(report: Report, inputs: Iterable[int]) -> ReportShape:
    """What a device reports: the buttons declared, or as many as its highest input.

    A declared number that is lower than the highest input is kept: the inputs above it
    never leave the box, and a check says so. Hats and axes are those of the inputs and those that
    the report declares, in the order of `AXES`.
    """
    hats, axes, buttons = [report.hats], {axis.id for axis in AXES[: report.axes]}, [0]
    for number in inputs:
        if (hat := split_hat_input(number)) is not None:
            hats.append(hat[0])
        elif (axis := split_axis_input(number)) is not None:
            axes.add(axis.id)
        else:
            buttons.append(number)
    named = tuple(axis.id for axis in AXES if axis.id in axes)
    highest = max(buttons) if report.buttons is None else report.buttons
    return ReportShape(report.collection, highest, max(hats), named)


def lay_out_report(shape: ReportShape) -> ReportLayout:
    """Where the parts of a report begin, in bytes after the report id."""
    hats_at = count_bytes(shape.buttons)
    axes_at = hats_at + count_bytes(shape.hats * HAT_BITS)
    return ReportLayout(hats_at, axes_at, axes_at + count_bytes(len(shape.axes) * AXIS_BITS))


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
    is reserved, and KeyError for an axis that is not in `AXES`.
    """
    if report_id is not None and not 1 <= report_id <= 255:
        raise ValueError(f"a report id is 1 to 255, not {report_id}")
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
    if shape.hats:  # positions 1 to 8 are 0 to 315 degrees, 0 is the null state
        items.append(("Usage Page", DESKTOP_PAGE))
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
    # A page has a field of its own: readers differ in when a page takes hold of a usage.
    for page, axes in groupby(map(find_axis, shape.axes), lambda axis: axis.page):
        usages = [("Usage", axis.usage) for axis in axes]
        items += [
            ("Usage Page", page),
            *usages,
            ("Logical Minimum", -AXIS_LIMIT),
            ("Logical Maximum", AXIS_LIMIT),
            ("Report Size", AXIS_BITS),
            ("Report Count", len(usages)),
            ("Input", DATA),
        ]
    items.append(("End Collection", None))
    return encode_items(items)
