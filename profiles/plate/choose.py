"""Choose one option for each of several things so that no two chosen options meet.

Each option has a cost and the boxes it takes up. `choose` gives the choice of least total cost:
proven best by branch and bound where the things that can meet are few, and improved by solving
small neighbourhoods exactly where they are many. The same input gives the same choice.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate
from math import floor
from typing import NamedTuple

from profiles.plate.shapes import Box

__all__ = ["Choice", "Option", "choose", "clash"]

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


class _Group(NamedTuple):
    """Connected things, each with its options cheapest first, numbered as bits of one integer."""

    things: tuple[int, ...]
    orders: list[list[int]]
    """Each thing's options by their places in its own list, cheapest first."""
    costs: list[list[float]]
    masks: list[list[int]]
    """For each option, the bits of the options of other things it meets."""
    starts: list[int]
    """First bit of each thing's options."""


def clash(one: Option, other: Option) -> bool:
    """Whether two options take up some of the same place."""
    return any(
        a.left < b.right and b.left < a.right and a.bottom < b.top and b.bottom < a.top
        for a in one.boxes
        for b in other.boxes
    )


def choose(things: Sequence[Sequence[Option]]) -> Choice:
    """One option for each thing, none meeting another, the total cost least or near it.

    Every thing needs at least one option without boxes, so that a choice always exists.
    Raises ValueError where one has none.
    """
    if any(all(option.boxes for option in options) for options in things):
        raise ValueError("every thing needs an option that takes up no place")
    picks = [0] * len(things)
    proven = True
    for group in _groups(things):
        chosen, sure = _solve_group(group)
        proven = proven and sure
        for thing, order, pick in zip(group.things, group.orders, chosen, strict=True):
            picks[thing] = order[pick]
    cost = sum(options[pick].cost for options, pick in zip(things, picks, strict=True))
    return Choice(tuple(picks), cost, proven)


def _groups(things: Sequence[Sequence[Option]]) -> list[_Group]:
    """The connected groups of things that can meet, each with its meetings as bits."""
    meets = _meetings(things)
    near: dict[int, set[int]] = {thing: set() for thing in range(len(things))}
    for (one, _), (other, _) in meets:
        near[one].add(other)
        near[other].add(one)
    groups, seen = [], set[int]()
    for thing in range(len(things)):
        if thing not in seen:
            members = _reach(thing, near)
            seen.update(members)
            groups.append(tuple(sorted(members)))
    return [_as_bits(group, things, meets) for group in groups]


Pair = tuple[tuple[int, int], tuple[int, int]]
Span = tuple[float, float, float, float, int, int]
"""Left, right, bottom, top, thing, place of the option."""


def _meetings(things: Sequence[Sequence[Option]]) -> list[Pair]:
    """All pairs of (thing, option) that meet, found by sweeping along x in stripes of y."""
    stripes: dict[int, list[Span]] = {}
    for thing, options in enumerate(things):
        for place, option in enumerate(options):
            for left, bottom, right, top in option.boxes:
                span = (left, right, bottom, top, thing, place)
                for stripe in range(floor(bottom / _STRIPE), floor(top / _STRIPE) + 1):
                    stripes.setdefault(stripe, []).append(span)
    found: set[Pair] = set()
    for stripe in sorted(stripes):
        _sweep(sorted(stripes[stripe]), found)
    return sorted(found)


def _sweep(spans: list[Span], found: set[Pair]) -> None:
    """Add the pairs that meet; spans come sorted by their left edge."""
    active: list[Span] = []
    for span in spans:
        left, _, bottom, top, thing, place = span
        active = [other for other in active if other[1] > left]
        mine = (thing, place)
        for _, _, low, high, rival, other_place in active:
            if low < top and bottom < high and rival != thing:
                theirs = (rival, other_place)
                found.add((mine, theirs) if thing < rival else (theirs, mine))
        active.append(span)


def _reach(start: int, near: dict[int, set[int]]) -> set[int]:
    found, todo = {start}, [start]
    while todo:
        fresh = near[todo.pop()] - found
        found |= fresh
        todo.extend(fresh)
    return found


def _as_bits(
    group: tuple[int, ...], things: Sequence[Sequence[Option]], meets: list[Pair]
) -> _Group:
    orders = [_cheapest_first(things[thing]) for thing in group]
    starts = list(accumulate((len(order) for order in orders), initial=0))[:-1]
    bit = {
        (thing, place): start + rank
        for thing, order, start in zip(group, orders, starts, strict=True)
        for rank, place in enumerate(order)
    }
    flat = [0] * len(bit)
    for one, other in meets:
        if one in bit:
            flat[bit[one]] |= 1 << bit[other]
            flat[bit[other]] |= 1 << bit[one]
    ends = [start + len(order) for start, order in zip(starts, orders, strict=True)]
    masks = [flat[start:end] for start, end in zip(starts, ends, strict=True)]
    costs = [
        [things[thing][place].cost for place in order]
        for thing, order in zip(group, orders, strict=True)
    ]
    return _Group(group, orders, costs, masks, starts)


