"""Branch and bound over things whose options meet, in bits.

A thing's options are numbered from 0, cheapest first; a set of them is an integer of bits. Each
thing has an option that meets nothing, so there is always a free one.
"""

from collections.abc import Sequence
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
        """Number the members from 0; `picks` stay the best where nothing is cheaper."""
        index = {thing: place for place, thing in enumerate(members)}
        self.costs = [costs[thing] for thing in members]
        self.meets = [
            [
                [(index[rival], bits) for rival, bits in option.items() if rival in index]
                for option in meets[thing]
            ]
            for thing in members
        ]
        self.picks = [picks[thing] for thing in members]
        self.best = list(self.picks)
        self.best_cost = sum(costs[thing][picks[thing]] for thing in members)
        self.effort = effort
        self.steps = 0

    def run(self, open_things: list[int], blocked: list[int], spent: float) -> None:
        """Search all choices of the open things that avoid the options blocked."""
        self.steps += 1
        costs, meets, picks, total = self.costs, self.meets, self.picks, spent
        for thing in open_things:
            picks[thing] = pick = first_free(blocked[thing]) if blocked[thing] else 0
            total += costs[thing][pick]
        if total >= self.best_cost - _HAIR:
            return
        is_open = set(open_things)
        met = {
            thing: [
                rival
                for rival, bits in meets[thing][picks[thing]]
                if rival in is_open and bits >> picks[rival] & 1
            ]
            for thing in open_things
        }
        rivals = {thing: others for thing, others in met.items() if others}
        if not rivals:
            self.best, self.best_cost = list(picks), total
            return
        losses: dict[int, float] = {}
        for thing in rivals:
            second = first_free(blocked[thing] | 1 << picks[thing])
            lost = costs[thing][second] if second < len(costs[thing]) else inf
            losses[thing] = lost - costs[thing][picks[thing]]
        if total + _least_loss(rivals, losses) >= self.best_cost - _HAIR:
            return
        chosen = max(rivals, key=losses.__getitem__)
        others = total - costs[chosen][picks[chosen]]
        rest = [thing for thing in open_things if thing != chosen]
        for pick, cost in enumerate(costs[chosen]):
            if blocked[chosen] >> pick & 1:
                continue
            if self.steps >= self.effort or others + cost >= self.best_cost - _HAIR:
                return
            picks[chosen] = pick
            further = list(blocked)
            for rival, bits in meets[chosen][pick]:
                further[rival] |= bits
            self.run(rest, further, spent + cost)


def _least_loss(rivals: dict[int, list[int]], losses: dict[int, float]) -> float:
    """Least further cost: of each two that meet, taken in disjoint pairs, one must give way."""
    loss, paired = 0.0, set[int]()
    for thing in sorted(rivals, key=lambda thing: (-losses[thing], thing)):
        free = [other for other in rivals[thing] if other not in paired]
        if thing not in paired and free:
            rival = max(free, key=losses.__getitem__)
            loss += min(losses[thing], losses[rival])
            paired.update((thing, rival))
    return loss
