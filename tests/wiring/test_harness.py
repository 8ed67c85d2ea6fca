"""Wires, cuts, steps and continuity tests of a device."""

from itertools import pairwise
from math import ceil, dist, hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.wiring.box import Harness, diode_fits, harness_of
from profiles.wiring.circuit import circuit_of
from profiles.wiring.continuity import ContinuityTest
from profiles.wiring.harness import (
    DiodeFit,
    Stop,
    Total,
    WireLine,
    cut_pieces,
    from_behind,
    run_line,
    solder_steps,
    total_wire,
)
from tests.checks.build import device as make_device
from tests.firmware.boxes import make_lights_box
from tests.wiring.boxes import MIXED, PLAIN, device

START = Stop("board pin 2", (0.0, 0.0))
LINE = WireLine("row 1", START, (Stop("far", (30.0, 40.0)), Stop("near", (0.0, 10.0))), "yellow")


@pytest.fixture(scope="module")
def harness() -> Harness:
    return harness_of(device(MIXED))


def order(harness: Harness, line: str) -> list[str]:
    return next([stop.name for stop in run.order] for run in harness.runs if run.line.name == line)


def test_a_run_starts_at_the_board_and_takes_the_near_stop_first() -> None:
    run = run_line(LINE)
    assert [stop.name for stop in run.order] == ["board pin 2", "near", "far"]
    assert run.length == pytest.approx(10 + hypot(30, 30))
    assert run.exact


def test_each_end_gets_its_slack_and_cuts_go_up_to_the_millimetre() -> None:
    first, second = cut_pieces([run_line(LINE)], 28, 15.0)
    assert (first.straight, first.cut) == (10.0, 40)
    assert second.cut == ceil(hypot(30, 30) + 30) == 73
    assert (second.start.name, second.end.name) == ("near", "far")


def test_totals_are_by_colour_and_gauge() -> None:
    black = WireLine("common GND", START, (Stop("near", (0.0, 10.0)),), "black")
    pieces = cut_pieces([run_line(LINE), run_line(black)], 28, 15.0)
    assert total_wire(pieces) == (Total("black", 28, 1, 40), Total("yellow", 28, 2, 113))


def test_the_steps_are_diodes_then_pieces() -> None:
    steps = solder_steps(
        cut_pieces([run_line(LINE)], 28, 15.0),
        [DiodeFit("near", "row 1", True), DiodeFit("far", "column 2", False)],
    )
    assert [(step.number, step.line) for step in steps] == [
        (1, "row 1"),
        (2, "column 2"),
        (3, "row 1"),
        (4, "row 1"),
    ]
    assert steps[0].text == (
        "Solder a diode to near, band away from the contact; the wire of row 1 goes to the band end"
    )
    assert steps[1].text == (
        "Solder a diode to far, band toward the contact; the wire of column 2 goes to the plain end"
    )
    assert steps[2].text == (
        "Cut 40 mm of yellow AWG 28, strip both ends, and solder it from board pin 2 to near"
    )


@given(st.tuples(st.floats(0, 300), st.floats(0, 200)), st.floats(1, 300))
def test_seen_from_behind_twice_is_seen_from_the_front(
    at: tuple[float, float], width: float
) -> None:
    behind = from_behind(at, width)
    assert behind[1] == at[1]
    assert from_behind(behind, width) == pytest.approx(at)


def test_every_terminal_is_on_a_wire_from_the_board(harness: Harness) -> None:
    assert order(harness, "row 1") == ["board pin A0", "horn.press", "gear.on", "mode.position-1"]
    assert order(harness, "row 2") == ["board pin A1", "gear.off", "mode.position-2", "trim.press"]
    assert order(harness, "column 1") == ["board pin 2", "horn.press", "trim.press"]
    assert order(harness, "pin 5") == ["board pin 5", "trim.clockwise"]
    assert order(harness, "common GND") == ["board GND", "trim common"]
    assert order(harness, "LED 9") == ["board pin 9", "trim LED, resistor"]
    assert order(harness, "LED return") == ["board GND", "trim LED, return"]


def test_contacts_that_share_a_line_share_the_common_terminal(harness: Harness) -> None:
    """Gear's two contacts are both on column 2, mode's both on column 3: one stop each."""
    assert order(harness, "column 2") == ["board pin 3", "gear common"]
    assert order(harness, "column 3") == ["board pin 4", "mode common"]


SPLIT = """
[wiring]
rows = ["2", "3"]
columns = ["4", "5"]
diodes = "every"
[controls.range]
kind = "selector"
label = "RANGE"
position = [50.0, 50.0]
hole = 12.2
positions = 4
crossings = { position-1 = [1, 1], position-2 = [1, 2], position-3 = [2, 1], position-4 = [2, 2] }
"""


