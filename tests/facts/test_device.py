"""What one device is, resolved once: numbers, natures, rests, names, places, and detents."""

from collections import Counter
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.facts.box_model import Condition, find_detents
from profiles.facts.device import DeviceFacts
from profiles.firmware import plan_firmware
from profiles.firmware.cores.box_core import BoxScanner, Pins, Tables
from profiles.live.build import build_of
from profiles.live.forward import Simulator
from profiles.model import Application, Contact, Device, DeviceContact, Library, Profile, Spot
from profiles.sheets.card_rows import find_rows
from tests.firmware.boxes import make_device

CONTROLS: dict[str, Any] = {
    "horn": {"kind": "momentary", "pin": "2", "input": 1},
    "mains": {"kind": "latching", "pin": "3", "inputs": {"on": 2, "off": 3}},
    "pump": {"kind": "latching", "reports": "edges", "pin": "4", "inputs": {"on": 4, "off": 5}},
    "mode": {
        "kind": "selector",
        "positions": 2,
        "pins": {"position-1": "5", "position-2": "6"},
        "inputs": {"position-1": 6, "position-2": 7},
    },
    "gear": {
        "kind": "selector",
        "positions": 2,
        "reports": "edges",
        "pins": {"position-1": "7", "position-2": "8"},
        "inputs": {"position-1": 8, "position-2": 9},
    },
    "trim": {
        "kind": "rotary",
        "pulse": 12.5,
        "pins": {"clockwise": "9", "anticlockwise": "10", "press": "11"},
        "inputs": {"clockwise": 10, "anticlockwise": 11, "press": 12},
    },
}


def every_kind() -> DeviceFacts:
    return DeviceFacts(
        make_device("kinds", {"pulse": 40.0}, {k: {**v} for k, v in CONTROLS.items()})
    )


def test_every_contact_has_the_nature_of_its_control() -> None:
    natures = {str(contact): nature for contact, nature in every_kind().natures.items()}
    assert natures == {
        "horn.press": "button",
        "mains.on": "state",
        "mains.off": "state",
        "pump.on": "edge",
        "pump.off": "edge",
        "mode.position-1": "position",
        "mode.position-2": "position",
        "gear.position-1": "edge",
        "gear.position-2": "edge",
        "trim.clockwise": "turn",
        "trim.anticlockwise": "turn",
        "trim.press": "button",
    }


def test_of_a_lever_with_one_wire_the_other_side_is_sent_inverted() -> None:
    signals = every_kind().signals
    for name in ("mains", "pump"):
        on, off = Contact(name, "on"), Contact(name, "off")
        assert [signals[one][2:4] for one in (on, off)] == [((on,), ()), ((), (on,))]


def test_a_lever_wired_at_its_off_side_alone_is_sent_inverted_when_on() -> None:
    lever = {"kind": "latching", "pins": {"off": "2"}, "inputs": {"on": 1, "off": 2}}
    rules = plan_firmware(make_device("box", {}, {"lever": lever})).rules
    assert [(one.name, one.when) for one in rules.follows] == [
        ("lever.on", Condition(opened=(0,))),
        ("lever.off", Condition(closed=(0,))),
    ]


def test_levers_and_selectors_that_follow_stay_and_what_pulses_has_its_length() -> None:
    facts = every_kind()
    assert facts.staying == ("mains", "mode")
    assert facts.pulses == {"pump": 40.0, "gear": 40.0, "trim": 12.5}
    assert facts.highest_input == 12
    assert DeviceFacts(make_device("bare", {}, {"horn": {"kind": "momentary"}})).highest_input == 0


def test_at_rest_levers_are_off_and_selectors_at_their_first_position() -> None:
    assert {str(contact) for contact in every_kind().rest} == {
        "mains.off",
        "pump.off",
        "mode.position-1",
        "gear.position-1",
    }


def test_a_device_is_wired_where_the_file_says_anything_of_wires() -> None:
    plain = {"horn": {"kind": "momentary", "input": 1}}
    assert not DeviceFacts(make_device("box", {}, {"horn": {**plain["horn"]}})).is_wired
    assert DeviceFacts(make_device("box", {"rows": ["2"]}, {"horn": {**plain["horn"]}})).is_wired
    assert every_kind().is_wired


def test_contacts_are_named_and_found_where_they_stand_in_the_file() -> None:
    facts = every_kind()
    assert (facts.name("mains", "on"), facts.name("mains", "off")) == ("`mains`", "`mains.off`")
    assert facts.input_spot("horn", "press") == Spot("kinds", ("controls", "horn", "input"))
    assert facts.input_spot("mains", "off") == Spot("kinds", ("controls", "mains", "inputs", "off"))
    assert facts.place_spot("trim", "press") == Spot("kinds", ("controls", "trim", "pins", "press"))
    assert facts.place_spot("mains", "off") == Spot("kinds", ("controls", "mains"))
    mine = [DeviceContact("kinds", "trim", "press"), DeviceContact("kinds", "mains", "off")]
    assert list(facts.by_control([*mine, DeviceContact("other", "horn", "press")])) == [
        "mains",
        "trim",
    ]


