"""What a control is, by what it does: each kind worked as a hand works it.

Hands are imitated with times of their own; pulses are as long as the firmware makes them.
"""

import random
from collections.abc import Iterable, Iterator
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.files.validate import validate_content
from profiles.live.behaviour import (
    Behaviour,
    Trace,
    UnclearError,
    describe_fields,
    read_behaviour,
)
from profiles.live.events import Event

START = 10_000.0
Doing = tuple[str, int, float]
"""`down` or `up`, a button, and how many ms later the next thing is done."""


def press(number: int, ms: float = 130.0) -> list[Doing]:
    return [("down", number, ms), ("up", number, 250.0)]


def pulse(number: int, times: int = 1) -> list[Doing]:
    return [("down", number, 30.0), ("up", number, 30.0)] * times


def work(*doings: Doing, down: Iterable[int] = (), wait: float = 2500.0) -> tuple[Trace, float]:
    """The trace of these, and the time after it."""
    trace, time = Trace(frozenset(down)), START
    for kind, number, ms in doings:
        if kind == "hat":
            trace.take(Event(time, 1, "hat", 1, number), START)
        elif kind == "axis":
            trace.take(Event(time, 1, "axis", 2, number), START)
        else:
            trace.take(Event(time, 1, "down" if kind == "down" else "up", number), START)
        time += ms
    return trace, time + wait


def stay(*numbers: int, down: int = 0) -> Iterator[Doing]:
    """One of several inputs after another, each for 2 s; `down` is that at the beginning."""
    last = down
    for number in numbers:
        if last:
            yield ("up", last, 40.0)
        yield ("down", number, 2000.0)
        last = number


KINDS: dict[str, tuple[list[Doing], tuple[int, ...], str, dict[str, Any]]] = {
    "button": (press(5), (), "momentary", {"input": 5}),
    "button pressed again and again": (press(5) * 4, (), "momentary", {"input": 5}),
    "button closed at rest": (
        [("up", 5, 150.0), ("down", 5, 100.0)],
        (5,),
        "momentary",
        {"input": 5},
    ),
    "toggle": ([("down", 4, 2000.0), ("up", 4, 10.0)], (), "latching", {"input": 4}),
    "toggle put off": ([("up", 4, 2000.0), ("down", 4, 10.0)], (4,), "latching", {"input": 4}),
    "toggle left on": ([("down", 4, 10.0)], (), "latching", {"input": 4}),
    "toggle of edges": (
        [*pulse(4), ("", 0, 900.0), *pulse(6)],
        (),
        "latching",
        {"reports": "edges", "inputs": {"on": 4, "off": 6}},
    ),
    "three positions": (
        [("down", 1, 2000.0), ("up", 1, 900.0), ("down", 2, 2000.0), ("up", 2, 10.0)],
        (),
        "latching",
        {"pattern": "on-off-on", "inputs": {"up": 1, "down": 2}},
    ),
    "three positions, one springs": (
        [("down", 1, 2000.0), ("up", 1, 900.0), *press(2, 400.0)],
        (),
        "latching",
        {"pattern": "on-off-(on)", "inputs": {"up": 1, "down": 2}},
    ),
    "both spring": (
        [*press(1, 210.0), *press(2, 340.0)],
        (),
        "latching",
        {"pattern": "(on)-off-(on)", "inputs": {"up": 1, "down": 2}},
    ),
    "one of two": (
        [*stay(1, 2, down=2)],
        (2,),
        "latching",
        {"pattern": "on-on", "inputs": {"up": 1, "down": 2}},
    ),
    "rotary": (
        [*pulse(9, 5), *pulse(10, 4)],
        (),
        "rotary",
        {"inputs": {"clockwise": 9, "anticlockwise": 10}},
    ),
    "rotary with a push": (
        [*pulse(10, 5), *pulse(9, 7), *press(2)],
        (),
        "rotary",
        {"inputs": {"clockwise": 10, "anticlockwise": 9, "press": 2}},
    ),
    "selector": (
        [*stay(7, 8, 7, 6, down=6)],
        (6,),
        "selector",
        {"positions": 3, "inputs": {"position-1": 6, "position-2": 7, "position-3": 8}},
    ),
    "selector, first without a contact": (
        [*stay(7, 8, 9), ("up", 9, 10.0)],
        (),
        "selector",
        {
            "positions": 4,
            "off": [1],
            "inputs": {"position-2": 7, "position-3": 8, "position-4": 9},
        },
    ),
    "selector, middle without a contact": (
        [("up", 6, 40.0), ("down", 7, 2000.0), ("up", 7, 2000.0), ("down", 8, 2000.0)],
        (6,),
        "selector",
        {"positions": 4, "off": [3], "inputs": {"position-1": 6, "position-2": 7, "position-4": 8}},
    ),
    "selector of pulses": (
        [*pulse(7), *pulse(8), *pulse(7), *pulse(6)],
        (),
        "selector",
        {
            "reports": "edges",
            "positions": 3,
            "inputs": {"position-1": 6, "position-2": 7, "position-3": 8},
        },
    ),
    "hat": ([("hat", 1, 200.0), ("hat", 0, 200.0), ("hat", 2, 0)], (), "hat", {"ways": 4}),
    "hat with corners": (
        [("hat", 1, 90.0), ("hat", 3, 90.0), ("hat", 0, 90.0)],
        (),
        "hat",
        {"ways": 8},
    ),
    "hat with a push": (
        [("hat", 1, 200.0), ("hat", 0, 200.0), *press(3)],
        (),
        "hat",
        {"ways": 5, "inputs": {"press": 3}},
    ),
    "hat of buttons": (
        [*press(1, 150.0), *press(2, 180.0), *press(3, 130.0), *press(4, 220.0)],
        (),
        "hat",
        {"reports": "buttons", "ways": 4, "inputs": {"up": 1, "right": 2, "down": 3, "left": 4}},
    ),
    "lever": (
        [("axis", -32768, 90.0), ("axis", 0, 90.0), ("axis", 32767, 90.0)],
        (),
        "axis",
        {"axis": "y"},
    ),
    "stick": (
        [("axis", 0, 9.0), ("axis", 32767, 90.0), ("axis", -32768, 90.0), ("axis", 800, 9.0)],
        (),
        "axis",
        {"axis": "y", "centre": 50.0},
    ),
}


