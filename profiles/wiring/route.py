"""Shortest chain through points: a Hamiltonian path from a fixed start, its end free or fixed.

- `shortest_chain` takes a symmetric table of distances; point 0 is the start
- `shortest_loop` is the closed tour: a chain whose end is a second copy of the start

Method: a good chain by local search (2-opt and moved sections of up to three points, with kicks at
fixed seeds), then branch and bound from the start. The bound is a minimum spanning tree of the
points left, with weights on the points raised until the tree looks like a path (The traveling-
salesman problem and minimum spanning trees, 1970, 1971). States met before at less length are cut
(A dynamic programming approach to sequencing problems, 1962), so up to `EXACT_POINTS` points the
answer is always exact; beyond that it is exact where the search ends within its share of work, else
the best chain found, with a lower bound. Points are taken to keep the triangle inequality: where
they do not, the local search may leave a move out.
"""

from collections.abc import Sequence
from itertools import pairwise
from operator import add
from typing import NamedTuple

Distances = Sequence[Sequence[float]]

EXACT_POINTS = 14
"""Up to this many points besides the start the search always runs to its end."""

SEARCH_WORK = 1_000_000
"""Work of branch and bound on a longer chain: steps times the square of the points."""

FULL_POINTS = 33
"""Points of a chain up to which all of this work is done; of a longer one a share of it, and less
for the bound, so that hundreds of points take some tenths of a second."""

SEARCHED_POINTS = 40
"""Points of a chain up to which there is a search; in longer ones it found and proved nothing."""

CLIMBS = 100
"""Rounds in which the bound's weights are raised."""

KICKS = 30
"""Restarts of the local search from a disturbed best chain."""


class Chain(NamedTuple):
    """The points in order, 0 first; total length; and a proven lower bound of it."""

    order: tuple[int, ...]
    length: float
    at_least: float

    @property
    def exact(self) -> bool:
        """Whether no shorter chain exists (to a billionth)."""
        return self.at_least >= self.length * (1 - 1e-9)


def shortest_chain(
    distances: Distances, end: int | None = None, work: int = SEARCH_WORK, kicks: int = KICKS
) -> Chain:
    """Return a shortest chain from point 0 through all points, to `end` where one is given."""
    count = len(distances)
    if count <= 2:
        order = tuple(range(count))
        length = chain_length(distances, order)
        return Chain(order, length, length)
    share = min(1.0, FULL_POINTS / count)
    climbs = round(CLIMBS * share**2)
    first = _begin(distances, end)
    bound = _Bound(distances, end, chain_length(distances, first), climbs)
    if bound.at_root >= (length := chain_length(distances, first)) * (1 - 1e-9):
        return Chain(tuple(first), length, length)
    found = _kick(distances, first, end, round(kicks * share))
    if count > SEARCHED_POINTS:
        length = chain_length(distances, found)
        return Chain(tuple(found), length, min(bound.at_root, length))
    if found != first:
        bound = _Bound(distances, end, chain_length(distances, found), climbs)
    limit = None if count - 1 <= EXACT_POINTS else round(work * share) // count**2
    return _Search(distances, end, bound, found, limit).run()


def shortest_loop(distances: Distances, work: int = SEARCH_WORK, kicks: int = KICKS) -> Chain:
    """Return a shortest closed tour; its order leaves out the return to point 0."""
    count = len(distances)
    table = [[*row, row[0]] for row in distances]
    table.append(table[0].copy())
    chain = shortest_chain(table, end=count, work=work, kicks=kicks)
    return Chain(chain.order[:-1], chain.length, chain.at_least)


def chain_length(distances: Distances, order: Sequence[int]) -> float:
    """Return the length of a chain in this order."""
    return sum(distances[a][b] for a, b in pairwise(order))


def _begin(distances: Distances, end: int | None) -> list[int]:
    """Return a good chain: the nearest neighbour each time, improved."""
    order = [0]
    left = set(range(1, len(distances))) - {end}
    while left:
        row = distances[order[-1]]
        order.append(min(left, key=lambda point: (row[point], point)))
        left.remove(order[-1])
    return _improve(distances, order if end is None else [*order, end], end)


