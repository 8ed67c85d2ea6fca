"""Diagnosis of simulated boxes; the whole table is `python -m tests.live.table`."""

import random
from dataclasses import replace
from typing import Any, cast

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.live.diagnosis import UNNAMED, Diagnosis, diagnose
from profiles.live.evidence import Observation, Press, cost_of
from profiles.live.fault_types import FaultKind
from profiles.live.faults import Fault
from profiles.live.search import LEAST_WORK, WORK
from profiles.live.session import Session
from profiles.live.words import describe_faults
from tests.live.simulated import INSTANCE, SimulatedBox, full_test, make_box, run_test
from tests.live.table import Score, box, list_faults, sample_pairs, try_faults

SIZES = [(5, 5), (4, 6), (8, 8)]
EACH = {(5, 5): 3, (4, 6): 3, (8, 8): 1}
PAIRS = {(5, 5): 20, (4, 6): 12, (8, 8): 4}


@pytest.mark.long
@pytest.mark.parametrize("diodes", [False, True])
@pytest.mark.parametrize("size", SIZES)
def test_single_faults_stand_first(size: tuple[int, int], diodes: bool) -> None:
    """A sample of every kind; faults that leave no trace in the recording do not count."""
    _, model = box(*size, diodes)
    scores: list[Score] = []
    for faults in list_faults(model).values():
        for fault in random.Random(5).sample(faults, min(EACH[size], len(faults))):
            scores.append(try_faults(*size, diodes, (fault,)))
    loud = [one for one in scores if not one.silent]
    assert len(loud) >= 0.95 * len(scores)
    assert sum(one.in_class for one in loud) >= 0.95 * len(loud)


@pytest.mark.long
@pytest.mark.parametrize("diodes", [False, True])
def test_pairs_of_faults_stand_among_the_first_three(diodes: bool) -> None:
    """A sample over the three sizes; one fault may hide the other, and then counts as a miss."""
    scores: list[Score] = []
    for size in SIZES:
        _, model = box(*size, diodes)
        for pair in sample_pairs(model, PAIRS[size], seed=11):
            scores.append(try_faults(*size, diodes, pair))
    assert sum(one.in_class for one in scores) >= 0.8 * len(scores)


@pytest.mark.parametrize("driven", ["rows", "columns"])
@pytest.mark.parametrize("diodes", [False, True])
@pytest.mark.parametrize("size", SIZES)
def test_a_faultless_box_gives_no_alarm(size: tuple[int, int], diodes: bool, driven: str) -> None:
    session = full_test(make_box(*size, diodes=diodes, driven=driven))
    found = diagnose(session.model, session.observations)
    assert found.is_sound
    assert found.odd == ()
    assert len(found.explanations) == 1


@settings(max_examples=30, deadline=None)
@given(st.data())
def test_no_part_of_a_faultless_record_gives_an_alarm(data: st.DataObject) -> None:
    session = full_test(make_box(3, 4, diodes=data.draw(st.booleans())))
    some = data.draw(st.lists(st.sampled_from(session.observations), unique=True))
    assert diagnose(session.model, some).is_sound


SLIPS = st.sampled_from(["another too", "another instead", "a detent less"])


def slip(session: Session, kind: str, data: st.DataObject) -> list[Observation]:
    """What was observed, but for one slip of the hand in one step."""
    seen = list(session.observations)
    gesture = "turn" if kind == "a detent less" else "press"
    places = [at for at, one in enumerate(seen) if one.step.gesture == gesture]
    at = data.draw(st.sampled_from(places))
    presses = seen[at].presses
    other = Press(data.draw(st.integers(1, 12)), session.time, session.time + 80.0)
    changed = {
        "another too": (*presses, other),
        "another instead": (other,),
        "a detent less": presses[:-1],
    }
    seen[at] = replace(seen[at], presses=changed[kind])
    return seen


