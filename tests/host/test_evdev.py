"""HID buttons on Linux, held against the kernel's own sources and headers.

Rows are typed from Linux drivers/hid/hid-input.c (how a usage becomes a code) and
include/uapi/linux/input-event-codes.h (code and symbol), read side by side.
"""

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.host.evdev import (
    KEY_MAX,
    Collection,
    EvdevButton,
    Kernel,
    find_button,
    find_code,
    find_last_usage,
    joydev_index,
    map_present,
    map_usage,
    rank_joydev,
    rank_sdl,
    sdl_index,
)
from profiles.host.evdev_names import ALIASES, NAMES
from tests.needs import skip_unless

HEADER = Path("/usr/include/linux/input-event-codes.h")

FIRST_BLOCK = """
1  0x120 BTN_TRIGGER 0x130 BTN_SOUTH
2  0x121 BTN_THUMB   0x131 BTN_EAST
3  0x122 BTN_THUMB2  0x132 BTN_C
4  0x123 BTN_TOP     0x133 BTN_NORTH
5  0x124 BTN_TOP2    0x134 BTN_WEST
6  0x125 BTN_PINKIE  0x135 BTN_Z
7  0x126 BTN_BASE    0x136 BTN_TL
8  0x127 BTN_BASE2   0x137 BTN_TR
9  0x128 BTN_BASE3   0x138 BTN_TL2
10 0x129 BTN_BASE4   0x139 BTN_TR2
11 0x12a BTN_BASE5   0x13a BTN_SELECT
12 0x12b BTN_BASE6   0x13b BTN_START
13 0x12c 0x12c       0x13c BTN_MODE
14 0x12d 0x12d       0x13d BTN_THUMBL
15 0x12e 0x12e       0x13e BTN_THUMBR
16 0x12f BTN_DEAD    0x13f 0x13f
"""

SHARED_BLOCK = """
17 0x2c0 BTN_TRIGGER_HAPPY1   18 0x2c1 BTN_TRIGGER_HAPPY2   19 0x2c2 BTN_TRIGGER_HAPPY3
20 0x2c3 BTN_TRIGGER_HAPPY4   24 0x2c7 BTN_TRIGGER_HAPPY8   25 0x2c8 BTN_TRIGGER_HAPPY9
32 0x2cf BTN_TRIGGER_HAPPY16  33 0x2d0 BTN_TRIGGER_HAPPY17  40 0x2d7 BTN_TRIGGER_HAPPY24
48 0x2df BTN_TRIGGER_HAPPY32  49 0x2e0 BTN_TRIGGER_HAPPY33  55 0x2e6 BTN_TRIGGER_HAPPY39
56 0x2e7 BTN_TRIGGER_HAPPY40  57 0x2e8 0x2e8  58 0x2e9 0x2e9  64 0x2ef 0x2ef
65 0x2f0 0x2f0  72 0x2f7 0x2f7  79 0x2fe 0x2fe  80 0x2ff 0x2ff
"""


def list_rows(table: str, width: int) -> list[list[str]]:
    words = table.split()
    return [words[at : at + width] for at in range(0, len(words), width)]


def show_button(usage: int, collection: Collection) -> tuple[str, str]:
    button = find_button(usage, collection)
    assert button is not None
    return f"{button.code:#x}", button.label


@pytest.mark.parametrize("row", list_rows(FIRST_BLOCK, 5), ids=lambda row: row[0])
def test_first_sixteen_buttons_have_a_block_of_their_own_in_each_collection(row: list[str]) -> None:
    usage, joystick_code, joystick_name, pad_code, pad_name = row

    assert (joystick_code, joystick_name) == show_button(int(usage), "joystick")
    assert (pad_code, pad_name) == show_button(int(usage), "game-pad")


@pytest.mark.parametrize("collection", ["joystick", "game-pad"])
@pytest.mark.parametrize("row", list_rows(SHARED_BLOCK, 3), ids=lambda row: row[0])
def test_buttons_from_17_share_one_block(row: list[str], collection: Collection) -> None:
    usage, code, name = row

    assert (code, name) == show_button(int(usage), collection)


@pytest.mark.parametrize("collection", ["joystick", "game-pad"])
def test_button_81_and_above_are_ignored(collection: Collection) -> None:
    """KEY_MAX is 0x2ff; the kernel list's patch of 4 January 2026 names 80 as the limit."""
    assert map_usage(81, collection) == 0x300
    assert [find_code(usage, collection) for usage in (81, 82, 128)] == [None, None, None]
    assert find_last_usage(collection) == 80


def test_game_pad_north_is_x_and_west_is_y() -> None:
    """The header's second symbols: BTN_X is BTN_NORTH and BTN_Y is BTN_WEST."""
    assert EvdevButton(0x133, "BTN_NORTH", "BTN_X") == find_button(4, "game-pad")
    assert EvdevButton(0x134, "BTN_WEST", "BTN_Y") == find_button(5, "game-pad")


