"""The outlines of letters, for words drawn larger than any writer sets them.

fontTools reads them from the whole font and is loaded on first use.
"""

import io
from collections.abc import Iterator, Sequence
from functools import lru_cache
from importlib import import_module
from itertools import pairwise
from typing import Any

from profiles.lettering.faces import Face, font_bytes

Contour = tuple[tuple[float, float], ...]
"""A closed line of straight pieces; figures are fractions of the em, the baseline at 0."""

PIECES = 5
"""Straight pieces that stand for one curve."""


def outline_words(face: Face, words: str) -> tuple[Contour, ...]:
    """Return the contours of words set in one line; letters that the face lacks are replaced.

    No contour crosses itself or another, so inside and outside follow from the even-odd rule over
    all contours of a letter.
    """
    found: list[Contour] = []
    x = 0.0
    for letter in face.shown(words):
        for contour in _outline_letter(face, letter):
            found.append(tuple((x + right, up) for right, up in contour))
        x += face.width(letter)
    return tuple(found)


@lru_cache(maxsize=2)
def _open_font(face: Face) -> Any:
    return import_module("fontTools.ttLib").TTFont(io.BytesIO(font_bytes(face)), lazy=True)


@lru_cache(maxsize=256)
def _outline_letter(face: Face, letter: str) -> tuple[Contour, ...]:
    """Curves become straight pieces (OpenType `glyf`: implied points of a spline lie halfway)."""
    font = _open_font(face)
    glyphs, em = font.getGlyphSet(), font["head"].unitsPerEm
    pen = import_module("fontTools.pens.recordingPen").DecomposingRecordingPen(glyphs)
    glyphs[font.getBestCmap()[ord(letter)]].draw(pen)
    cut = import_module("fontTools.pens.basePen").decomposeQuadraticSegment
    contours: list[list[tuple[float, float]]] = []
    for verb, points in pen.value:
        if verb == "moveTo":
            contours.append([points[0]])
        elif verb == "lineTo":
            contours[-1].append(points[0])
        elif verb == "qCurveTo":
            for (cx, cy), (ex, ey) in cut(points):
                x, y = contours[-1][-1]
                for step in range(1, PIECES + 1):
                    t = step / PIECES
                    a, b, c = (1 - t) ** 2, 2 * t * (1 - t), t * t
                    contours[-1].append((a * x + b * cx + c * ex, a * y + b * cy + c * ey))
    return _join_crossing(
        tuple(tuple((x / em, y / em) for x, y in contour) for contour in contours)
    )


_Edge = tuple[tuple[float, float], tuple[float, float]]


def _join_crossing(contours: tuple[Contour, ...]) -> tuple[Contour, ...]:
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
    crossings = {edge: cuts for edge in edges if (cuts := sorted(_crossings(edge, edges)))}
    if not crossings:
        return contours
    ways: dict[tuple[float, float], list[tuple[float, float]]] = {}
    for (ax, ay), (bx, by) in edges:
        shares = [0.0, *crossings.get(((ax, ay), (bx, by)), ()), 1.0]
        points = [
            (round(ax + (bx - ax) * share, 9), round(ay + (by - ay) * share, 9)) for share in shares
        ]
        aside = (by - ay) * _ASIDE, (ax - bx) * _ASIDE
        for (x, y), end in pairwise(points):
            middle = (x + end[0]) / 2, (y + end[1]) / 2
            sides = [
                _winds_around((middle[0] + way * aside[0], middle[1] + way * aside[1]), edges)
                for way in (1, -1)
            ]
            if (sides[0] == 0) != (sides[1] == 0):
                ways.setdefault((x, y), []).append(end)
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


def _crossings(edge: _Edge, others: Sequence[_Edge]) -> Iterator[float]:
    """Where other edges cross an edge, as shares of its length."""
    (ax, ay), (bx, by) = edge
    for (cx, cy), (dx, dy) in others:
        across = (bx - ax) * (dy - cy) - (by - ay) * (dx - cx)
        if across:
            mine = ((cx - ax) * (dy - cy) - (cy - ay) * (dx - cx)) / across
            theirs = ((cx - ax) * (by - ay) - (cy - ay) * (bx - ax)) / across
            if _HAIR < mine < 1 - _HAIR and _HAIR < theirs < 1 - _HAIR:
                yield mine


_HAIR = 1e-9


def _winds_around(point: tuple[float, float], edges: Sequence[_Edge]) -> int:
    """How often the edges wind around a point."""
    x, y = point
    turns = 0
    for (ax, ay), (bx, by) in edges:
        if (ay <= y) != (by <= y):
            is_left = (bx - ax) * (y - ay) - (x - ax) * (by - ay) > 0
            if is_left == (by > ay):
                turns += 1 if by > ay else -1
    return turns
