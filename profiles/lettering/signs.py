"""What signs look like: arrows and plain pictograms of our own, as lines and filled shapes.

- `outline_sign`: closed contours; `stroke_sign`: lines to follow with a tool

Figures are capital heights, the baseline at 0. The lamp, the pump and the valve are drawn as plant
diagrams have them (IEC 60617, ISO 14617; unverified), power as on switches (IEC 60417-5009;
unverified); the others are plain pictures.
"""

from functools import lru_cache
from math import cos, hypot, radians, sin
from typing import NamedTuple

from profiles.lettering.union import Contour, join_crossing
from profiles.text.sign_words import SIDE, SIGN_NAMES

Point = tuple[float, float]

PEN = 0.13
BOLD_PEN = 0.18
"""Width of lines, near the width of the strokes of letters."""
_PIECES = 40
"""Straight pieces of a whole circle."""


class Part(NamedTuple):
    """A line through points, or a shape that is filled."""

    points: tuple[Point, ...]
    is_closed: bool = False
    is_filled: bool = False


Sign = tuple[Part, ...]


def _line(*points: Point, closed: bool = False) -> Part:
    return Part(points, closed)


def _fill(*points: Point) -> Part:
    return Part(points, is_closed=True, is_filled=True)


def _arc(centre: Point, radius: float, start: float, sweep: float) -> tuple[Point, ...]:
    """Points along an arc, degrees anticlockwise from x."""
    count = max(2, round(_PIECES * abs(sweep) / 360))
    angles = [radians(start + sweep * n / count) for n in range(count + 1)]
    return tuple((centre[0] + radius * cos(a), centre[1] + radius * sin(a)) for a in angles)


def _ring(centre: Point, radius: float) -> Part:
    return Part(_arc(centre, radius, 0.0, 360.0)[:-1], is_closed=True)


def _disc(centre: Point, radius: float) -> Part:
    return _fill(*_arc(centre, radius, 0.0, 360.0)[:-1])


def _head(tip: Point, angle: float, size: float = 0.44) -> Part:
    """An arrow head that points to `angle`."""
    along, across = (cos(radians(angle)), sin(radians(angle))), 0.36 * size / 0.44
    foot = (tip[0] - size * along[0], tip[1] - size * along[1])
    left = (foot[0] - across * along[1], foot[1] + across * along[0])
    return _fill(tip, left, (2 * foot[0] - left[0], 2 * foot[1] - left[1]))


def _arrow(angle: float) -> Sign:
    """A straight arrow through the middle."""
    x, y = 0.5 * cos(radians(angle)), 0.5 * sin(radians(angle))
    return (
        _line((0.5 - x, 0.5 - y), (0.5 + 0.2 * x, 0.5 + 0.2 * y)),
        _head((0.5 + x, 0.5 + y), angle),
    )


def _double(angle: float) -> Sign:
    """A straight arrow with a head at each end."""
    x, y = 0.5 * cos(radians(angle)), 0.5 * sin(radians(angle))
    heads = (_head((0.5 + x, 0.5 + y), angle, 0.34), _head((0.5 - x, 0.5 - y), angle + 180.0, 0.34))
    shaft = _line((0.5 - 0.4 * x, 0.5 - 0.4 * y), (0.5 + 0.4 * x, 0.5 + 0.4 * y))
    return (shaft, *heads)


def _bow(
    centre: Point, radius: float, start: float, sweep: float, size: float
) -> tuple[Part, Part]:
    """A bent arrow; its head stands on the end of the arc."""
    end, way = start + sweep, 90.0 if sweep > 0 else -90.0
    at = _arc(centre, radius, end, 0.0)[-1]
    lean = radians(end + way * 0.84)
    tip = (at[0] + size * 0.6 * cos(lean), at[1] + size * 0.6 * sin(lean))
    return Part(_arc(centre, radius, start, sweep)), _head(tip, end + way * 0.84, size)


def _wave(x: float) -> Part:
    return Part(
        tuple((x + 0.08 * sin(radians(360.0 * n / 16)), 0.04 + 0.92 * n / 16) for n in range(17))
    )