@settings(max_examples=30, deadline=None)
@given(st.data())
def test_one_slip_of_the_hand_gives_no_alarm(data: st.DataObject) -> None:
    session = full_test(make_box(3, 4, diodes=data.draw(st.booleans())))
    seen = slip(session, data.draw(SLIPS), data)
    assert diagnose(session.model, seen).is_sound


@settings(max_examples=15, deadline=None)
@given(st.data())
def test_one_slip_of_the_hand_does_not_hide_a_fault(data: st.DataObject) -> None:
    """Of a line, or of the board: a fault of one contact may rest on the very step that slipped."""
    _, model = box(4, 5, True)
    by_kind = list_faults(model)
    kind = data.draw(st.sampled_from(["swapped", "rotated", "dead", "transposed", "reversed"]))
    fault = data.draw(st.sampled_from(by_kind[cast("FaultKind", kind)]))
    session = full_test(make_box(4, 5, diodes=True), [fault])
    seen = slip(session, data.draw(SLIPS), data)
    (best, *_) = diagnose(session.model, seen).explanations
    assert (fault,) in (best.faults, *best.equivalents)


@pytest.mark.parametrize("diodes", [False, True])
def test_what_nothing_explains_takes_bounded_work_and_is_told_so(
    diodes: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A recording whose lines were shuffled: what was heard belongs to other steps."""
    session = full_test(make_box(8, 8, diodes=diodes))
    seen = list(session.observations)
    heard = [(one.already, one.presses, one.ended) for one in seen]
    random.Random(1).shuffle(heard)
    torn = [
        replace(one, already=already, presses=presses, ended=ended)
        for one, (already, presses, ended) in zip(seen, heard, strict=True)
    ]
    predicted: list[None] = []

    def count(*given: Any) -> Any:
        predicted.append(None)
        return cost_of(*given)

    monkeypatch.setattr("profiles.live.search.cost_of", count)
    best = diagnose(session.model, torn).explanations[0]

    assert UNNAMED in best.faults
    assert len(best.unexplained) > len(torn) / 3
    assert len(predicted) < 1.6 * max(WORK * len(torn), LEAST_WORK)


def first(device_rows: int, columns: int, *faults: Fault, diodes: bool = True) -> str:
    session = full_test(make_box(device_rows, columns, diodes=diodes), faults)
    found = diagnose(session.model, session.observations)
    return describe_faults(session.model, found.explanations[0].faults)


@pytest.mark.parametrize(
    ("fault", "words"),
    [
        (
            Fault("swapped", (1, 2)),
            "row 2 (pin A1) and row 3 (pin A2) are swapped at the board",
        ),
        (
            Fault("swapped", (0, 5)),
            "row 1 (pin A0) and column 2 (pin 3) are swapped at the board",
        ),
        (
            Fault("rotated", (4, 2)),
            "the columns are moved round by 2 pins: column 1 sits on pin 4",
        ),
        (Fault("shifted", (0, 1)), "the rows are shifted by 1 pin: row 1 sits on pin A1"),
        (Fault("shifted", (4, -1)), "the columns are shifted by 1 pin: column 2 sits on pin 2"),
        (Fault("reversed", (0,)), "the rows sit on their pins in reverse order"),
        (Fault("transposed"), "the board numbers along columns, not rows"),
        (Fault("offset", (-1,)), "every input is 1 too low"),
        (Fault("exchanged", (2, 9)), "b13.press and b25.press are exchanged"),
        (Fault("dead", (6,)), "column 3 (pin 4) is off its pin"),
        (Fault("bridged", (0, 3)), "row 1 (pin A0) touches row 4 (pin A3)"),
        (
            Fault("joined", (1, 13)),
            "b12.press and b34.press touch between switch and diode",
        ),
        (Fault("stuck", (8,)), "b24.press is closed all the time"),
        (Fault("open", (8,)), "b24.press never closes"),
        (Fault("diode-reversed", (8,)), "the diode at b24.press is reversed"),
        (Fault("diode-missing", (8,)), "the diode at b24.press is missing or shorted"),
        (
            Fault("diodes-reversed"),
            "every diode is reversed, or the board drives the other side",
        ),
        (
            Fault("turns-back", (0,)),
            "trim counts backwards: its two channels are exchanged",
        ),
        (Fault("skips", (0,)), "trim skips detents"),
        (Fault("multiplies", (0, 1)), "trim gives 2 pulses per detent"),
        (Fault("bounces", (8,)), "b24.press bounces for longer than the debounce time"),
    ],
)
def test_each_kind_is_named_with_its_pins_and_contacts(fault: Fault, words: str) -> None:
    assert first(4, 5, fault) == words


def explain(*faults: Fault, diodes: bool = False) -> Diagnosis:
    session = full_test(make_box(4, 5, diodes=diodes), faults)
    return diagnose(session.model, session.observations)


def test_two_faults_are_both_named() -> None:
    assert first(4, 5, Fault("dead", (6,)), Fault("swapped", (0, 1))) in (
        "column 3 (pin 4) is off its pin; and "
        "row 1 (pin A0) and row 2 (pin A1) are swapped at the board",
        "row 1 (pin A0) and row 2 (pin A1) are swapped at the board; and "
        "column 3 (pin 4) is off its pin",
    )


def test_what_cannot_be_told_apart_stands_together() -> None:
    """Without diodes a contact closed all the time is a bridge from its row to its column."""
    (best, *_) = explain(Fault("stuck", (7,))).explanations
    assert best.faults == (Fault("stuck", (7,)),)
    assert best.equivalents == ((Fault("bridged", (1, 6)),),)


def test_confidence_is_shared_out() -> None:
    found = explain(Fault("open", (7,)))
    shares = [one.confidence for one in found.explanations]
    assert sum(shares) == pytest.approx(1.0)
    assert shares == sorted(shares, reverse=True)
    assert shares[0] > 0.9
    assert found.explanations[1].faults == ()


def test_what_an_explanation_leaves_over_is_said() -> None:
    found = explain(Fault("open", (7,)))
    assert found.odd == ("press b23.press",)
    assert found.explanations[0].unexplained == ()
    assert found.explanations[1].unexplained == ("press b23.press",)


def test_a_partial_record_is_enough_where_it_holds_the_evidence() -> None:
    device = make_box(4, 5)
    session = Session(device, instance=INSTANCE)
    run_test(session, SimulatedBox(device, [Fault("swapped", (0, 1))]))
    part = [
        one for one in session.observations if one.step.key.endswith(("b12.press", "b23.press"))
    ]
    assert len(part) == 2
    (best, *_) = diagnose(session.model, part).explanations
    assert Fault("swapped", (0, 1)) in best.faults


@pytest.mark.parametrize(
    ("fault", "key"),
    [
        (Fault("stuck", (15,)), "rest"),
        (Fault("inverted", (5,)), "rest"),
        (Fault("exchanged", (3, 10)), "press b14.press"),
    ],
)
def test_contacts_that_were_not_tried_yet_are_thought_of(fault: Fault, key: str) -> None:
    """At the first odd step already, so that what is asked next can decide."""
    session = full_test(make_box(4, 5, diodes=True), [fault])
    done = [one.step.key for one in session.observations].index(key) + 1
    found = diagnose(session.model, session.observations[:done])

    assert (fault,) in [
        one for each in found.explanations for one in (each.faults, *each.equivalents)
    ]


def test_an_empty_record_says_nothing_is_known_to_be_wrong() -> None:
    device = make_box(4, 5)
    found = diagnose(Session(device).model, ())
    assert found.is_sound
    assert found.readings == 0


def test_the_same_record_always_gives_the_same_answer() -> None:
    assert explain(Fault("bridged", (0, 2))) == explain(Fault("bridged", (0, 2)))
