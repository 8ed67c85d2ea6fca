"""Branch and bound over things whose options meet, in bits.

A thing's options are numbered from 0, cheapest first; a set of them is an integer of bits. Each
thing has an option that meets nothing, so there is always a free one.
"""

from collections.abc import Sequence
from itertools import accumulate
from math import inf

Meets = dict[int, int]
"""For one option the things it meets, each with the bits of the options it meets there."""

_HAIR = 1e-9


def first_free(taken: int) -> int:
    """Number of the lowest bit that is not set."""
    return (~taken & (taken + 1)).bit_length() - 1


class Search:
    """Depth-first branch and bound for the picks of least total cost among some things.

    Where the cheapest free options of all open things do not meet, they are the best of that
    branch. Otherwise an option that meets another is tried with each alternative of its thing. The
    bound is the sum of the cheapest, and for each pair that meets what the cheaper of the two
    would lose. The proof is given up after `effort` steps.
    """

    def __init__(
        self,
        members: Sequence[int],
        costs: Sequence[Sequence[float]],
        meets: Sequence[Sequence[Meets]],
        picks: Sequence[int],
        effort: int,
    ) -> None:
        """Number the members from 0; `picks` stay the best where nothing is cheaper.

        The options of all members share one integer, those of each beginning at its own bit.
        """
        self.costs = [costs[thing] for thing in members]
        self.starts = list(accumulate(map(len, self.costs), initial=0))
        begin = dict(zip(members, self.starts, strict=False))
        self.meets = []
        for thing in members:
            rows = []
            for option in meets[thing]:
                row = 0
                for rival in option.keys() & begin.keys():
                    row |= option[rival] << begin[rival]
                rows.append(row)
            self.meets.append(rows)
        self.picks = [picks[thing] for thing in members]
        self.best = list(self.picks)
        self.best_cost = sum(costs[thing][picks[thing]] for thing in members)
        self.effort = effort
        self.steps = 0

    def run(self, blocked: Sequence[int]) -> list[int]:
        """The best picks that avoid these options of each."""
        taken = 0
        for bits, start in zip(blocked, self.starts, strict=False):
            taken |= bits << start
        self._branch(list(range(len(self.costs))), taken, 0.0)
        return self.best

    def _branch(self, open_things: list[int], blocked: int, spent: float) -> None:
        """Search all choices of the open things that avoid the options blocked."""
        self.steps += 1
        costs, meets, picks, starts, total = self.costs, self.meets, self.picks, self.starts, spent
        chosen = 0
        for thing in open_things:
            start = starts[thing]
            free = ~(blocked >> start)
            picks[thing] = pick = (free & -free).bit_length() - 1
            total += costs[thing][pick]
            chosen |= 1 << start + pick
        if total >= self.best_cost - _HAIR:
            return
        met = [thing for thing in open_things if meets[thing][picks[thing]] & chosen]
        if not met:
            self.best, self.best_cost = list(picks), total
            return
        losses: dict[int, float] = {}
        for thing in met:
            mine = costs[thing]
            second = first_free(blocked >> starts[thing] | 1 << picks[thing])
            lost = mine[second] if second < len(mine) else inf
            losses[thing] = lost - mine[picks[thing]]
        if total + self._least_loss(losses) >= self.best_cost - _HAIR:
            return
        giving = max(met, key=losses.__getitem__)
        others = total - costs[giving][picks[giving]]
        rest = [thing for thing in open_things if thing != giving]
        taken = blocked >> starts[giving]
        for pick, cost in enumerate(costs[giving]):
            if taken >> pick & 1:
                continue
            if self.steps >= self.effort or others + cost >= self.best_cost - _HAIR:
                return
            picks[giving] = pick
            self._branch(rest, blocked | meets[giving][pick], spent + cost)

    def _least_loss(self, losses: dict[int, float]) -> float:
        """Least further cost: of each two that meet, taken in disjoint pairs, one must give way."""
        loss, paired = 0.0, set[int]()
        for thing in sorted(losses, key=lambda thing: (-losses[thing], thing)):
            if thing in paired:
                continue
            meets = self.meets[thing][self.picks[thing]]
            free = [
                other
                for other in losses
                if other not in paired and meets >> self.starts[other] + self.picks[other] & 1
            ]
            if free:
                rival = max(free, key=losses.__getitem__)
                loss += min(losses[thing], losses[rival])
                paired.update((thing, rival))
        return loss
