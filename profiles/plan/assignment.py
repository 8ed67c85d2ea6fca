"""The assignment problem: each job one place, the total cost least.

Shortest augmenting paths with potentials, O(n^2 m): Algorithms for the assignment
and transportation problems, 1957; On some techniques useful for solution of transportation network
problems, 1971.
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
    owner = _find_owners(padded, jobs, places + jobs)
    chosen: list[int | None] = [None] * jobs
    for place, job in enumerate(owner[:places]):
        if job < jobs and costs[job][place] < inf:
            chosen[job] = place
    return chosen


def _find_owners(costs: list[list[float]], jobs: int, places: int) -> list[int]:
    """The job of each place, `jobs` for none; every job has one, `places >= jobs`.

    For each job in turn, the shortest path from it, at the virtual last place, to a free place.
    """
    job_price, place_price = [0.0] * (jobs + 1), [0.0] * (places + 1)
    owner = [jobs] * (places + 1)
    for start in range(jobs):
        owner[places] = start
        least, came_from = [inf] * places, [places] * places
        done = [False] * (places + 1)
        current = places
        while owner[current] != jobs:
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
        while current != places:
            before = came_from[current]
            owner[current], current = owner[before], before
        owner[places] = jobs
    return owner
