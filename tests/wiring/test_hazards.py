"""Hazards, needed combinations and fewest diodes, held against their definitions by brute force."""

from collections.abc import Iterable
from dataclasses import replace
from itertools import chain, combinations
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.wiring import diodes
from profiles.wiring.diodes import DiodePlan, Facing, facing, fewest_diodes
from profiles.wiring.hazards import (
    Hazard,
    check_combinations,
    describe_path,
    hazards_in,
    is_safe,
    safe_any,
    shortest_hazard,
)
from profiles.wiring.hitting import smallest_hitting_set
from profiles.wiring.matrix import Crossing, Line, Matrix, full_matrix, ghosts, masked
from profiles.wiring.needs import Needs, failures, find_paths, needs_of
from tests.wiring.combinations import list_combinations
from tests.wiring.shapes import held_in, matrices


def subsets(places: Iterable[Crossing]) -> Iterable[frozenset[Crossing]]:
    items = sorted(places)
    sizes = (combinations(items, size) for size in range(len(items) + 1))
    return (frozenset(part) for part in chain.from_iterable(sizes))


def reads_true(matrix: Matrix, held: frozenset[Crossing]) -> bool:
    """The definition: nothing reads false, and no release of a held contact is hidden."""
    return not ghosts(matrix, held) and not any(masked(matrix, held, place) for place in held)


@given(held_in())
def test_hazards_are_the_ghosts_and_the_masked(case: tuple[Matrix, frozenset[Crossing]]) -> None:
    matrix, held = case
    found = {hazard.victim: hazard.effect for hazard in hazards_in(matrix, held)}
    wanted = dict.fromkeys(ghosts(matrix, held), "false")
    wanted |= {place: "masked" for place in held if masked(matrix, held, place)}
    assert found == wanted
    assert is_safe(matrix, held) == (not wanted)


@given(held_in())
def test_the_path_alone_makes_its_victim_read_closed(
    case: tuple[Matrix, frozenset[Crossing]],
) -> None:
    matrix, held = case
    for hazard in hazards_in(matrix, held):
        assert set(hazard.path) <= held - {hazard.victim}
        assert hazard.victim in ghosts(matrix, hazard.path)
        assert all(hazard.victim not in ghosts(matrix, set(hazard.path) - {p}) for p in hazard.path)


@given(held_in())
def test_a_safe_set_is_safe_in_every_part(case: tuple[Matrix, frozenset[Crossing]]) -> None:
    matrix, held = case
    if is_safe(matrix, held):
        assert all(is_safe(matrix, held - {place}) for place in held)


@given(matrices(3))
@settings(max_examples=60)
def test_safe_any_is_the_largest_size_of_which_no_set_fails(matrix: Matrix) -> None:
    failing = [len(held) for held in subsets(matrix.crossings) if not reads_true(matrix, held)]
    assert safe_any(matrix) == (min(failing) - 1 if failing else len(matrix.crossings))


@pytest.mark.parametrize(
    ("matrix", "safe"),
    [
        (full_matrix(4, 4), 2),
        (full_matrix(16, 16), 2),
        (full_matrix(1, 8), 8),
        (full_matrix(4, 4, full_matrix(4, 4).crossings), 16),
        # A ring of six contacts and no rectangle: five show the sixth.
        (Matrix(3, 3, frozenset({(1, 1), (1, 2), (2, 2), (2, 3), (3, 3), (3, 1)})), 4),
    ],
)
def test_how_many_contacts_are_safe_whichever_they_are(matrix: Matrix, safe: int) -> None:
    """Rule of thumb: without diodes any two, with a diode each any number."""
    assert safe_any(matrix) == safe


def test_a_matrix_with_every_diode_has_no_hazard_at_all() -> None:
    assert shortest_hazard(full_matrix(3, 3, full_matrix(3, 3).crossings)) is None


def test_the_path_is_told_with_lines_and_names() -> None:
    names = {(1, 1): "horn", (2, 1): "gear", (2, 2): "flaps"}
    hazard = Hazard((1, 2), "false", ((1, 1), (2, 1), (2, 2)))
    assert hazards_in(full_matrix(2, 2), names) == (hazard,)
    assert describe_path(full_matrix(2, 2), hazard, names.__getitem__) == (
        "from row 1, through horn to column 1, back through gear to row 2, "
        "through flaps to column 2"
    )


def test_combinations_are_judged_one_by_one() -> None:
    three, two = {(1, 1), (1, 2), (2, 2)}, {(1, 1), (2, 2)}
    judged = check_combinations(full_matrix(2, 2), [three, two])
    assert [item.held for item in judged] == [three, two]
    assert [len(item.hazards) for item in judged] == [1, 0]


