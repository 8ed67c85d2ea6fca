"""Pins: used twice, not on the board, boards that are not known, rotaries without a common."""

import pytest

from profiles.checks.pins import name_runs
from profiles.model import Related, Spot
from tests.checks.build import board, device, find, told


def test_a_pin_for_two_things_is_an_error() -> None:
    box = device('[wiring]\nrows = ["A0", "A1"]\ncolumns = ["A1"]\n[controls.horn]\npin = "A0"')

    assert told("pin-shared", box) == [
        ("pin `A0` serves row 1 and `horn`", "Move `horn` to a free pin", "desk:controls.horn.pin"),
        (
            "pin `A1` serves row 2 and column 1",
            "Move column 1 to a free pin",
            "desk:wiring.columns.0",
        ),
    ]


def test_both_places_of_a_shared_pin_are_shown() -> None:
    box = device('[controls.horn]\npin = "5"\n[controls.bell]\npin = "5"')

    (found,) = find("pin-shared", box)

    there = Spot("desk", ("controls", "horn", "pin"))
    assert found.related == (Related("serves `horn`", there),)


def test_chains_may_share_latch_and_clock_but_no_data() -> None:
    chain = '[[wiring.chains]]\nlatch = "7"\nclock = "8"\ndata = "9"\nlength = 8\n'

    assert told("pin-shared", device(chain * 2)) == [
        (
            "pin `9` serves register 1 data and register 2 data",
            "Move register 2 data to a free pin",
            "desk:wiring.chains.1.data",
        )
    ]


def test_leds_may_share_a_pin() -> None:
    led = 'led = { forward_voltage = 2.0, current = 2.0, pin = "9" }'
    box = device(f'[controls.horn]\npin = "1"\n{led}\n[controls.bell]\npin = "2"\n{led}')

    assert find("pin-shared", box) == []


def test_a_pin_that_the_board_lacks_is_an_error() -> None:
    """Pins printed on an ATmega32U4 board: A0 to A5, among others."""
    box = device('[wiring]\nboard = "atmega32u4"\nrows = ["A5", "A9"]\ncolumns = ["2"]')

    assert told("pin-not-on-board", box) == [
        (
            "`atmega32u4` has no pin `A9` for row 2",
            "Write a free pin: `0`, `1`, `3`, `4`, `5`, `6`, `7`, `8` or 13 more",
            "desk:wiring.rows.1",
        )
    ]
    (found,) = find("pin-not-on-board", box)
    assert [one.message for one in found.related] == [
        "its pins are `0` to `13`, `A0` to `A5`, `SCK`, `MOSI`, `MISO`"
    ]


def test_pins_are_named_in_runs_as_they_count_up() -> None:
    assert name_runs(["0", "1", "2", "A0", "A1", "GP7", "GP8", "GP9", "SDA", "9", "10", "x"]) == (
        "`0` to `2`, `A0` and `A1`, `GP7` to `GP9`, `SDA`, `9` and `10`, `x`"
    )


def test_a_pin_that_cannot_do_what_is_asked_is_an_error() -> None:
    """GPIO46 of an ESP32-S2 reads only, and has no pull-up. Unverified."""
    wiring = '[wiring]\nboard = "esp32-s2"\nrows = ["IO46"]\ncolumns = ["IO1"]\ndriven = "{}"'

    free = "Move row 1 to a free pin: `IO0`, `IO2`, `IO3`, `IO4`, `IO5`, `IO6`, `IO7`, `IO8`"
    lacks = {"rows": "cannot drive a wire", "columns": "has no pull-up"}
    for side, words in lacks.items():
        ((message, remedy, spot),) = told("pin-unable", device(wiring.format(side)))
        assert message == f"pin `IO46` of `esp32-s2` {words}, which row 1 needs"
        assert remedy.startswith(free)
        assert spot == "desk:wiring.rows.0"


def test_a_board_that_says_nothing_of_abilities_is_taken_to_be_able() -> None:
    own = board("mine", {"1": "P1", "2": "P2"})

    assert own.is_able("1", "analog")
    assert own.shares_bus("1", "2")
    assert find("pin-unable", own, device('[wiring]\nboard = "mine"\nrows = ["1"]')) == []


def test_a_board_without_a_free_pin_is_told() -> None:
    own = board("mine", {"1": "P1"})
    box = device('[wiring]\nboard = "mine"\nrows = ["1", "one"]')

    assert [one.remedy for one in find("pin-not-on-board", own, box)] == [
        "Write a pin that you free first: none that can do it is left"
    ]


def test_a_place_of_a_misspelt_bank_is_suggested() -> None:
    box = device(
        '[wiring]\nboard = "atmega32u4"\nrows = ["dek.3"]\n[wiring.banks.deck]\n'
        'kind = "multiplexer"\nselect = ["8"]\npin = "A0"'
    )
    assert [one.remedy for one in find("pin-not-on-board", box)] == ["Write `deck.3`"]


@pytest.mark.parametrize(
    ("board", "pin", "meant"),
    [("atmega32u4", "D7", "7"), ("rp2040", "7", "GP7"), ("rp2040", "GPIO7", "GP7")],
)
def test_a_pin_written_with_other_letters_is_suggested(board: str, pin: str, meant: str) -> None:
    box = device(f'[wiring]\nboard = "{board}"\nrows = ["{pin}"]')

    assert [one.remedy for one in find("pin-not-on-board", box)] == [f"Write `{meant}`"]


def test_a_board_that_is_not_known_is_a_warning() -> None:
    assert told("board-unknown", device('[wiring]\nboard = "atmega32u5"')) == [
        ("`atmega32u5` is no known board", "Write `atmega32u4`", "desk:wiring.board")
    ]
    assert told("board-unknown", device('[wiring]\nboard = "workbench"')) == [
        (
            "`workbench` is no known board",
            "Describe it: `platebook new board workbench`",
            "desk:wiring.board",
        )
    ]
    assert find("board-unknown", device('[wiring]\nboard = "atmega32u4"')) == []


def test_a_rotary_on_pins_without_a_common_is_an_error() -> None:
    rotary = '[controls.trim]\nkind = "rotary"\npins = { clockwise = "5", anticlockwise = "6" }\n'

    assert told("rotary-without-common", device(rotary)) == [
        (
            "`trim` has its channels on pins, but no common",
            'Add `common = "GND"`, or the pin it is wired to',
            "desk:controls.trim",
        )
    ]
    assert find("rotary-without-common", device(f'{rotary}common = "GND"')) == []
