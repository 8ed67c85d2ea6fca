"""Rows, strip cells, reading order and moves between controls."""

from itertools import pairwise

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.plate.order import DIRECTIONS, moves, neighbour, reading_order
from profiles.plate.rows import Line, cells, find_columns, find_rows

GRID = {
    f"{column}{row}": (20.0 * column, 100.0 - 25 * row) for row in range(3) for column in (1, 2, 3)
}

layouts = st.dictionaries(
    st.text("abcdefgh", min_size=1, max_size=3),
    st.tuples(st.integers(0, 300).map(float), st.integers(0, 200).map(float)),
    max_size=24,
)


def test_rows_run_from_the_top_and_from_left_to_right() -> None:
    assert [line.members for line in find_rows(GRID)] == [
        ("10", "20", "30"),
        ("11", "21", "31"),
        ("12", "22", "32"),
    ]


def test_columns_run_from_the_left_and_from_the_top() -> None:
    assert find_columns(GRID)[0] == Line(20.0, ("10", "11", "12"))


def test_a_slightly_crooked_row_is_one_row() -> None:
    points = {"a": (0.0, 50.0), "b": (20.0, 50.9), "c": (40.0, 49.2), "d": (60.0, 46.0)}
    assert [line.members for line in find_rows(points)] == [("a", "b", "c"), ("d",)]


def test_a_long_slope_is_not_one_row() -> None:
    """Each step is within the tolerance, the ends are not."""
    points = {f"{n:02}": (10.0 * n, 1.5 * n) for n in range(12)}
    for line in find_rows(points):
        heights = [points[key][1] for key in line.members]
        assert max(heights) - min(heights) <= 4


@given(layouts)
def test_every_control_is_in_exactly_one_row_and_one_column(
    points: dict[str, tuple[float, float]],
) -> None:
    for lines in (find_rows(points), find_columns(points)):
        assert sorted(key for line in lines for key in line.members) == sorted(points)


@given(layouts)
def test_rows_do_not_depend_on_the_order_of_the_file(
    points: dict[str, tuple[float, float]],
) -> None:
    assert find_rows(points) == find_rows(dict(reversed(points.items())))


def test_cells_meet_halfway_between_controls() -> None:
    found = cells([("b", 50.0), ("a", 20.0), ("c", 60.0)], widest=100, lone=30)
    assert found == (("a", 5.0, 20.0, 35.0), ("b", 35.0, 50.0, 55.0), ("c", 55.0, 60.0, 65.0))


def test_a_cell_is_cut_at_the_greatest_width() -> None:
    first, second = cells([("a", 0.0), ("b", 100.0)], widest=40, lone=30)
    assert first == ("a", -20.0, 0.0, 20.0)
    assert second.width == 40


def test_a_control_alone_has_the_lone_width() -> None:
    (only,) = cells([("a", 10.0)], widest=40, lone=30)
    assert only == ("a", -5.0, 10.0, 25.0)


@given(st.lists(st.integers(0, 400), min_size=1, max_size=12, unique=True))
def test_cells_never_overlap_and_hold_their_control(places: list[int]) -> None:
    found = cells([(str(place), float(place)) for place in places], widest=60, lone=25)
    for cell in found:
        assert cell.start < cell.centre < cell.end
        assert cell.width <= 60
    assert all(a.end <= b.start for a, b in pairwise(found))


def test_reading_order_is_that_of_a_page() -> None:
    points = {"a": (10.0, 10.0), "b": (0.0, 50.0), "c": (30.0, 50.5), "d": (5.0, 10.0)}
    assert reading_order(points) == ("b", "c", "d", "a")


def test_moves_on_a_grid_go_to_the_next_of_the_same_line() -> None:
    assert moves(GRID)["21"] == {"left": "11", "right": "31", "up": "20", "down": "22"}
    assert moves(GRID)["10"] == {"right": "20", "down": "11"}


def test_a_step_up_goes_to_the_control_above_and_not_to_a_nearer_row_elsewhere() -> None:
    """Two blocks side by side whose rows lie halfway between each other."""
    points = {
        "left low": (0.0, 0.0),
        "left high": (0.0, 20.0),
        "right low": (60.0, 10.0),
        "right high": (60.0, 30.0),
    }
    assert neighbour(points, "left low", "up") == "left high"
    assert neighbour(points, "right high", "down") == "right low"
    assert neighbour(points, "left low", "right") == "right low"
    assert neighbour(points, "left low", "left") is None


def test_an_unknown_control_has_no_neighbour() -> None:
    with pytest.raises(KeyError):
        neighbour(GRID, "nowhere", "up")


@given(layouts)
def test_every_control_is_reached_from_every_other(
    points: dict[str, tuple[float, float]],
) -> None:
    """Oracle: networkx on the graph of moves."""
    graph = nx.DiGraph()
    graph.add_nodes_from(points)
    graph.add_edges_from((key, to) for key, steps in moves(points).items() for to in steps.values())
    assert not points or nx.is_strongly_connected(graph)


@given(layouts)
def test_no_move_leads_to_where_it_starts(points: dict[str, tuple[float, float]]) -> None:
    for key, steps in moves(points).items():
        assert key not in steps.values()
        assert set(steps) <= set(DIRECTIONS)
