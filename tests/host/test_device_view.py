"""A device's inputs as the host and applications see them."""

from typing import Any

import pytest

from profiles.host.device_view import (
    Shown,
    declare_usages,
    describe_device,
    find_device_lookalikes,
    show_inputs,
    view_device,
)
from profiles.host.identity import Lookalikes
from profiles.model import Application, Device


def make_device(name: str = "helm", **header: Any) -> Device:
    return Device.model_validate(
        {
            "format": 1,
            "device": {"id": name, "name": "Helm desk", **header},
            "plate": {"width": 100.0, "height": 60.0},
            "controls": {},
        }
    )


def make_application(**header: Any) -> Application:
    return Application.model_validate(
        {
            "format": 1,
            "application": {"id": "harbour", "name": "Harbour", **header},
            "actions": {},
        }
    )


def test_declared_usages_reach_the_highest_input() -> None:
    assert declare_usages(make_device(), [3, 7]) == range(1, 8)
    assert declare_usages(make_device(report={"buttons": 32}), [3, 7]) == range(1, 33)


def test_descriptor_declares_what_the_view_counts_on() -> None:
    """Usage Maximum (29) and Report Count (95) are the buttons: USB HID 1.11, 6.2.2.7 and 8."""
    descriptor = describe_device(make_device(), [3, 7])

    assert bytes.fromhex("19 01 29 07 15 00 25 01 75 01 95 07 81 02") in descriptor


def test_view_takes_the_collection_from_the_device() -> None:
    view = view_device(make_device(report={"collection": "game-pad"}), [1, 17], ["linux-evdev"])

    assert [row.indices["linux-evdev"].label for row in view.rows] == [
        "BTN_SOUTH",
        "BTN_TRIGGER_HAPPY1",
    ]


@pytest.mark.parametrize(
    ("header", "number", "shown"),
    [
        ({}, 1, Shown("Button 1", "")),
        ({"first_number": 0, "number_format": "joy {n}"}, 1, Shown("joy 0", "")),
        ({"buttons": 32}, 33, Shown("", "Harbour accepts 32 buttons")),
        (
            {"interface": "windows-joyinfoex"},
            33,
            Shown("", "windows-joyinfoex: carries 32 buttons"),
        ),
        ({"interface": "linux-joydev"}, 80, Shown("Button 80", "")),
        (
            {"interface": "linux-joydev"},
            81,
            Shown("", "linux-joydev: code 0x300 is above KEY_MAX"),
        ),
        ({"interface": "of-another-world"}, 81, Shown("Button 81", "")),
    ],
)
def test_application_writes_the_number_or_never_sees_it(
    header: dict[str, Any], number: int, shown: Shown
) -> None:
    assert show_inputs(make_application(**header), make_device(), [number]) == {number: shown}


def test_an_input_above_the_declared_buttons_never_leaves_the_box() -> None:
    device = make_device(report={"buttons": 8})

    assert show_inputs(make_application(), device, [8, 9]) == {
        8: Shown("Button 8", ""),
        9: Shown("", "the box declares 8 buttons"),
    }


def test_devices_with_one_identity_are_found() -> None:
    usb = {"vendor": "1209", "product": "000A"}
    devices = {
        "b": make_device("b", usb=usb),
        "a": make_device("a", usb={"vendor": "1209", "product": "000a"}),
        "c": make_device("c"),
    }

    assert find_device_lookalikes(devices) == [Lookalikes(("a", "b"), "same")]
