"""Plane shapes of a faceplate and the distances between them, in millimetres.

Every shape here is a rectangle *core* grown on all sides by a *swell*: a box has no swell, a
disc is a point that swells, a rounded box is a smaller box that swells. One formula therefore
gives the exact edge-to-edge distance of any two of them.

- `Box`, `Disc`, `Rounded`: the values; `Shape`: any of them.
- `gap`: edge-to-edge distance, negative when they overlap.
- `inset`: how deep one shape lies inside another, negative when it sticks out.

The origin is the plate's lower left seen from the front, x to the right and y up.
"""

from __future__ import annotations

from math import hypot, pi
from typing import NamedTuple


class Box(NamedTuple):
    """An upright rectangle by its edges, mm."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def core(self) -> Box:
        """The box itself."""
        return self

    @property
    def swell(self) -> float:
        """Nothing: a box has sharp corners."""
        return 0.0

    @property
    def bounds(self) -> Box:
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

    def grown(self, across: float, up: float | None = None) -> Box:
        """The box with each edge moved outwards by `across` (sideways) and `up` mm."""
        rise = across if up is None else up
        return Box(self.left - across, self.bottom - rise, self.right + across, self.top + rise)


class Disc(NamedTuple):
    """A disc by its centre and radius, mm."""

    x: float
    y: float
    radius: float

    @property
    def core(self) -> Box:
        """The centre as a box without extent."""
        return Box(self.x, self.y, self.x, self.y)

    @property
    def swell(self) -> float:
        """The radius."""
        return self.radius

    @property
    def bounds(self) -> Box:
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

    outer: Box
    radius: float

    @property
    def core(self) -> Box:
        """The outer box shrunk by the corner radius."""
        return self.outer.grown(-self.swell)

    @property
    def swell(self) -> float:
        """The corner radius that the box has room for."""
        return max(0.0, min(self.radius, self.outer.width / 2, self.outer.height / 2))

    @property
    def bounds(self) -> Box:
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


Shape = Box | Disc | Rounded
"""Any shape of this module."""


def box_around(x: float, y: float, width: float, height: float) -> Box:
    """The box of this width and height whose middle is at (x, y), mm."""
    return Box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)


def gap(shape: Shape, other: Shape) -> float:
    """Edge-to-edge distance in mm; negative by the least push that would part them."""
    a, b = shape.core, other.core
    across = max(a.left - b.right, b.left - a.right)
    up = max(a.bottom - b.top, b.bottom - a.top)
    between = hypot(max(across, 0.0), max(up, 0.0)) + min(max(across, up), 0.0)
    return between - shape.swell - other.swell


def touches(shape: Shape, other: Shape, clearance: float = 0.0) -> bool:
    """Whether they come closer than `clearance` mm; exactly the clearance is allowed."""
    return gap(shape, other) < clearance - 1e-9


def overlap(a: Box, b: Box) -> bool:
    """Whether two boxes share some area; a common edge is none."""
    return a.left < b.right and b.left < a.right and a.bottom < b.top and b.bottom < a.top


def inset(inner: Shape, outer: Shape) -> float:
    """Least distance from `inner` to the edge of `outer` in mm; negative when it sticks out.

    The depth below a convex edge is least at a corner of the inner core.
    """
    core, edge = inner.core, outer.core
    depths = []
    for x in (core.left, core.right):
        across = max(edge.left - x, x - edge.right)
        for y in (core.bottom, core.top):
            up = max(edge.bottom - y, y - edge.top)
            out = hypot(max(across, 0.0), max(up, 0.0)) + min(max(across, up), 0.0)
            depths.append(outer.swell - out)
    return min(depths) - inner.swell