@st.composite
def needed(draw: st.DrawFn, most: int = 4) -> tuple[Matrix, Needs]:
    matrix = draw(matrices(most))
    places = sorted(matrix.crossings)
    owners = [draw(st.integers(0, 4)) for _ in places]
    steady = frozenset(p for p, owner in zip(places, owners, strict=True) if owner == 0)
    groups = [
        frozenset(p for p, owner in zip(places, owners, strict=True) if owner == number)
        for number in (1, 2)
    ]
    pressed = [p for p, owner in zip(places, owners, strict=True) if owner > 2]
    chords = (
        draw(st.lists(st.frozensets(st.sampled_from(pressed), max_size=4), max_size=3))
        if (pressed)
        else []
    )
    named = [p for group in groups for p in group]
    if chords and named and draw(st.booleans()):
        chords[0] |= {draw(st.sampled_from(named))}
    return matrix, Needs(steady, tuple(group for group in groups if group), tuple(chords))


@given(needed())
@settings(max_examples=400, deadline=None)
def test_failures_are_the_smallest_failing_parts_of_the_combinations(
    case: tuple[Matrix, Needs],
) -> None:
    """Brute force: every combination, every part of it, tried by the definition."""
    matrix, needs = case
    parts = {part for held in list_combinations(needs) for part in subsets(held)}
    failing = [part for part in parts if ghosts(matrix, part)]
    smallest = {part for part in failing if not any(other < part for other in failing)}
    found = failures(matrix, needs)
    assert found.complete
    assert {frozenset(hazard.path) for hazard in found.hazards} == smallest
    assert all(hazard.victim in ghosts(matrix, hazard.path) for hazard in found.hazards)


def test_a_selector_never_closes_two_positions_at_once() -> None:
    """Three corners are one selector's positions: with the press at most two are closed."""
    selector = frozenset({(1, 1), (1, 2), (2, 2)})
    press = (frozenset({(2, 1)}),)
    assert failures(full_matrix(2, 2), Needs(exclusive=(selector,), chords=press)).hazards == ()
    toggles = failures(full_matrix(2, 2), Needs(steady=selector, chords=press))
    assert len(toggles.hazards) == 4


def test_a_chord_with_a_position_is_used_in_that_position_only() -> None:
    """Position 2 with both presses would show the fourth corner; the chord names position 1."""
    chord = frozenset({(3, 3), (1, 2), (2, 2)})
    selector = frozenset({(1, 1), (3, 3)})
    assert failures(full_matrix(3, 3), Needs(exclusive=(selector,), chords=(chord,))).hazards == ()
    free = Needs(exclusive=(selector,), chords=(chord - {(3, 3)},))
    assert [hazard.victim for hazard in failures(full_matrix(3, 3), free).hazards] == [(2, 1)]


def test_a_search_cut_short_says_so() -> None:
    needs = Needs(steady=full_matrix(4, 4).crossings)
    assert not failures(full_matrix(4, 4), needs, limit=10).complete


def fewest_by_trial(matrix: Matrix, sets: list[frozenset[Crossing]]) -> int:
    return min(
        len(chosen)
        for chosen in subsets(matrix.crossings)
        if all(reads_true(replace(matrix, diodes=matrix.diodes | chosen), held) for held in sets)
    )


@given(st.data())
@settings(max_examples=40, deadline=None)
def test_no_smaller_set_of_diodes_does(data: st.DataObject) -> None:
    """Exhaustive: every set of diodes on up to nine contacts."""
    matrix = data.draw(matrices(3))
    places = sorted(matrix.crossings)
    one = st.frozensets(st.sampled_from(places)) if places else st.just(frozenset[Crossing]())
    sets = data.draw(st.lists(one, max_size=3))
    plan = fewest_diodes(matrix, needs_of(sets))
    assert plan.exact
    cured = replace(matrix, diodes=matrix.diodes | plan.diodes)
    assert all(reads_true(cured, held) for held in sets)
    assert len(plan.diodes) == fewest_by_trial(matrix, sets)


@given(needed(3))
@settings(max_examples=60, deadline=None)
def test_diodes_cure_every_combination_and_no_fewer_do(case: tuple[Matrix, Needs]) -> None:
    """Exhaustive over sets of diodes, for states, selectors and chords together."""
    matrix, needs = case
    plan = fewest_diodes(matrix, needs)
    assert plan.exact
    assert len(plan.diodes) == fewest_by_trial(matrix, list(list_combinations(needs)))


def test_a_ring_needs_fewer_diodes_than_a_rectangle() -> None:
    """A path round a ring of six runs back through two contacts: a diode at either blocks it."""
    ring = Matrix(3, 3, frozenset({(1, 1), (1, 2), (2, 2), (2, 3), (3, 3), (3, 1)}))
    assert len(fewest_diodes(ring, needs_of([ring.crossings])).diodes) == 4
    assert len(fewest_diodes(ring, needs_of([ring.crossings - {(3, 1)}])).diodes) == 1
    square = full_matrix(2, 2)
    assert len(fewest_diodes(square, needs_of([square.crossings])).diodes) == 4
    assert len(fewest_diodes(square, needs_of([{(1, 1), (1, 2), (2, 2)}])).diodes) == 1


