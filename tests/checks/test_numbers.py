"""Input numbers: repeated, missing, beyond what is declared or carried."""

from profiles.checks.numbers import WIDEST_HOST
from profiles.model import Related, Spot
from tests.checks.build import device, find, told


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
            "`bell` is input 129, hosts pass 128",
            "Number it from 1 to 128",
            "desk:controls.bell.input",
        )
    ]


def test_a_number_above_the_declared_buttons_is_an_error() -> None:
    box = device(
        "[device.report]\nbuttons = 2\n[controls.horn]\ninput = 2\n[controls.bell]\ninput = 3"
    )

    (found,) = find("number-beyond-report", box)

    assert found.message == "`bell` is input 3, declared are 2"
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
