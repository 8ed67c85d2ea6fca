"""Which contacts, held together, read false or hide one another, and by which path.

A *hazard* is a contact (the victim) whose crossing is reached round about: from its driven line to
its sensed line through other held contacts. If the victim is open it reads closed though nobody
touches it (`false`); if it is held, its release, or its press after the others, is not seen
(`masked`). A held set is safe exactly when it holds no hazard; then every subset is safe too.

- `hazards_in` lists the hazards of one held set, `check_combinations` those of many.
- `shortest_hazard` and `safe_any` answer for the matrix as such, whatever is held.
- `tell_path` puts the round-about path into words.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from profiles.wiring.matrix import (
    Crossing,
    Matrix,
    contact_order,
    exits_of,
    mask_of,
    name_crossing,
    network_of,
    node_of,
    reach,
)

Effect = Literal["false", "masked"]


@dataclass(frozen=True, slots=True)
class Hazard:
    """One victim and the shortest path round it; `path` goes from its driven to its sensed line."""

    victim: Crossing
    effect: Effect
    path: tuple[Crossing, ...]


@dataclass(frozen=True, slots=True)
class Combination:
    """Contacts held at once, and the hazards that arise (none when the set is safe)."""

    held: frozenset[Crossing]
    hazards: tuple[Hazard, ...]


def hazards_in(matrix: Matrix, held: Iterable[Crossing]) -> tuple[Hazard, ...]:
    """Return every hazard of one held set, in the order of the victims."""
    closed = frozenset(held)
    exits = exits_of(network_of(matrix), mask_of(matrix, closed))
    victims = _victims(matrix, closed, exits)
    return tuple(_hazard(matrix, closed, exits, victim) for victim in victims)


def is_safe(matrix: Matrix, held: Iterable[Crossing]) -> bool:
    """Say whether a held set, and so each part of it, reads true and hides nothing."""
    closed = frozenset(held)
    return not _victims(matrix, closed, exits_of(network_of(matrix), mask_of(matrix, closed)))


def check_combinations(
    matrix: Matrix, combinations: Iterable[Iterable[Crossing]]
) -> tuple[Combination, ...]:
    """Return each combination, in the order given, with its hazards."""
    sets = (frozenset(held) for held in combinations)
    return tuple(Combination(held, hazards_in(matrix, held)) for held in sets)


def shortest_hazard(matrix: Matrix) -> Hazard | None:
    """Return a hazard that needs the fewest held contacts, or None when none can arise."""
    exits = exits_of(network_of(matrix), mask_of(matrix, matrix.crossings))
    best: tuple[Crossing, ...] | None = None
    victim = (0, 0)
    for place in _victims(matrix, matrix.crossings, exits):
        path = _shortest_path(matrix, exits, place)
        if best is None or len(path) < len(best):
            victim, best = place, path
    return None if best is None else Hazard(victim, "false", best)


def safe_any(matrix: Matrix) -> int:
    """Return the largest k such that any k contacts may be held safely, whichever they are.

    It is one less than the contacts on the shortest round-about path; all of them if there is none.
    """
    worst = shortest_hazard(matrix)
    return len(matrix.crossings) if worst is None else len(worst.path) - 1


def tell_path(
    matrix: Matrix, hazard: Hazard, name: Callable[[Crossing], str] = name_crossing
) -> str:
    """Return the path of a hazard in words; `name` gives the word for a contact."""
    driven, _ = matrix.lines_at(hazard.victim)
    words = [f"from {driven}"]
    for step, place in enumerate(hazard.path):
        back = step % 2
        way = "back through" if back else "through"
        words.append(f"{way} {name(place)} to {matrix.lines_at(place)[1 - back]}")
    return ", ".join(words)


def _victims(matrix: Matrix, closed: frozenset[Crossing], exits: list[int]) -> list[Crossing]:
    """Return the contacts reached round about, given the exits of the held set."""
    ends = _ends(matrix)
    reached: dict[int, int] = {}
    found = []
    for place, (start, end) in ends.items():
        seen = reached.get(start)
        if seen is None:
            seen = reached[start] = reach(exits, start)
        if seen >> end & 1 and (place not in closed or _is_bypassed(exits, start, end)):
            found.append(place)
    return found


def _ends(matrix: Matrix) -> dict[Crossing, tuple[int, int]]:
    """Return the driven and the sensed node of each contact, in the order of the contacts."""
    links = network_of(matrix).contacts
    return {place: links[index][:2] for place, index in contact_order(matrix).items()}


def _is_bypassed(exits: list[int], start: int, end: int) -> bool:
    """Say whether `end` is reached from `start` without the contact that joins the two."""
    detour = exits[start] & ~(1 << end)
    if not detour or not _entries(exits, start, end):
        return False
    return bool(reach(_without(exits, start, end), start) >> end & 1)


def _entries(exits: list[int], start: int, end: int) -> bool:
    """Say whether any node other than `start` leads straight into `end`."""
    return any(mask >> end & 1 for node, mask in enumerate(exits) if node != start)


def _without(exits: list[int], start: int, end: int) -> list[int]:
    """Return the exits without the direct way from `start` to `end`."""
    cut = exits.copy()
    cut[start] &= ~(1 << end)
    return cut


def _hazard(
    matrix: Matrix, closed: frozenset[Crossing], exits: list[int], victim: Crossing
) -> Hazard:
    effect: Effect = "masked" if victim in closed else "false"
    return Hazard(victim, effect, _shortest_path(matrix, exits, victim))


def _shortest_path(matrix: Matrix, exits: list[int], victim: Crossing) -> tuple[Crossing, ...]:
    """Return the contacts of a shortest path round the victim (one is known to exist)."""
    driven, sensed = matrix.lines_at(victim)
    start, end = node_of(matrix, driven), node_of(matrix, sensed)
    nodes = _walk(_without(exits, start, end), start, end)
    return tuple(_crossing_of(matrix, a, b) for a, b in pairwise(nodes))


def _walk(exits: list[int], start: int, end: int) -> list[int]:
    """Return the nodes of a shortest way, lowest numbers first among equals."""
    came_from = {start: start}
    queue = [start]
    for node in queue:
        fresh = exits[node]
        while fresh:
            low = fresh & -fresh
            fresh ^= low
            after = low.bit_length() - 1
            if after not in came_from:
                came_from[after] = node
                queue.append(after)
    way = [end]
    while way[-1] != start:
        way.append(came_from[way[-1]])
    return way[::-1]


def _crossing_of(matrix: Matrix, a: int, b: int) -> Crossing:
    """Return the crossing whose contact joins two nodes."""
    row, column = sorted((a, b))
    return row + 1, column - matrix.rows + 1
