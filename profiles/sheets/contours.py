"""The contour of a hole as a drawing has it: a circle, or a closed path of lines and arcs."""

from math import asin, degrees, sqrt

from profiles.drawing.geometry import Box, Point, moved, turned
from profiles.drawing.paths import ArcTo, LineTo, Path, rectangle
from profiles.drawing.recorder import Recorder
from profiles.drawing.style import Style
from profiles.plate.holes import Size


def contour_of(at: Point, size: Size, rotation: float = 0.0) -> float | Path:
    """The diameter of a circle, or a closed path, anticlockwise, that cuts the hole out."""
    if isinstance(size, int | float):
        return float(size)
    if isinstance(size, tuple):
        return _rectangle(*size).transformed(turned(rotation).then(moved(*at)))
    hole = size
    if hole.diameter is not None and hole.is_plain_round:
        return hole.diameter
    width, height = hole.sides
    if hole.across_flats is not None:
        path = _flatted(width / 2, hole.across_flats, hole.flats)
    elif hole.keyway is not None:
        path = _keyed(width / 2, *hole.keyway)
    else:
        radius = height / 2 if hole.length is not None else hole.corner_radius
        path = _rectangle(width, height, radius)
    return path.transformed(turned(hole.angle + rotation).then(moved(*at)))


def _rectangle(width: float, height: float, radius: float = 0.0) -> Path:
    return rectangle(Box(-width / 2, -height / 2, width / 2, height / 2), radius)


def _flatted(radius: float, across: float, flats: int) -> Path:
    """A circle around the origin with a flat at the top, or one at the bottom too."""
    high = across / 2 if flats == 2 else across - radius
    half = sqrt(radius * radius - high * high)
    if flats == 2:
        sweep = 2 * degrees(asin(high / radius))
        over, back = (ArcTo((x, y), (0.0, 0.0), sweep) for x, y in ((-half, -high), (half, high)))
        return Path((-half, high), (over, LineTo((half, -high)), back), closed=True)
    sweep = 180.0 + 2 * degrees(asin(high / radius))
    return Path((-half, high), (ArcTo((half, high), (0.0, 0.0), sweep),), closed=True)


def _keyed(radius: float, width: float, depth: float) -> Path:
    """A circle around the origin with a notch at the top."""
    half, top = width / 2, radius + depth
    start = (half, sqrt(radius * radius - half * half))
    sides = [LineTo(point) for point in ((half, top), (-half, top), (-half, start[1]))]
    sweep = 360.0 - 2 * degrees(asin(half / radius))
    return Path(start, (*sides, ArcTo(start, (0.0, 0.0), sweep)), closed=True)


def draw_hole(board: Recorder, at: Point, size: Size, rotation: float, style: Style) -> None:
    """Draw what goes right through the plate."""
    contour = contour_of(at, size, rotation)
    if isinstance(contour, Path):
        board.path(contour, style)
    else:
        board.circle(at, contour, style)


def draw_countersink(board: Recorder, at: Point, size: Size, style: Style) -> None:
    """Draw the edge of a countersink, if the hole has one, on a layer of its own."""
    if not isinstance(size, int | float | tuple) and size.countersink is not None:
        with board.layer("countersinks"):
            board.circle(at, size.countersink.diameter, style)
