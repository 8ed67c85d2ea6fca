"""Choose one option for each of several things so that no two chosen options meet.

Each option has a cost and the boxes it takes up. A `Board` makes the choice of least total cost:
proven best by branch and bound where the things that can meet are few, and improved by solving
small neighbourhoods exactly where they are many. The same input gives the same choice.

Things may come in several lots: `add` them, then `settle` again, which only looks at groups that a
newcomer belongs to. A thing's options may as well: one without boxes may stand for all dearer ones
until it is chosen, when `extend` puts these in its place.
"""

from __future__ import annotations

from collections.abc import Sequence, Set
from typing import NamedTuple

from profiles.plate.search import Meets, Search, first_free
from profiles.plate.shapes import Rectangle, overlap

_MANY = 40
"""Connected things beyond which no proof is tried."""

_EFFORT = 4_000
"""Steps of branch and bound on one connected group before good replaces proven best."""

_NEAR_EFFORT = 600
"""Steps on one neighbourhood of a group; fewer where a group has more than `_CROWD` things."""

_CROWD = 200

_NEAR = 9
"""Most things in a neighbourhood beside the one it belongs to."""

_PASSES = 8
"""Most rounds over all neighbourhoods of a group."""


class Option(NamedTuple):
    """A way to place a thing: what it costs, and the boxes that nothing else may enter."""

    cost: float
    boxes: tuple[Rectangle, ...]


class _Thing(NamedTuple):
    """A thing's options, cheapest first, and the box around all their boxes."""

    order: list[int]
    """Places in the list as it was given."""
    boxes: list[tuple[Rectangle, ...]]
    hull: Rectangle | None


