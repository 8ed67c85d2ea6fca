"""What a scan reads, held against published examples and against nodal analysis."""

from collections.abc import Iterable
from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import given

from profiles.wiring.matrix import (
    NO_NODE,
    Crossing,
    Link,
    Matrix,
    Network,
    Side,
    full_matrix,
    ghosts,
    mask_of,
    masked,
    network_of,
    read,
    scan,
)
from tests.wiring.nodal import Flags, read_networks
from tests.wiring.shapes import held_in

# Keyboard Matrix Help v1.1, 24 June 2000: columns are driven, rows are read.
A, B, C, D = (1, 1), (1, 2), (2, 1), (2, 2)


def test_three_corners_show_the_fourth() -> None:
    """Keyboard Matrix Help, 2000: A, B and D closed, C reads closed."""
    assert ghosts(full_matrix(2, 2, driven="columns"), [A, B, D]) == {C}


def test_release_of_a_bridged_contact_is_not_seen() -> None:
    """Keyboard Matrix Help, 2000: then C is pressed and B released, and the release is not seen."""
    assert masked(full_matrix(2, 2, driven="columns"), [A, B, C, D], B)


def test_a_diode_at_each_contact_cures_both() -> None:
    """Keyboard Matrix Help, 2000: driving column 1 gives row 1 only, column 2 both rows."""
    matrix = full_matrix(2, 2, [A, B, C, D], driven="columns")
    assert read(matrix, [A, B, D]) == {A, B, D}
    assert not masked(matrix, [A, B, C, D], B)


@pytest.mark.parametrize("driven", ["rows", "columns"])
def test_ghost_of_a_three_by_three(driven: str) -> None:
    """weirdscience.us, 1 March 2017: (1,1), (1,3), (3,3) closed show (3,1)."""
    matrix = replace(full_matrix(3, 3), driven=driven)  # type: ignore[arg-type]
    assert ghosts(matrix, [(1, 1), (1, 3), (3, 3)]) == {(3, 1)}
    assert ghosts(replace(matrix, diodes=frozenset({(1, 3)})), [(1, 1), (1, 3), (3, 3)]) == set()


def test_a_long_path_closes_a_whole_block() -> None:
    matrix = full_matrix(3, 4)
    seen = read(matrix, [(1, 1), (1, 2), (2, 2), (2, 3)])
    assert seen == set(product((1, 2), (1, 2, 3)))


def test_a_diode_blocks_one_way_only() -> None:
    """With rows driven the way back goes through (1, 2): a diode elsewhere does not help."""
    held = [(1, 1), (1, 2), (2, 2)]
    assert ghosts(full_matrix(2, 2, [(1, 2)]), held) == set()
    assert ghosts(full_matrix(2, 2, [(1, 1), (2, 2)]), held) == {(2, 1)}


def _reference(matrix: Matrix, cases: list[frozenset[Crossing]]) -> list[frozenset[Crossing]]:
    closed = np.array([_flags(matrix, held) for held in cases])
    diodes = np.broadcast_to(_flags(matrix, matrix.diodes), closed.shape)
    turned = read_networks(closed, diodes)
    if matrix.driven == "columns":
        turned = turned.transpose(0, 2, 1)
    return [
        frozenset((int(r) + 1, int(c) + 1) for r, c in np.argwhere(answer)) for answer in turned
    ]


def _flags(matrix: Matrix, places: Iterable[Crossing]) -> Flags:
    table = np.zeros((matrix.rows, matrix.columns), dtype=bool)
    for row, column in places:
        table[row - 1, column - 1] = True
    return table if matrix.driven == "rows" else table.T


CROSS = frozenset({(1, 1), (2, 2), (3, 3), (4, 4), (1, 4), (4, 1)})


@pytest.mark.parametrize(
    ("diodes", "driven"),
    [("none", "rows"), ("none", "columns"), ("cross", "rows"), ("cross", "columns")],
)
def test_every_subset_of_four_by_four_reads_as_the_resistor_network(
    diodes: str, driven: str
) -> None:
    """All 65,536 subsets against nodal analysis."""
    matrix = full_matrix(4, 4, CROSS if diodes == "cross" else (), driven)  # type: ignore[arg-type]
    bits = np.arange(1 << 16)[:, None] >> np.arange(16) & 1
    closed = bits.astype(bool).reshape(-1, 4, 4)
    if driven == "columns":
        closed = closed.transpose(0, 2, 1)
    wanted = read_networks(closed, np.broadcast_to(_flags(matrix, matrix.diodes), closed.shape))
    network = network_of(matrix)
    steps = np.array([scan(network, mask) for mask in range(1 << 16)])
    got = (steps[:, :, None] >> np.arange(4) & 1).astype(bool)
    assert (got == wanted).all()


