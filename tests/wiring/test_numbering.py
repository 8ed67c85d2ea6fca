"""Input numbers from the wiring."""

from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.model import Contact
from profiles.wiring.numbering import (
    Clash,
    Disagreement,
    Layout,
    compute_numbers,
    number_inputs,
    unused_numbers,
)


def terminal(name: str) -> Contact:
    return Contact(name, "press")


A, B, C, D, E = (terminal(name) for name in "abcde")

MATRIX = Layout(rows=2, columns=3, crossings={A: (1, 1), B: (1, 3), C: (2, 2)}, along="along-rows")


@pytest.mark.parametrize(
    ("along", "unused", "first", "wanted"),
    [
        ("along-rows", "counted", 1, {A: 1, B: 3, C: 5}),
        ("along-columns", "counted", 1, {A: 1, B: 5, C: 4}),
        ("along-rows", "skipped", 1, {A: 1, B: 2, C: 3}),
        ("along-columns", "skipped", 1, {A: 1, B: 3, C: 2}),
        ("along-rows", "counted", 17, {A: 17, B: 19, C: 21}),
        ("along-columns", "skipped", 17, {A: 17, B: 19, C: 18}),
        (None, "counted", 1, {}),
    ],
)
def test_crossings_are_numbered_along_one_side(
    along: str, unused: str, first: int, wanted: dict[Contact, int]
) -> None:
    layout = replace(MATRIX, along=along, unused=unused, first=first)  # type: ignore[arg-type]
    assert compute_numbers(layout) == wanted


def test_the_register_chain_follows_the_matrix() -> None:
    layout = replace(MATRIX, chain_length=8, bits={D: 1, E: 4})
    assert compute_numbers(layout) == {A: 1, B: 3, C: 5, D: 7, E: 10}
    assert compute_numbers(replace(layout, unused="skipped")) == {A: 1, B: 2, C: 3, D: 4, E: 5}


def test_own_pins_take_the_next_free_numbers_after_that() -> None:
    layout = replace(MATRIX, chain_length=2, bits={D: 1}, own_pins=(E, terminal("f")))
    assert compute_numbers(layout)[E] == 9
    assert compute_numbers(layout)[terminal("f")] == 10


def test_an_own_pin_keeps_the_number_it_declares_and_others_go_round_it() -> None:
    layout = replace(MATRIX, own_pins=(D, E), declared={E: 7})
    numbering = number_inputs(layout)
    assert (numbering.numbers[D], numbering.numbers[E]) == (8, 7)
    assert numbering.disagreements == ()


def test_the_wiring_s_number_wins_over_a_declared_one_that_differs_and_it_is_told() -> None:
    numbering = number_inputs(replace(MATRIX, declared={B: 4, C: 5}))
    assert numbering.numbers == {A: 1, B: 3, C: 5}
    assert numbering.computed == {A: 1, B: 3, C: 5}
    assert numbering.disagreements == (Disagreement(B, declared=4, computed=3),)


def test_contacts_on_one_number_are_told() -> None:
    numbering = number_inputs(replace(MATRIX, own_pins=(D,), declared={D: 5}))
    assert numbering.clashes == (Clash(5, (C, D)),)


def test_one_by_one_takes_what_is_declared() -> None:
    numbering = number_inputs(replace(MATRIX, along=None, declared={B: 4}))
    assert (numbering.numbers, numbering.disagreements) == ({B: 4}, ())


def test_unused_places_take_numbers_only_where_holes_count() -> None:
    layout = replace(MATRIX, chain_length=3, bits={D: 2})
    assert unused_numbers(layout) == (2, 4, 6, 7, 9)
    assert unused_numbers(replace(layout, unused="skipped")) == ()
    assert unused_numbers(replace(layout, along=None)) == ()


@st.composite
def layouts(draw: st.DrawFn) -> Layout:
    rows, columns = draw(st.integers(1, 5)), draw(st.integers(1, 5))
    places = list(product(range(1, rows + 1), range(1, columns + 1)))
    used = sorted(draw(st.sets(st.sampled_from(places))))
    length = draw(st.integers(0, 9))
    bits = sorted(draw(st.sets(st.integers(1, length)))) if length else []
    return Layout(
        rows=rows,
        columns=columns,
        crossings={terminal(f"x{n}"): place for n, place in enumerate(used)},
        chain_length=length,
        bits={terminal(f"b{n}"): bit for n, bit in enumerate(bits)},
        own_pins=tuple(terminal(f"p{n}") for n in range(draw(st.integers(0, 4)))),
        along=draw(st.sampled_from(["along-rows", "along-columns"])),
        first=draw(st.integers(1, 40)),
        unused=draw(st.sampled_from(["counted", "skipped"])),
    )


@given(layouts())
def test_every_wired_contact_gets_a_number_of_its_own(layout: Layout) -> None:
    numbering = number_inputs(layout)
    assert set(numbering.numbers) == {*layout.crossings, *layout.bits, *layout.own_pins}
    assert numbering.clashes == ()
    assert min(numbering.numbers.values(), default=layout.first) >= layout.first


@given(layouts())
def test_numbers_without_holes_are_a_row_of_neighbours(layout: Layout) -> None:
    numbers = sorted(compute_numbers(replace(layout, unused="skipped")).values())
    assert numbers == list(range(layout.first, layout.first + len(numbers)))


@given(layouts())
def test_holes_and_numbers_fill_the_range_together(layout: Layout) -> None:
    counted = replace(layout, unused="counted", own_pins=())
    numbers = {*compute_numbers(counted).values(), *unused_numbers(counted)}
    size = layout.rows * layout.columns + layout.chain_length
    assert numbers == set(range(layout.first, layout.first + size))
