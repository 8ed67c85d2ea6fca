"""Choose one option for each of several things so that no two chosen options meet.

Each option has a cost and the boxes it takes up. `choose` gives the choice of least total cost:
proven best by branch and bound where the things that can meet are few, and improved by solving
small neighbourhoods exactly where they are many. The same input gives the same choice.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate, pairwise
from math import floor
from typing import NamedTuple

from profiles.plate.shapes import Box

__all__ = ["Choice", "Option", "choose"]

_MANY = 40
"""Connected things beyond which no proof is tried."""

_EFFORT = 4_000
"""Steps of branch and bound on one connected group before good replaces proven best."""

_NEAR_EFFORT = 600
"""Steps on one neighbourhood of a large group."""

_NEAR = 9
"""Most things in one neighbourhood."""

_PASSES = 8
"""Most rounds over all neighbourhoods of a large group."""


_STRIPE = 10.0
"""Height of the stripes in which meetings are looked for, mm."""

_HAIR = 1e-9


class Option(NamedTuple):
    """One way to place a thing: what it costs, and the boxes nobody else may enter."""

    cost: float
    boxes: tuple[Box, ...]


class Choice(NamedTuple):
    """The options chosen, by place in each thing's list."""

    picks: tuple[int, ...]
    cost: float
    proven: bool
    """Whether no cheaper choice exists."""


class _Field(NamedTuple):
    """All things; their options, cheapest first, numbered as bits of one integer."""

    orders: list[list[int]]
    """Each thing's options by their places in its own list, cheapest first."""
    costs: list[list[float]]
    masks: list[list[int]]
    """For each option, the bits of the options of other things it meets."""
    starts: list[int]
    """First bit of each thing's options."""


Span = tuple[float, float, float, float, int, int]
"""Left, right, bottom, top, thing, bit of the option."""


def choose(things: Sequence[Sequence[Option]]) -> Choice:
    """One option for each thing, none meeting another, the total cost least or near it.

    Every thing needs at least one option without boxes, so that a choice always exists.
    Raises ValueError where one has none.
    """
    if any(all(option.boxes for option in options) for options in things):
        raise ValueError("every thing needs an option that takes up no place")
    field = _see(things)
    picks = [0] * len(things)
    proven = True
    for group in _groups(field):
        proven = _solve(field, group, picks) and proven
    chosen = tuple(order[pick] for order, pick in zip(field.orders, picks, strict=True))
    cost = sum(options[pick].cost for options, pick in zip(things, chosen, strict=True))
    return Choice(chosen, cost, proven)


def _see(things: Sequence[Sequence[Option]]) -> _Field:
    """Sort the options of all things and find which of them meet."""
    orders = [_cheapest_first(options) for options in things]
    starts = list(accumulate((len(order) for order in orders), initial=0))
    costs = [
        [options[place].cost for place in order]
        for options, order in zip(things, orders, strict=True)
    ]
    flat = [0] * starts[-1]
    for spans in _stripes(things, orders, starts):
        _sweep(spans, flat)
    masks = [flat[start:end] for start, end in pairwise(starts)]
    return _Field(orders, costs, masks, starts[:-1])


def _cheapest_first(options: Sequence[Option]) -> list[int]:
    return sorted(range(len(options)), key=lambda place: (options[place].cost, place))


def _stripes(
    things: Sequence[Sequence[Option]], orders: list[list[int]], starts: list[int]
) -> list[list[Span]]:
    """All boxes by stripes of y, sorted by their left edge; one may lie in several."""
    stripes: dict[int, list[Span]] = {}
    for thing, (options, order) in enumerate(zip(things, orders, strict=True)):
        for rank, place in enumerate(order):
            for left, bottom, right, top in options[place].boxes:
                span = (left, right, bottom, top, thing, starts[thing] + rank)
                for stripe in range(floor(bottom / _STRIPE), floor(top / _STRIPE) + 1):
                    stripes.setdefault(stripe, []).append(span)
    return [sorted(spans) for spans in stripes.values()]


def _sweep(spans: list[Span], flat: list[int]) -> None:
    """Set the bits of options that meet, going along x."""
    active: list[Span] = []
    for span in spans:
        left, _, bottom, top, thing, bit = span
        active = [other for other in active if other[1] > left]
        mine = 0
        for _, _, low, high, rival, other_bit in active:
            if low < top and bottom < high and rival != thing:
                mine |= 1 << other_bit
                flat[other_bit] |= 1 << bit
        flat[bit] |= mine
        active.append(span)


def _groups(field: _Field) -> list[list[int]]:
    """Things connected by options that meet."""
    near = [set(_rivals(field, thing)) for thing in range(len(field.costs))]
    groups, seen = [], set[int]()
    for thing in range(len(near)):
        if thing not in seen:
            members = _reach(thing, near)
            seen.update(members)
            groups.append(sorted(members))
    return groups


def _rivals(field: _Field, thing: int) -> dict[int, int]:
    """Things met by any option of a thing, with how many of their options are."""
    union = 0
    for mask in field.masks[thing]:
        union |= mask
    found = {}
    for other, (start, costs) in enumerate(zip(field.starts, field.costs, strict=True)):
        count = ((union >> start) & ((1 << len(costs)) - 1)).bit_count()
        if count:
            found[other] = count
    return found


def _reach(start: int, near: list[set[int]]) -> set[int]:
    found, todo = {start}, [start]
    while todo:
        fresh = near[todo.pop()] - found
        found |= fresh
        todo.extend(fresh)
    return found


def _solve(field: _Field, group: list[int], picks: list[int]) -> bool:
    """Write the picks of one group; whether they are proven best."""
    if len(group) == 1:
        return True
    _start_greedily(field, group, picks)
    _improve(field, group, picks)
    return len(group) <= _MANY and _branch(field, group, 0, picks, _EFFORT)


