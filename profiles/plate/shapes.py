"""Plane shapes of a faceplate and the distances between them, in millimetres.

Every upright shape is a rectangle *core* grown on all sides by a *swell*: a rectangle has no
swell, a disc is a point that swells, a rounded one is a smaller rectangle that swells. One formula
therefore gives the exact edge-to-edge distance of any two of them. A `Polygon` has any convex
core, so that it can be turned; a `Union` is the sum of some of these.

- `Rectangle`, `Disc`, `Rounded`: the upright values; `Shape`: any of them.
- `Polygon`, `Union`: what is turned or not convex; `Outline`: any shape.
- `gap`: edge-to-edge distance, negative when they overlap.
- `inset`: how deep one shape lies inside another, negative when it sticks out.

The origin is the plate's lower left seen from the front, x to the right and y up.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import atan2, dist, hypot, inf, pi
from typing import NamedTuple

Point = tuple[float, float]


class Rectangle(NamedTuple):
    """An upright rectangle by its edges, mm."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def core(self) -> Rectangle:
        """The box itself."""
        return self

    @property
    def swell(self) -> float:
        """Nothing: a box has sharp corners."""
        return 0.0

    @property
    def bounds(self) -> Rectangle:
        """The box itself."""
        return self

    @property
    def width(self) -> float:
        """Extent along x, mm."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Extent along y, mm."""
        return self.top - self.bottom

    @property
    def centre(self) -> tuple[float, float]:
        """The middle, mm."""
        return (self.left + self.right) / 2, (self.bottom + self.top) / 2

    @property
    def area(self) -> float:
        """Area, mm²."""
        return self.width * self.height

    def grown(self, across: float, up: float | None = None) -> Rectangle:
        """The box with each edge moved outwards by `across` (sideways) and `up` mm."""
        rise = across if up is None else up
        return Rectangle(
            self.left - across, self.bottom - rise, self.right + across, self.top + rise
        )


class Disc(NamedTuple):
    """A disc by its centre and radius, mm."""

    x: float
    y: float
    radius: float

    @property
    def core(self) -> Rectangle:
        """The centre as a box without extent."""
        return Rectangle(self.x, self.y, self.x, self.y)

    @property
    def swell(self) -> float:
        """The radius."""
        return self.radius

    @property
    def bounds(self) -> Rectangle:
        """The upright square around the disc."""
        return self.core.grown(self.radius)

    @property
    def centre(self) -> tuple[float, float]:
        """The centre, mm."""
        return self.x, self.y

    @property
    def area(self) -> float:
        """Area, mm²."""
        return pi * self.radius * self.radius


class Rounded(NamedTuple):
    """An upright rectangle with rounded corners: its outer box and the corner radius, mm.

    A radius beyond half of the shorter side is taken as that half.
    """

    outer: Rectangle
    radius: float

    @property
    def core(self) -> Rectangle:
        """The outer box shrunk by the corner radius."""
        return self.outer.grown(-self.swell)

    @property
    def swell(self) -> float:
        """The corner radius that the box has room for."""
        return max(0.0, min(self.radius, self.outer.width / 2, self.outer.height / 2))

    @property
    def bounds(self) -> Rectangle:
        """The outer box."""
        return self.outer

    @property
    def centre(self) -> tuple[float, float]:
        """The middle, mm."""
        return self.outer.centre

    @property
    def area(self) -> float:
        """Area, mm²."""
        return self.outer.area - (4 - pi) * self.swell * self.swell


Shape = Rectangle | Disc | Rounded
"""Any upright shape."""


class Polygon(NamedTuple):
    """A convex core by its corners, anticlockwise, and its swell, mm: a line where they are two."""

    corners: tuple[Point, ...]
    swell: float = 0.0

    @property
    def bounds(self) -> Rectangle:
        """The upright box around it."""
        xs, ys = zip(*self.corners, strict=True)
        return Rectangle(min(xs), min(ys), max(xs), max(ys)).grown(self.swell)

    @property
    def centre(self) -> Point:
        """The middle of the box around it, mm."""
        return self.bounds.centre

    @property
    def area(self) -> float:
        """Area, mm²: of the core, of the strips along its sides, of the round corners (Steiner)."""
        sides = list(zip(self.corners, (*self.corners[1:], self.corners[0]), strict=True))
        core = sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in sides) / 2
        around = sum(dist(start, end) for start, end in sides)
        return core + around * self.swell + pi * self.swell * self.swell


class Union(NamedTuple):
    """Several shapes that make one, and its area, mm²."""

    parts: tuple[Rectangle | Disc | Rounded | Polygon, ...]
    area: float

    @property
    def bounds(self) -> Rectangle:
        """The upright box around all."""
        lefts, bottoms, rights, tops = zip(*(part.bounds for part in self.parts), strict=True)
        return Rectangle(min(lefts), min(bottoms), max(rights), max(tops))

    @property
    def centre(self) -> Point:
        """The middle of the box around all, mm."""
        return self.bounds.centre


