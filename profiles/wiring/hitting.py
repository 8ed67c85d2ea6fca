"""Smallest hitting set: fewest elements that meet every one of some sets.

Sets of one element force it; what is left falls into parts that share nothing, and each part is
searched by branch and bound on its smallest unmet set. The bound counts pairwise disjoint unmet
sets, each of which needs an element of its own.
"""

from collections.abc import Hashable, Iterable
from typing import Any, TypeVar

Element = TypeVar("Element", bound=Hashable)
Sets = list[frozenset[Any]]

EASY_PART = 100
"""Sets in a part up to which a search may make all its steps."""


def smallest_hitting_set(
    sets: Iterable[frozenset[Element]], limit: int | None = None
) -> tuple[frozenset[Element], int]:
    """Return a hitting set and a lower bound of its size; they agree unless `limit` cut it short.

    `limit` is the number of branch and bound steps allowed for each part of up to 100 sets, fewer
    for a larger one; None for no limit.
    Elements must be sortable; among equals the answer is the same on every run. ValueError for an
    empty set, which nothing meets.
    """
    wanted = set(sets)
    if frozenset() in wanted:
        raise ValueError("an empty set cannot be met")
    forced = frozenset(item for one in wanted if len(one) == 1 for item in one)
    chosen, at_least = set(forced), len(forced)
    for part in _parts(_minimal(one for one in wanted if forced.isdisjoint(one))):
        search = _Search(_greedy(part), _share_of(limit, part))
        search.run(part, frozenset())
        chosen |= search.best
        at_least += _packing(part) if search.cut_short else len(search.best)
    return frozenset(chosen), at_least


def _share_of(limit: int | None, part: Sets) -> int | None:
    """Return the steps for one part, fewer for a large one, whose every step takes longer."""
    return None if limit is None else limit * EASY_PART**2 // max(EASY_PART, len(part)) ** 2


class _Search:
    """The state of one branch and bound: the best set so far and the steps made."""

    def __init__(self, best: frozenset[Any], limit: int | None) -> None:
        self.best = best
        self.limit = limit
        self.steps = 0
        self.cut_short = False

    def run(self, unmet: Sets, chosen: frozenset[Any]) -> None:
        if not unmet:
            if len(chosen) < len(self.best):
                self.best = chosen
        elif len(chosen) + _packing(unmet) < len(self.best) and self._may_go_on():
            self._branch(unmet, chosen)

    def _may_go_on(self) -> bool:
        self.steps += 1
        if self.limit is not None and self.steps > self.limit:
            self.cut_short = True
        return not self.cut_short

    def _branch(self, unmet: Sets, chosen: frozenset[Any]) -> None:
        """Try each element of the smallest set; the ones tried before are then ruled out."""
        ruled_out: set[Any] = set()
        counts = _counts(unmet)
        for element in sorted(unmet[0], key=lambda item: (-counts[item], item)):
            rest = [one - ruled_out for one in unmet if element not in one]
            if all(rest):
                self.run(_minimal(rest), chosen | {element})
            ruled_out.add(element)


def _minimal(sets: Iterable[frozenset[Any]]) -> Sets:
    """Drop sets that contain another; smallest first."""
    kept: Sets = []
    by_first: dict[Any, Sets] = {}
    for one in sorted(set(sets), key=lambda item: (len(item), sorted(item))):
        if not any(smaller <= one for item in one for smaller in by_first.get(item, ())):
            kept.append(one)
            by_first.setdefault(min(one), []).append(one)
    return kept


def _parts(sets: Sets) -> list[Sets]:
    """Split sets into parts that share no element, each in the order given."""
    parts: list[tuple[frozenset[Any], Sets]] = []
    for one in sets:
        touching = [part for part in parts if not part[0].isdisjoint(one)]
        parts = [part for part in parts if part[0].isdisjoint(one)]
        elements = one.union(*(part[0] for part in touching))
        parts.append((elements, [item for part in touching for item in part[1]] + [one]))
    return [_minimal(members) for _, members in parts]


def _packing(sets: Sets) -> int:
    """Count pairwise disjoint sets, taken greedily."""
    used: set[Any] = set()
    count = 0
    for one in sets:
        if used.isdisjoint(one):
            used |= one
            count += 1
    return count


def _greedy(sets: Sets) -> frozenset[Any]:
    """Return a hitting set: always the element that meets the most unmet sets."""
    chosen: set[Any] = set()
    unmet: dict[Any, set[int]] = {}
    for number, one in enumerate(sets):
        for item in one:
            unmet.setdefault(item, set()).add(number)
    left = len(sets)
    while left:
        element = min(unmet, key=lambda item: (-len(unmet[item]), item))
        met = unmet.pop(element)
        for number in met:
            for other in sets[number] - {element}:
                unmet[other].discard(number)
        chosen.add(element)
        left -= len(met)
    return frozenset(chosen)


def _counts(sets: Sets) -> dict[Any, int]:
    counts: dict[Any, int] = {}
    for one in sets:
        for item in one:
            counts[item] = counts.get(item, 0) + 1
    return counts
