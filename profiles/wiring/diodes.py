"""The fewest diodes that make every needed combination safe, and which way each one faces.

A round-about path runs backwards through every second contact on it. A diode at any one of those
blocks it, so the diodes sought are a smallest set that meets the backward contacts of every path
(`needs.find_paths`): a hitting set. A path that has another as a section runs backwards through the
same contacts, so it is blocked with it.
"""

from collections.abc import Iterable
from typing import NamedTuple

from profiles.wiring.hitting import smallest_hitting_set
from profiles.wiring.matrix import Crossing, Line, Matrix
from profiles.wiring.needs import Needs, find_paths

EXACT_CONTACTS = 30
"""Up to this many contacts the search for the smallest set is never cut short."""

SEARCH_STEPS = 5_000
"""Branch and bound steps beyond that, after which the best set found is kept."""


class DiodePlan(NamedTuple):
    """Diodes to add, and a proven least number of them.

    `complete` is False when there were too many failing sets to list them all: the plan then
    blocks the ones listed.
    """

    diodes: frozenset[Crossing]
    at_least: int
    complete: bool = True

    @property
    def exact(self) -> bool:
        """Whether it is proven that no smaller set does."""
        return self.complete and len(self.diodes) == self.at_least


class Facing(NamedTuple):
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


def fewest_diodes(matrix: Matrix, needs: Needs) -> DiodePlan:
    """Return the fewest diodes to add so that every needed combination is safe.

    Diodes already in `matrix` stay and cost nothing. Exact up to 30 contacts; beyond that the
    plan's `at_least` bounds what a better one could save.
    """
    found = find_paths(matrix, needs)
    paths = backward_contacts(hazard.path for hazard in found.hazards)
    limit = None if len(matrix.crossings) <= EXACT_CONTACTS else SEARCH_STEPS
    chosen, at_least = smallest_hitting_set(paths, limit)
    return DiodePlan(chosen, at_least, found.complete)


def backward_contacts(paths: Iterable[tuple[Crossing, ...]]) -> set[frozenset[Crossing]]:
    """Return for each path the contacts that the signal passes against a diode's direction."""
    return {frozenset(path[1::2]) for path in paths}