def _start_greedily(field: _Field, group: list[int], picks: list[int]) -> None:
    """The things with most to lose first, each its cheapest option that is still free."""
    blocked = 0
    for thing in sorted(group, key=lambda thing: (-_stake(field.costs[thing]), thing)):
        picks[thing] = _first_free(blocked >> field.starts[thing])
        blocked |= field.masks[thing][picks[thing]]


def _stake(costs: list[float]) -> float:
    """What a thing loses when its cheapest option is taken from it."""
    return costs[1] - costs[0] if len(costs) > 1 else 0.0


def _first_free(taken: int) -> int:
    """Place of the lowest bit that is not set."""
    return (~taken & (taken + 1)).bit_length() - 1


def _improve(field: _Field, group: list[int], picks: list[int]) -> None:
    """Solve each neighbourhood again, all else held, until a round brings nothing."""
    near = {thing: _nearest(field, thing) for thing in group}
    stirred = set(group)
    for _ in range(_PASSES):
        before = list(picks)
        for members in near.values():
            if not stirred.isdisjoint(members):
                blocked = _blocked(field, group, members, picks)
                _branch(field, members, blocked, picks, _NEAR_EFFORT)
        changed = [thing for thing in group if picks[thing] != before[thing]]
        stirred = {other for thing in changed for other in near[thing]}
        if not stirred:
            break


def _nearest(field: _Field, thing: int) -> list[int]:
    """The thing and those it meets in the most ways."""
    rivals = sorted(_rivals(field, thing).items(), key=lambda pair: (-pair[1], pair[0]))
    return sorted([thing, *(other for other, _ in rivals[:_NEAR])])


def _blocked(field: _Field, group: list[int], members: list[int], picks: list[int]) -> int:
    """Bits of all options that meet what is picked outside of `members`."""
    inside = set(members)
    blocked = 0
    for thing in group:
        if thing not in inside:
            blocked |= field.masks[thing][picks[thing]]
    return blocked


def _branch(field: _Field, members: list[int], blocked: int, picks: list[int], effort: int) -> bool:
    """Write the picks of least total cost over `members`; whether that was proven."""
    search = _Search(field, picks, members, effort)
    search.run(members, blocked, 0.0)
    for thing in members:
        picks[thing] = search.best[thing]
    return search.steps < effort


class _Search:
    """Depth-first branch and bound.

    Where the cheapest free options of all open things do not meet, they are the best of that
    branch. Else one that meets another is tried with each of its options. The bound is the sum of
    the cheapest, and for each pair that meets what the one that loses less would lose.
    """

    def __init__(self, field: _Field, picks: list[int], members: list[int], effort: int) -> None:
        self.field = field
        self.best = list(picks)
        self.best_cost = sum(field.costs[thing][picks[thing]] for thing in members)
        self.picks = list(picks)
        self.effort = effort
        self.steps = 0

    def run(self, members: list[int], blocked: int, spent: float) -> None:
        """Search all choices of `members` that avoid the bits in `blocked`."""
        self.steps += 1
        total = spent
        for thing in members:
            pick = _first_free(blocked >> self.field.starts[thing])
            self.picks[thing] = pick
            total += self.field.costs[thing][pick]
        if total >= self.best_cost - _HAIR:
            return
        met = self._met(members)
        if not met:
            self.best, self.best_cost = list(self.picks), total
            return
        losses = {thing: self._loss(thing, blocked) for thing in met}
        if total + self._extra(met, losses) >= self.best_cost - _HAIR:
            return
        self._branch(max(met, key=lambda thing: losses[thing]), members, blocked, spent, total)

    def _branch(
        self, thing: int, members: list[int], blocked: int, spent: float, total: float
    ) -> None:
        """Try each free option of one thing, cheapest first."""
        costs, masks = self.field.costs[thing], self.field.masks[thing]
        taken = blocked >> self.field.starts[thing]
        others = total - costs[self.picks[thing]]
        rest = [member for member in members if member != thing]
        for pick, cost in enumerate(costs):
            if taken >> pick & 1:
                continue
            if self.steps >= self.effort or others + cost >= self.best_cost - _HAIR:
                return
            self.picks[thing] = pick
            self.run(rest, blocked | masks[pick], spent + cost)

    def _met(self, members: list[int]) -> list[int]:
        """The open things whose current pick meets another's."""
        reached = 0
        for thing in members:
            reached |= self.field.masks[thing][self.picks[thing]]
        starts = self.field.starts
        return [thing for thing in members if reached >> (starts[thing] + self.picks[thing]) & 1]

    def _loss(self, thing: int, blocked: int) -> float:
        """What the thing loses when its current pick is taken from it."""
        costs, pick = self.field.costs[thing], self.picks[thing]
        taken = blocked >> self.field.starts[thing] | (1 << pick)
        second = _first_free(taken)
        return costs[second] - costs[pick] if second < len(costs) else float("inf")

    def _extra(self, met: list[int], losses: dict[int, float]) -> float:
        """Least further cost: of each two that meet, in disjoint pairs, one must give way."""
        extra, paired = 0.0, set[int]()
        for thing in sorted(met, key=lambda thing: (-losses[thing], thing)):
            if thing in paired:
                continue
            mask = self.field.masks[thing][self.picks[thing]]
            rivals = [
                other
                for other in met
                if other not in paired and mask >> self._bit(other) & 1 and other != thing
            ]
            if rivals:
                rival = max(rivals, key=lambda other: losses[other])
                extra += min(losses[thing], losses[rival])
                paired.update((thing, rival))
        return extra

    def _bit(self, thing: int) -> int:
        return self.field.starts[thing] + self.picks[thing]