@pytest.mark.parametrize("worked", KINDS)
def test_a_kind_is_found_by_what_a_control_does(worked: str) -> None:
    doings, down, kind, keys = KINDS[worked]
    found = read_behaviour(*work(*doings, down=down))
    assert (found.kind, dict(found.keys)) == (kind, keys)


@pytest.mark.parametrize("worked", KINDS)
def test_a_device_file_may_hold_what_was_found(worked: str) -> None:
    doings, down, *_ = KINDS[worked]
    found = read_behaviour(*work(*doings, down=down))
    check(found)


def check(found: Behaviour) -> None:
    """A file with this control can be read."""
    control = {"kind": found.kind, "label": "X", "position": [20.0, 20.0], "hole": 9.0}
    content = {
        "format": 1,
        "device": {"id": "box", "name": "Box"},
        "plate": {"width": 60.0, "height": 60.0},
        "controls": {"x": {**control, **found.keys}},
    }
    assert validate_content(content).id == "box"


@pytest.mark.parametrize(
    ("doings", "kind", "why"),
    [
        ([], "", "nothing new was heard"),
        (
            [("down", 1, 900.0), ("down", 2, 900.0)],
            "",
            "inputs 1 and 2 were down together: work one control alone",
        ),
        (
            [*press(1), *press(2, 99), *press(3)],
            "",
            "inputs 1, 2 and 3 were heard, each for a moment: work one control alone",
        ),
        (
            [("hat", 1, 9.0), ("axis", 0, 9.0), ("axis", 32767, 9.0)],
            "",
            "hat 1 and axis 2 moved: work one of them alone",
        ),
        (press(1), "rotary", "a rotary has 2 or 3 inputs, and 1 was heard"),
        (press(1), "axis", "what was heard is no axis"),
        ([("hat", 1, 9.0)], "momentary", "what was heard is no momentary"),
        (press(1), "selector", "a selector has 2 inputs or more, and 1 was heard"),
    ],
)
def test_what_is_no_one_control_is_said(doings: list[Doing], kind: str, why: str) -> None:
    with pytest.raises(UnclearError) as caught:
        read_behaviour(*work(*doings), kind=kind)
    assert str(caught.value) == why


def test_a_kind_that_is_typed_wins_where_it_fits() -> None:
    assert read_behaviour(*work(*press(5)), kind="latching").keys == {
        "reports": "changes",
        "input": 5,
    }
    both = work(*press(1, 210.0), *press(2, 340.0))
    assert read_behaviour(*both, kind="selector").keys["positions"] == 2


@given(st.integers(0, 10_000))
def test_a_rotary_is_a_rotary_at_any_pace_and_with_any_number_of_detents(seed: int) -> None:
    chance = random.Random(seed)
    doings: list[Doing] = []
    for number in (3, 8):
        for _ in range(chance.randint(3, 30)):
            doings += [("down", number, 30.0), ("up", number, chance.uniform(30.0, 900.0))]
    found = read_behaviour(*work(*doings))
    assert found.keys == {"inputs": {"clockwise": 3, "anticlockwise": 8}}


@given(st.lists(st.tuples(st.sampled_from(["down", "up"]), st.integers(1, 6)), max_size=40))
def test_anything_that_is_heard_is_a_control_or_is_said_to_be_none(
    heard: list[tuple[str, int]],
) -> None:
    doings = [(kind, number, 77.0 * number * number) for kind, number in heard]
    found, why = None, ""
    try:
        found = read_behaviour(*work(*doings, down=(2, 5)))
    except UnclearError as unclear:
        why = str(unclear)
    assert (found is None) == bool(why)
    if found is not None:
        numbers = {number for _, number in found.fields}
        inputs = found.keys.get("inputs", {"": found.keys.get("input")})
        assert set(inputs.values()) == numbers
        check(found)


def test_runs_of_buttons_are_told_short() -> None:
    fields = [("button", n) for n in (3, 5, 6, 7, 9)] + [("axis", 1), ("axis", 2), ("hat", 1)]
    assert describe_fields(fields) == "buttons 3, 5 to 7, 9; hat 1; axes 1, 2"
