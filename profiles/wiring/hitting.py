"""Smallest hitting set: fewest elements that meet every one of some sets.

Sets of one element force it; what is left falls into parts that share nothing, and each part is
searched by branch and bound on its smallest unmet set. The bound counts pairwise disjoint unmet
sets, each of which needs an element of its own.
"""

from collections import Counter
from collections.abc import Hashable, Iterable
from itertools import chain
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
    forced = frozenset(item for members in wanted if len(members) == 1 for item in members)
    chosen, at_least = set(forced), len(forced)
    for part in _parts(_minimal(members for members in wanted if forced.isdisjoint(members))):
        # Fewer steps for a large part, whose every step takes longer.
        share = None if limit is None else limit * EASY_PART**2 // max(EASY_PART, len(part)) ** 2
        search = _Search(_greedy(part), share)
        search.run(part, frozenset())
        chosen |= search.best
        at_least += _packing(part) if search.cut_short else len(search.best)
    return frozenset(chosen), at_least


class _Search:
    """The state of one branch and bound: the best set so far and the steps made."""

    def __init__(self, best: frozenset[Any], limit: int | None) -> None:
        self.best = best
        self.limit = limit
        self.steps = 0
        self.cut_short = False

    def run(self, unmet: Sets, chosen: frozenset[Any]) -> None:
        """Try each element of the smallest set; the ones tried before are then ruled out."""
        if not unmet:
            if len(chosen) < len(self.best):
                self.best = chosen
            return
        if len(chosen) + _packing(unmet) >= len(self.best):
            return
        self.steps += 1
        if self.limit is not None and self.steps > self.limit:
            self.cut_short = True
            return
        ruled_out: set[Any] = set()
        counts = Counter(chain.from_iterable(unmet))
        for element in sorted(unmet[0], key=lambda item: (-counts[item], item)):
            rest = [members - ruled_out for members in unmet if element not in members]
            if all(rest):
                self.run(_minimal(rest), chosen | {element})
            ruled_out.add(element)


def _minimal(sets: Iterable[frozenset[Any]]) -> Sets:
    """Drop sets that contain another; smallest first."""
    kept: Sets = []
    by_first: dict[Any, Sets] = {}
    for members in sorted(set(sets), key=lambda item: (len(item), sorted(item))):
        if not any(smaller <= members for item in members for smaller in by_first.get(item, ())):
            kept.append(members)
            by_first.setdefault(min(members), []).append(members)
    return kept


def _parts(sets: Sets) -> list[Sets]:
    """Split sets into parts that share no element, each in the order given."""
    parts: list[tuple[frozenset[Any], Sets]] = []
    for members in sets:
        touching = [part for part in parts if not part[0].isdisjoint(members)]
        parts = [part for part in parts if part[0].isdisjoint(members)]
        elements = members.union(*(part[0] for part in touching))
        parts.append((elements, [item for part in touching for item in part[1]] + [members]))
    return [_minimal(part) for _, part in parts]


def _packing(sets: Sets) -> int:
    """Count pairwise disjoint sets, taken greedily."""
    used: set[Any] = set()
    count = 0
    for members in sets:
        if used.isdisjoint(members):
            used |= members
            count += 1
    return count


def _greedy(sets: Sets) -> frozenset[Any]:
    """Return a hitting set: always the element that meets the most unmet sets."""
    chosen: set[Any] = set()
    unmet: dict[Any, set[int]] = {}
    for number, members in enumerate(sets):
        for item in members:
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
