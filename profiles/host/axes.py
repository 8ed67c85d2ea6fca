"""Axes and hat switches: their numbers beside those of buttons, and where they land.

An input is what a host may be told by one name: a button, one way of a hat, or an axis. Buttons
have the numbers 1 to 65535; `hat_input` and `axis_input` number the rest beyond them, so that every
room can treat them alike, and `name_input` says which one a number is.

Source: Linux drivers/hid/hid-input.c (mapping and the hat table) and
include/uapi/linux/input-event-codes.h (symbols); usages from the HID Usage Tables 1.12,
tables 6 (Generic Desktop, page 0x01) and 7 (Simulation Controls, page 0x02).
"""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from profiles.host.interfaces import INTERFACES, ButtonIndex
from profiles.model import HAT_WAYS, HatWay
from profiles.text.prose import count

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

HAT_USAGE = 0x39

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

HAT_POSITIONS: tuple[int, ...] = tuple(
    HAT_VECTORS.index(((ways >> 1 & 1) - (ways >> 3 & 1), (ways >> 2 & 1) - (ways & 1)))
    for ways in range(16)
)
"""Position in a report by the ways that are closed: up 1, right 2, down 4, left 8. Opposite ones
cancel, so that no reading leads anywhere but to one of the nine positions."""

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


FIRST_HAT_INPUT = 0x20000
FIRST_AXIS_INPUT = 0x30000
LAST_INPUT = FIRST_AXIS_INPUT + 3 * len(AXES) - 1


def hat_input(hat: int, way: HatWay) -> int:
    """The input that is one way of a hat, hats counted from 1."""
    return FIRST_HAT_INPUT + 8 * (hat - 1) + HAT_WAYS.index(way)


def axis_input(axis: str, end: int = 0) -> int:
    """The input that is an axis; with `end` -1 or 1, its being at its low or high end.

    Raises KeyError for a word that is not in `AXES`.
    """
    return FIRST_AXIS_INPUT + 3 * AXES.index(_BY_ID[axis]) + (end + 3) % 3


def split_hat_input(number: int) -> tuple[int, int] | None:
    """The hat (from 1) and the place of the way in `HAT_WAYS`; None for any other input."""
    if not FIRST_HAT_INPUT <= number < FIRST_AXIS_INPUT:
        return None
    hat, way = divmod(number - FIRST_HAT_INPUT, len(HAT_WAYS))
    return hat + 1, way


def split_axis_input(number: int) -> AxisUsage | None:
    """The axis of an input; None for any other input."""
    return AXES[(number - FIRST_AXIS_INPUT) // 3] if number >= FIRST_AXIS_INPUT else None


def whole_axis(number: int) -> int:
    """The input that is an axis for one that is an end of it; any other input as it is."""
    return number if number < FIRST_AXIS_INPUT else number - (number - FIRST_AXIS_INPUT) % 3


def name_axis(axis: str) -> str:
    """What people call an axis: `axis X`, `axis Slider`."""
    return f"axis {axis.capitalize()}"


def name_input(number: int) -> str:
    """What people call an input: `input 5`, `hat 1 up`, `axis X`, `the low end of axis X`."""
    if (axis := split_axis_input(number)) is not None:
        end = ("", "the high end of ", "the low end of ")[(number - FIRST_AXIS_INPUT) % 3]
        return f"{end}{name_axis(axis.id)}"
    if (hat := split_hat_input(number)) is not None:
        return f"hat {hat[0]} {HAT_WAYS[hat[1]]}"
    return f"input {number}"


def show_input(number: int) -> str:
    """An input without the word before a button's number: `5`, `hat 1 up`."""
    return name_input(number).removeprefix("input ")


class FieldView(NamedTuple):
    """One hat or axis of a report, and its place in each interface by that one's id."""

    name: str
    usage: int
    indices: dict[str, ButtonIndex]


def view_fields(hats: int, axes: Sequence[str]) -> list[FieldView]:
    """Every hat, then every axis of a report through all interfaces.

    Where an interface numbers by usage, the place is that among the axes of the report. Linux keeps
    one usage for each code: of several hats the first, of two axes on one code the first.
    """
    lost = {axis: kept for kept, axis in find_axis_collisions(axes)}
    codes = sorted(find_axis(axis).code for axis in axes if axis not in lost)
    rows = [
        (f"hat {n + 1}", HAT_USAGE, HAT_CODES[0], n, ("hat", "hats"), "hat 1" if n else "")
        for n in range(hats)
    ]
    for place, axis in enumerate(axes):
        kept = name_axis(lost[axis]) if axis in lost else ""
        found = find_axis(axis)
        rows.append((name_axis(axis), found.usage, found.code, place, ("axis", "axes"), kept))
    views = []
    for name, usage, code, place, nouns, kept in rows:
        indices = {}
        for interface in INTERFACES:
            limit: int | None = getattr(interface, nouns[1])
            if limit is not None and place >= limit:
                many = count(limit, *nouns)
                indices[interface.id] = ButtonIndex(None, "", f"carries {many}")
            elif interface.numbering == "usage":
                indices[interface.id] = ButtonIndex(place, str(place), "")
            elif kept:
                indices[interface.id] = ButtonIndex(None, "", f"lands on the codes of {kept}")
            elif interface.numbering == "code":
                indices[interface.id] = ButtonIndex(code, AXIS_NAMES[code], "")
            elif nouns[0] == "axis":
                rank = codes.index(code)
                indices[interface.id] = ButtonIndex(rank, str(rank), "")
            elif interface.numbering == "rank":
                words = f"axes {len(codes)} and {len(codes) + 1}"
                indices[interface.id] = ButtonIndex(len(codes), words, "")
            else:
                indices[interface.id] = ButtonIndex(0, "0", "")
        views.append(FieldView(name, usage, indices))
    return views
