"""Branch and bound over things whose options meet, in bits.

A thing's options are numbered from 0, cheapest first; a set of them is an integer of bits. Each
thing has an option that meets nothing, so there is always a free one.
"""

from __future__ import annotations

from collections.abc import Sequence

__all__ = ["Meets", "Table", "branch", "first_free"]

Meets = dict[int, int]
"""For one option the things it meets, each with the bits of the options it meets there."""

_HAIR = 1e-9


def first_free(taken: int) -> int:
    """Number of the lowest bit that is not set."""
    return (~taken & (taken + 1)).bit_length() - 1


class Table:
    """The things of one search, numbered from 0: their costs, and what meets within them."""

    def __init__(
        self,
        members: Sequence[int],
        costs: Sequence[Sequence[float]],
        meets: Sequence[Sequence[Meets]],
    ) -> None:
        index = {thing: place for place, thing in enumerate(members)}
        self.costs = [costs[thing] for thing in members]
        self.meets = [
            [
                [(index[rival], bits) for rival, bits in option.items() if rival in index]
                for option in meets[thing]
            ]
            for thing in members
        ]


def branch(
    table: Table, blocked: list[int], picks: list[int], effort: int
) -> tuple[list[int], bool]:
    """The picks of least total cost that avoid `blocked`, and whether that is proven.

    Starts from the picks given, which are returned when nothing is cheaper. Gives up the proof
    after `effort` steps.
    """
    search = _Search(table, picks, effort)
    search.run(list(range(len(picks))), blocked, 0.0)
    return search.best, search.steps < effort


class _Search:
    """Depth-first branch and bound.

    Where the cheapest free options of all open things do not meet, they are the best of that
    branch. Else one that meets another is tried with each of its options. The bound is the sum of
    the cheapest, and for each pair that meets what the one that loses less would lose.
    """

    def __init__(self, table: Table, picks: list[int], effort: int) -> None:
        self.costs = table.costs
        self.meets = table.meets
        self.best = list(picks)
        self.best_cost = sum(costs[pick] for costs, pick in zip(table.costs, picks, strict=True))
        self.picks = list(picks)
        self.effort = effort
        self.steps = 0

    def run(self, open_things: list[int], blocked: list[int], spent: float) -> None:
        """Search all choices of the open things that avoid the options blocked."""
        self.steps += 1
        total = spent
        for thing in open_things:
            pick = first_free(blocked[thing])
            self.picks[thing] = pick
            total += self.costs[thing][pick]
        if total >= self.best_cost - _HAIR:
            return
        rivals = self._find_rivals(open_things)
        if not rivals:
            self.best, self.best_cost = list(self.picks), total
            return
        losses = {thing: self._loss(thing, blocked[thing]) for thing in rivals}
        if total + _extra(rivals, losses) >= self.best_cost - _HAIR:
            return
        self._branch(max(rivals, key=losses.__getitem__), open_things, blocked, spent, total)

    def _branch(
        self,
        thing: int,
        open_things: list[int],
        blocked: list[int],
        spent: float,
        total: float,
    ) -> None:
        """Try each free option of one thing, cheapest first."""
        costs, taken = self.costs[thing], blocked[thing]
        others = total - costs[self.picks[thing]]
        rest = [other for other in open_things if other != thing]
        for pick, cost in enumerate(costs):
            if taken >> pick & 1:
                continue
            if self.steps >= self.effort or others + cost >= self.best_cost - _HAIR:
                return
            self.picks[thing] = pick
            further = list(blocked)
            for rival, bits in self.meets[thing][pick]:
                further[rival] |= bits
            self.run(rest, further, spent + cost)

    def _find_rivals(self, open_things: list[int]) -> dict[int, list[int]]:
        """The open things whose current pick meets other open things', with those."""
        found: dict[int, list[int]] = {}
        is_open = set(open_things)
        for thing in open_things:
            met = [
                rival
                for rival, bits in self.meets[thing][self.picks[thing]]
                if rival in is_open and bits >> self.picks[rival] & 1
            ]
            if met:
                found[thing] = met
        return found

    def _loss(self, thing: int, taken: int) -> float:
        """What the thing loses when its current pick is taken from it."""
        costs, pick = self.costs[thing], self.picks[thing]
        second = first_free(taken | (1 << pick))
        return costs[second] - costs[pick] if second < len(costs) else float("inf")


def _extra(rivals: dict[int, list[int]], losses: dict[int, float]) -> float:
    """Least further cost: of each two that meet, taken in disjoint pairs, one must give way."""
    extra, paired = 0.0, set[int]()
    for thing in sorted(rivals, key=lambda thing: (-losses[thing], thing)):
        free = [other for other in rivals[thing] if other not in paired]
        if thing not in paired and free:
            rival = max(free, key=losses.__getitem__)
            extra += min(losses[thing], losses[rival])
            paired.update((thing, rival))
    return extra