def _kick(distances: Distances, best: list[int], end: int | None, kicks: int) -> list[int]:
    """Return a better chain: disturbed and improved again, so often; or the same."""
    from random import Random  # slow to import, and not needed where nothing is routed

    length = chain_length(distances, best)
    random = Random(len(distances))
    last = len(best) - (end is not None)
    for _ in range(kicks if len(distances) > 4 else 0):
        # Exchange two neighbouring sections; the start, and a fixed end, stay.
        a, b, c = sorted(random.randint(1, last) for _ in range(3))
        kicked = best[:a] + best[b:c] + best[a:b] + best[c:]
        trial = _improve(distances, kicked, end)
        trial_length = chain_length(distances, trial)
        if trial_length < length - 1e-9:
            best, length = trial, trial_length
    return best


def _improve(distances: Distances, order: list[int], end: int | None) -> list[int]:
    """Apply the best move found in each round until none shortens the chain."""
    while True:
        move = _find_reversal(distances, order, end) or _find_shift(distances, order, end)
        if move is None:
            return order
        order = move


def _find_reversal(distances: Distances, order: list[int], end: int | None) -> list[int] | None:
    """Return the chain with the section reversed that shortens it most, or None."""
    best, at = -1e-9, None
    size = len(order)
    for i in range(1, size - 1):
        before, first = order[i - 1], order[i]
        row, cut = distances[first], distances[before]
        gap = cut[first]
        if -2 * gap >= best:  # by the triangle inequality nothing here shortens it more
            continue
        for j in range(i + 1, size - (end is not None)):
            last = order[j]
            change = cut[last] - gap
            if j + 1 < size:
                after = order[j + 1]
                change += row[after] - distances[last][after]
            if change < best:
                best, at = change, (i, j)
    if at is None:
        return None
    i, j = at
    return order[:i] + order[i : j + 1][::-1] + order[j + 1 :]


def _find_shift(distances: Distances, order: list[int], end: int | None) -> list[int] | None:
    """Return the chain with a section of one to three points moved that shortens it most."""
    best: tuple[float, list[int]] | None = None
    last = len(order) - (end is not None)
    for size in (1, 2, 3):
        for i in range(1, last - size + 1):
            moved = order[i : i + size]
            freed = distances[order[i - 1]][moved[0]]
            if i + size < len(order):
                after = order[i + size]
                freed += distances[moved[-1]][after] - distances[order[i - 1]][after]
            # By the triangle inequality no gap takes it for less than its ends are apart.
            if -distances[moved[0]][moved[-1]] - freed >= (best[0] if best else -1e-9):
                continue
            rest = order[:i] + order[i + size :]
            found = _best_gap(distances, rest, moved, freed, end)
            if found is not None and (best is None or found[0] < best[0] - 1e-12):
                best = found
    return None if best is None else best[1]


def _best_gap(
    distances: Distances, rest: list[int], moved: list[int], freed: float, end: int | None
) -> tuple[float, list[int]] | None:
    """Return (change, chain) for the best new place of a section, either way round, or None.

    `freed` is what taking it out shortened.
    """
    from_first, from_last, size = distances[moved[0]], distances[moved[-1]], len(rest)
    best, at, turned = -1e-9, -1, False
    for gap in range(1, size + (end is None)):
        before = rest[gap - 1]
        there, back = from_first[before] - freed, from_last[before] - freed
        if gap < size:
            after = rest[gap]
            closed = distances[before][after]
            there += from_last[after] - closed
            back += from_first[after] - closed
        if there < best:
            best, at, turned = there, gap, False
        if back < best:
            best, at, turned = back, gap, True
    if at < 0:
        return None
    section = moved[::-1] if turned else moved
    return best, rest[:at] + section + rest[at:]


