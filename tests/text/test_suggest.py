"""One close spelling, or none."""

import itertools
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.text.suggest import _count_edits, closest, fold

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
    assert _count_edits(one, other) == _align(one, other)


WORDS = st.text("abcß_ -", max_size=7)


@given(WORDS, st.lists(WORDS, max_size=6))
def test_the_closest_is_the_least_of_all_that_are_near(word: str, candidates: list[str]) -> None:
    """Every candidate measured, none passed over by its length or letters."""
    folded = fold(word)
    limit = min(max(1, len(folded) // 3), len(folded) - 1)
    ranks = [(_align(folded, fold(each)), each) for each in candidates]
    near = [rank for rank in ranks if rank[0] <= limit]
    assert closest(word, candidates) == (min(near)[1] if near else None)


@cache
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
