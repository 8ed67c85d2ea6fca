"""The order of controls on a plate, and the way from one to the next. Lengths in millimetres.

- `reading_order`: rows from the top, each from left to right.
- `moves`, `neighbour`: which control lies left, right, up or down, as the eye expects.

Every control can be reached from every other by such moves.
"""

from collections.abc import Mapping
from itertools import pairwise
from typing import Literal

from profiles.plate.rows import TOLERANCE, Point, find_rows

Direction = Literal["left", "right", "up", "down"]
DIRECTIONS: tuple[Direction, ...] = ("left", "right", "up", "down")

Moves = dict[str, dict[Direction, str]]

_TURN: dict[Direction, tuple[int, int]] = {
    "left": (-1, 0),
    "right": (1, 0),
    "up": (0, 1),
    "down": (0, -1),
}


def reading_order(points: Mapping[str, Point], tolerance: float = TOLERANCE) -> tuple[str, ...]:
    """Ids by rows from the top, each row from left to right."""
    return tuple(key for row in find_rows(points, tolerance) for key in row.members)


def neighbour(points: Mapping[str, Point], current: str, direction: Direction) -> str | None:
    """The control one step away from `current`, or None at the end. Raises KeyError."""
    return moves(points)[current].get(direction)


def moves(points: Mapping[str, Point]) -> Moves:
    """For every control the control one step away in each direction that has one.

    A step goes to the nearest control that lies more ahead than aside. Where such steps would
    leave a control out of reach, steps go along the rows and to the nearest of the next row.
    """
    by_rows = _moves_by_rows(points)
    by_eye = {key: steps | _moves_by_eye(points, key) for key, steps in by_rows.items()}
    links = [(key, other) for key, steps in by_eye.items() for other in steps.values()]
    for forward in (True, False):
        leads: dict[str, list[str]] = {key: [] for key in by_eye}
        for key, other in links:
            leads[key if forward else other].append(other if forward else key)
        todo = list(leads)[:1]
        seen = set(todo)
        while todo:
            further = set(leads[todo.pop()]) - seen
            seen |= further
            todo.extend(further)
        if len(seen) < len(leads):
            return by_rows
    return by_eye


def _moves_by_eye(points: Mapping[str, Point], current: str) -> dict[Direction, str]:
    """The nearest control more ahead than aside, in each direction; being aside counts double."""
    x, y = points[current]
    found: dict[Direction, str] = {}
    for direction, (dx, dy) in _TURN.items():
        least = float("inf")
        for key in sorted(points):
            along = (points[key][0] - x) * dx + (points[key][1] - y) * dy
            aside = abs((points[key][0] - x) * dy) + abs((points[key][1] - y) * dx)
            score = along + 2 * aside
            if along > TOLERANCE and aside <= along and score < least:
                found[direction], least = key, score
    return found


def _moves_by_rows(points: Mapping[str, Point]) -> Moves:
    """Steps along the rows and to the nearest of the next row."""
    rows = [line.members for line in find_rows(points)]
    found: Moves = {key: {} for members in rows for key in members}
    for members in rows:
        for left, right in pairwise(members):
            found[right]["left"], found[left]["right"] = left, right
    ups: tuple[Direction, Direction] = ("down", "up")
    for pair in pairwise(rows):
        for direction, members, others in zip(ups, pair, reversed(pair), strict=True):
            for key in members:
                aside = {other: abs(points[other][0] - points[key][0]) for other in others}
                found[key][direction] = min(others, key=lambda other: (aside[other], other))
    return found
