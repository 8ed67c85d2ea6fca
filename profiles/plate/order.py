"""The order of controls on a plate, and the way from one to the next. Lengths in millimetres.

- `reading_order`: rows from the top, each from left to right.
- `moves`, `neighbour`: which control lies left, right, up or down, as the eye expects.

Every control can be reached from every other by such moves.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Literal

from profiles.plate.rows import TOLERANCE, Line, Point, find_rows

__all__ = ["DIRECTIONS", "Direction", "moves", "neighbour", "reading_order"]

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
    rows = find_rows(points)
    by_rows = {key: _row_moves(points, rows, line, key) for line in rows for key in line.members}
    by_eye: Moves = {key: dict(by_rows[key]) for key in by_rows}
    for key in by_eye:
        for direction in DIRECTIONS:
            ahead = _ahead(points, key, direction)
            if ahead is not None:
                by_eye[key][direction] = ahead
    return by_eye if _all_reached(by_eye) else by_rows


def _ahead(points: Mapping[str, Point], current: str, direction: Direction) -> str | None:
    """The nearest control more ahead than aside; being aside counts double."""
    dx, dy = _TURN[direction]
    x, y = points[current]
    best, least = None, float("inf")
    for key in sorted(points):
        along = (points[key][0] - x) * dx + (points[key][1] - y) * dy
        aside = abs((points[key][0] - x) * dy) + abs((points[key][1] - y) * dx)
        score = along + 2 * aside
        if along > TOLERANCE and aside <= along and score < least:
            best, least = key, score
    return best


def _row_moves(
    points: Mapping[str, Point], rows: Sequence[Line], line: Line, current: str
) -> dict[Direction, str]:
    members, place, height = line.members, line.members.index(current), rows.index(line)
    found: dict[Direction, str] = {}
    if place > 0:
        found["left"] = members[place - 1]
    if place + 1 < len(members):
        found["right"] = members[place + 1]
    if height > 0:
        found["up"] = _nearest(points, rows[height - 1].members, current)
    if height + 1 < len(rows):
        found["down"] = _nearest(points, rows[height + 1].members, current)
    return found


def _nearest(points: Mapping[str, Point], members: Sequence[str], current: str) -> str:
    return min(members, key=lambda key: (abs(points[key][0] - points[current][0]), key))


def _all_reached(found: Moves) -> bool:
    """Whether every control is reached from the first, and the first from every control."""
    if not found:
        return True
    first = min(found)
    back: dict[str, list[str]] = {key: [] for key in found}
    for key, steps in found.items():
        for other in steps.values():
            back[other].append(key)
    ways = {key: list(steps.values()) for key, steps in found.items()}
    return _reached(first, ways) == _reached(first, back) == set(found)


def _reached(start: str, ways: Mapping[str, Sequence[str]]) -> set[str]:
    seen, todo = {start}, [start]
    while todo:
        for other in ways[todo.pop()]:
            if other not in seen:
                seen.add(other)
                todo.append(other)
    return seen
