"""The assignment: least total cost, as many jobs placed as can be."""

from itertools import permutations
from math import inf

from hypothesis import given
from hypothesis import strategies as st

from profiles.plan.assignment import assign

sizes = st.tuples(st.integers(1, 5), st.integers(1, 5))


@st.composite
def cost_tables(draw: st.DrawFn) -> list[list[float]]:
    jobs, places = draw(sizes)
    cost = st.integers(-20, 20).map(float) | st.just(inf)
    row = st.lists(cost, min_size=places, max_size=places)
    return draw(st.lists(row, min_size=jobs, max_size=jobs))


def best_by_trying(costs: list[list[float]]) -> tuple[int, float]:
    """(jobs left out, total cost) of the best choice, by trying every one."""
    jobs, places = len(costs), len(costs[0])
    seats: list[int | None] = [*range(places), *([None] * jobs)]
    best = (jobs, 0.0)
    for chosen in set(permutations(seats, jobs)):
        taken = [(job, place) for job, place in enumerate(chosen) if place is not None]
        total = sum(costs[job][place] for job, place in taken)
        if total < inf:
            best = min(best, (jobs - len(taken), total))
    return best


@given(cost_tables())
def test_it_equals_trying_every_choice(costs: list[list[float]]) -> None:
    chosen = assign(costs)
    taken = [(job, place) for job, place in enumerate(chosen) if place is not None]
    assert len({place for _, place in taken}) == len(taken)
    total = sum(costs[job][place] for job, place in taken)
    assert (len(costs) - len(taken), total) == best_by_trying(costs)


def test_a_published_example_comes_out_right() -> None:
    # SciPy 1.17 reference, scipy.optimize.linear_sum_assignment: columns 1, 0, 2 at cost 5.
    assert assign([[4, 1, 3], [2, 0, 5], [3, 2, 2]]) == [1, 0, 2]


def test_no_jobs_need_no_places() -> None:
    assert assign([]) == []
