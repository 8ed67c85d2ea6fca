"""Which contacts, pressed at the same time, cause ghosting or masking, and by which path.

A *hazard* is a contact (the victim) whose crossing is reached round about: from its driven line to
its sensed line through other held contacts. If the victim is open it reads closed though nobody
touches it (`false`: ghosting); if it is held, its release, or its press after the others, is not
seen (`masked`). A held set is safe exactly when it holds no hazard; then every subset is safe too.

- `hazards_in` lists the hazards of one held set, `check_combinations` those of many.
- `shortest_hazard` and `safe_any` answer for the matrix as such, whatever is held.
- `describe_path` puts the round-about path into words.
"""

from collections.abc import Callable, Iterable
from functools import lru_cache
from typing import Literal, NamedTuple

from profiles.wiring.matrix import (
    Crossing,
    Matrix,
    contact_order,
    exits_of,
    mask_of,
    name_crossing,
    network_of,
)

Effect = Literal["false", "masked"]


class Hazard(NamedTuple):
    """One victim and the shortest path round it; `path` goes from its driven to its sensed line."""

    victim: Crossing
    effect: Effect
    path: tuple[Crossing, ...]


class Combination(NamedTuple):
    """Contacts held at once, and the hazards that arise (none when the set is safe)."""

    held: frozenset[Crossing]
    hazards: tuple[Hazard, ...]


def hazards_in(matrix: Matrix, held: Iterable[Crossing]) -> tuple[Hazard, ...]:
    """Return every hazard of one held set, in the order of the victims."""
    closed = frozenset(held)
    exits = exits_of(network_of(matrix), mask_of(matrix, closed))
    trees: dict[int, dict[int, int]] = {}  # one search from a driven line serves all open victims
    found = []
    for victim, (start, end) in _ends(matrix).items():
        if victim in closed:
            effect: Effect = "masked"
            direct = 1 << end
            entered = (mask & direct for node, mask in enumerate(exits) if node != start)
            if exits[start] == direct or not any(entered):
                continue
            exits[start] ^= direct  # is the end reached without the contact itself, too?
            tree = _grow(exits, start, direct)
            exits[start] ^= direct
        elif exits[start]:
            effect = "false"
            if start not in trees:
                trees[start] = _grow(exits, start)
            tree = trees[start]
        else:
            continue
        if end in tree:
            found.append(Hazard(victim, effect, _path(matrix, tree, end)))
    return tuple(found)


def is_safe(matrix: Matrix, held: Iterable[Crossing]) -> bool:
    """Say whether a held set, and so each part of it, reads true and hides nothing."""
    return not hazards_in(matrix, held)


def check_combinations(
    matrix: Matrix, combinations: Iterable[Iterable[Crossing]]
) -> tuple[Combination, ...]:
    """Return each combination, in the order given, with its hazards."""
    sets = (frozenset(held) for held in combinations)
    return tuple(Combination(held, hazards_in(matrix, held)) for held in sets)


def shortest_hazard(matrix: Matrix) -> Hazard | None:
    """Return a hazard that needs the fewest held contacts, or None when none can arise."""
    found = hazards_in(matrix, matrix.crossings)
    if not found:
        return None
    best = min(found, key=lambda hazard: len(hazard.path))
    return Hazard(best.victim, "false", best.path)


def safe_any(matrix: Matrix) -> int:
    """Return the largest k such that any k contacts may be held safely, whichever they are.

    It is one less than the contacts on the shortest round-about path; all of them if there is none.
    """
    worst = shortest_hazard(matrix)
    return len(matrix.crossings) if worst is None else len(worst.path) - 1


def describe_path(
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


@lru_cache(maxsize=256)
def _ends(matrix: Matrix) -> dict[Crossing, tuple[int, int]]:
    """Return the driven and the sensed node of each contact, in the order of the contacts."""
    links = network_of(matrix).contacts
    return {place: links[index][:2] for place, index in contact_order(matrix).items()}


def _grow(exits: list[int], start: int, stop: int = 0) -> dict[int, int]:
    """Return where each node reached is come to from, nearest first; `stop` ends it early."""
    came_from = {start: start}
    seen = 1 << start
    queue = [start]
    for node in queue:
        fresh = exits[node] & ~seen
        seen |= fresh
        while fresh:
            low = fresh & -fresh
            fresh ^= low
            after = low.bit_length() - 1
            came_from[after] = node
            queue.append(after)
        if seen & stop:
            break
    return came_from


def _path(matrix: Matrix, tree: dict[int, int], end: int) -> tuple[Crossing, ...]:
    """Return the contacts from the root of a tree to a node."""
    path = []
    before = tree[end]
    while before != end:
        row, column = (before, end) if before < end else (end, before)
        path.append((row + 1, column - matrix.rows + 1))
        before, end = tree[before], before
    return tuple(reversed(path))
