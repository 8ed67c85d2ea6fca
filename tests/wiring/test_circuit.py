"""Devices seen as circuits: places, needs, numbers, pins, and what does not fit."""

import pytest

from profiles.model import Contact
from profiles.wiring.boards import packaged_boards
from profiles.wiring.circuit import (
    circuit_of,
    list_pins,
    needs_of_device,
    needs_of_profile,
    numbering_of,
    pin_uses,
    pins_not_on_board,
    pins_used_twice,
    profiles_changed,
    rotaries_without_common,
)
from profiles.wiring.diodes import fewest_diodes
from profiles.wiring.hazards import describe_path
from profiles.wiring.matrix import Crossing
from profiles.wiring.needs import Needs, failures
from tests.wiring.boxes import MIXED, PLAIN, device, library, profile

HORN, GEAR_ON, GEAR_OFF, TRIM = (1, 1), (1, 2), (2, 2), (2, 1)
MODE = frozenset({(1, 3), (2, 3)})
GEAR = frozenset({GEAR_ON, GEAR_OFF})


def needs(bindings: str, text: str = MIXED) -> Needs:
    box = device(text)
    link = library(box, profile(bindings)).link("profile")
    return needs_of_profile(box, circuit_of(box), link)


def test_contacts_sit_where_the_file_puts_them() -> None:
    circuit = circuit_of(device(MIXED))
    assert circuit.places[Contact("gear", "off")] == (2, 2)
    assert circuit.matrix.crossings == {HORN, GEAR_ON, GEAR_OFF, TRIM} | MODE
    assert circuit.name(HORN) == "horn.press"
    assert (circuit.row_pins, circuit.column_pins) == (("A0", "A1"), ("2", "3", "4"))


@pytest.mark.parametrize(
    ("written", "wanted"),
    [
        ('"every"', {HORN, GEAR_ON, GEAR_OFF, TRIM} | MODE),
        ('"none"', set()),
        ('["gear", "mode.position-2"]', GEAR | {(2, 3)}),
    ],
)
def test_diodes_are_every_none_or_named(written: str, wanted: set[Crossing]) -> None:
    text = MIXED.replace("[wiring]", f"[wiring]\ndiodes = {written}")
    assert circuit_of(device(text)).matrix.diodes == wanted


def test_diodes_named_for_nothing_are_kept_for_a_check() -> None:
    text = MIXED.replace("[wiring]", '[wiring]\ndiodes = ["horn", "hron", "trim.clockwise"]')
    circuit = circuit_of(device(text))
    assert circuit.loose_diodes == ("hron", "trim.clockwise")
    assert circuit.matrix.diodes == {HORN}


def test_contacts_outside_or_on_one_crossing_are_kept_for_a_check() -> None:
    text = MIXED.replace("crossing = [1, 1]", "crossing = [3, 1]").replace("[2, 3] }", "[1, 3] }")
    circuit = circuit_of(device(text))
    assert circuit.outside == ((Contact("horn", "press"), (3, 1)),)
    both = (Contact("mode", "position-1"), Contact("mode", "position-2"))
    assert circuit.shared == (((1, 3), both),)
    assert circuit.name((1, 3)) == "mode.position-1 and mode.position-2"


def test_a_device_without_a_matrix_is_a_circuit_too() -> None:
    circuit = circuit_of(device(PLAIN + "[controls]"))
    assert circuit.matrix.crossings == frozenset()
    assert numbering_of(device(PLAIN + "[controls]")).numbers == {}


def test_a_profile_needs_its_chords_on_top_of_any_state() -> None:
    found = needs('"trim.press + horn" = "go"\nhorn = "stop"')
    assert found == Needs(
        exclusive=(GEAR, MODE),
        chords=(frozenset(), frozenset({TRIM, HORN}), frozenset({HORN})),
    )


def test_a_latching_contact_alone_may_be_closed_at_any_time() -> None:
    text = MIXED.replace("crossings = { on = [1, 2], off = [2, 2] }", "crossing = [1, 2]")
    assert needs("", text).steady == {GEAR_ON}


def test_a_rotary_in_the_matrix_may_rest_on_both_channels() -> None:
    text = MIXED.replace("{ press = [2, 1] }", "{ clockwise = [2, 1], anticlockwise = [1, 1] }")
    text = text.replace('pins = { clockwise = "5", anticlockwise = "6" }\n', "")
    text = text.replace("crossing = [1, 1]\n", "")
    assert needs("", text).steady == {(2, 1), (1, 1)}


def test_contacts_of_other_devices_are_not_of_this_matrix() -> None:
    box = device(MIXED)
    other = device(MIXED.replace('id = "box"', 'id = "annex"'))
    both = profile('"annex/trim.press + box/horn" = "go"', 'devices = ["box", "annex"]')
    link = library(box, other, both).link("profile")
    found = needs_of_profile(box, circuit_of(box), link)
    assert found.chords == (frozenset(), frozenset({HORN}))


