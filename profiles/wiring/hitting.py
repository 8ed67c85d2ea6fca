"""Smallest hitting set: fewest elements that meet every one of some sets.

Branch and bound on the smallest unmet set; the bound counts pairwise disjoint unmet sets, each of
which needs an element of its own. `smallest_hitting_set` returns the set and a proven least size.
"""

from collections.abc import Hashable, Iterable
from typing import Any, TypeVar

Element = TypeVar("Element", bound=Hashable)
Sets = list[frozenset[Any]]


def smallest_hitting_set(
    sets: Iterable[frozenset[Element]], limit: int | None = None
) -> tuple[frozenset[Element], int]:
    """Return a hitting set and a lower bound of its size; they agree unless `limit` cut it short.

    `limit` is the number of branch and bound steps allowed, None for no limit. Elements must be
    sortable; among equals the answer is the same on every run. ValueError for an empty set.
    """
    wanted = _minimal(sets)
    if wanted and not wanted[0]:
        raise ValueError("an empty set cannot be met")
    search = _Search(_greedy(wanted), limit)
    search.run(wanted, frozenset())
    size = len(search.best)
    return frozenset(search.best), _packing(wanted) if search.cut_short else size


class _Search:
    """The state of one branch and bound: the best set so far and the steps left."""

    def __init__(self, best: frozenset[Any], limit: int | None) -> None:
        self.best = best
        self.limit = limit
        self.steps = 0
        self.cut_short = False

    def run(self, unmet: Sets, chosen: frozenset[Any]) -> None:
        if not unmet:
            if len(chosen) < len(self.best):
                self.best = chosen
            return
        self.steps += 1
        if self.limit is not None and self.steps > self.limit:
            self.cut_short = True
            return
        if len(chosen) + _packing(unmet) >= len(self.best):
            return
        self._branch(unmet, chosen)

    def _branch(self, unmet: Sets, chosen: frozenset[Any]) -> None:
        """Try each element of the smallest set; the ones tried before are then ruled out."""
        ruled_out: set[Any] = set()
        counts = _counts(unmet)
        for element in sorted(unmet[0], key=lambda item: (-counts[item], item)):
            rest = [item - ruled_out for item in unmet if element not in item]
            if all(rest):
                self.run(_minimal(rest), chosen | {element})
            ruled_out.add(element)


def _minimal(sets: Iterable[frozenset[Any]]) -> Sets:
    """Drop sets that contain another; smallest first."""
    kept: Sets = []
    for item in sorted(set(sets), key=lambda s: (len(s), sorted(s))):
        if not any(smaller <= item for smaller in kept):
            kept.append(item)
    return kept


def _packing(sets: Sets) -> int:
    """Count pairwise disjoint sets, taken greedily."""
    used: set[Any] = set()
    count = 0
    for item in sets:
        if used.isdisjoint(item):
            used |= item
            count += 1
    return count


def _greedy(sets: Sets) -> frozenset[Any]:
    """Return a hitting set: always the element that meets the most unmet sets."""
    chosen: set[Any] = set()
    unmet = sets
    while unmet:
        counts = _counts(unmet)
        element = min(counts, key=lambda item: (-counts[item], item))
        chosen.add(element)
        unmet = [item for item in unmet if element not in item]
    return frozenset(chosen)


def _counts(sets: Sets) -> dict[Any, int]:
    counts: dict[Any, int] = {}
    for item in sets:
        for element in item:
            counts[element] = counts.get(element, 0) + 1
    return counts