class Board:
    """Things with their options, which of them meet, and what is chosen so far."""

    def __init__(self) -> None:
        self._things: list[_Thing] = []
        self._costs: list[list[float]] = []
        self._meets: list[list[Meets]] = []
        self._near: list[dict[int, int]] = []
        """For each thing those it can meet, with the bits of their options that it can."""
        self._around: dict[int, list[int]] = {}
        """Neighbourhoods, until their members change."""
        self._picks: list[int] = []
        self._fresh: set[int] = set()
        self._doubtful: set[int] = set()

    def add(self, options: Sequence[Option]) -> int:
        """Add a thing and return its number, counted from 0.

        It needs an option without boxes, so that a choice always exists; raises ValueError
        where it has none.
        """
        if all(option.boxes for option in options):
            raise ValueError("every thing needs an option that takes up no place")
        order = sorted(range(len(options)), key=lambda place: (options[place].cost, place))
        boxes = [options[place].boxes for place in order]
        number = len(self._things)
        self._things.append(_Thing(order, boxes, _hull(boxes)))
        self._costs.append([options[place].cost for place in order])
        self._meets.append([{} for _ in order])
        self._near.append({})
        self._picks.append(0)
        self._fresh.add(number)
        for other in range(number):
            self._note_meetings(number, other, 0)
        return number

    def extend(self, thing: int, options: Sequence[Option]) -> None:
        """Put options in the place of a thing's dearest, which takes up no place.

        They are counted from there on; raises ValueError where one is cheaper than an option before
        it, or none is without boxes.
        """
        known = self._things[thing]
        order, first = known.order[:-1], len(known.order) - 1
        more = sorted(range(len(options)), key=lambda place: (options[place].cost, place))
        costs = [*self._costs[thing][:-1], *(options[place].cost for place in more)]
        if known.boxes[-1] or all(option.boxes for option in options) or costs != sorted(costs):
            raise ValueError("dearer options replace one that takes up no place")
        boxes = [*known.boxes[:-1], *(options[place].boxes for place in more)]
        self._things[thing] = _Thing(
            [*order, *(first + place for place in more)], boxes, _hull(boxes)
        )
        self._costs[thing] = costs
        self._meets[thing][first:] = [{} for _ in more]
        self._fresh.add(thing)
        for other in range(len(self._things)):
            if other != thing:
                self._note_meetings(thing, other, first)

    def pick(self, thing: int) -> int:
        """Place of the chosen option in the thing's list as it was given."""
        return self._things[thing].order[self._picks[thing]]

    def settle(self) -> bool:
        """Choose again in every group with things added since; whether all is proven best."""
        while self._fresh:
            group, todo = {min(self._fresh)}, [min(self._fresh)]
            while todo:
                more = self._near[todo.pop()].keys() - group
                group |= more
                todo.extend(more)
            if len(group) > 1:
                self._choose_in(sorted(group))
            self._fresh -= group
        return not self._doubtful

    def _choose_in(self, group: list[int]) -> None:
        """Choose in a group of things that meet.

        Newcomers with most to lose come first, each with its cheapest option that is still free.
        Then each neighbourhood (a thing and those it meets in the most ways) is solved again, all
        else held, until a round brings nothing.
        """

        def stake(thing: int) -> tuple[float, int]:
            costs = self._costs[thing]
            return costs[0] - costs[1] if len(costs) > 1 else 0.0, thing

        def search(members: list[int], effort: int) -> bool:
            """Pick again for `members`, all else held; whether that is proven best."""
            outside = set(group).difference(members)
            blocked = [self._blocked(thing, outside) for thing in members]
            found = Search(members, self._costs, self._meets, self._picks, effort)
            for thing, pick in zip(members, found.run(blocked), strict=True):
                self._picks[thing] = pick
            return found.steps < effort

        fresh = sorted(self._fresh.intersection(group), key=stake)
        settled = {thing for thing in group if thing not in self._fresh}
        for thing in fresh:
            self._picks[thing] = first_free(self._blocked(thing, settled))
            settled.add(thing)
        near = {thing: self._neighbourhood(thing) for thing in group}
        effort = _NEAR_EFFORT * _CROWD // max(_CROWD, len(group))
        stirred = {other for thing in fresh for other in near[thing]}
        for _ in range(_PASSES):
            before = list(self._picks)
            for members in near.values():
                if not stirred.isdisjoint(members):
                    search(members, effort)
            changed = [thing for thing in group if self._picks[thing] != before[thing]]
            stirred = {other for thing in changed for other in near[thing]}
        is_proven = len(group) <= _MANY and search(group, _EFFORT)
        self._doubtful.difference_update(group)
        if not is_proven:
            self._doubtful.update(group)

    def _note_meetings(self, thing: int, other: int, first: int) -> None:
        """Note which options of a thing, from the first on, meet those of another."""
        a, b = self._things[thing], self._things[other]
        if a.hull is None or b.hull is None or not overlap(a.hull, b.hull):
            return
        mine, theirs = (
            [
                (rank, box)
                for rank, some in enumerate(boxes[start:], start)
                for box in some
                if overlap(box, hull)
            ]
            for boxes, hull, start in ((a.boxes, b.hull, first), (b.boxes, a.hull, 0))
        )
        met, met_back = 0, 0
        for rank, (left, bottom, right, top) in mine:
            for rival, (low_x, low_y, high_x, high_y) in theirs:
                if left < high_x and low_x < right and bottom < high_y and low_y < top:
                    met |= 1 << rival
                    met_back |= 1 << rank
                    found, back = self._meets[thing][rank], self._meets[other][rival]
                    found[other] = found.get(other, 0) | 1 << rival
                    back[thing] = back.get(thing, 0) | 1 << rank
        if met:
            self._near[thing][other] = self._near[thing].get(other, 0) | met
            self._near[other][thing] = self._near[other].get(thing, 0) | met_back
            self._around.pop(thing, None)
            self._around.pop(other, None)

    def _neighbourhood(self, thing: int) -> list[int]:
        """The thing and those it meets in the most ways."""
        if thing not in self._around:
            near = self._near[thing]
            rivals = sorted(near, key=lambda other: (-near[other].bit_count(), other))
            self._around[thing] = sorted([thing, *rivals[:_NEAR]])
        return self._around[thing]

    def _blocked(self, thing: int, others: Set[int]) -> int:
        """Bits of the thing's options that meet what is picked for the others."""
        blocked = 0
        for other in self._near[thing].keys() & others:
            blocked |= self._meets[other][self._picks[other]].get(thing, 0)
        return blocked


def _hull(boxes: Sequence[tuple[Rectangle, ...]]) -> Rectangle | None:
    """The box around all boxes; None for none."""
    edges = list(zip(*(box for some in boxes for box in some), strict=True))
    if not edges:
        return None
    return Rectangle(min(edges[0]), min(edges[1]), max(edges[2]), max(edges[3]))
