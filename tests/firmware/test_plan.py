"""What firmware needs to know of a device, and what stands in its way."""

from typing import Any

import pytest

from profiles.facts.box_model import NO_BUTTON, Condition, Edge, Follow, Pulser, Turn
from profiles.firmware import CannotBuildError, plan_firmware
from profiles.wiring.boards import packaged_boards
from tests.firmware.boxes import make_device

PRESS = {"kind": "momentary", "pin": "2", "input": 1}


def describe_problems(wiring: dict[str, Any], controls: dict[str, Any], **header: Any) -> list[str]:
    with pytest.raises(CannotBuildError) as caught:
        plan_firmware(make_device("box", wiring, controls, **header))
    return list(caught.value.problems)


def describe_cautions(controls: dict[str, Any], **header: Any) -> list[str]:
    controls = {"known": dict(PRESS), **controls}
    return list(plan_firmware(make_device("box", {}, controls, **header)).cautions)


def test_points_run_along_the_driven_lines() -> None:
    """The scan drives one line after the other, so points of one driven line are neighbours."""
    controls = {"horn": {"kind": "momentary", "crossing": [2, 3], "input": 1}}
    lines = {"rows": ["2", "3"], "columns": ["4", "5", "6"]}

    by_rows = plan_firmware(make_device("box", {**lines, "driven": "rows"}, controls))
    by_columns = plan_firmware(make_device("box", {**lines, "driven": "columns"}, controls))

    assert by_rows.rules.follows == (Follow(0, Condition((5,)), "horn.press"),)
    assert by_columns.rules.follows == (Follow(0, Condition((5,)), "horn.press"),)
    assert (by_rows.driven, by_columns.driven) == (("2", "3"), ("4", "5", "6"))


def test_points_differ_by_side_where_the_crossing_is_not_in_a_corner() -> None:
    controls = {"horn": {"kind": "momentary", "crossing": [1, 3], "input": 1}}
    lines = {"rows": ["2", "3"], "columns": ["4", "5", "6"]}

    points = [
        plan_firmware(make_device("box", {**lines, "driven": side}, controls))
        .rules.follows[0]
        .when.closed[0]
        for side in ("rows", "columns")
    ]

    assert points == [2, 4]


def test_pins_that_the_boards_file_lacks_are_cautioned() -> None:
    device = make_device("box", {}, {"known": {**PRESS, "pin": "D2"}})
    board = packaged_boards()["atmega32u4"]

    assert plan_firmware(device, board).cautions == (
        "pin D2 for known.press is not in the board's file",
    )


def test_own_pins_and_chain_bits_follow_the_matrix() -> None:
    plan = plan_firmware(
        make_device(
            "box",
            {
                "rows": ["2", "3"],
                "columns": ["4", "5"],
                "chain": {"latch": "8", "clock": "9", "data": "10", "length": 8},
            },
            {
                "horn": {"kind": "momentary", "pin": "6", "input": 1},
                "bell": {"kind": "momentary", "bit": 3, "input": 2},
            },
        )
    )

    assert plan.points == 13
    assert [rule.when.closed for rule in plan.rules.follows] == [(4,), (7,)]


def test_latching_control_reports_state_or_edges() -> None:
    lever = {"kind": "latching", "pin": "2", "inputs": {"on": 1, "off": 2}}
    states = plan_firmware(make_device("box", {}, {"lever": dict(lever)})).rules
    edges = plan_firmware(make_device("box", {}, {"lever": {**lever, "reports": "edges"}})).rules

    assert states.follows == (
        Follow(0, Condition((0,)), "lever.on"),
        Follow(1, Condition(opened=(0,)), "lever.off"),
    )
    assert states.edges == ()
    assert edges.follows == ()
    assert edges.edges == (
        Edge(Condition((0,)), 0, 0, "lever.on"),
        Edge(Condition(opened=(0,)), 0, 1, "lever.off"),
    )
    assert edges.pulsers == (Pulser((0, 1), 2, 3, False, "lever"),)


def test_rotary_takes_its_own_pulse_before_the_wiring_s() -> None:
    controls = {
        "trim": {
            "kind": "rotary",
            "pulse": 12.4,
            "steps_per_detent": 2,
            "pins": {"clockwise": "2", "anticlockwise": "3"},
            "inputs": {"clockwise": 5},
        }
    }
    plan = plan_firmware(make_device("box", {}, controls))

    assert plan.rules.turns == (Turn(0, 1, 2, 0, "trim"),)
    assert plan.rules.pulsers == (Pulser((4, NO_BUTTON), 13, 3, False, "trim"),)


