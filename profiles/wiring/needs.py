"""What a user of the box really closes at once, and the smallest sets of it that go wrong.

`Needs` says which contacts may be closed together without listing every combination: contacts that
stay as they are put (`steady`), contacts of which one at a time is closed (`exclusive`, such as the
positions of a selector), and the contacts that are pressed together on top (`chords`).

`find_paths` searches all of that at once. A held set goes wrong exactly when it contains a
round-about path (see `hazards`), so it follows paths that can occur, from each driven line, and
stops at the first contact that closes one: no section of a path found is a path itself.
`failures` keeps those of which no part fails alone, in whatever direction.
"""

from collections.abc import Iterable, Iterator
from itertools import groupby, product
from typing import NamedTuple

from profiles.wiring.hazards import Hazard
from profiles.wiring.matrix import Crossing, Matrix

SEARCH_STEPS = 300_000
"""Path steps after which the search gives up; whole boxes take a few thousand."""


class Needs(NamedTuple):
    """Contacts that may be closed together.

    Any subset of `steady`, with at most one contact from each set of `exclusive`, with one of
    `chords` or a part of it. A chord may name steady or exclusive contacts: then it is used only
    while those are closed.
    """

    steady: frozenset[Crossing] = frozenset()
    exclusive: tuple[frozenset[Crossing], ...] = ()
    chords: tuple[frozenset[Crossing], ...] = ()


class Failures(NamedTuple):
    """Sets that fail, each as the hazard it makes; `complete` unless the search was cut short."""

    hazards: tuple[Hazard, ...]
    complete: bool


def needs_of(combinations: Iterable[Iterable[Crossing]]) -> Needs:
    """Return the needs that consist of these combinations and their parts."""
    return Needs(chords=tuple(frozenset(held) for held in combinations))


def closable_with(needs: Needs, chord: frozenset[Crossing]) -> frozenset[Crossing]:
    """Return every contact that may be closed while a chord is pressed, the chord included."""
    groups = (group & chord or group for group in needs.exclusive)
    return needs.steady | chord | frozenset().union(*groups)


def list_combinations(needs: Needs) -> Iterator[frozenset[Crossing]]:
    """Yield every largest combination: one contact of each exclusive set, with each chord.

    Their number is the product of the sizes; ask `failures` for what goes wrong instead.
    """
    for chord in needs.chords or (frozenset(),):
        choices = [sorted(group & chord or group) for group in needs.exclusive]
        for picked in product(*choices):
            yield needs.steady | chord | frozenset(picked)


def failures(matrix: Matrix, needs: Needs, limit: int = SEARCH_STEPS) -> Failures:
    """Return every smallest set of needed contacts that reads false or hides a contact.

    Each is given once for each contact it makes read false, shortest first.
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
        self.fitted = _pairs(matrix, matrix.crossings)
        self.allowed = {
            self._pair(place): mask for place, mask in _chord_masks(matrix, needs).items()
        }
        self.rivals = {
            self._pair(place): index
            for index, group in enumerate(needs.exclusive)
            for place in group
        }
        self.forward, self.backward = self._ways()

    def _pair(self, place: Crossing) -> tuple[int, int]:
        """Return (driven line, sensed line) of a crossing."""
        return _pair_of(self.matrix, place)

    def _ways(self) -> tuple[dict[int, list[int]], dict[int, list[int]]]:
        """Return where the signal goes from each driven and back from each sensed line."""
        forward: dict[int, list[int]] = {}
        backward: dict[int, list[int]] = {}
        oneway = _pairs(self.matrix, self.matrix.diodes)
        for driven, sensed in sorted(self.allowed):
            forward.setdefault(driven, []).append(sensed)
            if (driven, sensed) not in oneway:
                backward.setdefault(sensed, []).append(driven)
        return forward, backward

    def run(self) -> None:
        while self.goes_on and self.steps <= self.limit:
            self.goes_on = False
            for start in sorted(self.forward):
                self._go_forward([start], [], -1, frozenset())
            self.length += 2

    def _go_forward(
        self, driven: list[int], path: list[tuple[int, int]], chords: int, taken: frozenset[int]
    ) -> None:
        here = driven[-1]
        for sensed in self.forward.get(here, ()):
            step = self._take((here, sensed), path, chords, taken)
            if step is None or any(sensed == used for _, used in path):
                continue
            longer = [*path, (here, sensed)]
            short_cuts = [line for line in driven[:-1] if (line, sensed) in self.fitted]
            if not short_cuts:
                self._go_back(driven, longer, *step)
            elif short_cuts == driven[:1] and len(longer) == self.length:
                self._record((driven[0], sensed), longer)

    def _go_back(
        self, driven: list[int], path: list[tuple[int, int]], chords: int, taken: frozenset[int]
    ) -> None:
        if len(path) == self.length:
            self.goes_on = True
            return
        sensed = path[-1][1]
        for line in self.backward.get(sensed, ()):
            step = self._take((line, sensed), path, chords, taken)
            if step is not None and line not in driven:
                self._go_forward([*driven, line], [*path, (line, sensed)], *step)

    def _take(
        self, pair: tuple[int, int], path: list[tuple[int, int]], chords: int, taken: frozenset[int]
    ) -> tuple[int, frozenset[int]] | None:
        """Return chords and exclusive sets left when this contact is closed too, or None."""
        self.steps += 1
        left = chords & self.allowed[pair]
        rival = self.rivals.get(pair)
        if self.steps > self.limit or not left or (rival in taken and pair not in path):
            return None
        return left, taken if rival is None else taken | {rival}

    def _record(self, victim: tuple[int, int], path: list[tuple[int, int]]) -> None:
        places = tuple(self._place(pair) for pair in path)
        self.found.append(Hazard(self._place(victim), "false", places))

    def _place(self, pair: tuple[int, int]) -> Crossing:
        return pair if self.matrix.driven == "rows" else (pair[1], pair[0])


def _pair_of(matrix: Matrix, place: Crossing) -> tuple[int, int]:
    return place if matrix.driven == "rows" else (place[1], place[0])


def _pairs(matrix: Matrix, places: Iterable[Crossing]) -> frozenset[tuple[int, int]]:
    return frozenset(_pair_of(matrix, place) for place in places)


def _chord_masks(matrix: Matrix, needs: Needs) -> dict[Crossing, int]:
    """Return for each contact that may close the mask of chords it may close with.

    Without any chord there is still one state: nothing pressed.
    """
    chords = needs.chords or (frozenset(),)
    masks: dict[Crossing, int] = {}
    for bit, chord in enumerate(chords):
        for place in closable_with(needs, chord):
            masks[place] = masks.get(place, 0) | 1 << bit
    return {place: masks[place] for place in sorted(masks) if place in matrix.crossings}