class _Bound:
    """Lower bounds from spanning trees, with weights on the points found once at the root."""

    def __init__(
        self, distances: Distances, end: int | None, upper: float, climbs: int = CLIMBS
    ) -> None:
        self.distances = distances
        self.count = len(distances)
        self.most = [1.0 if point in (0, end) else 2.0 for point in range(self.count)]
        self.weights = [0.0] * self.count
        self.table, self.at_root = self._weighted(), -1.0
        self._climb(upper, climbs)

    def _weighted(self) -> list[list[float]]:
        weights = self.weights
        return [
            list(map(add, row, [weight + own for weight in weights]))
            for row, own in zip(self.distances, weights, strict=True)
        ]

    def _climb(self, upper: float, climbs: int) -> None:
        """Raise the weights of points where the tree has too many branches."""
        best, best_weights = -1.0, self.weights
        pace = 1.0
        for _ in range(climbs):
            self.table = self._weighted()
            cost, degrees = self._tree()
            bound = cost - sum(w * m for w, m in zip(self.weights, self.most, strict=True))
            if bound > best:
                best, best_weights = bound, self.weights
            else:
                pace *= 0.85
            excess = [d - m for d, m in zip(degrees, self.most, strict=True)]
            norm = sum(e * e for e in excess)
            if not norm or best >= upper * (1 - 1e-9):
                break
            stride = pace * max(upper - bound, 1e-6) / norm
            steps = zip(self.weights, excess, strict=True)
            self.weights = [max(0.0, w + stride * e) for w, e in steps]
        self.weights, self.at_root = best_weights, best
        self.table = self._weighted()

    def _tree(self) -> tuple[float, list[int]]:
        """Return cost and degrees of a minimum spanning tree of all points."""
        cost, degrees = 0.0, [0] * self.count
        left, near = list(range(1, self.count)), self.table[0][1:]
        parents = [0] * len(left)
        while left:
            cost += (reach := min(near))
            at = near.index(reach)
            point, parent = left.pop(at), parents.pop(at)
            del near[at]
            degrees[point] += 1
            degrees[parent] += 1
            row = self.table[point]
            for place, other in enumerate(left):
                if row[other] < near[place]:
                    near[place], parents[place] = row[other], point
        return cost, degrees

    def tree_cost(self, points: Sequence[int]) -> float:
        """Return the weighted cost of a minimum spanning tree of some points."""
        row, left = self.table[points[0]], list(points[1:])
        near = [row[point] for point in left]
        cost = 0.0
        while left:
            cost += (reach := min(near))
            at = near.index(reach)
            row = self.table[left.pop(at)]
            del near[at]
            for place, other in enumerate(left):
                if row[other] < near[place]:
                    near[place] = row[other]
        return cost

    def remaining(self, here: int, left: list[int]) -> float:
        """Return a lower bound of a chain from `here` through all points left."""
        slack = self.weights[here] + sum(self.weights[p] * self.most[p] for p in left)
        return self.tree_cost([here, *left]) - slack


class _Search:
    """Branch and bound over chains from point 0."""

    def __init__(
        self,
        distances: Distances,
        end: int | None,
        bound: _Bound,
        found: list[int],
        limit: int | None,
    ) -> None:
        self.distances = distances
        self.end = end
        self.bound = bound
        self.best = found
        self.length = chain_length(distances, found)
        self.limit = limit
        self.steps = 0
        self.met: dict[tuple[int, int], float] = {}

    def run(self) -> Chain:
        self._extend([0], 1, 0.0)
        cut_short = self.limit is not None and self.steps > self.limit
        at_least = min(self.bound.at_root, self.length) if cut_short else self.length
        return Chain(tuple(self.best), self.length, at_least)

    def _extend(self, order: list[int], visited: int, length: float) -> None:
        """Try every chain that begins so, nearest points first, where one can beat the best."""
        self.steps += 1
        if self.limit is not None and self.steps > self.limit:
            return
        left = [point for point in range(len(self.distances)) if not visited >> point & 1]
        if not left:
            if length < self.length - 1e-9:
                self.best, self.length = order, length
            return
        here = order[-1]
        if length >= self.met.get((here, visited), float("inf")) - 1e-12:
            return
        self.met[here, visited] = length
        if length + self.bound.remaining(here, left) >= self.length * (1 - 1e-9):
            return
        row = self.distances[here]
        open_points = [p for p in left if p != self.end] or left
        for point in sorted(open_points, key=lambda p: (row[p], p)):
            self._extend([*order, point], visited | 1 << point, length + row[point])