@given(st.integers(0, 1000))
@settings(max_examples=20, deadline=None)
def test_thirty_contacts_are_solved_exactly(seed: int) -> None:
    rng = Random(seed)
    places = [(r, c) for r in range(1, 10) for c in range(1, 10)]
    matrix = Matrix(9, 9, frozenset(rng.sample(places, 30)))
    plan = fewest_diodes(matrix, Needs(steady=matrix.crossings))
    assert plan.exact
    assert is_safe(replace(matrix, diodes=plan.diodes), matrix.crossings)


def sparse(count: int, seed: int) -> Matrix:
    places = sorted(full_matrix(12, 12).crossings)
    return Matrix(12, 12, frozenset(Random(seed).sample(places, count)))


@pytest.mark.parametrize("seed", [0, 1])
def test_too_many_paths_to_list_are_cured_all_the_same(seed: int) -> None:
    """Seventy contacts that may all be closed: the paths are found as they are needed."""
    matrix = sparse(70, seed)
    needs = Needs(steady=matrix.crossings)
    assert not find_paths(matrix, needs, 200_000).complete
    plan = fewest_diodes(matrix, needs)
    assert plan.exact
    assert is_safe(replace(matrix, diodes=plan.diodes), matrix.crossings)


@pytest.mark.parametrize("seed", range(12))
def test_cures_found_in_rounds_are_as_small(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Exhaustive over sets of diodes, with the list of paths ruled out."""
    monkeypatch.setattr(diodes, "EXACT_CONTACTS", 0)
    monkeypatch.setattr(diodes, "PATH_STEPS", 0)
    random = Random(seed)
    places = sorted(full_matrix(3, 4).crossings)
    matrix = Matrix(3, 4, frozenset(random.sample(places, 8)))
    sets = [frozenset(random.sample(sorted(matrix.crossings), 6)) for _ in range(3)]
    plan = fewest_diodes(matrix, needs_of(sets))
    assert len(plan.diodes) == plan.at_least == fewest_by_trial(matrix, sets)


def test_a_plan_that_is_not_proven_is_safe_and_bounded() -> None:
    """Selectors among seventy contacts: taken as closed together where paths are not listed."""
    matrix = sparse(70, 2)
    places = sorted(matrix.crossings)
    selectors = (frozenset(places[:8]), frozenset(places[20:28]))
    needs = Needs(matrix.crossings.difference(*selectors), selectors)
    plan = fewest_diodes(matrix, needs)
    cured = replace(matrix, diodes=plan.diodes)
    assert all(is_safe(cured, held) for held in list_combinations(needs))
    assert 0.9 * len(plan.diodes) <= plan.at_least <= len(plan.diodes)


def test_every_crossing_of_a_large_matrix_needs_its_diode() -> None:
    matrix = full_matrix(8, 8)
    plan = fewest_diodes(matrix, Needs(steady=matrix.crossings))
    assert plan == DiodePlan(matrix.crossings, 64)


def test_diodes_already_there_cost_nothing() -> None:
    matrix = full_matrix(2, 2, [(1, 2)])
    assert fewest_diodes(matrix, needs_of([{(1, 1), (1, 2), (2, 2)}])).diodes == frozenset()


def test_the_cathode_faces_the_line_that_is_driven_low() -> None:
    """Active-low drive, pull-ups on the sensed lines; rule of thumb."""
    rows = full_matrix(2, 2)
    assert facing(rows, (1, 2)) == Facing(cathode=Line("row", 1), anode=Line("column", 2))
    columns = replace(rows, driven="columns")
    assert facing(columns, (1, 2)) == Facing(cathode=Line("column", 2), anode=Line("row", 1))


@given(st.lists(st.frozensets(st.integers(0, 7), min_size=1, max_size=4), max_size=9))
def test_no_smaller_hitting_set_exists(sets: list[frozenset[int]]) -> None:
    chosen, at_least = smallest_hitting_set(sets)
    assert all(chosen & one for one in sets)
    sizes = (
        size
        for size in range(9)
        if any(all(set(pick) & one for one in sets) for pick in combinations(range(8), size))
    )
    assert len(chosen) == at_least == next(sizes)


def test_a_search_cut_short_still_hits_and_bounds() -> None:
    """The Fano plane: seven lines of three points, three of which are needed."""
    fano = [(0, 1, 2), (0, 3, 4), (0, 5, 6), (1, 3, 5), (1, 4, 6), (2, 3, 6), (2, 4, 5)]
    sets = [frozenset(line) for line in fano]
    chosen, at_least = smallest_hitting_set(sets, limit=0)
    assert all(chosen & one for one in sets)
    assert at_least <= 3 <= len(chosen)
    assert len(smallest_hitting_set(sets)[0]) == 3


def test_an_empty_set_cannot_be_hit() -> None:
    with pytest.raises(ValueError, match="an empty set cannot be met"):
        smallest_hitting_set([frozenset()])
