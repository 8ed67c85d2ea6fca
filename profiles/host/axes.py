"""Linux: where absolute axes and hat switches land, and which of them get in each other's way.

Source: Linux drivers/hid/hid-input.c (mapping and the hat table) and
include/uapi/linux/input-event-codes.h (symbols); usages from the HID Usage Tables 1.12,
tables 6 (Generic Desktop, page 0x01) and 7 (Simulation Controls, page 0x02).
"""

from collections.abc import Iterable
from typing import NamedTuple

DESKTOP_PAGE = 0x01
SIMULATION_PAGE = 0x02


class AxisUsage(NamedTuple):
    """An axis a device may declare: its word here, usage page, usage and Linux code."""

    id: str
    page: int
    usage: int
    code: int


AXES: tuple[AxisUsage, ...] = (
    AxisUsage("x", DESKTOP_PAGE, 0x30, 0x00),
    AxisUsage("y", DESKTOP_PAGE, 0x31, 0x01),
    AxisUsage("z", DESKTOP_PAGE, 0x32, 0x02),
    AxisUsage("rx", DESKTOP_PAGE, 0x33, 0x03),
    AxisUsage("ry", DESKTOP_PAGE, 0x34, 0x04),
    AxisUsage("rz", DESKTOP_PAGE, 0x35, 0x05),
    AxisUsage("slider", DESKTOP_PAGE, 0x36, 0x06),
    AxisUsage("dial", DESKTOP_PAGE, 0x37, 0x07),
    AxisUsage("wheel", DESKTOP_PAGE, 0x38, 0x08),
    AxisUsage("rudder", SIMULATION_PAGE, 0xBA, 0x07),
    AxisUsage("throttle", SIMULATION_PAGE, 0xBB, 0x06),
    AxisUsage("accelerator", SIMULATION_PAGE, 0xC4, 0x09),
    AxisUsage("brake", SIMULATION_PAGE, 0xC5, 0x0A),
    AxisUsage("steering", SIMULATION_PAGE, 0xC8, 0x08),
)
"""Every axis usage with a fixed place on Linux, in the order of the usage tables."""

AXIS_NAMES: dict[int, str] = {
    0x00: "ABS_X",
    0x01: "ABS_Y",
    0x02: "ABS_Z",
    0x03: "ABS_RX",
    0x04: "ABS_RY",
    0x05: "ABS_RZ",
    0x06: "ABS_THROTTLE",
    0x07: "ABS_RUDDER",
    0x08: "ABS_WHEEL",
    0x09: "ABS_GAS",
    0x0A: "ABS_BRAKE",
    0x10: "ABS_HAT0X",
    0x11: "ABS_HAT0Y",
}

HAT_CODES = (0x10, 0x11)
"""ABS_HAT0X and ABS_HAT0Y, the pair the first hat switch moves."""

HAT_VECTORS: tuple[tuple[int, int], ...] = (
    (0, 0),
    (0, -1),
    (1, -1),
    (1, 0),
    (1, 1),
    (0, 1),
    (-1, 1),
    (-1, 0),
    (-1, -1),
)
"""x and y for centre, north and then clockwise by eighths; y grows downwards."""

_BY_ID = {axis.id: axis for axis in AXES}


def find_axis(axis: str) -> AxisUsage:
    """The axis of that word. Raises KeyError for a word that is not in `AXES`."""
    return _BY_ID[axis]


def find_axis_collisions(axes: Iterable[str]) -> list[tuple[str, str]]:
    """Pairs of axes of one device that land on one Linux code, as (kept, ignored).

    The kernel keeps the usage declared first and ignores the second.
    """
    kept: dict[int, str] = {}
    collisions: list[tuple[str, str]] = []
    for axis in axes:
        code = find_axis(axis).code
        if code in kept:
            collisions.append((kept[code], axis))
        else:
            kept[code] = axis
    return collisions


def point_hat(position: int) -> tuple[int, int]:
    """x and y of hat position 0 (centre), 1 (north) to 8 (north-west), clockwise.

    Raises IndexError outside 0 to 8.
    """
    if not 0 <= position < len(HAT_VECTORS):
        raise IndexError(f"a hat has positions 0 to 8, not {position}")
    return HAT_VECTORS[position]
