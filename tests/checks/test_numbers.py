"""Input numbers: repeated, missing, beyond what is declared or carried."""

from profiles.checks.numbers import LINUX, WIDEST_HOST
from profiles.model import Related, Spot
from tests.checks.build import application, device, find, profile, told


def test_a_number_on_two_contacts_is_an_error_with_both_places() -> None:
    box = device(
        '[controls.horn]\ninput = 2\n[controls.trim]\nkind = "rotary"\n'
        "inputs = { clockwise = 1, anticlockwise = 2 }"
    )

    (found,) = find("input-repeated", box)

    assert found.message == "input 2 serves `horn` and `trim.anticlockwise`"
    assert found.remedy == "Give `trim.anticlockwise` a number of its own"
    assert Spot("desk", ("controls", "trim", "inputs", "anticlockwise")) == found.spot
    there = Spot("desk", ("controls", "horn", "input"))
    assert (Related("`horn` has it first", there),) == found.related


PLACED = """
[wiring]
rows = ["r1", "r2"]
columns = ["c1", "c2"]
numbering = "along-rows"
"""


def test_a_number_that_the_wiring_gives_is_kept_and_the_other_contact_gives_way() -> None:
    box = device(
        f'{PLACED}[controls.lone]\npin = "5"\ninput = 1\n[controls.horn]\ncrossing = [1, 1]'
    )

    (found,) = find("input-repeated", box)

    assert found.message == "input 1 serves `horn` and `lone`"
    assert found.remedy == "Give `lone` a number of its own"
    assert found.spot == Spot("desk", ("controls", "lone", "input"))
    there = Spot("desk", ("controls", "horn", "crossing"))
    assert found.related == (Related("`horn` gets it from its wiring", there),)


def test_where_the_wiring_gives_both_the_place_is_changed() -> None:
    box = device(
        f"{PLACED}[controls.horn]\ncrossing = [1, 1]\n[controls.bell]\ncrossing = [1, 1]\ninput = 1"
    )

    assert told("input-repeated", box) == [
        (
            "input 1 serves `horn` and `bell`",
            "Move `bell` to a free crossing, which gives it a number of its own",
            "desk:controls.bell.crossing",
        )
    ]


def test_a_number_beyond_the_report_that_the_wiring_gives_is_moved_not_renumbered() -> None:
    box = device(f"[device.report]\nbuttons = 1\n{PLACED}[controls.horn]\ncrossing = [1, 2]")

    (found,) = find("number-beyond-report", box)

    assert found.remedy == "Declare at least 2 buttons, or move it to a lower place"


def test_one_number_on_two_devices_is_no_fault() -> None:
    """Each device counts for itself: HID usages belong to one report."""
    one = device("[controls.horn]\ninput = 1")
    two = device('[device]\nid = "side"\n[controls.horn]\ninput = 1')

    assert find("input-repeated", one, two) == []


def test_hosts_pass_128_buttons_at_most() -> None:
    """`BYTE rgbButtons[128]`: learn.microsoft.com, DIJOYSTATE2 structure."""
    box = device("[controls.horn]\ninput = 128\n[controls.bell]\ninput = 129")

    assert WIDEST_HOST == 128
    assert told("number-beyond-host", box) == [
        (
            "`bell` is input 129, but hosts pass on only 128",
            "Number it from 1 to 128",
            "desk:controls.bell.input",
        )
    ]


def test_what_hosts_drop_is_one_finding_a_device() -> None:
    box = device(
        "[controls.horn]\ninput = 300\n[controls.bell]\ninput = 129\n[controls.gong]\ninput = 200"
    )

    (found,) = find("number-beyond-host", box)

    assert (
        found.message == "`bell` is input 129, but hosts pass on only 128; 2 more contacts affected"
    )
    assert found.remedy == "Number them from 1 to 128"
    assert found.related == (
        Related("`gong` is input 200", Spot("desk", ("controls", "gong", "input"))),
        Related("`horn` is input 300", Spot("desk", ("controls", "horn", "input"))),
    )


NINETY = "[controls.horn]\ninput = 80\n[controls.bell]\ninput = 81\n[controls.gong]\ninput = 90"


def test_linux_passes_80_buttons_of_a_joystick_or_game_pad() -> None:
    """Linux drivers/hid/hid-input.c: button 80 is code 0x2ff, KEY_MAX; higher ones are ignored."""
    assert LINUX == 80
    for collection in ("joystick", "game-pad"):
        box = device(f'[device.report]\ncollection = "{collection}"\n{NINETY}')
        assert told("number-beyond-linux", box) == [
            (
                "`bell` is input 81, but Linux passes on only 80; 1 more contact affected",
                "Number them from 1 to 80",
                "desk:controls.bell.input",
            )
        ]


def test_linux_maps_other_collections_without_that_limit() -> None:
    """Same source: an application that is no joystick, game pad or mouse starts at BTN_MISC."""
    box = device(f'[device.report]\ncollection = "multi-axis"\n{NINETY}')

    assert find("number-beyond-linux", box) == []


def test_linux_is_left_out_where_applications_read_through_another_interface() -> None:
    play = profile('[bindings]\nbell = "sound"')
    silent = application("[actions.sound]")
    named = application('[application]\ninterface = "windows-dijoystate2"\n[actions.sound]')

    assert len(find("number-beyond-linux", device(NINETY), silent, play)) == 1
    assert find("number-beyond-linux", device(NINETY), named, play) == []


def test_a_number_above_the_declared_buttons_is_an_error() -> None:
    box = device(
        "[device.report]\nbuttons = 2\n[controls.horn]\ninput = 2\n[controls.bell]\ninput = 3"
    )

    (found,) = find("number-beyond-report", box)

    assert found.message == "`bell` is input 3, but the device declares only 2 buttons"
    assert found.remedy == "Declare at least 3 buttons, or number it lower"
    assert Spot("desk", ("controls", "bell", "input")) == found.spot
    there = Spot("desk", ("device", "report", "buttons"))
    assert (Related("declares 2 buttons", there),) == found.related


def test_gaps_are_told_as_runs_from_one() -> None:
    """HID buttons count from 1 (HID Usage Tables 1.12, table 14: 0 is no button)."""
    box = device(
        "[controls.horn]\ninput = 3\n[controls.bell]\ninput = 5\n[controls.dim]\ninput = 9"
    )

    assert told("number-gap", box) == [
        (
            "no contact of `desk` is input 1 to 2, 4 and 6 to 8",
            "Close the gap, or accept it with a reason",
            "desk:controls",
        )
    ]


def test_numbers_without_a_gap_are_silent() -> None:
    box = device("[controls.horn]\ninput = 2\n[controls.bell]\ninput = 1")

    for code in ("number-gap", "input-repeated", "number-beyond-host", "number-beyond-report"):
        assert find(code, box) == []
