"""Speed of the diagnosis: a recording of 64 contacts within 1 s on one core, torn or not."""

from collections.abc import Callable
from dataclasses import replace
from random import Random
from time import process_time
from typing import cast

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from profiles.live.diagnosis import diagnose
from profiles.live.evidence import Observation, Press
from profiles.live.faults import Fault
from profiles.live.question import best_question
from profiles.live.session import Session
from tests.live.simulated import full_test, make_box

LIMIT = 1.3
"""Seconds of one core. Two faults and two slips of the hand take 0.9, and so does a recording whose
lines were shuffled; the rest is margin, to notice a fall from there."""

CASES = {
    "none": (),
    "swapped": (Fault("swapped", (1, 2)),),
    "exchanged": (Fault("exchanged", (3, 40)),),
    "joined": (Fault("joined", (3, 40)),),
    "dead and swapped": (Fault("dead", (2,)), Fault("swapped", (8, 9))),
    "reversed and rotated": (Fault("reversed", (0,)), Fault("rotated", (8, 2))),
}


@pytest.mark.parametrize("slips", [False, True])
@pytest.mark.parametrize("diodes", [False, True])
@pytest.mark.parametrize("name", CASES)
def test_a_record_of_64_contacts(
    benchmark: BenchmarkFixture, name: str, diodes: bool, slips: bool
) -> None:
    """With slips of the hand no set of faults explains all, so that every round is searched."""
    if name == "joined" and not diodes:
        pytest.skip("contacts touch between switch and diode")
    session = full_test(make_box(8, 8, diodes=diodes), CASES[name])
    observed = list(session.observations)
    if slips:
        observed[20] = replace(observed[20], presses=(Press(60, 0.0, 50.0),))
        observed[30] = replace(observed[30], presses=(*observed[30].presses, Press(50, 0.0, 50.0)))

    assert_quick(session, observed, benchmark)


@pytest.mark.parametrize("diodes", [False, True])
def test_a_torn_record_of_64_contacts(benchmark: BenchmarkFixture, diodes: bool) -> None:
    """What was heard belongs to other steps, so that no set of faults explains much."""
    session = full_test(make_box(8, 8, diodes=diodes))
    observed = list(session.observations)
    heard = [(one.already, one.presses, one.ended) for one in observed]
    Random(1).shuffle(heard)
    torn = [
        replace(one, already=already, presses=presses, ended=ended)
        for one, (already, presses, ended) in zip(observed, heard, strict=True)
    ]
    assert_quick(session, torn, benchmark)


def assert_quick(
    session: Session, observed: list[Observation], benchmark: BenchmarkFixture
) -> None:
    def work() -> float:
        start = process_time()
        best_question(session.model, diagnose(session.model, observed))
        return process_time() - start

    run = cast("Callable[..., float]", benchmark.pedantic)
    took = [run(work, rounds=1, iterations=1), work()]
    benchmark.extra_info["steps"] = len(session.steps)
    benchmark.extra_info["seconds of one core"] = round(min(took), 2)
    assert min(took) < LIMIT
