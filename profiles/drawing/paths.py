"""Paths of straight, circular and Bezier pieces, in mm.

A `Path` starts at a point and goes on by `LineTo`, `ArcTo` and `CurveTo`. Builders: `polyline`,
`rectangle` (corners may be rounded), `arc`. Bounds are exact, not those of control points.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import acos, atan2, ceil, degrees, dist, hypot, radians, sqrt, tan

from profiles.drawing.geometry import Box, Point, Transform, box_around, point_at


@dataclass(frozen=True, slots=True)
class LineTo:
    """A straight piece to `end`."""

    end: Point


@dataclass(frozen=True, slots=True)
class ArcTo:
    """A circular piece around `centre` to `end`, through `sweep` degrees (anticlockwise > 0)."""

    end: Point
    centre: Point
    sweep: float


@dataclass(frozen=True, slots=True)
class CurveTo:
    """A cubic Bezier piece to `end` with two control points."""

    first: Point
    second: Point
    end: Point


Piece = LineTo | ArcTo | CurveTo


@dataclass(frozen=True, slots=True)
class Path:
    """A connected run of pieces; a closed path also joins its end to its start."""

    start: Point
    pieces: tuple[Piece, ...]
    closed: bool = False

    def steps(self) -> Iterator[tuple[Point, Piece]]:
        """Yield each piece with the point it starts from, the closing line left out."""
        here = self.start
        for piece in self.pieces:
            yield here, piece
            here = piece.end

    def transformed(self, by: Transform) -> "Path":
        """Return the path carried over by a similarity."""
        pieces: list[Piece] = []
        for piece in self.pieces:
            end = by.apply(piece.end)
            if isinstance(piece, LineTo):
                pieces.append(LineTo(end))
            elif isinstance(piece, ArcTo):
                sweep = -piece.sweep if by.mirrors else piece.sweep
                pieces.append(ArcTo(end, by.apply(piece.centre), sweep))
            else:
                pieces.append(CurveTo(by.apply(piece.first), by.apply(piece.second), end))
        return Path(by.apply(self.start), tuple(pieces), self.closed)

    def bounds(self) -> Box:
        """Return the smallest box around the line itself, its width left out."""
        points = [self.start]
        for here, piece in self.steps():
            points.append(piece.end)
            if isinstance(piece, ArcTo):
                radius, start = radius_of(here, piece), angle_of(piece.centre, here)
                low, high = sorted((start, start + piece.sweep))
                for quarter in range(ceil(low / 90 - 1e-9), int(high // 90) + 1):
                    points.append(point_at(piece.centre, radius, 90.0 * quarter))
            elif isinstance(piece, CurveTo):
                points += _turning_points(here, piece)
        return box_around(points)

    def flattened(self, tolerance: float) -> list[Point]:
        """Return corners of a polyline that stays within `tolerance` mm of the path.

        A chord over an angle w of an arc leaves it by r (1 - cos(w / 2)). A cubic in n even steps
        of t leaves its chords by at most 6 * bend / (8 n^2), `bend` being the larger second
        difference of its control points.
        """
        points = [self.start]
        for here, piece in self.steps():
            if isinstance(piece, ArcTo):
                radius, start = radius_of(here, piece), angle_of(piece.centre, here)
                step = 2 * degrees(acos(max(0.0, 1 - tolerance / radius))) if radius > 0 else 360.0
                count = max(1, ceil(abs(piece.sweep) / step))
                for n in range(1, count):
                    points.append(point_at(piece.centre, radius, start + piece.sweep * n / count))
            elif isinstance(piece, CurveTo):
                p0, p1, p2, p3 = here, piece.first, piece.second, piece.end
                early = hypot(p0[0] - 2 * p1[0] + p2[0], p0[1] - 2 * p1[1] + p2[1])
                late = hypot(p1[0] - 2 * p2[0] + p3[0], p1[1] - 2 * p2[1] + p3[1])
                count = max(1, ceil(sqrt(max(early, late) * 0.75 / tolerance)))
                points += [point_on(here, piece, n / count) for n in range(1, count)]
            points.append(piece.end)
        return points


def polyline(points: Sequence[Point], *, closed: bool = False) -> Path:
    """Return straight pieces through at least two points."""
    return Path(points[0], tuple(LineTo(point) for point in points[1:]), closed)


def rectangle(box: Box, radius: float = 0.0) -> Path:
    """Return the outline of a box, its corners rounded with `radius` mm (as far as they fit)."""
    radius = min(radius, box.width / 2, box.height / 2)
    if radius <= 0:
        return polyline(box.corners, closed=True)
    left, bottom, right, top = box.left, box.bottom, box.right, box.top
    corners = (
        ((right - radius, bottom), (right, bottom + radius), (right - radius, bottom + radius)),
        ((right, top - radius), (right - radius, top), (right - radius, top - radius)),
        ((left + radius, top), (left, top - radius), (left + radius, top - radius)),
        ((left, bottom + radius), (left + radius, bottom), (left + radius, bottom + radius)),
    )
    pieces: list[Piece] = []
    here = start = (left + radius, bottom)
    for enter, leave, centre in corners:
        pieces += [LineTo(enter)] if dist(here, enter) > 1e-9 else []
        pieces.append(ArcTo(leave, centre, 90.0))
        here = leave
    return Path(start, tuple(pieces), closed=True)


def arc(centre: Point, radius: float, start: float, sweep: float) -> Path:
    """Return an arc from `start` degrees through `sweep` degrees, anticlockwise where positive."""
    end = point_at(centre, radius, start + sweep)
    return Path(point_at(centre, radius, start), (ArcTo(end, centre, sweep),))


def curves_of_arc(here: Point, piece: ArcTo) -> list[CurveTo]:
    """Return Bezier pieces for an arc, one per 45 degrees: off by less than 5e-6 of the radius.

    The control points lie 4/3 tan(sweep/4) radii along the tangents (the usual approximation of
    an arc by cubics).
    """
    count = max(1, ceil(abs(piece.sweep) / 45.0 - 1e-9))
    radius, angle = radius_of(here, piece), angle_of(piece.centre, here)
    part = piece.sweep / count
    reach = 4 / 3 * tan(radians(part) / 4) * radius
    ends = [point_at(piece.centre, radius, angle + part * n) for n in range(count)]
    ends = [here, *ends[1:], piece.end]
    curves = []
    for number, (first, last) in enumerate(pairwise(ends)):
        tangent = angle + part * number + 90
        leave = point_at(first, reach, tangent)
        arrive = point_at(last, -reach, tangent + part)
        curves.append(CurveTo(leave, arrive, last))
    return curves


def radius_of(here: Point, piece: ArcTo) -> float:
    """Return the radius of an arc that starts at `here`."""
    return hypot(here[0] - piece.centre[0], here[1] - piece.centre[1])


def angle_of(centre: Point, point: Point) -> float:
    """Return the direction from `centre` to `point` in degrees, -180 to 180."""
    return degrees(atan2(point[1] - centre[1], point[0] - centre[0]))


def point_on(here: Point, piece: CurveTo, t: float) -> Point:
    """Return the point of a Bezier piece at `t` from 0 to 1."""
    s = 1 - t
    weights = (s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t)
    points = (here, piece.first, piece.second, piece.end)
    return (
        sum(w * p[0] for w, p in zip(weights, points, strict=True)),
        sum(w * p[1] for w, p in zip(weights, points, strict=True)),
    )


def _turning_points(here: Point, piece: CurveTo) -> Iterator[Point]:
    """Yield the points of a Bezier piece where the slope of x or y over t is 0."""
    for axis in (0, 1):
        p0, p1, p2, p3 = (point[axis] for point in (here, piece.first, piece.second, piece.end))
        a, b, c = p3 - 3 * p2 + 3 * p1 - p0, 2 * (p2 - 2 * p1 + p0), p1 - p0
        under = b * b - 4 * a * c
        roots: tuple[float, ...] = ()
        if abs(a) < 1e-12:
            roots = (-c / b,) if abs(b) > 1e-12 else ()
        elif under >= 0:
            roots = ((-b - sqrt(under)) / (2 * a), (-b + sqrt(under)) / (2 * a))
        yield from (point_on(here, piece, t) for t in roots if 0 < t < 1)
