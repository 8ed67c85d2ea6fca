"""The arrangements of contacts in one shape of a matrix: what each costs, and the best of all.

`MatrixTask` says what is to be placed, `Weigher` what a placement costs, `Search` goes through all
of them by branch and bound. Contacts count from 0.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from math import dist, inf
from typing import Literal, NamedTuple

from profiles.wiring.diodes import DiodePlan, fewest_diodes
from profiles.wiring.matrix import Crossing, Matrix, Side
from profiles.wiring.needs import Needs, closable_with

Point = tuple[float, float]
Places = dict[int, Crossing]

EXACT_STOPS = 5
"""Stops of a line up to which its shortest chain is found; beyond, from one to the nearest."""

HARMLESS = 2
"""Contacts that may be closed without a round-about path, which has three or more."""


class Shape(NamedTuple):
    """Rows and columns of a matrix."""

    rows: int
    columns: int


@dataclass(frozen=True)
class MatrixTask:
    """Contacts to be placed, counted from 0.

    `at` is where each is on the plate, mm, and `board_at` where every wire starts; `groups` are
    contacts with a common. `needs` speaks of contact n as of crossing (1, n + 1). `kept` have their
    crossing already, `diodes` their diode; with `every` each contact has one.
    """

    at: tuple[Point, ...]
    board_at: Point
    groups: tuple[frozenset[int], ...] = ()
    needs: Needs = field(default_factory=Needs)
    kept: Mapping[int, Crossing] = field(default_factory=dict)
    diodes: frozenset[int] | Literal["every"] = frozenset()
    rows: int = 0
    columns: int = 0
    driven: Side = "rows"
    most_lines: int = 512
    grows: Side | None = None
    """Which lines are added first; None for those that make the matrix square."""

    @cached_property
    def group_of(self) -> dict[int, frozenset[int]]:
        """The group of each contact that has a common."""
        return {contact: group for group in self.groups for contact in group}

    @cached_property
    def is_harmless(self) -> bool:
        """Whether no arrangement needs a diode, or each contact has one."""
        if self.diodes == "every":
            return True
        chords = self.needs.chords or (frozenset(),)
        return all(len(closable_with(self.needs, chord)) <= HARMLESS for chord in chords)

    @cached_property
    def roles(self) -> tuple[object, ...]:
        """What tells contacts apart as to diodes: equal ones may change places."""
        if self.is_harmless:
            return (None,) * len(self.at)
        return tuple(
            (
                place in self.needs.steady,
                tuple(place in group for group in self.needs.exclusive),
                any(place in chord for chord in self.needs.chords),
                tuple(place in chord for chord in self.needs.chords if len(chord) > 1),
                contact in self.diodes,
            )
            for contact, place in enumerate((1, n + 1) for n in range(len(self.at)))
        )


def kept_diodes(task: MatrixTask) -> frozenset[int]:
    """Return the contacts that have a diode already."""
    return frozenset(task.kept) if task.diodes == "every" else task.diodes


class Weigher:
    """What arrangements cost; lines and patterns met before are remembered."""

    def __init__(self, task: MatrixTask) -> None:
        self.task = task
        self._chains: dict[frozenset[Point], float] = {}
        self._plans: dict[tuple[Shape, frozenset[tuple[Crossing, object]]], DiodePlan] = {}

    def cost(self, shape: Shape, places: Mapping[int, Crossing]) -> tuple[float, float]:
        """Return diodes added and wire, mm."""
        lines: dict[tuple[int, int], set[Point]] = {}
        for contact, place in places.items():
            for axis in (0, 1):
                lines.setdefault((axis, place[axis]), set()).add(self.task.at[contact])
        wire = sum(self.chain(frozenset(stops)) for stops in lines.values())
        return len(self.diodes(shape, places).diodes), wire

    def diodes(self, shape: Shape, places: Mapping[int, Crossing]) -> DiodePlan:
        """Return the fewest diodes to add."""
        task = self.task
        if task.is_harmless:
            return DiodePlan(frozenset(), 0)
        key = shape, frozenset((place, task.roles[contact]) for contact, place in places.items())
        if key not in self._plans:
            where = {(1, contact + 1): place for contact, place in places.items()}
            old = frozenset(places[contact] for contact in kept_diodes(task) if contact in places)
            matrix = Matrix(*shape, frozenset(places.values()), old, task.driven)
            self._plans[key] = fewest_diodes(matrix, task.needs.moved(where))
        return self._plans[key]

    def chain(self, stops: frozenset[Point]) -> float:
        """Return the length of a line from the board past its stops, mm."""
        if stops not in self._chains:
            measure = _shortest if len(stops) <= EXACT_STOPS else _to_the_nearest
            self._chains[stops] = measure(self.task.board_at, stops)
        return self._chains[stops]


def _shortest(start: Point, stops: frozenset[Point]) -> float:
    """Return the length of the shortest chain from a start past stops, by trying all."""
    return min((dist(start, stop) + _shortest(stop, stops - {stop}) for stop in stops), default=0.0)


def _to_the_nearest(start: Point, stops: frozenset[Point]) -> float:
    """Return the length of a chain that always goes on to the nearest stop."""
    here, left, length = start, sorted(stops), 0.0
    while left:
        step, after = min((dist(here, one), one) for one in left)
        left.remove(after)
        here, length = after, length + step
    return length


class Search:
    """Branch and bound over all arrangements of the wanted contacts in one shape.

    `first` ends it with the first arrangement; the bound is the wire of the lines as they are.
    """

    def __init__(
        self,
        task: MatrixTask,
        weigher: Weigher,
        shape: Shape,
        wanted: set[int],
        limit: int,
        best: tuple[float, float] = (inf, inf),
        *,
        first: bool = False,
    ) -> None:
        self.task, self.weigher, self.shape, self.first = task, weigher, shape, first
        self.best = best
        self.places: Places | None = None
        self.limit = limit
        self.steps, self.cut_short, self.is_done = 0, False, False
        self.now: Places = dict(task.kept)
        self.taken = set(self.now.values())
        self.stops: dict[tuple[int, int], list[int]] = {}
        for contact, place in self.now.items():
            for axis in (0, 1):
                self.stops.setdefault((axis, place[axis]), []).append(contact)
        fresh = sorted(wanted - self.now.keys())
        size = {contact: len(task.group_of.get(contact, ())) for contact in fresh}
        self.order = sorted(
            fresh, key=lambda one: (-size[one], min(task.group_of.get(one, {one})), one)
        )

    def run(self) -> None:
        """Search; `places` is the best arrangement found, `cut_short` says that steps ran out."""
        self._extend(0, self.task.rows, self.task.columns)

    def _extend(self, depth: int, rows: int, columns: int) -> None:
        self.steps += 1
        if self.steps > self.limit:
            self.cut_short = self.is_done = True
            return
        if depth == len(self.order):
            self._keep()
            return
        contact = self.order[depth]
        for place in self.list_options(contact, rows, columns):
            self.put(contact, place)
            if self.first or self._bound() < self.best:
                self._extend(depth + 1, max(rows, place[0]), max(columns, place[1]))
            self._take_back(contact, place)
            if self.is_done:
                return

    def _keep(self) -> None:
        cost = (0.0, 0.0) if self.first else self.weigher.cost(self.shape, self.now)
        if cost < self.best:
            self.best, self.places = cost, dict(self.now)
        self.is_done = self.first

    def list_options(self, contact: int, rows: int, columns: int) -> Iterator[Crossing]:
        """Free crossings for a contact, one new line at most, on the line of its group."""
        group = self.task.group_of.get(contact, frozenset())
        mates = [self.now[mate] for mate in group if mate in self.now]
        open_mates = len(group) - len(mates)
        lines = [{place[axis] for place in mates} for axis in (0, 1)]
        for row in range(1, min(rows + 1, self.shape.rows) + 1):
            for column in range(1, min(columns + 1, self.shape.columns) + 1):
                place = row, column
                if place in self.taken or not is_whole(lines, place):
                    continue
                if open_mates > 1 and not mates:
                    free = (
                        self.shape.columns - len(self.stops.get((0, row), ())),
                        self.shape.rows - len(self.stops.get((1, column), ())),
                    )
                    if max(free) < open_mates:
                        continue
                yield place

    def put(self, contact: int, place: Crossing) -> None:
        """Place a contact."""
        self.now[contact] = place
        self.taken.add(place)
        for axis in (0, 1):
            self.stops.setdefault((axis, place[axis]), []).append(contact)

    def _take_back(self, contact: int, place: Crossing) -> None:
        del self.now[contact]
        self.taken.remove(place)
        for axis in (0, 1):
            self.stops[axis, place[axis]].pop()

    def _bound(self) -> tuple[float, float]:
        """Return a cost that no arrangement that begins so goes below."""
        at, chain = self.task.at, self.weigher.chain
        wire = sum(chain(frozenset(at[one] for one in those)) for those in self.stops.values())
        if self.best[0] == 0:
            return 0.0, wire
        return len(self.weigher.diodes(self.shape, self.now).diodes), wire


def is_whole(lines: Sequence[set[int]], place: Crossing) -> bool:
    """Whether contacts on these rows and columns share a line with one more, at a place.

    Those that share none already stay as they are.
    """
    rows, columns = lines
    if len(rows) > 1 and len(columns) > 1:
        return True
    return len(rows | {place[0]}) == 1 or len(columns | {place[1]}) == 1