def _cheapest_first(options: Sequence[Option]) -> list[int]:
    return sorted(range(len(options)), key=lambda place: (options[place].cost, place))


def _solve_group(group: _Group) -> tuple[list[int], bool]:
    members = list(range(len(group.things)))
    if len(members) == 1:
        return [0], True
    picks = _improve(group, _greedy(group))
    if len(members) > _MANY:
        return picks, False
    return _branch(group, members, 0, picks, _EFFORT)


def _greedy(group: _Group) -> list[int]:
    """The things with most to lose first, each its cheapest option that is still free."""
    picks = [0] * len(group.things)
    blocked = 0
    for thing in sorted(range(len(picks)), key=lambda thing: (-_stake(group.costs[thing]), thing)):
        picks[thing] = _first_free(blocked >> group.starts[thing])
        blocked |= group.masks[thing][picks[thing]]
    return picks


def _stake(costs: list[float]) -> float:
    """What a thing loses when its cheapest option is taken from it."""
    return costs[1] - costs[0] if len(costs) > 1 else 0.0


def _first_free(taken: int) -> int:
    """Place of the lowest bit that is not set."""
    return (~taken & (taken + 1)).bit_length() - 1


def _improve(group: _Group, picks: list[int]) -> list[int]:
    """Solve each neighbourhood again, all else held, until a round brings nothing."""
    near = [_nearest(group, thing) for thing in range(len(picks))]
    for _ in range(_PASSES):
        before = list(picks)
        for members in near:
            picks = _again(group, members, picks)
        if picks == before:
            break
    return picks


def _nearest(group: _Group, thing: int) -> list[int]:
    """The thing and those it meets in the most ways."""
    union = 0
    for mask in group.masks[thing]:
        union |= mask
    counts = [
        (-((union >> start) & ((1 << len(costs)) - 1)).bit_count(), other)
        for other, (start, costs) in enumerate(zip(group.starts, group.costs, strict=True))
    ]
    return sorted([thing, *(other for count, other in sorted(counts) if count < 0)][: _NEAR + 1])


def _again(group: _Group, members: list[int], picks: list[int]) -> list[int]:
    inside = set(members)
    blocked = 0
    for thing, pick in enumerate(picks):
        if thing not in inside:
            blocked |= group.masks[thing][pick]
    return _branch(group, members, blocked, picks, _NEAR_EFFORT)[0]


def _branch(
    group: _Group, members: list[int], blocked: int, picks: list[int], effort: int
) -> tuple[list[int], bool]:
    """Least total cost over `members`, starting from the picks given; whether it was proven."""
    search = _Search(group, picks, members, effort)
    search.run(members, blocked, 0.0)
    return search.best, search.steps < effort


class _Search:
    """Depth-first branch and bound.

    Where the cheapest free options of all open things do not meet, they are the best of that
    branch. Else one that meets another is tried with each of its options. The bound is the sum of
    the cheapest, and for each pair that meets what the one that loses less would lose.
    """

    def __init__(self, group: _Group, picks: list[int], members: list[int], effort: int) -> None:
        self.group = group
        self.best = list(picks)
        self.best_cost = sum(group.costs[thing][picks[thing]] for thing in members)
        self.picks = list(picks)
        self.effort = effort
        self.steps = 0

    def run(self, members: list[int], blocked: int, spent: float) -> None:
        """Search all choices of `members` that avoid the bits in `blocked`."""
        self.steps += 1
        total = spent
        for thing in members:
            pick = _first_free(blocked >> self.group.starts[thing])
            self.picks[thing] = pick
            total += self.group.costs[thing][pick]
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
        costs, masks = self.group.costs[thing], self.group.masks[thing]
        taken = blocked >> self.group.starts[thing]
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
            reached |= self.group.masks[thing][self.picks[thing]]
        starts = self.group.starts
        return [thing for thing in members if reached >> (starts[thing] + self.picks[thing]) & 1]

    def _loss(self, thing: int, blocked: int) -> float:
        """What the thing loses when its current pick is taken from it."""
        costs, pick = self.group.costs[thing], self.picks[thing]
        taken = blocked >> self.group.starts[thing] | (1 << pick)
        second = _first_free(taken)
        return costs[second] - costs[pick] if second < len(costs) else float("inf")

    def _extra(self, met: list[int], losses: dict[int, float]) -> float:
        """Least further cost: of each two that meet, in disjoint pairs, one must give way."""
        extra, paired = 0.0, set[int]()
        for thing in sorted(met, key=lambda thing: (-losses[thing], thing)):
            if thing in paired:
                continue
            mask = self.group.masks[thing][self.picks[thing]]
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
        return self.group.starts[thing] + self.picks[thing]