def _blade(angle: float) -> Part:
    """A blade of a fan: a disc beside its hub."""
    return _disc((0.5 + 0.29 * cos(radians(angle)), 0.5 + 0.29 * sin(radians(angle))), 0.19)


_RAYS = tuple(
    _line(*(_arc((0.5, 0.5), radius, angle, 0.0)[0] for radius in (0.31, 0.5)))
    for angle in range(0, 360, 45)
)

SIGNS: dict[str, Sign] = {
    "up": _arrow(90.0),
    "down": _arrow(270.0),
    "left": _arrow(180.0),
    "right": _arrow(0.0),
    "up-down": _double(90.0),
    "left-right": _double(0.0),
    "turn": (
        *_bow((0.5, 0.5), 0.4, 25.0, 115.0, 0.3),
        *_bow((0.5, 0.5), 0.4, 205.0, 115.0, 0.3),
    ),
    "turn-left": _bow((0.5, 0.36), 0.4, -25.0, 185.0, 0.36),
    "turn-right": _bow((0.5, 0.36), 0.4, 205.0, -185.0, 0.36),
    "push": (
        _line((0.08, 0.065), (0.92, 0.065)),
        _line((0.5, 1.0), (0.5, 0.55)),
        _head((0.5, 0.17), 270.0),
    ),
    "pull": (
        _line((0.08, 0.065), (0.92, 0.065)),
        _line((0.5, 0.2), (0.5, 0.62)),
        _head((0.5, 1.0), 90.0),
    ),
    "start": (_fill((0.1, 0.0), (0.9, 0.5), (0.1, 1.0)),),
    "stop": (_fill((0.0, 0.06), (0.88, 0.06), (0.88, 0.94), (0.0, 0.94)),),
    "pause": (
        _fill((0.0, 0.06), (0.26, 0.06), (0.26, 0.94), (0.0, 0.94)),
        _fill((0.5, 0.06), (0.76, 0.06), (0.76, 0.94), (0.5, 0.94)),
    ),
    "power": (Part(_arc((0.5, 0.45), 0.385, 125.0, 290.0)), _line((0.5, 0.45), (0.5, 1.0))),
    "lamp": (
        _ring((0.5, 0.5), 0.435),
        *(
            _line(*(_arc((0.5, 0.5), 0.435, a + way, 0.0)[0] for way in (0.0, 180.0)))
            for a in (45.0, 135.0)
        ),
    ),
    "light": (_disc((0.5, 0.5), 0.2), *_RAYS),
    "horn": (
        _fill((0.0, 0.36), (0.2, 0.36), (0.54, 0.06), (0.54, 0.94), (0.2, 0.64), (0.0, 0.64)),
        Part(_arc((0.42, 0.5), 0.32, -38.0, 76.0)),
        Part(_arc((0.42, 0.5), 0.57, -38.0, 76.0)),
    ),
    "bell": (
        _fill(
            *_arc((0.5, 0.64), 0.29, 0.0, 180.0),
            *((0.18, 0.36), (0.04, 0.2), (0.96, 0.2), (0.82, 0.36)),
        ),
        _disc((0.5, 0.09), 0.09),
        _line((0.5, 0.9), (0.5, 1.0)),
    ),
    "talk": (
        _fill(*_arc((0.4, 0.8), 0.2, 0.0, 180.0), *_arc((0.4, 0.56), 0.2, 180.0, 180.0)),
        Part(_arc((0.4, 0.55), 0.335, 180.0, 180.0)),
        _line((0.4, 0.22), (0.4, 0.0)),
        _line((0.14, 0.065), (0.66, 0.065)),
    ),
    "warning": (
        _line((0.5, 0.86), (0.08, 0.065), (0.92, 0.065), closed=True),
        _line((0.5, 0.64), (0.5, 0.34)),
        _disc((0.5, 0.22), 0.07),
    ),
    "lock": (
        _fill((0.0, 0.0), (0.76, 0.0), (0.76, 0.54), (0.0, 0.54)),
        _line((0.14, 0.5), *_arc((0.38, 0.69), 0.24, 180.0, -180.0), (0.62, 0.5)),
    ),
    "unlock": (
        _fill((0.0, 0.0), (0.76, 0.0), (0.76, 0.54), (0.0, 0.54)),
        _line((0.62, 0.5), *_arc((0.86, 0.69), 0.24, 180.0, -180.0), (1.1, 0.56)),
    ),
    "heat": tuple(_wave(x) for x in (0.16, 0.46, 0.76)),
    "fan": (_ring((0.5, 0.5), 0.08), *map(_blade, (90.0, 210.0, 330.0))),
    "pump": (_ring((0.5, 0.5), 0.435), _fill((0.87, 0.5), (0.315, 0.82), (0.315, 0.18))),
    "valve": (
        _fill((0.0, 0.1), (0.62, 0.5), (0.0, 0.9)),
        _fill((1.2, 0.1), (1.2, 0.9), (0.58, 0.5)),
    ),
    "anchor": (
        _ring((0.5, 0.87), 0.09),
        _line((0.5, 0.8), (0.5, 0.05)),
        _line((0.25, 0.64), (0.75, 0.64)),
        Part(_arc((0.5, 0.45), 0.39, 200.0, 140.0)),
        _head((0.08, 0.5), 105.0, 0.24),
        _head((0.92, 0.5), 75.0, 0.24),
    ),
}
"""Every sign by its name."""


