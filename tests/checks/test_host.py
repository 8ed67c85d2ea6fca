"""Inputs that never reach the application that needs them."""

import pytest

from profiles.model import Related, Spot
from tests.checks.build import application, codes, device, find, profile, told

PLAY = profile('[bindings]\nhorn = "sound"')


def test_a_number_above_what_the_application_takes_is_an_error() -> None:
    box = device("[controls.horn]\ninput = 33")
    one = application("[application]\nbuttons = 32\n[actions.sound]")

    (found,) = find("number-beyond-application", box, one, PLAY)

    assert found.message == "`horn` is input 33, but `harbour` accepts only 32"
    assert found.remedy == "Give `horn` a lower number, or bind `sound` elsewhere"
    assert found.subject == "play:bindings.horn desk/horn.press"
    assert (
        Related("its input", Spot("desk", ("controls", "horn", "input"))),
        Related("what is carried", Spot("harbour", ("application", "buttons"))),
    ) == found.related


def test_a_contact_bound_to_nothing_known_is_judged_by_its_name_alone() -> None:
    """Which action would be lost is not known; the name is the one thing to put right."""
    box = device("[controls.horn]\ninput = 33")
    small = application("[application]\nbuttons = 32\n[actions.sound]")
    play = profile('[bindings]\nhorn = "hoot"')

    assert codes(box, small, play) == {"name-unknown", "number-gap"}


@pytest.mark.parametrize(
    ("interface", "last", "reason"),
    [
        ("windows-joyinfo", 4, "`windows-joyinfo` carries 4 buttons"),
        ("windows-joyinfoex", 32, "`windows-joyinfoex` carries 32 buttons"),
        ("windows-dijoystate2", 128, "`windows-dijoystate2` carries 128 buttons"),
        ("browser-chromium", 32, "`browser-chromium` carries 32 buttons"),
        ("linux-joydev", 80, "`linux-joydev` drops it: code 0x300 is above KEY_MAX"),
    ],
)
def test_an_input_that_the_interface_drops_is_an_error(
    interface: str, last: int, reason: str
) -> None:
    """JOYINFO 4, JOYINFOEX 32, DIJOYSTATE2 128 (learn.microsoft.com); kButtonsLengthCap 32
    (Chromium device/gamepad); KEY_MAX 0x2ff, so 80 (Linux drivers/hid/hid-input.c)."""
    one = application(f'[application]\nbuttons = 300\ninterface = "{interface}"\n[actions.sound]')

    assert find("input-never-arrives", device(f"[controls.horn]\ninput = {last}"), one, PLAY) == []
    assert [
        (
            f"`horn` is input {last + 1}, {reason}",
            "Give `horn` a lower number, or bind `sound` elsewhere",
            "play:bindings.horn desk/horn.press",
        )
    ] == told("input-never-arrives", device(f"[controls.horn]\ninput = {last + 1}"), one, PLAY)


def test_a_high_input_that_the_profile_does_not_use_is_silent() -> None:
    box = device("[controls.horn]\ninput = 1\n[controls.bell]\ninput = 33")
    one = application("[application]\nbuttons = 32\n[actions.sound]")

    assert find("number-beyond-application", box, one, PLAY) == []


def test_what_the_interface_drops_is_not_told_for_the_application_too() -> None:
    box = device("[controls.horn]\ninput = 5")
    one = application('[application]\nbuttons = 4\ninterface = "windows-joyinfo"\n[actions.sound]')

    assert find("number-beyond-application", box, one, PLAY) == []
    assert len(find("input-never-arrives", box, one, PLAY)) == 1


@pytest.mark.parametrize(
    ("interface", "report", "is_told"),
    [
        ("linux-joydev", "", True),
        ("linux-sdl", "[device.report]\naxes = 1", True),
        ("linux-joydev", "[device.report]\naxes = 2", False),
        ("windows-dijoystate2", "", False),
        (None, "", False),
    ],
)
def test_a_box_without_axes_may_be_missed_by_who_reads_it_as_a_linux_joystick(
    interface: str | None, report: str, is_told: bool
) -> None:
    """joydev_ids (Linux drivers/input/joydev.c), SDL_EVDEV_GuessDeviceClass (SDL)."""
    reads = f'interface = "{interface}"' if interface else ""
    one = application(f"[application]\nbuttons = 32\n{reads}\n[actions.sound]")
    box = device(f"[controls.horn]\ninput = 1\n{report}")

    found = find("axes-absent", box, one, PLAY)

    assert [(one.message, one.remedy, one.severity) for one in found] == is_told * [
        (
            "`desk` has no axes X and Y: some hosts do not show it to `harbour`, "
            f"which reads through `{interface}`",
            "Set axes = 2 in [device.report], or accept this if your host shows the box",
            "note",
        )
    ]


def test_a_box_whose_own_axes_are_x_and_y_lacks_none() -> None:
    one = application('[application]\nbuttons = 32\ninterface = "linux-joydev"\n[actions.sound]')
    axes = "".join(
        f'[controls.{name}]\nkind = "axis"\naxis = "{name}"\npin = "A{at}"\n'
        for at, name in enumerate("xy")
    )
    assert find("axes-absent", device(f"[controls.horn]\ninput = 1\n{axes}"), one, PLAY) == []
