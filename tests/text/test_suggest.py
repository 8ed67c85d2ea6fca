"""One close spelling, or none."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.text.suggest import _count_edits, closest

ACTIONS = ("sound-horn", "trim-up", "trim-down", "start-engine", "fog-signal")


@pytest.mark.parametrize(
    ("word", "candidate"),
    [
        ("sound-hron", "sound-horn"),
        ("sound_horn", "sound-horn"),
        ("Trim-Up", "trim-up"),
        ("trim-upp", "trim-up"),
        ("strat-engine", "start-engine"),
        ("anchor", None),
        ("", None),
        ("x", None),
        ("q" * 100_000, None),
    ],
)
def test_closest_forgives_a_slip_and_guesses_nothing_else(word: str, candidate: str | None) -> None:
    assert closest(word, ACTIONS) == candidate


def test_closest_is_the_same_whatever_the_order() -> None:
    orders = itertools.permutations(("trim-ua", "trim-ub", "trim-uc"))
    assert {closest("trim-ux", order) for order in orders} == {"trim-ua"}


@given(st.text("abc", max_size=5), st.text("abc", max_size=5))
def test_edits_agree_with_the_definition(one: str, other: str) -> None:
    """Optimal string alignment by its recurrence, as the plainest oracle."""
    assert _count_edits(one, other, 99) == _align(one, other)


def _align(one: str, other: str) -> int:
    if not one or not other:
        return len(one) + len(other)
    steps = [
        _align(one[:-1], other) + 1,
        _align(one, other[:-1]) + 1,
        _align(one[:-1], other[:-1]) + (one[-1] != other[-1]),
    ]
    if len(one) > 1 and len(other) > 1 and one[-2:] == other[-2:][::-1]:
        steps.append(_align(one[:-2], other[:-2]) + 1)
    return min(steps)
