"""The fewest diodes that make every needed combination safe, and which way each one faces.

A round-about path runs backwards through every second contact on it. A diode at any one of those
blocks it, so the diodes sought are a smallest set that meets the backward contacts of every
path: a hitting set. The paths are found as they are needed:

1. contacts that alone carry a path backwards (rectangles) get their diode at once (`forced`);
2. a smallest set for the paths known so far is searched by branch and bound;
3. if a needed combination is still unsafe, its paths are added and step 2 is repeated.

Paths known so far are fewer than all, so each exact answer of step 2 is a lower bound of the whole
(the implicit hitting set method: Chandrasekaran, Karp, Moreno-Centeno, Vempala, SODA 2011).
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from profiles.wiring.hazards import hazards_in
from profiles.wiring.hitting import smallest_hitting_set
from profiles.wiring.matrix import Crossing, Line, Matrix

SEARCH_STEPS = 20_000
"""Branch and bound steps after which the best set found is kept; 30 contacts need far fewer."""

EXACT_CONTACTS = 30
"""Up to this many contacts the search is never cut short."""


@dataclass(frozen=True, slots=True)
class DiodePlan:
    """Diodes to add, and a proven least number of them; exact when the two agree."""

    diodes: frozenset[Crossing]
    at_least: int

    @property
    def exact(self) -> bool:
        """Whether no smaller set can do."""
        return len(self.diodes) == self.at_least


@dataclass(frozen=True, slots=True)
class Facing:
    """Where a diode's two ends point; the ring on its body marks the cathode."""

    cathode: Line
    anode: Line


def facing(matrix: Matrix, place: Crossing) -> Facing:
    """Return which way a diode faces for a line driven low and pull-ups on the sensed side.

    Current flows from the pulled-up sensed line through the contact into the driven line, so the
    cathode is toward the driven line.
    """
    driven, sensed = matrix.lines_at(place)
    return Facing(cathode=driven, anode=sensed)


def fewest_diodes(matrix: Matrix, combinations: Iterable[Iterable[Crossing]]) -> DiodePlan:
    """Return the fewest diodes to add so that every combination is safe.

    Diodes already in `matrix` stay and cost nothing.
    """
    sets = keep_largest(combinations)
    must = forced(matrix, sets)
    limit = None if len(matrix.crossings) <= EXACT_CONTACTS else SEARCH_STEPS
    paths: set[frozenset[Crossing]] = set()
    at_least, chosen = 0, frozenset[Crossing]()
    while fresh := _open_paths(matrix, sets, must | chosen):
        paths |= fresh
        chosen, bound = smallest_hitting_set(paths, limit)
        at_least = max(at_least, bound)
    return DiodePlan(must | chosen, len(must) + at_least)


def keep_largest(combinations: Iterable[Iterable[Crossing]]) -> tuple[frozenset[Crossing], ...]:
    """Drop sets that are part of another: whatever makes the larger safe makes them safe."""
    sets = sorted({frozenset(held) for held in combinations}, key=lambda s: (-len(s), sorted(s)))
    kept: list[frozenset[Crossing]] = []
    for held in sets:
        if not any(held <= larger for larger in kept):
            kept.append(held)
    return tuple(kept)


def forced(matrix: Matrix, combinations: Iterable[frozenset[Crossing]]) -> frozenset[Crossing]:
    """Return contacts that every answer must give a diode: the middle corner of three.

    The middle corner shares its driven line with one held contact and its sensed line with
    another, and the fourth corner holds a contact.
    """
    fitted = _by_driven(matrix, matrix.crossings)
    found: set[Crossing] = set()
    for held in combinations:
        found.update(_middles(matrix, fitted, held))
    return frozenset(found - matrix.diodes)


def _middles(
    matrix: Matrix, fitted: dict[int, int], held: frozenset[Crossing]
) -> Iterable[Crossing]:
    lines = _by_driven(matrix, held)
    for line, mask in lines.items():
        for other, other_mask in lines.items():
            if other == line:
                continue
            ends = mask & fitted[other]
            for sensed in _bits(mask & other_mask):
                if ends & ~(1 << sensed):
                    yield (line, sensed) if matrix.driven == "rows" else (sensed, line)


def _by_driven(matrix: Matrix, places: Iterable[Crossing]) -> dict[int, int]:
    """Return for each driven line the mask of sensed lines with a contact in `places`."""
    masks: dict[int, int] = {}
    for row, column in sorted(places):
        driven, sensed = (row, column) if matrix.driven == "rows" else (column, row)
        masks[driven] = masks.get(driven, 0) | 1 << sensed
    return masks


def _bits(mask: int) -> Iterable[int]:
    while mask:
        low = mask & -mask
        mask ^= low
        yield low.bit_length() - 1


def _open_paths(
    matrix: Matrix, sets: Iterable[frozenset[Crossing]], diodes: frozenset[Crossing]
) -> set[frozenset[Crossing]]:
    """Return, for each hazard left with these diodes, the contacts it passes backwards."""
    trial = replace(matrix, diodes=matrix.diodes | diodes)
    return {frozenset(hazard.path[1::2]) for held in sets for hazard in hazards_in(trial, held)}
