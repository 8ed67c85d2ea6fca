"""Choose one option for each of several things so that no two chosen options meet.

Each option has a cost and the boxes it takes up. `choose` gives the choice of least total cost:
proven best by branch and bound where the things that can meet are few, and improved by solving
small neighbourhoods exactly where they are many. The same input gives the same choice.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from profiles.plate.shapes import Box

__all__ = ["Choice", "Option", "choose", "clash"]

_MANY = 40
"""Connected things beyond which no proof is tried."""

_EFFORT = 2_000
"""Steps of branch and bound on one connected group before good replaces proven best."""

_NEAR_EFFORT = 150
"""Steps on one neighbourhood of a large group."""

_NEAR = 7
"""Most things in one neighbourhood."""

_PASSES = 4
"""Most rounds over all neighbourhoods of a large group."""


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
    """Connected things: options as bit numbers of one integer."""

    things: tuple[int, ...]
    costs: list[list[float]]
    masks: list[list[int]]
    """For each option, the bits of the options of other things it meets."""
    starts: list[int]
    """First bit of each thing's options."""
    orders: list[list[int]]
    """Each thing's options, cheapest first."""


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
        for thing, pick in zip(group.things, chosen, strict=True):
            picks[thing] = pick
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


def _meetings(things: Sequence[Sequence[Option]]) -> list[Pair]:
    """All pairs of (thing, option) that meet, found by sweeping along x."""
    spans = sorted(
        (box.left, box.right, box.bottom, box.top, thing, place)
        for thing, options in enumerate(things)
        for place, option in enumerate(options)
        for box in option.boxes
    )
    found: set[Pair] = set()
    active: list[tuple[float, float, float, float, int, int]] = []
    for span in spans:
        left, _, bottom, top, thing, place = span
        active = [other for other in active if other[1] > left]
        for _, _, low, high, other_thing, other_place in active:
            if other_thing != thing and low < top and bottom < high:
                pair = sorted(((thing, place), (other_thing, other_place)))
                found.add((pair[0], pair[1]))
        active.append(span)
    return sorted(found)


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
    starts: list[int] = []
    bit = 0
    for thing in group:
        starts.append(bit)
        bit += len(things[thing])
    index = {thing: place for place, thing in enumerate(group)}
    masks = [[0] * len(things[thing]) for thing in group]
    for (one, a), (other, b) in meets:
        if one in index:
            i, j = index[one], index[other]
            masks[i][a] |= 1 << (starts[j] + b)
            masks[j][b] |= 1 << (starts[i] + a)
    costs = [[option.cost for option in things[thing]] for thing in group]
    return _Group(group, costs, masks, starts, [_cheapest_first(row) for row in costs])


def _cheapest_first(costs: list[float]) -> list[int]:
    return sorted(range(len(costs)), key=lambda pick: (costs[pick], pick))


def _solve_group(group: _Group) -> tuple[list[int], bool]:
    members = list(range(len(group.things)))
    first = _greedy(group)
    if len(members) > _MANY:
        return _improve(group, first), False
    picks, sure = _branch(group, members, 0, first, _EFFORT)
    return (picks, True) if sure else (_improve(group, picks), False)


def _greedy(group: _Group) -> list[int]:
    """The things with most to lose first, each its cheapest option that is still free."""
    picks = [0] * len(group.things)
    blocked = 0
    for thing in sorted(range(len(picks)), key=lambda thing: (-_stake(group, thing), thing)):
        pick = min(_free(group, thing, blocked), key=lambda pick: (group.costs[thing][pick], pick))
        picks[thing] = pick
        blocked |= group.masks[thing][pick]
    return picks


def _stake(group: _Group, thing: int) -> float:
    """What the thing loses when its cheapest option is taken from it."""
    costs = sorted(group.costs[thing])
    return costs[1] - costs[0] if len(costs) > 1 else 0.0


def _free(group: _Group, thing: int, blocked: int) -> list[int]:
    start = group.starts[thing]
    return [pick for pick in range(len(group.costs[thing])) if not blocked >> (start + pick) & 1]


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
    """Depth-first branch and bound; the bound is each open thing's cheapest free option."""

    def __init__(self, group: _Group, picks: list[int], members: list[int], effort: int) -> None:
        self.group = group
        self.best = list(picks)
        self.best_cost = sum(group.costs[thing][picks[thing]] for thing in members)
        self.picks = list(picks)
        self.effort = effort
        self.steps = 0

    def run(self, members: list[int], blocked: int, spent: float) -> None:
        """Try every pick of the tightest open thing, cheapest first."""
        if not members:
            self.best, self.best_cost = list(self.picks), spent
            return
        bound, thing = self._tightest(members, blocked)
        if spent + bound >= self.best_cost - 1e-9:
            return
        costs, masks = self.group.costs[thing], self.group.masks[thing]
        start = self.group.starts[thing]
        rest = [member for member in members if member != thing]
        others = bound - self._cheapest(thing, blocked)[0]
        for pick in self.group.orders[thing]:
            if blocked >> (start + pick) & 1:
                continue
            if self.steps >= self.effort or spent + costs[pick] + others >= self.best_cost - 1e-9:
                return
            self.steps += 1
            self.picks[thing] = pick
            self.run(rest, blocked | masks[pick], spent + costs[pick])

    def _tightest(self, members: list[int], blocked: int) -> tuple[float, int]:
        """Sum of cheapest free costs, and the thing that loses most without its cheapest."""
        total, worst, chosen = 0.0, -1.0, members[0]
        for thing in members:
            first, second = self._cheapest(thing, blocked)
            total += first
            if second - first > worst:
                worst, chosen = second - first, thing
        return total, chosen

    def _cheapest(self, thing: int, blocked: int) -> tuple[float, float]:
        """Costs of the two cheapest free options; the second is endless where there is one."""
        costs = self.group.costs[thing]
        taken = blocked >> self.group.starts[thing]
        first = -1.0
        for pick in self.group.orders[thing]:
            if not taken >> pick & 1:
                if first >= 0:
                    return first, costs[pick]
                first = costs[pick]
        return first, float("inf")