def numbered_box() -> Device:
    """The wiring gives 1 and 2; the file declares 7 for the first all the same."""
    controls = {
        "horn": {"kind": "momentary", "crossing": [1, 1], "input": 7},
        "bell": {"kind": "momentary", "crossing": [1, 2]},
        "lone": {"kind": "momentary", "pin": "9", "input": 5},
    }
    wiring = {"rows": ["2"], "columns": ["3", "4"], "numbering": "along-rows"}
    return make_device("numbered", wiring, controls)


def test_a_number_comes_from_the_wiring_where_the_wiring_gives_it_in_every_room() -> None:
    device = numbered_box()
    facts = DeviceFacts(device)
    wanted = {"horn.press": 1, "bell.press": 2, "lone.press": 5}

    assert {str(contact): number for contact, number in facts.inputs.items()} == wanted
    rules = plan_firmware(device).rules
    assert {one.name: one.button + 1 for one in rules.follows} == wanted
    simulator = Simulator(facts.model, build_of(facts.model))
    heard = {
        str(one): set(simulator.name(simulator.read(facts.model.mask([one]))))
        for one in facts.inputs
    }
    assert heard == {name: {number} for name, number in wanted.items()}


def test_the_card_shows_the_wiring_s_number() -> None:
    title = {
        "format": 1,
        "application": {"id": "tram", "name": "Tram"},
        "actions": {"go": {"name": "Go"}},
    }
    profile = {
        "format": 1,
        "profile": {"application": "tram", "device": "numbered", "id": "ride"},
        "bindings": {"horn": "go"},
    }
    library = Library.of(
        [numbered_box(), Application.model_validate(title), Profile.model_validate(profile)]
    )
    rows = find_rows(library.link("ride"), [library.devices["numbered"]])
    (row,) = [one for one in rows if one.action_id == "go"]
    assert (row.input, row.number) == (1, "Button 1")


def shift(place: int, steps: list[int]) -> list[int]:
    """Gray codes (A + 2 * B) from a place in the cycle on, by steps of -1, 0, 1 or 2."""
    cycle, codes = (0, 1, 3, 2), []
    for step in [0, *steps]:
        place += step
        codes.append(cycle[place % 4])
    return codes


@settings(max_examples=300)
@given(
    st.sampled_from([1, 2, 4]),
    st.integers(0, 3),
    st.lists(st.sampled_from([-1, 0, 1, 1, 1, 2]), max_size=40),
)
def test_detents_are_counted_as_the_firmware_counts_them(
    steps: int, place: int, moves: list[int]
) -> None:
    """Any noise, any loss of steps: code by code as `decode_rotary` of the fixed core."""
    codes = shift(place, moves)
    tables = Tables()
    tables.rotaries = ((0, 1, steps, 0),)
    tables.pulsers, tables.slots, tables.queue = ((0, 1, 1, 0),), (0, 1), 1000
    box = BoxScanner(tables, Pins())
    counted: Counter[int] = Counter()
    box.queue_pulse = lambda pulser, slot: counted.update([slot])  # type: ignore[method-assign]
    box.codes, box.rests, box.sums = [codes[0]], [place], [0]
    for code in codes[1:]:
        box.raw = box.state = [code & 1, code >> 1]
        box.decode_rotary(0)
    assert Counter(find_detents(codes, steps)) == counted


@pytest.mark.parametrize(("steps", "detents"), [(4, 1), (2, 2), (1, 4)])
def test_a_cycle_of_the_gray_code_is_as_many_detents_as_its_steps_go_into_it(
    steps: int, detents: int
) -> None:
    """A leads clockwise: 00, 10, 11, 01."""
    assert list(find_detents([0, 1, 3, 2, 0], steps)) == [0] * detents
    assert list(find_detents([0, 2, 3, 1, 0], steps)) == [1] * detents


def test_a_knob_whose_turns_have_no_number_takes_no_rule() -> None:
    pins = {"clockwise": "3", "anticlockwise": "4", "press": "5"}
    knob = {"kind": "rotary", "pins": pins, "inputs": {"press": 1}}
    rules = plan_firmware(make_device("box", {}, {"knob": knob})).rules
    assert [one.name for one in rules.follows] == ["knob.press"]
    assert (rules.turns, rules.pulsers) == ((), ())
