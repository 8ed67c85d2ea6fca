"""Choosing options that do not meet, held against trying every combination."""

from collections.abc import Sequence
from itertools import combinations, product
from typing import NamedTuple

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.plate.choose import Board, Option
from profiles.plate.shapes import Rectangle, box_around
from tests.plate.solids import rectangle

NOWHERE = Option(100.0, ())
"""Having no place."""

boxes = st.builds(
    box_around, st.integers(0, 30), st.integers(0, 12), st.integers(2, 9), st.integers(2, 5)
)
options = st.builds(
    Option, st.integers(0, 20).map(float), st.lists(boxes, min_size=1, max_size=2).map(tuple)
)
things = st.lists(st.lists(options, max_size=3).map(lambda found: [*found, NOWHERE]), max_size=6)


class Choice(NamedTuple):
    picks: tuple[int, ...]
    cost: float
    proven: bool


def choose(given: Sequence[Sequence[Option]]) -> Choice:
    """All things on one board, added one by one."""
    board = Board()
    for options in given:
        board.add(options)
    proven = board.settle()
    picks = tuple(board.pick(thing) for thing in range(len(given)))
    cost = sum(options[pick].cost for options, pick in zip(given, picks, strict=True))
    return Choice(picks, cost, proven)


def clash(one: Option, other: Option) -> bool:
    return any(
        rectangle(*a).intersection(rectangle(*b)).area > 0 for a in one.boxes for b in other.boxes
    )


def cheapest_of_all(given_things: list[list[Option]]) -> float:
    flat = [(n, option) for n, options in enumerate(given_things) for option in options]
    meet = {
        frozenset((id(a), id(b)))
        for (n, a), (m, b) in combinations(flat, 2)
        if n != m and clash(a, b)
    }
    return min(
        sum(option.cost for option in chosen)
        for chosen in product(*given_things)
        if not any(frozenset((id(a), id(b))) in meet for a, b in combinations(chosen, 2))
    )


@settings(max_examples=300)
@given(things)
def test_a_small_choice_costs_no_more_than_the_best_of_all_combinations(
    given_things: list[list[Option]],
) -> None:
    found = choose(given_things)
    assert found.proven
    assert found.cost == cheapest_of_all(given_things)


@given(st.lists(st.lists(options, max_size=6).map(lambda found: [*found, NOWHERE]), max_size=60))
@settings(max_examples=25, deadline=None)
def test_chosen_options_never_meet_however_many_there_are(
    given_things: list[list[Option]],
) -> None:
    found = choose(given_things)
    chosen = [options[pick] for options, pick in zip(given_things, found.picks, strict=True)]
    assert not any(clash(a, b) for a, b in combinations(chosen, 2))
    assert found.cost == sum(option.cost for option in chosen)


@given(things)
def test_the_same_things_give_the_same_choice(given_things: list[list[Option]]) -> None:
    assert choose(given_things) == choose([list(one) for one in given_things])


def test_the_dear_one_gives_way_to_two_cheap_ones() -> None:
    wide = [Option(0.0, (Rectangle(0, 0, 30, 5),)), NOWHERE]
    left = [Option(0.0, (Rectangle(0, 0, 10, 5),)), NOWHERE]
    right = [Option(0.0, (Rectangle(20, 0, 30, 5),)), NOWHERE]
    assert choose([wide, left, right]).picks == (1, 0, 0)


def test_boxes_that_share_an_edge_do_not_meet() -> None:
    one, other = Option(0.0, (Rectangle(0, 0, 5, 5),)), Option(0.0, (Rectangle(5, 0, 9, 5),))
    assert choose([[one, NOWHERE], [other, NOWHERE]]).picks == (0, 0)


def test_a_thing_that_must_stand_somewhere_is_refused() -> None:
    with pytest.raises(ValueError, match="every thing needs an option that takes up no place"):
        choose([[Option(0.0, (Rectangle(0, 0, 1, 1),))]])


@settings(max_examples=300)
@given(things)
def test_dear_options_found_late_are_chosen_as_if_known_from_the_start(
    given_things: list[list[Option]],
) -> None:
    """A stand-in without boxes costs the least of what it stands for."""
    board, found = Board(), [sorted(options, key=lambda one: one.cost) for options in given_things]
    for options in found:
        board.add([*options[:1], Option(options[1].cost, ())] if options[1:] else options)
    known = {thing: 1 for thing, options in enumerate(found) if options[1:]}
    while board.settle() and (
        late := [one for one, size in known.items() if board.pick(one) == size]
    ):
        for thing in late:
            board.extend(thing, found[thing][1:])
            del known[thing]
    cost = sum(options[board.pick(thing)].cost for thing, options in enumerate(found))
    assert cost == cheapest_of_all(given_things)


def test_options_found_late_may_not_be_cheaper_than_those_before() -> None:
    board = Board()
    board.add([Option(5.0, (Rectangle(0, 0, 1, 1),)), Option(9.0, ())])
    with pytest.raises(ValueError, match="dearer options replace one that takes up no place"):
        board.extend(0, [Option(4.0, (Rectangle(2, 0, 3, 1),)), NOWHERE])