Outline = Shape | Polygon | Union
"""Any shape of this module."""


def box_around(x: float, y: float, width: float, height: float) -> Rectangle:
    """The box of this width and height whose middle is at (x, y), mm."""
    return Rectangle(x - width / 2, y - height / 2, x + width / 2, y + height / 2)


def moved(shape: Outline, right: float, up: float) -> Outline:
    """The shape so many mm to the right and up."""
    match shape:
        case Rectangle():
            return Rectangle(
                shape.left + right, shape.bottom + up, shape.right + right, shape.top + up
            )
        case Disc():
            return Disc(shape.x + right, shape.y + up, shape.radius)
        case Rounded():
            outer = moved(shape.outer, right, up)
            return Rounded(outer.bounds, shape.radius)
        case Polygon():
            return Polygon(tuple((x + right, y + up) for x, y in shape.corners), shape.swell)
    parts = (moved(part, right, up) for part in shape.parts)
    return Union(tuple(part for part in parts if not isinstance(part, Union)), shape.area)


def gap(shape: Outline, other: Outline) -> float:
    """Edge-to-edge distance in mm; negative by the least push that would part them.

    Of a union that is overlapped, the push is that of its part that lies deepest.
    """
    if isinstance(shape, (Polygon, Union)) or isinstance(other, (Polygon, Union)):
        return _turned_gap(shape, other)
    a, b = shape.core, other.core
    across = max(a.left - b.right, b.left - a.right)
    up = max(a.bottom - b.top, b.bottom - a.top)
    return _part(across, up) - shape.swell - other.swell


def _turned_gap(shape: Outline, other: Outline) -> float:
    """The gap where a shape is turned or a union."""
    if isinstance(shape, Union):
        return min(gap(part, other) for part in shape.parts)
    if isinstance(other, Union):
        return min(gap(shape, part) for part in other.parts)
    return _between(_corners(shape), _corners(other)) - shape.swell - other.swell


def touches(shape: Outline, other: Outline, clearance: float = 0.0) -> bool:
    """Whether they come closer than `clearance` mm; exactly the clearance is allowed."""
    return gap(shape, other) < clearance - 1e-9


def overlap(a: Rectangle, b: Rectangle) -> bool:
    """Whether two boxes share some area; a common edge is none."""
    return a.left < b.right and b.left < a.right and a.bottom < b.top and b.bottom < a.top


def inset(inner: Outline, outer: Outline) -> float:
    """Least distance from `inner` to the edge of `outer` in mm; negative when it sticks out.

    The depth below a convex edge is least at a corner of the inner core. Of a union, `inner` counts
    with the part that is least deep, and `outer` with the part in which it lies deepest.
    """
    if inner == outer:
        return 0.0
    if isinstance(inner, Union):
        return min(inset(part, outer) for part in inner.parts)
    if isinstance(outer, Union):
        return max(inset(inner, part) for part in outer.parts)
    if isinstance(outer, Polygon):
        out = max(_between((corner,), outer.corners) for corner in _corners(inner))
    else:
        edge = outer.core
        out = max(
            _part(max(edge.left - x, x - edge.right), max(edge.bottom - y, y - edge.top))
            for x, y in _corners(inner)
        )
    return outer.swell - out - inner.swell


def _part(across: float, up: float) -> float:
    """Distance of two upright boxes that are so far apart each way; negative where they overlap."""
    return hypot(max(across, 0.0), max(up, 0.0)) + min(max(across, up), 0.0)


def _corners(shape: Shape | Polygon) -> tuple[Point, ...]:
    """Corners of a core, anticlockwise, each once."""
    if isinstance(shape, Polygon):
        return shape.corners
    left, bottom, right, top = shape.core
    return tuple(dict.fromkeys([(left, bottom), (right, bottom), (right, top), (left, top)]))


def _between(one: Sequence[Point], other: Sequence[Point]) -> float:
    """Distance of two convex polygons; negative by the least push that would part them.

    It is that of the origin from the edge of all differences of their points: a convex polygon
    with the sides of the one and the turned sides of the other, by direction (Minkowski sum).
    """
    x, top = max(one, key=lambda point: (point[1], -point[0]))
    left, y = min(other, key=lambda point: (point[1], -point[0]))
    x, y = x - left, top - y
    apart, depth = hypot(x, y), inf
    sides = [(x1 - x0, y1 - y0) for (x0, y0), (x1, y1) in pairwise((*one, one[0]))]
    sides += [(x0 - x1, y0 - y1) for (x0, y0), (x1, y1) in pairwise((*other, other[0]))]
    for _, across, up in sorted((atan2(up + 0.0, across), across, up) for across, up in sides):
        length = hypot(across, up)
        if length > 0:
            inside = (x * up - y * across) / length
            depth = min(depth, inside)
            if inside <= 0:
                share = max(0.0, min(1.0, -(x * across + y * up) / (length * length)))
                apart = min(apart, hypot(x + share * across, y + share * up))
        x, y = x + across, y + up
    return -depth if 0 < depth < inf else apart