def test_a_device_alone_needs_each_press_on_top_of_any_state() -> None:
    box = device(MIXED)
    found = needs_of_device(box, circuit_of(box))
    assert found.chords == (frozenset(), frozenset({HORN}), frozenset({TRIM}))


def test_a_failing_chord_is_told_with_its_path() -> None:
    """Horn and trim are pressed while the gear is on: three corners of a rectangle."""
    box = device(MIXED)
    circuit = circuit_of(box)
    found = failures(circuit.matrix, needs('"trim.press + horn" = "go"'))
    told = [
        (circuit.name(hazard.victim), describe_path(circuit.matrix, hazard, circuit.name))
        for hazard in found.hazards
        if set(hazard.path) == {HORN, TRIM, GEAR_ON}
    ]
    assert told == [
        (
            "gear.off",
            "from row 2, through trim.press to column 1, back through horn.press to row 1, "
            "through gear.on to column 2",
        )
    ]


def test_the_fewest_diodes_of_a_profile_cure_it() -> None:
    from dataclasses import replace

    circuit = circuit_of(device(MIXED))
    wanted = needs('"trim.press + horn" = "go"')
    plan = fewest_diodes(circuit.matrix, wanted)
    cured = replace(circuit.matrix, diodes=plan.diodes)
    assert plan.exact
    assert failures(circuit.matrix, wanted).hazards
    assert failures(cured, wanted).hazards == ()


def test_inputs_come_from_the_crossings_then_from_own_pins() -> None:
    numbers = {str(t): n for t, n in numbering_of(device(MIXED)).numbers.items()}
    assert numbers == {
        "horn.press": 1,
        "gear.on": 2,
        "gear.off": 5,
        "mode.position-1": 3,
        "mode.position-2": 6,
        "trim.press": 4,
        "trim.clockwise": 7,
        "trim.anticlockwise": 8,
    }


def test_register_bits_beyond_the_chain_get_no_number() -> None:
    chain = '[wiring.chain]\nlatch = "7"\nclock = "8"\ndata = "10"\nlength = 8\n'
    text = MIXED.replace("[controls.horn]", chain + "[controls.horn]", 1)
    text = text.replace("crossing = [1, 1]", "bit = 3")
    assert numbering_of(device(text)).numbers[Contact("horn", "press")] == 9
    beyond = numbering_of(device(text.replace("bit = 3", "bit = 9")))
    assert Contact("horn", "press") not in beyond.numbers


def test_profiles_that_use_a_contact_are_named_with_their_keys() -> None:
    box = device(MIXED)
    shelf = library(box, profile('"trim.press + horn" = "go"\n"gear.on" = "stop"'))
    changed = profiles_changed(shelf, box, [Contact("horn", "press")])
    assert changed == (("profile", ("trim.press + horn",)),)
    assert profiles_changed(shelf, box, [Contact("gear", "off")]) == ()


def test_every_use_of_a_pin_knows_where_it_stands_in_the_file() -> None:
    uses = {use.pin: (use.what, use.path) for use in pin_uses(device(MIXED))}
    assert uses["A1"] == ("row 2", ("wiring", "rows", 1))
    assert uses["4"] == ("column 3", ("wiring", "columns", 2))
    assert uses["5"] == ("trim.clockwise", ("controls", "trim", "pins", "clockwise"))
    assert uses["9"] == ("the LED of trim", ("controls", "trim", "led", "pin"))
    assert len(uses) == 8


def test_the_pin_list_shows_free_pins_too() -> None:
    pins = {row.pin: row for row in list_pins(device(MIXED), packaged_boards()["atmega32u4"])}
    assert (pins["A0"].port, pins["A0"].uses) == ("PF7", ("row 1",))
    assert pins["A2"].uses == ()
    assert sum(bool(row.uses) for row in pins.values()) == 8


def test_a_pin_used_twice_is_told_with_both_uses() -> None:
    assert pins_used_twice(device(MIXED)) == ()
    text = MIXED.replace('pin = "9"', 'pin = "2"').replace('common = "GND"', 'common = "A0"')
    told = [[use.what for use in uses] for uses in pins_used_twice(device(text))]
    assert told == [["row 1", "the common of trim"], ["column 1", "the LED of trim"]]


def test_pins_that_the_board_lacks_are_told() -> None:
    board = packaged_boards()["atmega32u4"]
    assert pins_not_on_board(device(MIXED), board) == ()
    text = MIXED.replace('"A1"', '"A9"').replace('clockwise = "5"', 'clockwise = "55"', 1)
    assert [use.pin for use in pins_not_on_board(device(text), board)] == ["A9", "55"]


def test_a_rotary_on_pins_needs_its_common() -> None:
    assert rotaries_without_common(device(MIXED)) == ()
    text = MIXED.replace('common = "GND"\n', "")
    assert rotaries_without_common(device(text)) == ("trim",)
