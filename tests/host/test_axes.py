"""Axes and hats on Linux, held against drivers/hid/hid-input.c and the HID Usage Tables."""

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.host.axes import (
    AXES,
    AXIS_NAMES,
    HAT_CODES,
    HAT_POSITIONS,
    HAT_VECTORS,
    axis_input,
    find_axis,
    find_axis_collisions,
    hat_input,
    name_input,
    view_fields,
)
from profiles.model import HAT_WAYS
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


@given(st.sets(st.sampled_from(["up", "right", "down", "left"])))
def test_a_hat_points_where_its_closed_ways_add_up_to(closed: set[str]) -> None:
    """Opposite ways cancel; nothing closed is the null state (HUT 1.12, Hat switch)."""
    place = sum(1 << HAT_WAYS.index(way) for way in closed)
    x, y = HAT_VECTORS[HAT_POSITIONS[place]]

    assert x == ("right" in closed) - ("left" in closed)
    assert y == ("down" in closed) - ("up" in closed)


def test_inputs_beyond_buttons_have_names_of_their_own() -> None:
    numbers = [5, *(hat_input(2, way) for way in HAT_WAYS), axis_input("rx"), axis_input("x", -1)]
    numbers += [axis_input("x", 1), hat_input(1, "up")]

    assert [name_input(number) for number in numbers] == [
        "input 5",
        *(f"hat 2 {way}" for way in HAT_WAYS),
        "axis Rx",
        "the low end of axis X",
        "the high end of axis X",
        "hat 1 up",
    ]
    assert len(set(numbers)) == len(numbers)


def test_linux_keeps_one_hat_and_one_axis_of_a_code() -> None:
    """drivers/hid/hid-input.c ignores a usage whose code is taken; joydev.c counts a hat as two
    axes after the others; the limits of Windows are those of its structures."""
    views = {one.name: one.indices for one in view_fields(2, ["x", "z", "slider", "throttle"])}
    shown = {
        name: [
            indices[one].label or indices[one].reason
            for one in ("linux-evdev", "linux-joydev", "linux-sdl", "windows-joyinfo")
        ]
        for name, indices in views.items()
    }

    assert shown == {
        "hat 1": ["ABS_HAT0X", "axes 3 and 4", "0", "carries 0 hats"],
        "hat 2": [*["lands on the codes of hat 1"] * 3, "carries 0 hats"],
        "axis X": ["ABS_X", "0", "0", "0"],
        "axis Z": ["ABS_Z", "1", "1", "1"],
        "axis Slider": ["ABS_THROTTLE", "2", "2", "2"],
        "axis Throttle": [*["lands on the codes of axis Slider"] * 3, "carries 3 axes"],
    }
