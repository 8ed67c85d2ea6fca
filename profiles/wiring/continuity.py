"""Continuity tests of a finished matrix: where to put the probes, what to do, what to expect.

The box is unplugged and in its rest state: latching controls off, selectors at their first
position. The tests come in the order in which they find faults cheapest: each line is whole, no two
lines of one side touch, each contact joins its row and its column, and only when it is closed.

The red probe of a meter in diode mode is the positive one: it goes to the sensed line, so that
current flows through the contact and its diode into the driven line.
"""

from collections.abc import Callable, Iterable, Sequence
from itertools import combinations
from typing import NamedTuple

from profiles.wiring.matrix import (
    Crossing,
    Line,
    Matrix,
    exits_of,
    mask_of,
    network_of,
    node_of,
    reach,
    read,
)

Name = Callable[[Line], str]


class Touch(NamedTuple):
    """How a hand closes and opens one contact, and which are closed once it is open."""

    place: Crossing
    name: str
    close: str
    release: str
    after: frozenset[Crossing]


class ContinuityTest(NamedTuple):
    """Two probes, what to do, and whether the meter should show a connection."""

    red: str
    black: str
    action: str
    closed: bool
    why: str


def continuity_tests(
    matrix: Matrix,
    touches: Sequence[Touch],
    rest: frozenset[Crossing],
    name: Name = str,
    far_ends: Iterable[tuple[Line, str]] = (),
) -> tuple[ContinuityTest, ...]:
    """Return the tests in order.

    `rest` are the contacts closed in the rest state, `far_ends` the last stop of each line's chain,
    `name` the words for the pin of a line.
    """
    tests = [
        ContinuityTest(name(line), end, "touch nothing", True, "the line is whole to its last stop")
        for line, end in far_ends
    ]
    apart = "the two lines do not touch"
    exits = exits_of(network_of(matrix), mask_of(matrix, rest))
    for first, second in combinations(matrix.lines, 2):
        if first.kind == second.kind:
            # Current flows from the red to the black probe: the signal's way, turned round.
            joined = bool(reach(exits, node_of(matrix, second)) >> node_of(matrix, first) & 1)
            why = "both are joined by contacts closed at rest" if joined else apart
            tests.append(ContinuityTest(name(first), name(second), "touch nothing", joined, why))
    for touch in touches:
        driven, sensed = matrix.lines_at(touch.place)
        red, black = name(sensed), name(driven)
        round_about = touch.place in read(matrix, touch.after)
        why = "contacts closed at rest join the lines" if round_about else f"{touch.name} is open"
        tests += [
            ContinuityTest(red, black, touch.close, True, f"{touch.name} is closed"),
            ContinuityTest(red, black, touch.release, round_about, why),
        ]
    return tuple(tests)
