"""What a user of the box really closes at once, and the smallest sets of it that go wrong.

`Needs` says which contacts may be closed at the same time, without every combination: contacts that
stay as they are put (`steady`), contacts of which one at a time is closed (`exclusive`, such as the
positions of a selector), and the contacts that are pressed together on top (`chords`).

`find_paths` searches all of that at once. A held set goes wrong exactly when it contains a
round-about path (see `hazards`), so it follows paths that can occur, from each driven line, and
stops at the first contact that closes one: no section of a path found is a path itself.
`failures` keeps those of which no part fails alone, in whatever direction.
"""

from collections.abc import Iterable, Mapping
from itertools import groupby
from typing import NamedTuple

from profiles.wiring.hazards import Hazard
from profiles.wiring.matrix import Crossing, Matrix

SEARCH_STEPS = 300_000
"""Path steps after which the search gives up; whole boxes take a few thousand."""


class Needs(NamedTuple):
    """Contacts that may be closed at the same time.

    Any subset of `steady`, with at most one contact from each set of `exclusive`, with one of
    `chords` or a part of it. A chord may name steady or exclusive contacts: then it is used only
    while those are closed. Exclusive contacts of `sprung` are closed in a chord alone.
    """

    steady: frozenset[Crossing] = frozenset()
    exclusive: tuple[frozenset[Crossing], ...] = ()
    chords: tuple[frozenset[Crossing], ...] = ()
    sprung: frozenset[Crossing] = frozenset()

    def moved(self, where: Mapping[Crossing, Crossing]) -> "Needs":
        """Return the needs of the same contacts at other crossings; those without one drop out."""

        def move(places: frozenset[Crossing]) -> frozenset[Crossing]:
            return frozenset(where[place] for place in places if place in where)

        exclusive = tuple(group for old in self.exclusive if (group := move(old)))
        return Needs(move(self.steady), exclusive, tuple(map(move, self.chords)))


class Failures(NamedTuple):
    """Sets that fail, each as the hazard it makes; `complete` unless the search was cut short."""

    hazards: tuple[Hazard, ...]
    complete: bool


def needs_of(combinations: Iterable[Iterable[Crossing]]) -> Needs:
    """Return the needs that consist of these combinations and their parts."""
    return Needs(chords=tuple(frozenset(held) for held in combinations))


def closable_with(needs: Needs, chord: frozenset[Crossing]) -> frozenset[Crossing]:
    """Return every contact that may be closed while a chord is pressed, the chord included."""
    barred = needs.sprung.union(*(group for group in needs.exclusive if group & chord))
    return needs.steady.union(*needs.exclusive) - barred | chord


def failures(matrix: Matrix, needs: Needs, limit: int = SEARCH_STEPS) -> Failures:
    """Return every smallest set of needed contacts that causes ghosting or masking.

    Each is given once for each contact that appears pressed, shortest first.
    """
    found = find_paths(matrix, needs, limit)
    kept: list[Hazard] = []
    shorter: list[frozenset[Crossing]] = []
    for _, same_length in groupby(found.hazards, key=lambda hazard: len(hazard.path)):
        sets = [(hazard, frozenset(hazard.path)) for hazard in same_length]
        fresh = [(h, held) for h, held in sets if not any(part < held for part in shorter)]
        kept += [hazard for hazard, _ in fresh]
        shorter += sorted({held for _, held in fresh}, key=sorted)
    return Failures(tuple(kept), found.complete)


def find_paths(matrix: Matrix, needs: Needs, limit: int = SEARCH_STEPS) -> Failures:
    """Return every round-about path that needed contacts can form, shortest first.

    A search cut short has found the shorter ones.
    Paths with a round-about path as a section are left out: what blocks that blocks them.
    """
    search = _Search(matrix, needs, limit)
    search.run()
    found = sorted(search.found, key=lambda hazard: (len(hazard.path), hazard.path, hazard.victim))
    return Failures(tuple(found), search.steps <= limit)


class _Search:
    """Search for round-about paths without a shorter one inside: all of 3 contacts, then 5, ..."""

    def __init__(self, matrix: Matrix, needs: Needs, limit: int) -> None:
        self.matrix = matrix
        self.limit = limit
        self.steps = 0
        self.length = 3
        self.goes_on = True
        self.found: list[Hazard] = []
        self.fitted = {_pair(matrix, place) for place in matrix.crossings}
        self.allowed: dict[tuple[int, int], int] = {}
        """For each contact that may close the mask of chords it may close with; the empty chord
        where there is none: nothing pressed."""
        for bit, chord in enumerate(needs.chords or (frozenset(),)):
            for place in closable_with(needs, chord) & matrix.crossings:
                pair = _pair(matrix, place)
                self.allowed[pair] = self.allowed.get(pair, 0) | 1 << bit
        self.rivals: dict[tuple[int, int], set[tuple[int, int]]] = {}
        """For each contact those that are never closed with it."""
        for group in needs.exclusive:
            pairs = {_pair(matrix, place) for place in group}
            for pair in pairs:
                self.rivals.setdefault(pair, set()).update(pairs - {pair})
        self.forward: dict[int, list[int]] = {}
        self.backward: dict[int, list[int]] = {}
        oneway = {_pair(matrix, place) for place in matrix.diodes}
        for driven, sensed in sorted(self.allowed):
            self.forward.setdefault(driven, []).append(sensed)
            if (driven, sensed) not in oneway:
                self.backward.setdefault(sensed, []).append(driven)

    def run(self) -> None:
        while self.goes_on and self.steps <= self.limit:
            self.goes_on = False
            for start in sorted(self.forward):
                self._go_forward([start], [], -1)
            self.length += 2

    def _go_forward(self, driven: list[int], path: list[tuple[int, int]], chords: int) -> None:
        here = driven[-1]
        for sensed in self.forward.get(here, ()):
            left = self._take((here, sensed), path, chords)
            if not left or any(sensed == used for _, used in path):
                continue
            longer = [*path, (here, sensed)]
            short_cuts = [line for line in driven[:-1] if (line, sensed) in self.fitted]
            if not short_cuts:
                self._go_back(driven, longer, left)
            elif short_cuts == driven[:1] and len(longer) == self.length:
                victim = _pair(self.matrix, (driven[0], sensed))
                places = tuple(_pair(self.matrix, pair) for pair in longer)
                self.found.append(Hazard(victim, "false", places))

    def _go_back(self, driven: list[int], path: list[tuple[int, int]], chords: int) -> None:
        if len(path) == self.length:
            self.goes_on = True
            return
        sensed = path[-1][1]
        for line in self.backward.get(sensed, ()):
            left = self._take((line, sensed), path, chords)
            if left and line not in driven:
                self._go_forward([*driven, line], [*path, (line, sensed)], left)

    def _take(self, pair: tuple[int, int], path: list[tuple[int, int]], chords: int) -> int:
        """Return the chords left when this contact is closed too; none where it cannot be."""
        self.steps += 1
        rivals = self.rivals.get(pair)
        if self.steps > self.limit or (rivals and not rivals.isdisjoint(path)):
            return 0
        return chords & self.allowed[pair]


def _pair(matrix: Matrix, place: Crossing) -> tuple[int, int]:
    """Turn a crossing into (driven line, sensed line), or such a pair back into the crossing."""
    return place if matrix.driven == "rows" else (place[1], place[0])
