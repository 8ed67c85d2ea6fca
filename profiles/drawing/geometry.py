"""Points, boxes and transforms in millimetres: x to the right, y up.

Transforms are similarities only (move, turn, mirror, scale alike in x and y), so a circle stays a
circle, an arc an arc, and a text a text in every format.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from math import atan2, cos, degrees, hypot, radians, sin

Point = tuple[float, float]
"""x and y in mm."""


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle, in mm."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def width(self) -> float:
        """Extent in x."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Extent in y."""
        return self.top - self.bottom

    @property
    def centre(self) -> Point:
        """Middle of the box."""
        return ((self.left + self.right) / 2, (self.bottom + self.top) / 2)

    @property
    def corners(self) -> tuple[Point, Point, Point, Point]:
        """Corners, anticlockwise from the lower left."""
        return (
            (self.left, self.bottom),
            (self.right, self.bottom),
            (self.right, self.top),
            (self.left, self.top),
        )

    def grown(self, by: float) -> "Box":
        """Return the box with `by` added on every side (taken away where negative)."""
        return Box(self.left - by, self.bottom - by, self.right + by, self.top + by)

    def joined(self, other: "Box") -> "Box":
        """Return the smallest box around both."""
        return Box(
            min(self.left, other.left),
            min(self.bottom, other.bottom),
            max(self.right, other.right),
            max(self.top, other.top),
        )

    def meets(self, other: "Box") -> bool:
        """Tell whether the boxes share any point, edges included."""
        across = self.left <= other.right and other.left <= self.right
        return across and self.bottom <= other.top and other.bottom <= self.top

    def holds(self, other: "Box", slack: float = 1e-9) -> bool:
        """Tell whether `other` lies within the box, give or take `slack`."""
        across = self.left - slack <= other.left and other.right <= self.right + slack
        return across and self.bottom - slack <= other.bottom and other.top <= self.top + slack


def box_around(points: Iterable[Point]) -> Box:
    """Return the smallest box around at least one point."""
    xs, ys = zip(*points, strict=True)
    return Box(min(xs), min(ys), max(xs), max(ys))


def join_boxes(boxes: Iterable[Box]) -> Box | None:
    """Return the smallest box around all, None where there are none."""
    joined: Box | None = None
    for box in boxes:
        joined = box if joined is None else joined.joined(box)
    return joined


def point_at(centre: Point, radius: float, angle: float) -> Point:
    """Return the point at `angle` degrees (anticlockwise from x) on a circle."""
    turn = radians(angle)
    return (centre[0] + radius * cos(turn), centre[1] + radius * sin(turn))


@dataclass(frozen=True, slots=True)
class Transform:
    """A similarity: (x, y) goes to (a x + c y + dx, b x + d y + dy)."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    dx: float = 0.0
    dy: float = 0.0

    def apply(self, point: Point) -> Point:
        """Return where a point goes."""
        x, y = point
        return (self.a * x + self.c * y + self.dx, self.b * x + self.d * y + self.dy)

    def then(self, later: "Transform") -> "Transform":
        """Return the transform that does this one first and `later` after it."""
        a, b = later.a * self.a + later.c * self.b, later.b * self.a + later.d * self.b
        c, d = later.a * self.c + later.c * self.d, later.b * self.c + later.d * self.d
        dx, dy = later.apply((self.dx, self.dy))
        return Transform(a, b, c, d, dx, dy)

    @property
    def scale(self) -> float:
        """Factor by which lengths grow."""
        return hypot(self.a, self.b)

    @property
    def mirrors(self) -> bool:
        """Whether left and right change places."""
        return self.a * self.d - self.b * self.c < 0

    def turn(self, angle: float) -> float:
        """Return where a direction (degrees) points afterwards, in -180 to 180."""
        x, y = cos(radians(angle)), sin(radians(angle))
        return degrees(atan2(self.b * x + self.d * y, self.a * x + self.c * y))


def moved(dx: float, dy: float) -> Transform:
    """Return the transform that moves by (dx, dy) mm."""
    return Transform(dx=dx, dy=dy)


def turned(angle: float, about: Point = (0.0, 0.0)) -> Transform:
    """Return the transform that turns anticlockwise by `angle` degrees; quarter turns are exact."""
    quarters = {0.0: (1.0, 0.0), 90.0: (0.0, 1.0), 180.0: (-1.0, 0.0), 270.0: (0.0, -1.0)}
    turn = radians(angle)
    x, y = quarters.get(angle % 360.0) or (cos(turn), sin(turn))
    return _about(Transform(x, y, -y, x), about)


def mirrored(x: float = 0.0) -> Transform:
    """Return the transform that swaps left and right of the upright line at `x` mm."""
    return Transform(a=-1.0, dx=2 * x)


def scaled(factor: float, about: Point = (0.0, 0.0)) -> Transform:
    """Return the transform that grows lengths by a positive `factor`."""
    return _about(Transform(a=factor, d=factor), about)


def _about(linear: Transform, centre: Point) -> Transform:
    """Return a transform around the origin, carried to another centre."""
    return moved(-centre[0], -centre[1]).then(linear).then(moved(*centre))