def test_no_common_terminal_is_soldered_to_two_lines() -> None:
    """A selector on two rows has a pole for each; its single contacts stay apart on the columns."""
    split = harness_of(device(PLAIN + SPLIT))
    assert order(split, "row 1") == ["board pin 2", "range common 1"]
    assert order(split, "row 2") == ["board pin 3", "range common 2"]
    assert order(split, "column 1") == ["board pin 4", "range.position-1", "range.position-3"]
    assert order(split, "column 2") == ["board pin 5", "range.position-2", "range.position-4"]
    assert [
        (fit.line, fit.band_to_line) for fit in diode_fits(circuit_of(device(PLAIN + SPLIT)))
    ] == [
        ("column 1", False),
        ("column 2", False),
        ("column 1", False),
        ("column 2", False),
    ]


def test_pieces_join_the_stops_of_each_run(harness: Harness) -> None:
    joined = [(piece.start, piece.end) for piece in harness.pieces]
    assert joined == [pair for run in harness.runs for pair in pairwise(run.order)]
    for piece in harness.pieces:
        assert piece.straight == pytest.approx(dist(piece.start.at, piece.end.at))
        assert piece.straight + 20 <= piece.cut < piece.straight + 21
        assert piece.gauge == 28
    assert sum(total.length for total in harness.totals) == sum(p.cut for p in harness.pieces)


def test_leds_without_a_pin_share_the_supply() -> None:
    harness = harness_of(device(MIXED.replace('pin = "9"\n', "")))
    assert order(harness, "LED supply") == ["board supply", "trim LED, resistor"]


def test_where_the_board_is_not_placed_the_centre_is_taken_and_said(harness: Harness) -> None:
    assert (harness.board_at, harness.board_assumed) == ((20.0, 20.0), False)
    bare = harness_of(device(PLAIN + "[controls]"))
    assert (bare.board_at, bare.board_assumed) == ((100.0, 50.0), True)
    assert (bare.runs, bare.tests) == ((), ())


def test_wires_that_the_file_cannot_place_are_named() -> None:
    chain = '[wiring.chain]\nlatch = "7"\nclock = "8"\ndata = "10"\nlength = 8\n'
    text = MIXED.replace("[controls.horn]", chain + "[controls.horn]", 1)
    harness = harness_of(device(text.replace("crossing = [1, 1]", "bit = 3")))
    assert harness.unrouted == (
        "board pin 7 to the register's latch",
        "board pin 8 to the register's clock",
        "board pin 10 to the register's data",
    )
    assert order(harness, "bit 3") == ["register bit 3", "horn.press"]
    assert "horn common" in order(harness, "common GND")
    assert [test for test in harness.tests if test.red == "register bit 3"] == [
        ContinuityTest("register bit 3", "GND", "press horn", True, "horn.press is closed"),
        ContinuityTest("register bit 3", "GND", "let go of horn", False, "horn.press is open"),
    ]


def test_bits_of_several_chains_have_the_name_and_the_level_of_their_own() -> None:
    chains = """
[[wiring.chains]]
latch = "7"
clock = "8"
data = "10"
length = 8
[[wiring.chains]]
latch = "7"
clock = "8"
data = "11"
length = 8
active = "high"
[controls.horn]
bit = 8
[controls.bell]
bit = 9
"""
    harness = harness_of(make_device(chains))
    assert order(harness, "bit 8") == ["register 1 bit 8", "horn.press"]
    assert order(harness, "bit 9") == ["register 2 bit 1", "bell.press"]
    assert order(harness, "common GND") == ["board GND", "horn common"]
    assert order(harness, "common supply") == ["board supply", "bell common"]
    assert [(one.red, one.black) for one in harness.tests[::2]] == [
        ("register 1 bit 8", "GND"),
        ("register 2 bit 1", "supply"),
    ]
    assert harness.unrouted[3:] == (
        "board pin 7 to the register 2's latch",
        "board pin 8 to the register 2's clock",
        "board pin 11 to the register 2's data",
    )


def test_a_diode_sits_on_the_side_that_its_control_does_not_share() -> None:
    """Rows are driven low. Gear's common is on a column; turned, mode's is on its row."""
    text = MIXED.replace("[wiring]", '[wiring]\ndiodes = ["horn", "gear", "mode"]')
    text = text.replace("position-1 = [1, 3], position-2 = [2, 3]", "position-1 = [1, 3]")
    fits = diode_fits(circuit_of(device(text)))
    assert fits == (
        DiodeFit("horn.press", "row 1", True),
        DiodeFit("gear.on", "row 1", True),
        DiodeFit("gear.off", "row 2", True),
        DiodeFit("mode.position-1", "row 1", True),
    )
    turned = text.replace("on = [1, 2], off = [2, 2]", "on = [2, 3], off = [2, 2]")
    fits = diode_fits(circuit_of(device(turned)))
    assert fits[1:3] == (
        DiodeFit("gear.on", "column 3", False),
        DiodeFit("gear.off", "column 2", False),
    )


