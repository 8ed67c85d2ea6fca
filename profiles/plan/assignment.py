"""The assignment problem: each job one place, the total cost least.

Shortest augmenting paths with potentials, O(n^2 m); J. Munkres 1957, N. Tomizawa 1971.
"""

from collections.abc import Sequence
from math import inf


def assign(costs: Sequence[Sequence[float]]) -> list[int | None]:
    """The place of each job at the least total cost, None where a job finds no place.

    `costs[job][place]` may be `inf` for a place that will not do. A job is left without a place
    only where places that will do run out: as many jobs as can be are placed.
    """
    jobs = len(costs)
    places = len(costs[0]) if jobs else 0
    finite = [cost for row in costs for cost in row if cost < inf]
    dearest, cheapest = max(finite, default=0.0), min(finite, default=0.0)
    unplaced = dearest + (dearest - cheapest + 1.0) * (jobs + 1)
    padded = [
        [cost if cost < inf else unplaced + 1.0 for cost in row] + [unplaced] * jobs
        for row in costs
    ]
    chosen = _solve(padded, jobs, places + jobs)
    return [
        place if place < places and costs[job][place] < inf else None
        for job, place in enumerate(chosen)
    ]


def _solve(costs: list[list[float]], jobs: int, places: int) -> list[int]:
    """Places of all jobs; every job has one, `places >= jobs`."""
    job_price = [0.0] * (jobs + 1)
    place_price = [0.0] * (places + 1)
    owner = [jobs] * (places + 1)
    for job in range(jobs):
        owner[places] = job
        came_from = _augment(costs, job_price, place_price, owner, places)
        _turn_over(owner, came_from, places)
    found = [0] * jobs
    for place in range(places):
        if owner[place] < jobs:
            found[owner[place]] = place
    return found


def _augment(
    costs: list[list[float]],
    job_price: list[float],
    place_price: list[float],
    owner: list[int],
    places: int,
) -> tuple[list[int], int]:
    """Grow a shortest path from the job at the virtual place to a free place; update prices."""
    free = len(job_price) - 1
    least = [inf] * places
    came_from = [places] * places
    done = [False] * (places + 1)
    current = places
    while owner[current] != free:
        done[current] = True
        job = owner[current]
        nearest, step = -1, inf
        for place in range(places):
            if done[place]:
                continue
            cost = costs[job][place] - job_price[job] - place_price[place]
            if cost < least[place]:
                least[place], came_from[place] = cost, current
            if least[place] < step:
                nearest, step = place, least[place]
        for place in range(places + 1):
            if done[place]:
                job_price[owner[place]] += step
                place_price[place] -= step
            elif place < places:
                least[place] -= step
        current = nearest
    return came_from, current


def _turn_over(owner: list[int], path: tuple[list[int], int], places: int) -> None:
    came_from, place = path
    while place != places:
        before = came_from[place]
        owner[place] = owner[before]
        place = before
