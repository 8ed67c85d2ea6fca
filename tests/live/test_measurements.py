"""Measurements from a press test."""

import statistics

from hypothesis import given
from hypothesis import strategies as st

from profiles.live.evidence import Observation, Press
from profiles.live.measurements import TurnMeasurements, summarise
from profiles.live.plan import Step
from profiles.model import Contact

HORN, TRIM = Contact("horn", "press"), Contact("trim", "clockwise")
values = st.lists(st.floats(0, 1e6), min_size=1, max_size=50)


def pressed(*presses: Press) -> Observation:
    return Observation(Step("press", HORN, ()), presses=presses)


def turned(gaps: list[float], detents: int) -> Observation:
    starts = [sum(gaps[:at]) for at in range(len(gaps) + 1)]
    presses = tuple(Press(5, start, start + 1) for start in starts)
    return Observation(Step("turn", TRIM, (), detents=detents), presses=presses)


def test_press_times_and_bounces_are_told_apart() -> None:
    (one,) = summarise([pressed(Press(1, 0.0, 4.0), Press(1, 7.0, 90.0))]).presses
    assert (one.times, one.bounces, one.median) == ((90.0,), (3.0,), 90.0)


def test_a_turn_without_a_loss_has_a_fastest_speed() -> None:
    """Four detents in 4 x 20 ms at best: 50 a second."""
    (one,) = summarise([turned([100.0] * 3 + [20.0] * 4 + [100.0] * 2, 10)]).turns
    assert one == TurnMeasurements(TRIM, 10, 10, one.gaps, 50.0)
    assert one.per_detent == 1.0


def test_a_turn_that_lost_detents_has_none() -> None:
    (one,) = summarise([turned([20.0] * 7, 10)]).turns
    assert (one.pulses, one.per_detent, one.fastest) == (8, 0.8, None)


def test_skipped_steps_and_silent_ones_give_no_measurements() -> None:
    silent = pressed()
    skipped = Observation(Step("press", HORN, ()), skipped=True)
    found = summarise([silent, skipped])
    assert (found.presses, found.turns) == ((), ())


@given(values)
def test_half_of_the_values_are_on_either_side_of_the_median(some: list[float]) -> None:
    (one,) = summarise([pressed(*(Press(at, 0.0, value) for at, value in enumerate(some)))]).presses
    assert one.median == statistics.median(some)
    assert 2 * sum(value <= one.median for value in some) >= len(some)
    assert 2 * sum(value >= one.median for value in some) >= len(some)
