"""The fewest diodes that make every needed combination safe, and which way each one faces.

A round-about path runs backwards through every second contact on it. A diode at any one of those
blocks it, so the diodes sought are a smallest set that meets the backward contacts of every path
(`needs.find_paths`): a hitting set. A path that has another as a section runs backwards through the
same contacts, so it is blocked with it.

Where there are too many paths to list (dozens of latching contacts, sparse, no diodes), they are
found as they are needed: a set that blocks the paths known so far is tried, and the paths left open
are added, until none is (Algorithms for implicit hitting set problems, 2011).
"""

from collections.abc import Iterable
from dataclasses import replace
from typing import NamedTuple

from profiles.wiring.hazards import Hazard, hazards_in
from profiles.wiring.hitting import smallest_hitting_set
from profiles.wiring.matrix import Crossing, Line, Matrix
from profiles.wiring.needs import Needs, closable_with, find_paths

EXACT_CONTACTS = 30
"""Up to this many contacts the search for the smallest set is never cut short."""

NO_LIMIT = 1 << 60

PATH_STEPS = 200_000
"""Steps beyond that, after which paths are found as they are needed."""

SEARCH_STEPS = 5_000
"""Branch and bound steps beyond that, after which the best set found is kept."""


MOST_PATHS = 2_000
"""Paths up to which each round starts afresh; beyond it diodes are only added to those chosen."""


class DiodePlan(NamedTuple):
    """Diodes that make every need safe, and a proven least number of them."""

    diodes: frozenset[Crossing]
    at_least: int

    @property
    def exact(self) -> bool:
        """Whether it is proven that no smaller set does."""
        return len(self.diodes) == self.at_least


class Facing(NamedTuple):
    """Where a diode's two ends point; the band on its body marks the cathode."""

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
    small = len(matrix.crossings) <= EXACT_CONTACTS
    limit = None if small else SEARCH_STEPS
    found = find_paths(matrix, needs, NO_LIMIT if small else PATH_STEPS)
    if found.complete:
        chosen, at_least = smallest_hitting_set(_backward(found.hazards), limit)
        return DiodePlan(chosen, at_least)
    return _cure_in_rounds(matrix, needs, found.hazards, limit)


def _backward(hazards: Iterable[Hazard]) -> set[frozenset[Crossing]]:
    """Return for each path the contacts that the signal passes against a diode's direction."""
    return {frozenset(hazard.path[1::2]) for hazard in hazards}


def _cure_in_rounds(
    matrix: Matrix, needs: Needs, known: Iterable[Hazard], limit: int | None
) -> DiodePlan:
    """Return a plan whose paths are found as they are needed.

    Rivals of an exclusive set are taken as closed at the same time, which is safe; only paths that
    can occur, with no two contacts of an exclusive set, count for the bound.
    """
    real = _backward(hazard for hazard in known if len(hazard.path) == 3)
    every = set(real)
    chosen, _ = smallest_hitting_set(every, limit)
    closable = {closable_with(needs, chord) for chord in needs.chords or (frozenset(),)}
    wholes = [held for held in closable if not any(held < other for other in closable)]
    wholes.sort(key=sorted)
    while True:
        trial = replace(matrix, diodes=matrix.diodes | chosen)
        fresh = [hazard for held in wholes for hazard in hazards_in(trial, held & matrix.crossings)]
        if not fresh:
            return DiodePlan(chosen, smallest_hitting_set(real, limit)[1])
        every |= _backward(fresh)
        real |= _backward(
            hazard
            for hazard in fresh
            if all(len(group.intersection(hazard.path)) <= 1 for group in needs.exclusive)
        )
        if len(every) <= MOST_PATHS:
            chosen, _ = smallest_hitting_set(every, limit)
        else:
            chosen |= smallest_hitting_set(_backward(fresh), limit)[0]
