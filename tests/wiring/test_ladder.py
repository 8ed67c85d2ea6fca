"""Ladders: windows by interval arithmetic against corners and Monte Carlo; proposed resistors."""

import random
from bisect import bisect
from itertools import pairwise, product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.wiring.ladder import (
    CONTACT_RESISTANCE,
    READ_ERROR,
    find_margin,
    find_thresholds,
    find_windows,
    propose_steps,
)
from profiles.wiring.power import SERIES

RESISTORS = st.lists(st.floats(0.1, 100.0), min_size=1, max_size=5)
TOLERANCES = st.sampled_from([0.0, 1.0, 2.0, 5.0, 10.0])


def read(pull_up: float, through: float) -> float:
    """Share of the supply at the middle of a voltage divider (Ohm's law)."""
    return through / (through + pull_up)


@given(st.floats(1.0, 100.0), RESISTORS, TOLERANCES)
def test_windows_reach_to_the_corners_and_no_further(
    pull_up: float, steps: list[float], tolerance: float
) -> None:
    """Every resistor at either end of its tolerance, the contact without or with resistance."""
    windows = find_windows(pull_up, steps, tolerance)
    ends = (1 - tolerance / 100, 1 + tolerance / 100)
    for at in range(len(steps) + 1):
        corners = [
            read(pull_up * share, sum(r * s for r, s in zip(steps, shares, strict=False)) + extra)
            for share, *shares in product(ends, repeat=at + 1)
            for extra in (0.0, CONTACT_RESISTANCE)
        ]
        assert windows[at].low == pytest.approx(max(min(corners) - READ_ERROR, 0), abs=1e-9)
        assert windows[at].high == pytest.approx(min(max(corners) + READ_ERROR, 1), abs=1e-9)


@pytest.mark.parametrize(("contacts", "tolerance"), [(2, 5.0), (5, 5.0), (8, 5.0), (16, 1.0)])
def test_a_reading_never_lands_at_another_contact(contacts: int, tolerance: float) -> None:
    """Monte Carlo: random resistors within tolerance, contact resistance and reading error."""
    steps = propose_steps(contacts, 10.0, tolerance)
    assert steps is not None
    thresholds = find_thresholds(find_windows(10.0, steps, tolerance))
    rng = random.Random(contacts)
    spread = tolerance / 100

    def vary(value: float) -> float:
        return value * rng.uniform(1 - spread, 1 + spread)

    for _ in range(5000):
        at = rng.randrange(contacts + 1)
        share = 1.0
        if at < contacts:
            through = sum(map(vary, steps[:at])) + rng.uniform(0, CONTACT_RESISTANCE)
            share = read(vary(10.0), through)
        assert bisect(thresholds, share + rng.uniform(-READ_ERROR, READ_ERROR)) == at


@given(st.floats(1.0, 100.0), RESISTORS, TOLERANCES)
def test_room_between_windows_parts_them(
    pull_up: float, steps: list[float], tolerance: float
) -> None:
    windows = find_windows(pull_up, steps, tolerance)
    alone = all(one.high < other.low for one, other in pairwise(windows))
    assert (find_margin(windows) > 0) == alone
    if alone:
        for window, threshold in zip(windows, find_thresholds(windows), strict=False):
            assert window.high < threshold


@pytest.mark.parametrize("series", ["E12", "E24"])
@pytest.mark.parametrize(("contacts", "tolerance"), [(3, 1.0), (3, 5.0), (4, 1.0), (4, 5.0)])
def test_no_other_resistors_of_the_series_leave_much_more_room(
    contacts: int, tolerance: float, series: str
) -> None:
    """Brute force over two decades of IEC 60063: within a tenth of the best there is."""
    values = [value * power for value in SERIES[series] for power in (0.1, 1.0)]

    def room(steps: tuple[float, ...]) -> float:
        return find_margin(find_windows(10.0, steps, tolerance))

    steps = propose_steps(contacts, 10.0, tolerance, series)
    assert steps is not None
    best = max(map(room, product(values, repeat=contacts - 1)))
    assert room(steps) >= 0.9 * best


def test_resistors_are_of_the_series() -> None:
    for series, values in SERIES.items():
        steps = propose_steps(10, 10.0, 5.0, series)
        assert steps is not None
        assert {round(float(f"{value:e}".split("e")[0]) * 10) for value in steps} <= set(values)


def test_too_many_contacts_for_the_tolerance_get_no_resistors() -> None:
    assert propose_steps(16, 10.0, 10.0) is None
    assert propose_steps(16, 10.0, 1.0) is not None