def test_tests_go_from_whole_lines_to_single_contacts(harness: Harness) -> None:
    assert harness.tests[0] == ContinuityTest(
        "pin A0 (row 1)",
        "mode.position-1",
        "touch nothing",
        True,
        "the line is whole to its last stop",
    )
    kinds = [test.why for test in harness.tests]
    assert kinds[:5] == ["the line is whole to its last stop"] * 5
    horn = [test for test in harness.tests if "horn" in test.action]
    assert horn == [
        ContinuityTest(
            "pin 2 (column 1)", "pin A0 (row 1)", "press horn", True, "horn.press is closed"
        ),
        ContinuityTest(
            "pin 2 (column 1)", "pin A0 (row 1)", "let go of horn", False, "horn.press is open"
        ),
    ]


def test_each_contact_and_own_pin_is_tested_closed_and_open(harness: Harness) -> None:
    acted = [test for test in harness.tests if test.action != "touch nothing"]
    closed = {test.why.removesuffix(" is closed") for test in acted if test.closed}
    opened = {test.why.removesuffix(" is open") for test in acted if not test.closed}
    assert closed == opened
    assert closed == {
        "horn.press",
        "gear.on",
        "gear.off",
        "mode.position-1",
        "mode.position-2",
        "trim.press",
        "trim.clockwise",
        "trim.anticlockwise",
    }


def test_what_a_hand_does_is_told_by_kind(harness: Harness) -> None:
    actions = {test.action for test in harness.tests}
    assert actions >= {
        "put gear on",
        "put gear off",
        "turn mode to position 2",
        "turn mode to position 1",
        "turn trim slowly until it closes",
        "press trim",
    }


def test_lines_joined_at_rest_are_expected_joined() -> None:
    """Two selectors rest on one row: their columns are joined through it, without diodes."""
    text = MIXED.replace("[1, 2], off = [2, 2]", "[2, 2], off = [1, 2]")
    joined = [t for t in harness_of(device(text)).tests if "closed at rest" in t.why]
    assert [(test.red, test.black, test.closed) for test in joined] == [
        ("pin 3 (column 2)", "pin 4 (column 3)", True)
    ]
    every = text.replace("[wiring]", '[wiring]\ndiodes = "every"')
    assert not [t for t in harness_of(device(every)).tests if "closed at rest" in t.why]


def test_a_contact_bridged_at_rest_is_expected_closed_even_when_open() -> None:
    """Gear off, mode and a toggle at rest are three corners; the fourth reads closed anyway."""
    text = MIXED.replace("[1, 2], off = [2, 2]", "[2, 2], off = [1, 2]")
    text = text.replace("position-1 = [1, 3], position-2 = [2, 3]", "position-1 = [1, 3]")
    extra = '[controls.side]\nkind = "latching"\nlabel = "SIDE"\nposition = [90.0, 50.0]\n'
    extra += "hole = 12.2\ncrossings = { on = [2, 1], off = [2, 3] }\n"
    text = text.replace("crossings = { press = [2, 1] }\n", "") + extra
    opened = [
        test
        for test in harness_of(device(text)).tests
        if test.action == "put gear off" and test.black == "pin A1 (row 2)"
    ]
    assert [(test.closed, test.why) for test in opened] == [
        (True, "contacts closed at rest join the lines")
    ]


def test_leds_of_pins_drivers_and_the_led_matrix_have_their_wires() -> None:
    harness = harness_of(make_lights_box())

    assert order(harness, "LED 8") == ["board pin 8", "horn LED, resistor"]
    assert order(harness, "LED 9") == ["driver at pin 9", "shift LED, return"]
    assert order(harness, "LED supply") == ["board supply", "shift LED, resistor"]
    assert order(harness, "LED row 2")[0] == "board pin A1"
    assert set(order(harness, "LED row 2")[1:]) == {"mast LED, resistor", "keel LED, resistor"}
    assert set(order(harness, "LED column 2")[1:]) == {"deck LED, return", "keel LED, return"}


def test_a_sensor_has_three_wires() -> None:
    sail = '[controls.sail]\nkind = "axis"\naxis = "x"\nhole = 7.0\npin = "A0"\n'
    harness = harness_of(make_device(sail))

    assert order(harness, "pin A0") == ["board pin A0", "sail.axis"]
    assert order(harness, "common GND") == ["board GND", "sail sensor ground"]
    assert order(harness, "common supply") == ["board supply", "sail sensor supply"]
