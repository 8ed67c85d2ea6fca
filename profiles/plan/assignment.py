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
        least, came_from = [inf] * places + [0.0], [places] * places
        ahead, passed = list(range(places)), list[int]()
        current, length = places, 0.0
        while (job := owner[current]) != jobs:
            passed.append(current)
            row, known = costs[job], job_price[job] - length
            nearest, length = -1, inf
            for place in ahead:
                cost = row[place] - known - place_price[place]
                if cost < least[place]:
                    least[place], came_from[place] = cost, current
                if least[place] < length:
                    nearest, length = place, least[place]
            ahead.remove(nearest)
            current = nearest
        for place in passed:
            job_price[owner[place]] += length - least[place]
            place_price[place] -= length - least[place]
        while current != places:
            before = came_from[current]
            owner[current], current = owner[before], before
        owner[places] = jobs
    return owner