@lru_cache(maxsize=128)
def outline_sign(letter: str, *, bold: bool = False) -> tuple[Contour, ...]:
    """Closed contours of a sign, `SIDE` from its left; none crosses another."""
    sign = SIGNS[SIGN_NAMES[letter]]
    found = list[Contour]()
    for part in sign:
        points = tuple((x + SIDE, y) for x, y in part.points)
        if part.is_filled:
            found.append(_anticlockwise(points))
        else:
            found += _widen(points, (BOLD_PEN if bold else PEN) / 2, closed=part.is_closed)
    return join_crossing(tuple(found))


def stroke_sign(letter: str) -> tuple[tuple[Point, ...], ...]:
    """Lines of a sign to follow with a tool, `SIDE` from its left; what is filled has its edge."""
    return tuple(
        tuple((x + SIDE, y) for x, y in (*part.points, *part.points[: int(part.is_closed)]))
        for part in SIGNS[SIGN_NAMES[letter]]
    )


def _widen(points: tuple[Point, ...], half: float, *, closed: bool) -> list[Contour]:
    """Contours around a line: one, or for a closed line its outer and its inner edge."""
    count = len(points)
    sides: list[list[Point]] = [[], []]
    for n, (x, y) in enumerate(points):
        before = points[n - 1] if closed or n else points[n]
        after = points[(n + 1) % count] if closed or n + 1 < count else points[n]
        normals = []
        for (ax, ay), (bx, by) in ((before, (x, y)), ((x, y), after)):
            length = hypot(bx - ax, by - ay)
            if length:
                normals.append(((by - ay) / length, (ax - bx) / length))
        nx, ny = (sum(normal[axis] for normal in normals) / len(normals) for axis in (0, 1))
        reach = half / (nx * nx + ny * ny)
        sides[0].append((x + nx * reach, y + ny * reach))
        sides[1].append((x - nx * reach, y - ny * reach))
    right, left = sides
    if not closed:
        return [_anticlockwise((*right, *left[::-1]))]
    outer, inner = (_anticlockwise(tuple(side)) for side in (right, left))
    if _area(outer) < _area(inner):
        outer, inner = inner, outer
    return [outer, inner[::-1]]


def _anticlockwise(points: tuple[Point, ...]) -> Contour:
    return points if _area(points) > 0 else points[::-1]


def _area(points: tuple[Point, ...]) -> float:
    """Area of a contour, negative if it runs clockwise."""
    turned = zip(points, (*points[1:], points[0]), strict=True)
    return sum(ax * by - bx * ay for (ax, ay), (bx, by) in turned) / 2
