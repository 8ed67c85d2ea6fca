"""Switches of every kind in the press test: what is asked, and what a hand on the box gives."""

import pytest

from profiles.facts.device import DeviceFacts
from profiles.live.build import build_of
from profiles.live.diagnosis import diagnose
from profiles.live.fault_types import FaultKind
from profiles.live.faults import Fault
from profiles.live.forward import Simulator
from profiles.live.plan import plan_test
from profiles.live.session import Session
from profiles.live.words import ask_step
from profiles.model import Contact
from profiles.wiring.circuit import circuit_of, needs_of_device
from profiles.wiring.needs import closable_with
from tests.firmware.boxes import make_device, make_kinds_box
from tests.live.test_examples import hear_all


def test_every_position_is_asked_for_and_what_springs_is_let_go() -> None:
    device = make_kinds_box()
    model = DeviceFacts(device).model
    asked = [ask_step(model, step) for step in plan_test(device)]

    assert asked[0] == (
        "Let go of everything, put latching controls off and selectors to position 1, but put "
        "flaps to the centre, put trim to the centre, put pump to the centre and put fuel to the "
        "centre"
    )
    assert [words for words in asked if "flaps" in words][1:] == [
        "Put flaps up",
        "Put flaps to the centre",
        "Put flaps down",
        "Put flaps to the centre",
    ]
    assert "Put trim up and let go" in asked
    assert "Turn ignition to position 4 and let go" in asked
    assert "Pull tune and let go" in asked
    keys = [step.key for step in plan_test(device)]
    assert len(keys) == len(set(keys))


def test_each_step_makes_its_own_inputs_heard() -> None:
    device = make_kinds_box()
    model = DeviceFacts(device).model
    simulator = Simulator(model, build_of(model))
    heard = {
        step.key: set(simulator.hear(step, tuple(map(model.mask, step.frames))).seen)
        for step in plan_test(device)
    }
    rest = heard["rest"]

    assert rest == {2, 13, 17}, "the centre of flaps, ignition off, range at position 1"
    assert heard["put flaps.up"] == rest - {2} | {1}
    assert heard["put flaps.centre"] == heard["put flaps.centre from down"] == rest
    assert heard["press trim.down"] == rest | {5}
    assert heard["put-on beacon.on"] == heard["put-off beacon.on"] == rest | {12}
    assert heard["press ignition.position-4"] == rest - {13} | {15, 16}
    assert heard["press tune.pull"] == rest | {22}


def test_contacts_that_make_before_they_break_may_be_closed_side_by_side_alone() -> None:
    places = {f"position-{at}": [1, at] for at in range(1, 5)}
    kind = {"kind": "selector", "positions": 4, "switching": "make-before-break"}
    controls = {"range": {**kind, "crossings": places}}
    lines = {"rows": ["2"], "columns": ["3", "4", "5", "6"]}
    device = make_device("box", lines, controls)
    needs = needs_of_device(device, circuit_of(device))

    assert {frozenset(group) for group in needs.exclusive} == {
        frozenset({(1, 1), (1, 3)}),
        frozenset({(1, 1), (1, 4)}),
        frozenset({(1, 2), (1, 4)}),
    }
    assert closable_with(needs, frozenset({(1, 1)})) == {(1, 1), (1, 2)}


def test_what_springs_back_is_closed_by_a_hand_alone() -> None:
    places = {"up": [1, 1], "down": [1, 2]}
    toggle = {"kind": "latching", "pattern": "on-off-(on)", "crossings": places}
    device = make_device("box", {"rows": ["2"], "columns": ["3", "4"]}, {"trim": toggle})
    needs = needs_of_device(device, circuit_of(device))

    assert closable_with(needs, frozenset()) == {(1, 1)}
    assert closable_with(needs, frozenset({(1, 2)})) == {(1, 2)}


@pytest.mark.parametrize(
    ("kind", "names"),
    [
        ("exchanged", ["flaps.up", "flaps.down"]),
        ("open", ["flaps.down"]),
        ("stuck", ["flaps.up"]),
        ("exchanged", ["fuel.up", "fuel.down"]),
        ("open", ["beacon.on"]),
        ("springs", ["beacon.on"]),
        ("exchanged", ["tune.press", "tune.pull"]),
        ("open", ["tune.pull"]),
        ("exchanged", ["range.position-1", "range.position-2"]),
        ("exchanged", ["trim.up", "trim.down"]),
    ],
)
def test_what_is_wrong_with_switches_of_every_kind_is_named(
    kind: FaultKind, names: list[str]
) -> None:
    """A centre made by the board, pulses of one input, push and pull, positions side by side."""
    session = Session(make_kinds_box(), "full")
    places = tuple(session.model.index[Contact(*name.split("."))] for name in names)
    fault = Fault(kind, places)
    best = diagnose(session.model, hear_all(session, [fault])).explanations[0]

    assert (fault,) in (best.faults, *best.equivalents)
    assert best.unexplained == ()
