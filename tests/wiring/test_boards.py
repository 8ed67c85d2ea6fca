"""Packaged boards against their data sheets, and which board a device means."""

import pytest

from profiles.model import Library, Unusable
from profiles.wiring.boards import PACKAGED, board_of, find_board, list_boards, packaged_boards
from tests.checks.build import board as make_board
from tests.checks.build import device


def test_the_avr_board_has_the_limits_of_its_data_sheet() -> None:
    """ATmega16U4/32U4 data sheet 7766F, p. 379: 100 mA a group, 40 mA a pin, 200 mA in all."""
    board = packaged_boards()["atmega32u4"]
    limits = board.limits
    assert (limits.pin, limits.pin_absolute, limits.board) == (20.0, 40.0, 200.0)
    assert {group.limit for group in board.groups.values()} == {100.0}
    assert (board.board.pull_up_least, board.board.pull_up_most) == (20.0, 50.0)


def test_the_avr_boards_groups_are_those_of_its_ports() -> None:
    """Same page: {C4-7}, {C0-3, D0-7}, {B0-7, E0-7} and {F0-7} of the ports that the chip has."""
    board = packaged_boards()["atmega32u4"]
    letters = {
        name: {board.pins[pin][:2] for pin in group.pins} for name, group in board.groups.items()
    }
    assert letters == {
        "port-c": {"PC"},
        "port-d": {"PD"},
        "ports-b-e": {"PB", "PE"},
        "port-f": {"PF"},
    }
    grouped = sorted(pin for group in board.groups.values() for pin in group.pins)
    assert grouped == sorted(board.pins)
    assert len(set(board.pins.values())) == len(board.pins) == 23


def test_the_interpreter_board_has_the_limits_of_its_data_sheet() -> None:
    """RP2040 data sheet, digital IO: 12 mA drive, 50 mA in all, pull-ups 50 to 80 kilohm."""
    board = packaged_boards()["rp2040"]
    assert (board.limits.pin, board.limits.board) == (12.0, 50.0)
    assert (board.board.pull_up_least, board.board.pull_up_most) == (50.0, 80.0)
    assert len(board.pins) == 26


def test_the_small_avr_board_is_the_same_chip_with_other_pins() -> None:
    """Limits of data sheet 7766F; 14, 15 and 16 are PB3, PB1 and PB2 (unverified)."""
    large, small = (packaged_boards()[key] for key in ("atmega32u4", "atmega32u4-small"))
    assert small.limits == large.limits
    assert (small.pins["14"], small.pins["15"], small.pins["16"]) == ("PB3", "PB1", "PB2")
    shared = large.pins.keys() & small.pins.keys()
    assert {pin: small.pins[pin] for pin in shared} == {pin: large.pins[pin] for pin in shared}
    assert len(set(small.pins.values())) == len(small.pins) == 18
    ports = {
        large_port: name
        for name, group in large.groups.items()
        for large_port in (large.pins[pin] for pin in group.pins)
    }
    for name, group in small.groups.items():
        assert {ports[small.pins[pin]] for pin in group.pins} == {name}
    assert sorted(pin for group in small.groups.values() for pin in group.pins) == sorted(
        small.pins
    )


@pytest.mark.parametrize("board_id", ["esp32-s2", "esp32-s3", "samd21"])
def test_boards_from_memory_say_so(board_id: str) -> None:
    board = packaged_boards()[board_id]
    assert board.limits.source.startswith("Unverified")
    assert len(set(board.pins.values())) == len(board.pins)


def test_the_avr_boards_measure_where_the_board_core_does() -> None:
    """pins_arduino.h of the board core: A0 to A11 are pins 18 to 23, 4, 6, 8, 9, 10 and 12, SDA and
    SCL are 2 and 3, MISO, SCK and MOSI are 14, 15 and 16."""
    large, small = (packaged_boards()[key] for key in ("atmega32u4", "atmega32u4-small"))
    able = [pin for pin in large.pins if large.is_able(pin, "analog")]
    assert able == ["4", "6", "8", "9", "10", "12", "A0", "A1", "A2", "A3", "A4", "A5"]
    assert {pin for pin in small.pins if small.is_able(pin, "analog")} == small.pins.keys() & able
    assert [small.abilities(pin)[-1] for pin in ("2", "3", "14", "15", "16")] == [
        "sda of i2c",
        "scl of i2c",
        "miso of spi",
        "sck of spi",
        "mosi of spi",
    ]


def test_two_pins_of_different_buses_are_no_pair() -> None:
    board = packaged_boards()["rp2040"]
    assert board.shares_bus("GP0", "GP1")
    assert not board.shares_bus("GP0", "GP3")
    assert not board.shares_bus("GP1", "GP0")
    assert packaged_boards()["esp32-s3"].shares_bus("IO5", "IO33")


def test_every_packaged_board_says_what_it_runs() -> None:
    runs = {key: board.board.firmware for key, board in packaged_boards().items()}
    assert [key for key, value in runs.items() if value == "avr"] == [
        "atmega32u4-small",
        "atmega32u4",
    ]
    assert None not in runs.values()


def test_a_pin_that_other_parts_hang_on_has_a_note() -> None:
    assert list(packaged_boards()["atmega32u4"].notes) == ["13"]


def test_packaged_files_are_named_by_their_ids() -> None:
    assert sorted(packaged_boards()) == sorted(path.stem for path in PACKAGED.glob("*.toml"))


def test_a_board_of_the_library_is_found_beside_the_packaged_ones() -> None:
    small = make_board("small", {"1": "P1"})
    library = Library.of([small])

    assert find_board(library, "small") is small
    assert find_board(library, "rp2040") == packaged_boards()["rp2040"]
    assert find_board(library, "nowhere") is None
    assert find_board(library, "../boards/rp2040") is None
    assert find_board(Library(), "small") is None
    assert list(list_boards(library)) == [*packaged_boards(), "small"]


def test_a_board_of_the_library_takes_the_place_of_a_packaged_one() -> None:
    own = make_board("rp2040", {"1": "P1"})
    library = Library.of([own])

    assert find_board(library, "rp2040") is own
    assert list_boards(library)["rp2040"] is own


def test_a_packaged_board_does_not_stand_in_for_an_own_one_that_cannot_be_used() -> None:
    library = Library(unusable=(Unusable("board", "rp2040"),))

    assert find_board(library, "rp2040") is None
    assert find_board(library, "atmega32u4") is not None


def test_a_device_without_a_board_has_none() -> None:
    library = Library.of([make_board("small", {"1": "P1"})])

    assert board_of(library, device("")) is None
    found = board_of(library, device('[wiring]\nboard = "small"'))
    assert found is library.boards["small"]
