"""Contours that cross, joined to such that do not: what they cover together."""

from collections.abc import Sequence
from itertools import pairwise

Contour = tuple[tuple[float, float], ...]
"""A closed line of straight pieces."""

Point = tuple[float, float]
_Edge = tuple[Point, Point]


def join_crossing(contours: tuple[Contour, ...]) -> tuple[Contour, ...]:
    """The contours without what lies within others: a font draws an accent across its letter.

    Edges are cut where they cross. Of the pieces those are kept that have ink on one side alone (a
    point has ink where contours wind around it, as the OpenType `glyf` table has it).
    """
    moved = [
        tuple((x + _NUDGE * place, y + 0.7 * _NUDGE * place) for x, y in contour)
        for place, contour in enumerate(contours)
    ]
    edges = [
        edge for contour in moved for edge in pairwise((*contour, contour[0])) if edge[0] != edge[1]
    ]
    crossings = _find_crossings(edges)
    if not any(crossings):
        return contours
    ways: dict[Point, list[Point]] = {}
    for (start, end), cuts in zip(edges, crossings, strict=True):
        aside = (end[1] - start[1]) * _ASIDE, (start[0] - end[0]) * _ASIDE
        for (x, y), further in pairwise([start, *(point for _, point in sorted(cuts)), end]):
            middle = (x + further[0]) / 2, (y + further[1]) / 2
            sides = [
                _winds_around((middle[0] + way * aside[0], middle[1] + way * aside[1]), edges)
                for way in (1, -1)
            ]
            if (sides[0] == 0) != (sides[1] == 0):
                ways.setdefault((x, y), []).append(further)
    joined = []
    while ways:
        start = here = next(iter(ways))
        points = []
        while here in ways:
            points.append(here)
            following = ways[here].pop()
            if not ways[here]:
                del ways[here]
            here = following
        if here != start:
            raise AssertionError("the outline of a letter does not close")
        joined.append(tuple(points))
    return tuple(joined)


_ASIDE = 1e-6
"""How far beside an edge it is asked what lies there, as a share of the edge."""


_NUDGE = 1e-5
"""How far one contour is moved against another, em: corners on an edge of another leave it."""


def _find_crossings(edges: Sequence[_Edge]) -> list[list[tuple[float, Point]]]:
    """For each edge where others cross it: the share of its length, and the point of both."""
    found: list[list[tuple[float, Point]]] = [[] for _ in edges]
    for one, ((ax, ay), (bx, by)) in enumerate(edges):
        low, high = min(ax, bx), max(ax, bx)
        for other in range(one):
            (cx, cy), (dx, dy) = edges[other]
            if (cx < low and dx < low) or (cx > high and dx > high):
                continue
            across = (bx - ax) * (dy - cy) - (by - ay) * (dx - cx)
            if across:
                mine = ((cx - ax) * (dy - cy) - (cy - ay) * (dx - cx)) / across
                theirs = ((cx - ax) * (by - ay) - (cy - ay) * (bx - ax)) / across
                if _HAIR < mine < 1 - _HAIR and _HAIR < theirs < 1 - _HAIR:
                    point = (ax + (bx - ax) * mine, ay + (by - ay) * mine)
                    found[one].append((mine, point))
                    found[other].append((theirs, point))
    return found


_HAIR = 1e-9


def _winds_around(point: Point, edges: Sequence[_Edge]) -> int:
    """How often the edges wind around a point."""
    x, y = point
    turns = 0
    for (ax, ay), (bx, by) in edges:
        if (ay <= y) != (by <= y):
            is_left = (bx - ax) * (y - ay) - (x - ax) * (by - ay) > 0
            if is_left == (by > ay):
                turns += 1 if by > ay else -1
    return turns
