"""Rotaries that move an axis: detents in, reports out, from both cores, facts and a press test.

Reports are read by hid-tools, the reader of the kernel's own HID test suite, from the descriptor
that the box sends.
"""

from pathlib import Path
from typing import Any

import pytest

from profiles.checks.numbers import check_repeated
from profiles.facts.device import DeviceFacts
from profiles.facts.survey import Survey
from profiles.host.axes import name_input
from profiles.live.events import Event
from profiles.live.lines import Answer
from profiles.live.session import Session
from profiles.live.words import ask_step
from profiles.model import Contact, Device, Library
from tests.firmware.boxes import make_device
from tests.firmware.test_fields import Bench

Z = "00010032"
"""Usage of Z (HID Usage Tables 1.12, table 6)."""

CHANNELS = {"clockwise": "2", "anticlockwise": "3"}
TRIM: dict[str, Any] = {"kind": "rotary", "axis": "z", "pins": CHANNELS}


def box(trim: dict[str, Any], **others: Any) -> Device:
    wiring = {"debounce": 1.0}
    turn = {"clockwise": "4", "anticlockwise": "5"}
    inputs = {"clockwise": 1, "anticlockwise": 2}
    step = {"kind": "rotary", "pins": turn, "inputs": inputs}
    return make_device("dials", wiring, {"step": step, "trim": {**TRIM, **trim}, **others})


def turn(bench: Bench, detents: int, steps: int) -> int:
    """The axis after so many detents from power-up, the same from both cores."""
    a, b = Contact("trim", "clockwise"), Contact("trim", "anticlockwise")
    cycle: list[set[Contact]] = [set(), {a}, {a, b}, {b}]
    way = 1 if detents > 0 else -1
    shown = [cycle[way * at % 4] for at in range(abs(detents) * steps + 1)]
    rows = [bench.row(closed, {}) for closed in shown for _ in range(4)]
    values = []
    for core in bench.cores:
        changes = core.run(rows, [1] * len(rows), bytes(16))
        told = [bench.reader.read(report) for _, report in changes]
        assert not any(one["buttons"] for one in told)
        values.append(told[-1][Z][0] if told else 0)
    assert len(set(values)) == 1
    return values[0]


@pytest.mark.parametrize("steps", [1, 2, 4])
@pytest.mark.parametrize(
    ("detents", "value"),
    [(0, 0), (1, 6553), (-1, -6553), (4, 26212), (5, 32765), (6, 32767), (9, 32767), (-9, -32767)],
)
def test_each_detent_moves_the_axis_a_step_and_no_further_than_its_ends(
    tmp_path: Path, steps: int, detents: int, value: int
) -> None:
    bench = Bench(box({"axis_step": 10.0, "steps_per_detent": steps}), tmp_path)

    assert turn(bench, detents, steps) == value


def test_a_rotary_beside_it_still_pulses(tmp_path: Path) -> None:
    bench = Bench(box({}), tmp_path)
    a, b = Contact("step", "clockwise"), Contact("step", "anticlockwise")
    rows = [bench.row(one, {}) for one in (set(), {a}, {a, b}, {b}, set()) for _ in range(4)]

    for core in bench.cores:
        told = [bench.reader.read(report) for _, report in core.run(rows, [1] * 20, bytes(16))]
        assert [1] in [one["buttons"] for one in told]
        assert {one[Z][0] for one in told} == {0}


def test_facts_tell_the_ends_to_which_it_leads() -> None:
    facts = DeviceFacts(box({}))

    assert {str(one): name_input(number) for one, number in facts.reported.items()} == {
        "step.clockwise": "input 1",
        "step.anticlockwise": "input 2",
        "trim.clockwise": "the high end of axis Z",
        "trim.anticlockwise": "the low end of axis Z",
    }
    assert "trim" not in facts.pulses


def test_two_controls_on_one_axis_are_found() -> None:
    lever = {"kind": "axis", "axis": "z", "pin": "A0", "position": [50.0, 50.0]}
    (found,) = check_repeated(Survey(Library.of([box({}, lever=lever)])))

    assert found.message == "axis Z serves `trim.clockwise` and `lever`"


def test_one_rotary_on_an_axis_repeats_nothing() -> None:
    assert list(check_repeated(Survey(Library.of([box({})])))) == []


@pytest.mark.parametrize(
    ("trim", "words"),
    [
        ({"inputs": {"clockwise": 3}}, "gives `clockwise` an input, but its detents move an axis"),
        ({"gap": 5.0}, "has `gap`, but its detents move an axis and pulse nothing"),
        ({"axis": None, "axis_step": 5.0}, "has an `axis_step` but no `axis` that it moves"),
    ],
)
def test_what_contradicts_an_axis_is_refused(trim: dict[str, Any], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        box(trim)


@pytest.mark.parametrize("way", [1, -1])
def test_a_press_test_turns_it_to_both_ends(way: int) -> None:
    """The hand goes to one end and to the other; a box that turns the other way round is found."""
    device = make_device("one", {}, {"trim": {**TRIM, "axis_step": 10.0}})
    session = Session(device, instance=1, platform="linux")
    session.take(Event(0.0, 1, "added"))
    asked, at = [], 0  # in the middle at power-up
    while session.step is not None:
        time, step = session.time + 1000.0, session.step
        asked.append(ask_step(session.model, step))
        if step.contact is None:
            session.take(Answer(time, "next"))
            continue
        end = way if step.contact.contact == "clockwise" else -way
        values = [max(-32767, min(32767, at + end * 6553 * n)) for n in range(1, 11)]
        at = values[-1]
        session.take(*(Event(time + 20 * n, 1, "axis", 1, v) for n, v in enumerate(values)))
        session.tick(time + 5000.0)
        assert session.step != step
    assert asked[1:] == [
        "Turn trim clockwise 10 detents, to its high end",
        "Turn trim anticlockwise 10 detents, to its low end",
    ]
    told = {verdict.step.key: verdict.words for verdict in session.verdicts()}
    first, second = ("high", "low") if way > 0 else ("low", "high")
    more = ("", "") if way > 0 else ("high", "low")
    wanted = [
        f"heard the {one} end of axis Z"
        + (f" instead of the {other} end of axis Z" if other else "")
        for one, other in zip((first, second), more, strict=True)
    ]
    assert [told["to-high trim.clockwise"], told["to-low trim.anticlockwise"]] == wanted
