"""Host interfaces: how many buttons each carries and which number an input has there."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.host.interfaces import (
    INTERFACES,
    ButtonIndex,
    find_interface,
    find_last_input,
    number_inputs,
    view_inputs,
)


@pytest.mark.parametrize(
    ("interface", "buttons"),
    [
        ("windows-joyinfo", 4),  # learn.microsoft.com, JOYINFO: JOY_BUTTON1 to JOY_BUTTON4
        ("windows-joyinfoex", 32),  # JOYINFOEX: JOY_BUTTON32 is 0x80000000 of one DWORD
        ("windows-dijoystate", 32),  # DIJOYSTATE: rgbButtons[32]
        ("windows-dijoystate2", 128),  # DIJOYSTATE2: rgbButtons[128]
        ("browser-chromium", 32),  # Chromium: kButtonsLengthCap
        ("sdl", 256),  # wiki.libsdl.org: SDL_JoyButtonEvent has a Uint8 button
        ("linux-evdev", 80),  # hid-input.c and KEY_MAX
        ("linux-joydev", 80),  # joydev.c goes to KEY_MAX, the last included
        ("linux-sdl", 79),  # SDL_sysjoystick.c stops before KEY_MAX
        ("usb-hid", 65535),  # HID Usage Tables 1.12, table 14
        ("browser", None),  # W3C Gamepad: no fixed length
    ],
)
def test_last_input_equals_the_published_limit(interface: str, buttons: int | None) -> None:
    assert buttons == find_last_input(interface)


@pytest.mark.parametrize("interface", [interface.id for interface in INTERFACES])
def test_last_input_is_the_last_that_gets_an_index(interface: str) -> None:
    limit = find_last_input(interface)
    if limit is None:
        limit = 4096
        assert number_inputs([limit], interface)[limit].number is not None
        return

    indices = number_inputs([limit, limit + 1], interface, declared=range(1, limit + 2))

    assert indices[limit].number is not None
    assert indices[limit + 1].number is None
    assert indices[limit + 1].reason != ""


def test_first_button_is_one_by_name_and_zero_by_index() -> None:
    """HID button 1 is rgbButtons[0], JOY_BUTTON1 and index 0 for SDL, joydev and Gamepad."""
    first = {name: index.label for name, index in view_inputs([1]).rows[0].indices.items()}

    assert first == {
        "usb-hid": "1",
        "linux-evdev": "BTN_TRIGGER",
        "linux-joydev": "0",
        "linux-sdl": "0",
        "sdl": "0",
        "windows-joyinfo": "1",
        "windows-joyinfoex": "1",
        "windows-dijoystate": "0",
        "windows-dijoystate2": "0",
        "browser": "0",
        "browser-chromium": "0",
    }


@pytest.mark.parametrize(
    ("interface", "number", "index"),
    [
        ("windows-joyinfo", 5, ButtonIndex(None, "", "carries 4 buttons")),
        ("windows-joyinfoex", 33, ButtonIndex(None, "", "carries 32 buttons")),
        ("linux-evdev", 81, ButtonIndex(None, "", "code 0x300 is above KEY_MAX")),
        ("linux-joydev", 81, ButtonIndex(None, "", "code 0x300 is above KEY_MAX")),
        ("linux-sdl", 80, ButtonIndex(None, "", "code 0x2ff is KEY_MAX, where the search stops")),
        ("linux-evdev", 57, ButtonIndex(0x2E8, "0x2e8", "")),
        ("linux-joydev", 80, ButtonIndex(79, "79", "")),
    ],
)
def test_indices_say_where_or_why_not(interface: str, number: int, index: ButtonIndex) -> None:
    assert index == number_inputs([number], interface)[number]


def test_inputs_without_gaps_keep_their_index_where_the_descriptor_declares_all() -> None:
    """A descriptor declares usages 1 to n, also for numbers that no contact reports."""
    assert ButtonIndex(4, "4", "") == number_inputs([1, 5], "linux-joydev")[5]


def test_inputs_shift_where_the_descriptor_declares_only_some() -> None:
    assert ButtonIndex(1, "1", "") == number_inputs([1, 5], "linux-joydev", declared=[1, 5])[5]


def test_inputs_outside_the_descriptor_never_leave_the_box() -> None:
    index = ButtonIndex(None, "", "is not in the report descriptor")

    assert number_inputs([9], "usb-hid", declared=range(1, 9)) == {9: index}


def test_view_lists_what_is_dropped() -> None:
    view = view_inputs([1, 4, 5, 33, 80, 81], interfaces=["windows-joyinfo", "linux-sdl"])

    assert view.list_dropped("windows-joyinfo") == [5, 33, 80, 81]
    assert view.list_dropped("linux-sdl") == [80, 81]
    assert [row.input for row in view.rows] == [1, 4, 5, 33, 80, 81]


def test_chromium_hides_button_33() -> None:
    assert view_inputs([32, 33], interfaces=["browser-chromium"]).list_dropped(
        "browser-chromium"
    ) == [33]


def test_unknown_interface_is_refused() -> None:
    with pytest.raises(KeyError, match="serial-port"):
        find_interface("serial-port")


def test_every_interface_names_its_source() -> None:
    assert all(len(interface.source) > 10 for interface in INTERFACES)
    assert len({interface.id for interface in INTERFACES}) == len(INTERFACES)


@given(
    st.sets(st.integers(1, 200), min_size=1),
    st.sampled_from([interface.id for interface in INTERFACES]),
    st.sampled_from(["joystick", "game-pad", "multi-axis"]),
)
def test_no_two_inputs_share_an_index(inputs: set[int], interface: str, collection: str) -> None:
    indices = number_inputs(inputs, interface, collection)  # type: ignore[arg-type]
    numbers = [index.number for index in indices.values() if index.number is not None]

    assert len(numbers) == len(set(numbers))
    assert list(indices) == sorted(inputs)
