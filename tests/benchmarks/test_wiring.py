"""Speed of the electrical check and of the harness, as ratios and as growth.

Run with `pytest tests/benchmarks`; the curves are recorded in each benchmark's extra figures.
"""

from collections.abc import Callable
from itertools import pairwise
from random import Random
from time import process_time

import networkx as nx
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from profiles.plan.matrix import plan_matrix
from profiles.plan.matrix_search import MatrixTask
from profiles.wiring.harness import Run, Stop, WireLine, run_line
from profiles.wiring.hazards import check_combinations
from profiles.wiring.matrix import Crossing, Matrix, full_matrix
from profiles.wiring.needs import Needs

SIZES = (4, 8, 16, 32)
COMBINATIONS = 200


def combinations_for(matrix: Matrix, seed: int = 1) -> list[frozenset[Crossing]]:
    """Return what a profile may need: up to ten contacts held at once."""
    random = Random(seed)
    places = sorted(matrix.crossings)
    return [frozenset(random.sample(places, random.randint(2, 10))) for _ in range(COMBINATIONS)]


def reach_plainly(matrix: Matrix, sets: list[frozenset[Crossing]]) -> int:
    """Plain reachability by networkx: which sensed lines each driven line reaches."""
    count = 0
    for held in sets:
        graph = nx.DiGraph()
        graph.add_nodes_from(("row", number) for number in range(1, matrix.rows + 1))
        graph.add_nodes_from(("column", number) for number in range(1, matrix.columns + 1))
        for row, column in held:
            graph.add_edge(("row", row), ("column", column))
            graph.add_edge(("column", column), ("row", row))
        for number in range(1, matrix.rows + 1):
            count += len(nx.descendants(graph, ("row", number)))
    return count


def time_best(work: Callable[[], object], rounds: int = 3) -> float:
    """Return the best of a few runs, seconds."""
    times = []
    for _ in range(rounds):
        start = process_time()
        work()
        times.append(process_time() - start)
    return min(times)


def lines_of(size: int) -> list[WireLine]:
    """Return `size` lines of `size` contacts, scattered over a plate."""
    random = Random(size)
    start = Stop("board", (150.0, 10.0))
    return [
        WireLine(
            f"row {number}",
            start,
            tuple(
                Stop(str(n), (random.uniform(10, 290), random.uniform(10, 190)))
                for n in range(size)
            ),
            "yellow",
        )
        for number in range(size)
    ]


def run_lines(lines: list[WireLine]) -> list[Run]:
    return [run_line(line) for line in lines]


def growth(times: dict[int, float]) -> str:
    """Return by what factor each doubling of the side lengthens the time."""
    sizes = sorted(times)
    steps = (f"{b}/{a}: x{times[b] / times[a]:.1f}" for a, b in pairwise(sizes))
    return ", ".join(steps)


def test_electrical_check_against_plain_reachability(benchmark: BenchmarkFixture) -> None:
    """16 x 16, 256 contacts, 200 needed combinations: at most 5 times networkx, in one run."""
    matrix = full_matrix(16, 16)
    sets = combinations_for(matrix)
    plain = time_best(lambda: reach_plainly(matrix, sets))
    benchmark(check_combinations, matrix, sets)
    ours = time_best(lambda: check_combinations(matrix, sets))
    benchmark.extra_info["times networkx"] = round(ours / plain, 3)
    assert ours <= 5 * plain


def test_growth_of_the_electrical_check(benchmark: BenchmarkFixture) -> None:
    """200 combinations of up to ten contacts; four times the contacts at each step."""
    times = {}
    for size in SIZES:
        matrix = full_matrix(size, size)
        sets = combinations_for(matrix)
        times[size] = time_best(lambda m=matrix, s=sets: check_combinations(m, s))  # type: ignore[misc]
    matrix = full_matrix(32, 32)
    benchmark(check_combinations, matrix, combinations_for(matrix))
    benchmark.extra_info["ms by side"] = {n: round(t * 1000, 2) for n, t in times.items()}
    benchmark.extra_info["growth"] = growth(times)


@pytest.mark.benchmark(min_rounds=2, max_time=0.2)
def test_harness_of_sixteen_lines_of_sixteen(benchmark: BenchmarkFixture) -> None:
    """At most 2 s of one core, whatever else the machine does."""
    lines = lines_of(16)
    benchmark(run_lines, lines)
    took = time_best(lambda: run_lines(lines))
    benchmark.extra_info["seconds of one core"] = round(took, 2)
    assert took <= 2.0


@pytest.mark.benchmark(min_rounds=1, max_time=0.2)
@pytest.mark.parametrize("size", SIZES)
def test_growth_of_the_harness(benchmark: BenchmarkFixture, size: int) -> None:
    """As many lines as contacts a line."""
    lines = lines_of(size)
    runs = benchmark(run_lines, lines)
    benchmark.extra_info["exact"] = f"{sum(run.exact for run in runs)} of {size}"


def test_planning_a_matrix_of_sixteen_by_sixteen_takes_two_seconds(
    benchmark: BenchmarkFixture,
) -> None:
    """256 contacts, 80 of them toggles with a common each two: within 2 s of a 2-core machine."""
    random = Random(1)
    task = MatrixTask(
        tuple((random.uniform(10, 490), random.uniform(10, 490)) for _ in range(256)),
        (250.0, 10.0),
        tuple(frozenset({n, n + 1}) for n in range(0, 80, 2)),
        Needs(
            frozenset((1, n + 1) for n in range(80)),
            chords=tuple(frozenset({(1, n + 1)}) for n in range(80, 256)),
        ),
    )
    plan = plan_matrix(task)
    benchmark.pedantic(plan_matrix, (task,), rounds=1)  # type: ignore[no-untyped-call]
    took = time_best(lambda: plan_matrix(task), 2)
    benchmark.extra_info["16 by 16"] = f"{took:.2f} s, {len(plan.diodes)} diodes"

    assert (plan.rows, plan.columns, plan.left_out) == (16, 16, ())
    assert took < 2.0
