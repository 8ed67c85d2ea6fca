"""The shape of a hole on the plate, and what it takes away. Lengths in millimetres.

- `hole_shape`: what distances are measured to: with its countersink, at its true angle.
- `cut_shape`: what goes right through the plate; its `area` is exact.
- `sunk_volume`: what a countersink takes away besides.

A round hole with flats is convex; its arcs are followed within `ARC` mm. A keyway is a rectangle
that reaches from the middle of the hole beyond its edge.
"""

from math import acos, asin, ceil, cos, pi, radians, sin, sqrt
from typing import TYPE_CHECKING, TypeAlias

from profiles.plate.shapes import (
    Disc,
    Outline,
    Point,
    Polygon,
    Rounded,
    Shape,
    Union,
    box_around,
)

if TYPE_CHECKING:
    from profiles.model.hole import Hole

ARC = 0.002
"""How far the corners of a hole with flats may leave its arcs, mm."""

Size: TypeAlias = "float | tuple[float, float] | Hole"


def hole_shape(at: Point, size: Size, rotation: float = 0.0) -> Outline:
    """What a hole takes of the front of the plate, its countersink included."""
    if not isinstance(size, int | float | tuple) and size.countersink is not None:
        return Disc(*at, size.countersink.diameter / 2)
    return cut_shape(at, size, rotation)


def cut_shape(at: Point, size: Size, rotation: float = 0.0) -> Outline:
    """What a hole takes right through the plate; turned by `rotation` degrees anticlockwise."""
    if isinstance(size, int | float):
        return Disc(*at, size / 2)
    if isinstance(size, tuple):
        return turned_rectangle(at, size, 0.0, rotation)
    hole, angle = size, size.angle + rotation
    if hole.diameter is None:
        radius = hole.corner_radius if hole.length is None else hole.sides[1] / 2
        return turned_rectangle(at, hole.sides, radius, angle)
    radius = hole.diameter / 2
    if hole.across_flats is not None:
        return _flatted(at, radius, hole.across_flats, hole.flats, angle)
    if hole.keyway is None:
        return Disc(*at, radius)
    half, top = hole.keyway[0] / 2, radius + hole.keyway[1]
    corners = ((-half, 0.0), (half, 0.0), (half, top), (-half, top))
    under = half * sqrt(radius * radius - half * half) + radius * radius * asin(half / radius)
    notch = Polygon(turn_about(at, corners, angle))
    return Union((Disc(*at, radius), notch), pi * radius * radius + 2 * half * top - under)


def turned_rectangle(
    at: Point, sides: tuple[float, float], radius: float, angle: float
) -> Shape | Polygon:
    """A rectangle with rounded corners, upright where its angle is a multiple of 90."""
    width, height = sides if round(angle / 90) % 2 == 0 else sides[::-1]
    if abs(angle - 90 * round(angle / 90)) < 1e-9:
        box = box_around(*at, width, height)
        return Rounded(box, radius) if radius else box
    x, y = sides[0] / 2 - radius, sides[1] / 2 - radius
    corners = dict.fromkeys([(-x, -y), (x, -y), (x, y), (-x, y)])
    return Polygon(turn_about(at, tuple(corners), angle), radius)


def turn_about(at: Point, points: tuple[Point, ...], angle: float) -> tuple[Point, ...]:
    """Points given from the centre, turned by so many degrees anticlockwise and put there."""
    across, up = round(cos(radians(angle)), 12), round(sin(radians(angle)), 12)
    return tuple((at[0] + x * across - y * up, at[1] + x * up + y * across) for x, y in points)


def _flatted(at: Point, radius: float, across: float, flats: int, angle: float) -> Union:
    """A disc with one flat at the top, or one at the bottom too.

    Each flat takes off a segment: r² acos(h / r) - h sqrt(r² - h²) at the height h.
    """
    high = across / 2 if flats == 2 else across - radius
    corner = asin(high / radius)
    low = -corner if flats == 2 else -pi / 2
    steps = ceil((corner - low) / (2 * acos(1 - min(1.0, ARC / radius))))
    right = [
        (radius * cos(turn), radius * sin(turn))
        for turn in (low + (corner - low) * step / steps for step in range(steps + 1))
    ]
    left = [(-x, y) for x, y in reversed(right)]
    corners = tuple(dict.fromkeys([*right, *(left if flats == 2 else left[:-1])]))
    segment = radius * radius * acos(high / radius) - high * sqrt(radius * radius - high * high)
    area = pi * radius * radius - flats * segment
    return Union((Polygon(turn_about(at, corners, angle)),), area)


def sunk_volume(size: Size, thickness: float) -> float:
    """What the cone of a countersink takes away beside its hole, mm³ (frustum of a cone)."""
    if isinstance(size, int | float | tuple) or size.countersink is None or size.diameter is None:
        return 0.0
    wide, narrow = size.countersink.diameter / 2, size.diameter / 2
    depth = size.countersink.depth(size.diameter)
    share = min(1.0, thickness / depth)
    depth, end = depth * share, wide - (wide - narrow) * share
    cone = pi * depth / 3 * (wide * wide + wide * end + end * end)
    return cone - pi * narrow * narrow * depth