def test_times_are_rounded_up_to_whole_milliseconds() -> None:
    plan = plan_firmware(
        make_device("box", {"debounce": 6.2, "gap": 0.5, "settle": 2.5}, {"a": dict(PRESS)})
    )

    assert (plan.debounce, plan.settle) == (7, 3)


def test_commons_on_pins_are_held_low_and_ground_is_none() -> None:
    plan = plan_firmware(
        make_device(
            "box",
            {},
            {
                "one": {**PRESS, "common": "GND"},
                "two": {"kind": "momentary", "pin": "3", "input": 2, "common": "4"},
                "three": {"kind": "momentary", "pin": "5", "input": 3, "common": "4"},
            },
        )
    )

    assert plan.held_low == ("4",)


@pytest.mark.parametrize(
    ("wiring", "controls", "problem"),
    [
        ({}, {"horn": {"kind": "momentary"}}, "no contact has both a wire and an input number"),
        (
            {},
            {"horn": {**PRESS}, "bell": {"kind": "momentary", "pin": "2", "input": 2}},
            "pin 2 serves horn.press and bell.press",
        ),
        (
            {"rows": ["2"], "columns": ["3"]},
            {"horn": {"kind": "momentary", "crossing": [1, 2], "input": 1}},
            "horn.press sits at crossing [1, 2], outside the matrix",
        ),
        (
            {"chain": {"latch": "8", "clock": "9", "data": "10", "length": 8}},
            {"horn": {"kind": "momentary", "bit": 9, "input": 1}},
            "horn.press is bit 9 of a chain of 8",
        ),
        (
            {},
            {
                "trim": {
                    "kind": "rotary",
                    "pins": {"clockwise": "3"},
                    "inputs": {"clockwise": 2, "anticlockwise": 3},
                }
            },
            "a rotary needs both channels: trim.anticlockwise has no wire",
        ),
    ],
)
def test_what_cannot_be_built_is_said_in_the_user_s_names(
    wiring: dict[str, Any], controls: dict[str, Any], problem: str
) -> None:
    assert describe_problems(wiring, controls) == [problem]


def test_all_problems_are_told_at_once() -> None:
    wiring = {"rows": ["2"], "columns": ["2"]}
    controls = {"horn": {"kind": "momentary", "crossing": [3, 1], "input": 1}}

    assert describe_problems(wiring, controls) == [
        "pin 2 serves row 1 and column 1",
        "horn.press sits at crossing [3, 1], outside the matrix",
    ]


def test_a_report_larger_than_a_packet_is_refused() -> None:
    """USB 2.0, 5.7.3: a full-speed interrupt transaction carries at most 64 bytes."""
    report = {"buttons": 505}

    assert describe_problems({}, {"a": dict(PRESS)}, report=report) == [
        "505 buttons make a report of 65 bytes; one USB packet holds 64"
    ]
    assert (
        plan_firmware(
            make_device("box", {}, {"a": dict(PRESS)}, report={"buttons": 504})
        ).report_bytes
        == 63
    )


@pytest.mark.parametrize(
    ("control", "caution"),
    [
        (
            {"kind": "momentary", "pin": "7"},
            "horn.press is wired but has no input number",
        ),
        (
            {"kind": "momentary", "input": 2},
            "horn.press has an input number but no wire: never sent",
        ),
        (
            {"kind": "latching", "inputs": {"off": 2}},
            "horn.off has an input number but no wire: never sent",
        ),
    ],
)
def test_contacts_that_stay_silent_are_named(control: dict[str, Any], caution: str) -> None:
    assert describe_cautions({"horn": control}) == [caution]


def test_inputs_beyond_the_declared_buttons_are_named() -> None:
    controls = {"horn": {"kind": "momentary", "pin": "7", "input": 9}}

    assert describe_cautions(controls, report={"buttons": 8}) == [
        "horn.press is input 9, beyond the 8 buttons the box declares: never sent"
    ]


def test_axes_and_hats_without_wires_are_named() -> None:
    assert describe_cautions({}, report={"axes": 1, "hats": 1}) == [
        "axes have no pin in the device's file: they stay centred",
        "hats have no contacts in the device's file: they stay at rest",
    ]


def test_settling_longer_than_a_tick_is_named() -> None:
    lines = {"rows": ["2", "3"], "columns": ["4"], "settle": 600.0}
    plan = plan_firmware(
        make_device("box", lines, {"horn": {"kind": "momentary", "crossing": [1, 1], "input": 1}})
    )

    assert plan.cautions == (
        "settling alone takes 1.2 ms a scan: quick turns of a rotary are missed",
    )
