"""The wiring planned for a device: what stands stays, and what could not be had is said."""

from random import Random
from typing import Any

import pytest

from profiles.checks.registry import run_checks
from profiles.files.library import load_library
from profiles.model import Contact, Device, Library
from profiles.plan import wires
from profiles.plan.matrix import plan_matrix
from profiles.plan.wires import WiringPlanError, plan_wiring
from profiles.wiring.circuit import circuit_of, needs_of_device, numbering_of
from profiles.wiring.commons import find_split
from profiles.wiring.needs import failures
from tests.conftest import EXAMPLES

KINDS: dict[str, dict[str, Any]] = {
    "momentary": {"hole": 16.2},
    "latching": {"hole": 12.2},
    "rotary": {"hole": 7.0},
    "selector": {"hole": 9.7, "positions": 4},
}


def box(kinds: list[str], board: str = "atmega32u4", **wiring: Any) -> Device:
    """A device with a control of each kind named, in rows of five."""
    controls = {
        f"c{n}": {
            "kind": kind,
            "label": f"C{n}",
            "position": [30.0 + n % 5 * 35, 200.0 - n // 5 * 35],
            **KINDS[kind],
        }
        for n, kind in enumerate(kinds)
    }
    return Device.model_validate(
        {
            "format": 1,
            "device": {"id": "box", "name": "Box"},
            "plate": {"width": 300.0, "height": 240.0},
            "wiring": {"board": board, **wiring},
            "controls": controls,
        }
    )


def library(device: Device) -> Library:
    return Library.of([device])


def test_twenty_buttons_get_nine_pins_and_numbers_in_the_order_of_reading() -> None:
    """Nine lines serve 20 crossings, eight only 16: floor(n/2) * ceil(n/2)."""
    plan = plan_wiring(library(device := box(["momentary"] * 20)), device)

    assert len(plan.device.wiring.rows) + len(plan.device.wiring.columns) == 9
    assert [plan.numbers[Contact(f"c{n}", "press")] for n in range(6)] == [1, 2, 3, 4, 5, 6]
    assert plan.lacks == plan.notes == ()
    assert not [one for one in run_checks(library(plan.device)).findings if one.severity == "error"]


def test_few_contacts_get_a_pin_each() -> None:
    plan = plan_wiring(library(device := box(["momentary"] * 5)), device)

    assert plan.crossings == {}
    assert list(plan.pins.values()) == ["0", "1", "2", "3", "4"]


def test_channels_of_a_rotary_get_pins_of_their_own_while_there_are_enough() -> None:
    device = box(["rotary"] * 2 + ["momentary"] * 12)
    roomy = plan_wiring(library(device), device)
    tight = plan_wiring(library(many := box(["rotary"] * 9 + ["momentary"] * 12)), many)

    assert [str(one) for one in roomy.pins] == [
        "c0.clockwise",
        "c0.anticlockwise",
        "c1.clockwise",
        "c1.anticlockwise",
    ]
    assert {one.common for one in roomy.device.controls.values()} == {"GND", None}
    assert 0 < len(tight.pins) < 18
    assert tight.lacks == ()
    assert find_split(circuit_of(tight.device)) == ()


def test_contacts_for_which_no_pin_is_left_are_named_the_first_ones_served() -> None:
    device = box(["momentary"] * 200)
    plan = plan_wiring(library(device), device)

    assert len(plan.crossings) == 11 * 12
    assert plan.lacks == (
        "`c132.press`, `c133.press`, `c134.press` and 65 more have no place: "
        "`atmega32u4` has 23 free pins",
    )


def test_two_buttons_more_change_no_number_no_crossing_and_no_pin() -> None:
    """A matrix of five by five that is full gets a line; numbers that would move are written."""
    loaded = load_library(EXAMPLES / "harbour").library
    desk = loaded.devices["helm-desk"]
    content = desk.plain()
    for n in (1, 2):
        content["controls"][f"more-{n}"] = {
            "kind": "momentary",
            "label": f"MORE {n}",
            "position": [12.0 + 20 * n, 8.0],
            "hole": 16.2,
        }
    grown = Device.model_validate(content)
    plan = plan_wiring(loaded, grown)
    before, after = numbering_of(desk).numbers, numbering_of(plan.device).numbers

    assert before.items() <= after.items()
    assert sorted(set(after.values()) - set(before.values())) == [35, 36]
    assert circuit_of(desk).places.items() <= circuit_of(plan.device).places.items()
    assert plan.device.wiring.rows == (*desk.wiring.rows, "12")
    assert plan.device.wiring.columns == desk.wiring.columns
    assert plan.device.device.report.buttons == 36
    assert plan.notes == (
        "every input number is written out: numbering along rows would give `more-1.press` and "
        "`trim.clockwise` one input; --renumber lets it",
    )


def test_a_spare_crossing_is_taken_before_a_new_line() -> None:
    device = plan_wiring(library(first := box(["momentary"] * 11)), first).device
    content = device.plain()
    content["controls"]["new"] = {**content["controls"]["c0"], "label": "NEW"}
    del content["controls"]["new"]["crossing"]
    grown = Device.model_validate(content)
    plan = plan_wiring(library(grown), grown)

    assert plan.device.wiring == device.wiring
    assert list(plan.crossings) == [Contact("new", "press")]
    assert numbering_of(device).numbers.items() <= numbering_of(plan.device).numbers.items()


def test_a_wired_box_is_left_as_it_is() -> None:
    loaded = load_library(EXAMPLES / "harbour").library
    for device in loaded.devices.values():
        if device.wiring.board:
            assert plan_wiring(loaded, device).edits == ()


def test_a_box_without_a_known_board_is_refused() -> None:
    device = box(["momentary"], board="attic")
    with pytest.raises(WiringPlanError) as refused:
        plan_wiring(library(device), device)

    assert (str(refused.value), refused.value.remedy) == (
        "no board is known for `box`, so there are no pins to choose from",
        "Name one as `board` in its wiring; `platebook boards` lists them.",
    )


def test_a_box_of_more_contacts_than_are_planned_at_once_is_refused() -> None:
    device = box(["momentary"] * (wires.MOST_WANTED + 1))
    with pytest.raises(WiringPlanError) as refused:
        plan_wiring(library(device), device)

    assert (str(refused.value), refused.value.remedy) == (
        "601 contacts of `box` want a place, more than the 600 that are planned at once",
        "Give crossings or pins to others by hand first, or split the box into several.",
    )


def test_rewired_box_keeps_its_numbers_and_takes_less_wire() -> None:
    device = plan_wiring(library(first := box(["momentary"] * 20)), first).device
    content = device.plain()
    keys = list(content["controls"])
    places = [content["controls"][key]["crossing"] for key in keys]
    Random(1).shuffle(places)
    for key, place in zip(keys, places, strict=True):
        content["controls"][key]["crossing"] = place
    muddled = Device.model_validate(content)
    plan = plan_wiring(library(muddled), muddled, rewired=True)

    assert numbering_of(plan.device).numbers == numbering_of(muddled).numbers
    assert circuit_of(plan.device).places != circuit_of(muddled).places


def test_no_common_is_split_in_a_thousand_random_boxes(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever the kinds and whatever is wired already: one line takes each common.

    Where controls are added, no input number and no crossing of the others changes.
    """
    monkeypatch.setattr(wires, "plan_matrix", lambda task, _: plan_matrix(task, steps=4))
    random = Random(1)
    for number in range(1000):
        kinds = random.choices(list(KINDS), weights=(5, 2, 2, 1), k=random.randint(1, 9))
        device = box(kinds, board="rp2040")
        plan = plan_wiring(library(device), device)
        if number % 4 == 0:
            content = plan.device.plain()
            for more in range(random.randint(1, 3)):
                kind = random.choice(list(KINDS))
                content["controls"][f"m{more}"] = {
                    "kind": kind,
                    "label": "M",
                    "position": [random.uniform(10, 290), 20.0],
                    **KINDS[kind],
                }
            before = plan.device
            device = Device.model_validate(content)
            plan = plan_wiring(library(device), device)
            assert numbering_of(before).numbers.items() <= numbering_of(plan.device).numbers.items()
            assert circuit_of(before).places.items() <= circuit_of(plan.device).places.items()
        circuit = circuit_of(plan.device)
        assert find_split(circuit) == (), kinds
        assert plan.lacks == (), kinds
        assert not failures(circuit.matrix, needs_of_device(plan.device, circuit)).hazards, kinds
