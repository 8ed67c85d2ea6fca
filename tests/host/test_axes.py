"""Axes and hats on Linux, held against drivers/hid/hid-input.c and the HID Usage Tables."""

import re
from pathlib import Path

import pytest

from profiles.host.axes import (
    AXES,
    AXIS_NAMES,
    HAT_CODES,
    HAT_VECTORS,
    find_axis,
    find_axis_collisions,
    point_hat,
)
from tests.needs import skip_unless

HEADER = Path("/usr/include/linux/input-event-codes.h")

USAGES = """
x 01 30 00  y 01 31 01  z 01 32 02  rx 01 33 03  ry 01 34 04  rz 01 35 05
slider 01 36 06  dial 01 37 07  wheel 01 38 08
rudder 02 BA 07  throttle 02 BB 06  accelerator 02 C4 09  brake 02 C5 0A  steering 02 C8 08
"""


def test_every_axis_has_its_page_usage_and_code() -> None:
    """HID Usage Tables 1.12, tables 6 and 7; codes from hid-input.c."""
    rows = re.findall(r"(\w+) (\w\w) (\w\w) (\w\w)", USAGES)

    assert rows == [
        (axis.id, f"{axis.page:02X}", f"{axis.usage:02X}", f"{axis.code:02X}") for axis in AXES
    ]


@skip_unless(HEADER.exists(), "the kernel's header is not on this machine")
def test_axis_symbols_equal_the_header() -> None:
    defined = re.findall(r"^#define\s+(ABS_\w+)\s+(0x[0-9a-f]+)", HEADER.read_text(), re.M)
    header = {int(value, 16): name for name, value in defined}

    assert {code: header[code] for code in AXIS_NAMES} == AXIS_NAMES
    assert [header[code] for code in HAT_CODES] == ["ABS_HAT0X", "ABS_HAT0Y"]


def test_slider_meets_throttle_and_dial_meets_rudder() -> None:
    """Two usages on one code: the kernel keeps the first and ignores the second."""
    assert find_axis_collisions(["x", "slider", "rudder", "throttle", "dial"]) == [
        ("slider", "throttle"),
        ("rudder", "dial"),
    ]


def test_the_six_plain_axes_never_collide() -> None:
    assert find_axis_collisions(["x", "y", "z", "rx", "ry", "rz"]) == []


def test_wheel_meets_steering() -> None:
    assert find_axis_collisions(["wheel", "steering"]) == [("wheel", "steering")]


def test_unknown_axis_is_refused() -> None:
    with pytest.raises(KeyError, match="yaw"):
        find_axis("yaw")


def test_hat_positions_follow_the_kernel_table() -> None:
    """hid-input.c: centre, then clockwise from north; y is negative upwards."""
    table = "0,0 0,-1 1,-1 1,0 1,1 0,1 -1,1 -1,0 -1,-1"

    assert table == " ".join(f"{x},{y}" for x, y in HAT_VECTORS)
    assert point_hat(3) == (1, 0)


@pytest.mark.parametrize("position", [-1, 9])
def test_hat_position_outside_the_table_is_refused(position: int) -> None:
    with pytest.raises(IndexError, match=rf"^a hat has positions 0 to 8, not {position}$"):
        point_hat(position)