@pytest.mark.parametrize(
    ("usage", "collection", "code"),
    [
        (16, "joystick", 0x12F),
        (17, "joystick", 0x2D0),
        (40, "joystick", 0x2E7),
        (64, "joystick", 0x2FF),
        (65, "joystick", None),
        (16, "game-pad", 0x13F),
        (17, "game-pad", 0x140),
        (33, "game-pad", 0x150),
        (49, "game-pad", 0x160),
        (83, "game-pad", 0x182),
    ],
)
def test_older_kernels_leave_a_gap_or_run_on(
    usage: int, collection: Collection, code: int | None
) -> None:
    """hid-input.c at commit 020abf03cd65: whole number added, no split for the game pad."""
    assert code == find_code(usage, collection, "offset")


@pytest.mark.parametrize(
    ("usage", "code", "name"),
    [
        (1, 0x100, "BTN_0"),
        (10, 0x109, "BTN_9"),
        (11, 0x10A, None),
        (17, 0x110, "BTN_LEFT"),
        (24, 0x117, "BTN_TASK"),
        (33, 0x120, "BTN_TRIGGER"),
        (49, 0x130, "BTN_SOUTH"),
        (65, 0x140, "BTN_TOOL_PEN"),
    ],
)
def test_multi_axis_buttons_run_into_the_mouse(usage: int, code: int, name: str | None) -> None:
    """Any other application collection without a physical one counts on from BTN_MISC."""
    assert EvdevButton(code, name, "BTN_A" if code == 0x130 else None) == find_button(
        usage, "multi-axis"
    )


@pytest.mark.parametrize("usage", [0, -1])
def test_usage_below_one_is_refused(usage: int) -> None:
    """HID Usage Tables 1.12, table 14: usage 0 means that no button is pressed."""
    with pytest.raises(ValueError, match=rf"^a HID button usage counts from 1, not {usage}$"):
        map_usage(usage)


@given(
    st.sampled_from(["joystick", "game-pad", "multi-axis"]), st.sampled_from(["split", "offset"])
)
def test_last_usage_is_the_last_that_has_a_code(collection: Collection, kernel: Kernel) -> None:
    last = find_last_usage(collection, kernel)

    assert find_code(last, collection, kernel) == KEY_MAX
    assert find_code(last + 1, collection, kernel) is None


def test_joystick_device_takes_the_joystick_block_first() -> None:
    """joydev.c: first 0x120 to 0x2ff with both ends, then 0x100 to 0x11f."""
    codes = [0x2FF, 0x11F, 0x100, 0x120, 0x2C0, 0x300]

    assert rank_joydev(codes) == {0x120: 0, 0x2C0: 1, 0x2FF: 2, 0x100: 3, 0x11F: 4}


def test_sdl_never_sees_the_last_code() -> None:
    """SDL_sysjoystick.c on Linux loops while the code is below KEY_MAX."""
    assert rank_sdl([0x2FF, 0x2FE, 0x100, 0x120]) == {0x120: 0, 0x2FE: 1, 0x100: 2}


@pytest.mark.parametrize("collection", ["joystick", "game-pad"])
def test_button_80_is_a_joystick_button_but_not_an_sdl_button(collection: Collection) -> None:
    usages = range(1, 90)

    assert {usage: usage - 1 for usage in range(1, 81)} == joydev_index(usages, collection)
    assert {usage: usage - 1 for usage in range(1, 80)} == sdl_index(usages, collection)


def test_a_missing_button_shifts_every_later_index() -> None:
    assert joydev_index([1, 2, 4, 17]) == {1: 0, 2: 1, 4: 2, 17: 3}
    assert sdl_index([1, 2, 4, 17]) == {1: 0, 2: 1, 4: 2, 17: 3}


def test_multi_axis_order_puts_button_33_first() -> None:
    """Buttons 1 to 32 have codes below BTN_JOYSTICK and so come after the rest."""
    index = joydev_index(range(1, 41), "multi-axis")

    assert [index[33], index[40], index[1], index[32]] == [0, 7, 8, 39]


@given(st.sets(st.integers(1, 128)), st.sampled_from(["joystick", "game-pad", "multi-axis"]))
def test_indices_are_the_whole_numbers_from_zero(usages: set[int], collection: Collection) -> None:
    index = joydev_index(usages, collection)

    assert sorted(index.values()) == list(range(len(index)))
    assert set(index) == set(map_present(usages, collection))


@skip_unless(HEADER.exists(), "the kernel's header is not on this machine")
def test_every_symbol_equals_the_header() -> None:
    """Both ways: each symbol here is in the header, and each BTN_ code there is here."""
    defined = re.findall(r"^#define\s+(BTN_\w+)\s+(0x[0-9a-f]+|BTN_\w+)", HEADER.read_text(), re.M)
    numbers = {name: int(value, 16) for name, value in defined if value.startswith("0x")}
    blocks = {"BTN_MISC", "BTN_MOUSE", "BTN_JOYSTICK", "BTN_GAMEPAD", "BTN_DIGI", "BTN_WHEEL"}
    blocks.add("BTN_TRIGGER_HAPPY")
    seconds = {numbers[value]: name for name, value in defined if value in numbers}

    assert {code: name for name, code in numbers.items() if name not in blocks} == NAMES
    assert seconds == ALIASES