@pytest.mark.parametrize("part", range(10))
def test_random_matrices_read_as_the_resistor_network(part: int) -> None:
    """20,000 cases in all: up to 8 by 16, random holes, diodes, driven side and held contacts."""
    random = np.random.default_rng(part)
    for _ in range(20):
        rows, columns = int(random.integers(1, 9)), int(random.integers(1, 17))
        places = [(r, c) for r, c in np.ndindex(rows, columns) if random.random() < 0.9]
        crossings = frozenset((r + 1, c + 1) for r, c in places)
        diodes = frozenset(place for place in sorted(crossings) if random.random() < 0.4)
        driven: Side = "rows" if random.random() < 0.5 else "columns"
        matrix = Matrix(rows, columns, crossings, diodes, driven)
        share = random.random() * 0.5
        cases = [
            frozenset(place for place in sorted(crossings) if random.random() < share)
            for _ in range(100)
        ]
        assert [read(matrix, held) for held in cases] == _reference(matrix, cases)


@given(held_in())
def test_a_closed_contact_always_reads_closed(case: tuple[Matrix, frozenset[Crossing]]) -> None:
    matrix, held = case
    assert held <= read(matrix, held)


@given(held_in())
def test_more_contacts_never_read_less(case: tuple[Matrix, frozenset[Crossing]]) -> None:
    matrix, held = case
    seen = read(matrix, held)
    assert all(read(matrix, held - {place}) <= seen for place in held)


@given(held_in())
def test_a_diode_everywhere_reads_true(case: tuple[Matrix, frozenset[Crossing]]) -> None:
    matrix, held = case
    assert read(replace(matrix, diodes=matrix.crossings), held) == held


@given(held_in())
def test_turning_matrix_and_driven_side_turns_the_reading(
    case: tuple[Matrix, frozenset[Crossing]],
) -> None:
    matrix, held = case

    def turn(places: Iterable[Crossing]) -> frozenset[Crossing]:
        return frozenset((column, row) for row, column in places)

    other: Side = "columns" if matrix.driven == "rows" else "rows"
    turned = Matrix(matrix.columns, matrix.rows, turn(matrix.crossings), turn(matrix.diodes), other)
    assert read(turned, turn(held)) == turn(read(matrix, held))


def test_a_pin_that_reaches_no_line_reads_nothing() -> None:
    """Row 2 is off its pin, yet its wire still joins columns 1 and 2."""
    links = (Link(0, 2), Link(0, 3), Link(1, 2), Link(1, 3))
    dead_row = Network(4, (0, NO_NODE), (2, 3), links)
    assert scan(dead_row, 0b1100) == (0b00, 0b00)
    assert scan(dead_row, 0b1101) == (0b11, 0b00)
    dead_column = Network(4, (0, 1), (2, NO_NODE), links)
    assert scan(dead_column, 0b1111) == (0b01, 0b01)


def test_a_contact_with_its_diode_reversed_reads_nothing_and_opens_a_way_back() -> None:
    links = (
        Link(0, 2, backward=False),
        Link(0, 3, forward=False),
        Link(1, 2, backward=False),
        Link(1, 3, backward=False),
    )
    network = Network(4, (0, 1), (2, 3), links)
    assert scan(network, 0b0010) == (0b00, 0b00)
    assert scan(network, 0b1011) == (0b01, 0b11)


def test_a_broken_line_is_two_nodes() -> None:
    """A row cut between its second and third contact: beyond the cut nothing reads."""
    row, beyond, columns = 0, 1, (2, 3, 4)
    links = (Link(row, columns[0]), Link(row, columns[1]), Link(beyond, columns[2]))
    network = Network(5, (row,), columns, links)
    assert scan(network, 0b111) == (0b011,)


@pytest.mark.parametrize(
    ("build", "message"),
    [
        (
            lambda: Matrix(2, 3, frozenset({(3, 1)})),
            "row 3, column 1 lies outside a matrix of 2 rows and 3 columns",
        ),
        (
            lambda: Matrix(2, 3, frozenset({(1, 1)}), frozenset({(2, 2)})),
            "a diode at row 2, column 2, where no contact sits",
        ),
        (
            lambda: mask_of(Matrix(2, 3, frozenset({(1, 1)})), [(1, 2)]),
            "no contact sits at row 1, column 2",
        ),
    ],
)
def test_what_cannot_be_is_refused_by_name(build: object, message: str) -> None:
    with pytest.raises(ValueError, match="row") as caught:
        build()  # type: ignore[operator]
    assert str(caught.value) == message
