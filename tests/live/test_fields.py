"""The press test of hats and axes: a simulated hand moves them, the box tells the host."""

from collections.abc import Iterator

import pytest

from profiles.host.axes import show_input
from profiles.live.diagnosis import diagnose
from profiles.live.events import Event
from profiles.live.faults import Fault
from profiles.live.forward import ENDS
from profiles.live.lines import Answer
from profiles.live.plan import Step, plan_test
from profiles.live.session import Session
from profiles.live.words import ask_step, describe_fault, describe_faults
from profiles.model import Device
from tests.firmware.boxes import make_device
from tests.firmware.test_fields import make_fields_box
from tests.live.test_examples import hear_all

BITS = {"up": 1, "right": 2, "down": 4, "left": 8}
"""SDL_hat: a bit for each way (wiki.libsdl.org, SDL_JoystickGetHat)."""

AXIS_ORDER = {"tiller": 1, "keel": 2, "sail": 3}
"""Place of each axis on Linux: by event code, ABS_X, ABS_RZ, ABS_THROTTLE."""


def move(step: Step, time: float, turned: dict[str, int]) -> Iterator[Event]:
    """What the box sends when the hand does what a step asks; `turned` -1 turns an axis round."""
    assert step.contact is not None
    name, contact = step.contact
    if step.gesture in ("to-high", "to-low"):
        end = (1 if step.gesture == "to-high" else -1) * turned.get(name, 1)
        for place, value in enumerate((10000, 20000, 30000, 32767)):
            yield Event(time + place, 1, "axis", AXIS_ORDER[name], end * value)
    elif name == "menu" or contact == "press":
        numbers = {"up": [4], "right": [5], "down": [6], "left": [7], "press": [3]}
        numbers |= {"up-right": [8], "down-right": [5, 6], "up-left": [4, 7]}
        for kind in ("down", "up"):
            for number in numbers.get(contact, [6, 7]):
                yield Event(time, 1, kind, number)
            time += 50
    else:
        value = sum(BITS[way] for way in contact.split("-"))
        yield Event(time, 1, "hat", {"look": 1, "view": 2}[name], value)
        yield Event(time + 50, 1, "hat", {"look": 1, "view": 2}[name], 0)


def run(device: Device, turned: dict[str, int] | None = None, swap: bool = False) -> Session:
    """A whole test; with `swap` up and left of the first hat are swapped."""
    session = Session(device, instance=1, platform="linux")
    session.take(Event(0.0, 1, "added"))
    while session.step is not None:
        time = session.time + 1000.0
        step = session.step
        if step.contact is None:
            session.take(Answer(time, "next"))
            continue
        events = list(move(step, time, turned or {}))
        if swap and step.contact.control == "look":
            turn = {1: 8, 8: 1}
            events = [
                Event(
                    e.time, 1, "hat", 1, sum(turn.get(b, b) for b in BITS.values() if e.value & b)
                )
                for e in events
            ]
        session.take(*events)
        session.tick(time + 5000.0)
        assert session.step != step, ask_step(session.model, step)
    return session


def test_a_sound_box_is_right_in_every_step_that_linux_can_hear() -> None:
    """Linux keeps one hat: the ways of the second are not heard (drivers/hid/hid-input.c)."""
    session = run(make_fields_box_with_one_hat())

    assert {(v.step.key, v.words) for v in session.verdicts() if v.kind != "right"} == set()
    told = {verdict.step.key: verdict.words for verdict in session.verdicts()}
    assert told["press look.up-left"] == "heard hat 1 up and hat 1 left"
    assert told["press menu.up-right"] == "heard input 8"
    assert told["to-low tiller.axis"] == "heard the low end of axis X"


def make_fields_box_with_one_hat() -> Device:
    device = make_fields_box()
    controls = {name: one for name, one in device.controls.items() if name != "view"}
    return device.model_copy(update={"controls": controls})


def test_an_axis_turned_round_is_named() -> None:
    session = run(make_fields_box_with_one_hat(), turned={"sail": -1})
    odd = {
        verdict.step.key: verdict.words for verdict in session.verdicts() if verdict.kind != "right"
    }

    assert odd == {
        "to-high sail.axis": "heard the low end of axis Throttle instead of the high end of"
        " axis Throttle",
        "to-low sail.axis": "heard the high end of axis Throttle instead of the low end of"
        " axis Throttle",
    }
    best = diagnose(session.model, session.observations).explanations[0]
    assert describe_faults(session.model, best.faults) == "sail works backwards"


def test_swapped_ways_of_a_hat_are_named() -> None:
    session = run(make_fields_box_with_one_hat(), swap=True)
    odd = {
        verdict.step.key: verdict.words for verdict in session.verdicts() if verdict.kind != "right"
    }

    assert odd["press look.up"] == "heard hat 1 left instead of hat 1 up"
    assert odd["press look.down-left"] == "heard hat 1 up instead of hat 1 left"
    best = diagnose(session.model, session.observations).explanations[0]
    assert describe_faults(session.model, best.faults) == "look.up and look.left are exchanged"


@pytest.mark.parametrize(
    ("key", "words"),
    [
        ("press look.up-left", "Tilt look up and left, then let go"),
        ("press view.press", "Press and release view"),
        ("to-high sail.axis", "Move sail to its high end"),
        (
            "rest",
            "Let go of everything, put latching controls off, levers to their low end and"
            " selectors to position 1",
        ),
    ],
)
def test_steps_ask_for_tilts_and_ends(key: str, words: str) -> None:
    device = make_fields_box()
    step = next(one for one in plan_test(device) if one.key == key)

    assert ask_step(Session(device).model, step) == words


@pytest.mark.parametrize("steps", [1, 2, 4])
def test_a_knob_that_moves_an_axis_the_wrong_way_has_its_channels_exchanged(steps: int) -> None:
    knobs = {
        name: {"kind": "rotary", "axis": axis, "steps_per_detent": steps, "pins": dict(pins)}
        for name, axis, pins in (
            ("dimmer", "dial", {"clockwise": "20", "anticlockwise": "21"}),
            ("volume", "slider", {"clockwise": "22", "anticlockwise": "23"}),
        )
    }
    device = make_device("knobs", {}, {**knobs, "horn": {"kind": "momentary", "pin": "24"}})
    session = Session(device, "full")
    names = ("dimmer.clockwise", "dimmer.anticlockwise")
    observed = hear_all(session, [Fault("turns-back", (0,))])
    heard = {one.step.key: show_all(one.seen) for one in observed if one.step.gesture in ENDS}

    (best, *_) = diagnose(session.model, observed).explanations

    assert heard == {
        f"to-high {names[0]}": "the low end of axis Dial",
        f"to-low {names[1]}": "the high end of axis Dial",
        "to-high volume.clockwise": "the high end of axis Slider",
        "to-low volume.anticlockwise": "the low end of axis Slider",
    }
    assert best.faults == (Fault("turns-back", (0,)),)
    assert describe_fault(session.model, best.faults[0]) == (
        "dimmer counts backwards: its two channels are exchanged"
    )
    assert diagnose(session.model, hear_all(session, ())).is_sound


def show_all(numbers: frozenset[int]) -> str:
    return ", ".join(show_input(number) for number in sorted(numbers))
