"""Lines and crossings: equal to trying everything where that can be done, commons whole always."""

from collections.abc import Iterable, Iterator, Mapping
from itertools import combinations, permutations, product
from math import dist

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.plan.matrix import MatrixPlan, plan_matrix
from profiles.plan.matrix_search import MatrixTask
from profiles.wiring.matrix import Crossing
from profiles.wiring.needs import Needs

Places = Mapping[int, Crossing]
SHAPES = list(product(range(1, 5), repeat=2))
FEW = 3.0
"""Placements tried by hand for one box, as a power of ten; more would take minutes."""


def at_bench(contacts: Iterable[int]) -> frozenset[Crossing]:
    return frozenset((1, one + 1) for one in contacts)


@st.composite
def tasks(draw: st.DrawFn, rows: int, columns: int) -> MatrixTask:
    """A matrix of this size with some contacts in it, and few that need a place."""
    cells = list(product(range(1, rows + 1), range(1, columns + 1)))
    most_new, ways = 0, 1
    while most_new < len(cells) and ways * (len(cells) - most_new) <= 10**FEW:
        ways *= len(cells) - most_new
        most_new += 1
    new = draw(st.integers(0, most_new))
    taken = draw(st.lists(st.sampled_from(cells), max_size=len(cells) - new, unique=True))
    size = len(taken) + new
    order = draw(st.permutations(range(size)))
    kept = dict(zip(order, taken, strict=False))
    free = [one for one in range(size) if one not in kept]
    groups = []
    for length in draw(st.sampled_from([(), (2,), (2, 2), (3,)])):
        if len(free) >= length:
            groups.append(frozenset(free[:length]))
            free = free[length:]
    grouped = [frozenset(group) for group in groups]
    closable = draw(st.lists(st.sampled_from(range(size)), max_size=5, unique=True)) if size else []
    split = draw(st.integers(0, len(closable)))
    steady = [one for one in closable[:split] if not any(one in group for group in grouped)]
    pressed = closable[split:]
    apart = [one for one in pressed if not any(one in group for group in grouped)]
    chords = [(), *((one,) for one in pressed), *([tuple(apart)] if draw(st.booleans()) else [])]
    exclusive = tuple(at_bench(group) for group in grouped if draw(st.booleans()))
    points = st.tuples(*(st.integers(0, 20).map(lambda n: 10.0 * n),) * 2)
    return MatrixTask(
        tuple(draw(points) for _ in range(size)),
        draw(points),
        tuple(grouped),
        Needs(at_bench(steady), exclusive, tuple(map(at_bench, chords))),
        kept,
        frozenset(draw(st.sets(st.sampled_from(sorted(kept))))) if kept else frozenset(),
        rows,
        columns,
        draw(st.sampled_from(["rows", "columns"])),
        rows + columns,
    )


def list_closed(needs: Needs) -> Iterator[frozenset[int]]:
    """Every largest set of contacts that may be closed, by trying every choice."""
    for chord in needs.chords or (frozenset(),):
        choices = [sorted(group & chord) or sorted(group) for group in needs.exclusive]
        for chosen in product(*choices):
            yield frozenset(column - 1 for _, column in {*needs.steady, *chord, *chosen})


def ghosts(places: Places, held: Iterable[int], diodes: Iterable[int], driven: str) -> bool:
    """Whether a contact appears pressed, or its release is hidden, as networkx finds paths."""
    graph = nx.DiGraph()
    first, second = (0, 1) if driven == "rows" else (1, 0)
    ends = {one: ((first, at[first]), (second, at[second])) for one, at in places.items()}
    graph.add_nodes_from(end for both in ends.values() for end in both)
    for one in held:
        graph.add_edge(*ends[one], contact=one)
        if one not in diodes:
            graph.add_edge(*reversed(ends[one]), contact=one)
    for one, (start, end) in ends.items():
        without = graph.copy()
        without.remove_edges_from([(start, end)])
        if nx.has_path(without, start, end) and (one not in held or one in held):
            return True
    return False


def count_diodes(task: MatrixTask, places: Places) -> int:
    """The fewest diodes to add, by trying none, each one, each two ..."""
    closed = [held & places.keys() for held in list_closed(task.needs)]
    assert task.diodes != "every"
    able = sorted(frozenset().union(*closed) - task.diodes)
    for number in range(len(able) + 1):
        for added in combinations(able, number):
            if not any(
                ghosts(places, held, {*task.diodes, *added}, task.driven) for held in closed
            ):
                return number
    raise AssertionError("a diode at each contact is always enough")


def measure_wire(task: MatrixTask, places: Places) -> float:
    """The shortest chain of every line, by trying every order of its stops."""
    total = 0.0
    for axis in (0, 1):
        for line in {place[axis] for place in places.values()}:
            stops = {task.at[one] for one, place in places.items() if place[axis] == line}
            total += min(
                sum(dist(a, b) for a, b in zip((task.board_at, *order), order, strict=False))
                for order in permutations(sorted(stops))
            )
    return total


def is_whole(task: MatrixTask, places: Places) -> bool:
    return all(
        any(len({places[one][axis] for one in group}) == 1 for axis in (0, 1))
        for group in task.groups
        if group <= places.keys()
    )


def list_placements(task: MatrixTask) -> Iterator[dict[int, Crossing]]:
    cells = product(range(1, task.rows + 1), range(1, task.columns + 1))
    free = [cell for cell in cells if cell not in task.kept.values()]
    new = [one for one in range(len(task.at)) if one not in task.kept]
    for chosen in permutations(free, len(new)):
        places = {**task.kept, **dict(zip(new, chosen, strict=True))}
        if is_whole(task, places):
            yield places


def weigh(task: MatrixTask, plan: MatrixPlan) -> tuple[int, float]:
    assert task.diodes != "every"
    closed = list(list_closed(task.needs))
    assert not any(ghosts(plan.places, held, plan.diodes, task.driven) for held in closed)
    return len(plan.diodes - task.diodes), measure_wire(task, plan.places)


@pytest.mark.parametrize(("rows", "columns"), SHAPES)
def test_planned_matrix_equals_the_best_of_all_placements(rows: int, columns: int) -> None:
    """Every size up to 4 by 4, with lines that stay: fewest diodes, then least wire."""

    @settings(max_examples=12, deadline=None)
    @given(tasks(rows, columns))
    def compare(task: MatrixTask) -> None:
        every = list(list_placements(task))
        plan = plan_matrix(task)
        if not every:
            assert plan.left_out
            return
        assert not plan.left_out
        assert plan.exact
        assert is_whole(task, plan.places)
        assert task.kept.items() <= plan.places.items()
        fewest, wire = weigh(task, plan)
        by_wire = sorted((measure_wire(task, places), n) for n, places in enumerate(every))
        best = next(length for length, n in by_wire if count_diodes(task, every[n]) <= fewest)
        assert wire == pytest.approx(best)
        if fewest:
            assert all(count_diodes(task, places) >= fewest for places in every)

    compare()
