"""Arrow heads, crosses and signs, all drawn as paths: fonts hardly have them."""

from math import hypot

from profiles.drawing import weights
from profiles.drawing.geometry import Box, Point, moved, point_at, turned
from profiles.drawing.paths import Path, angle_of, arc, polyline, rectangle
from profiles.drawing.recorder import Recorder
from profiles.drawing.style import BLACK, Lettering, Style

ARROW_LENGTH = 2.5
"""Length of an arrow head in mm; its sides open 15 degrees (ISO 129-1 allows 15 to 90)."""
_ARROW_HALF_WIDTH = 0.33


def arrow_head(board: Recorder, tip: Point, angle: float, ink: str = BLACK) -> None:
    """Draw a filled arrow head at `tip`, pointing to `angle` degrees."""
    back = ((0.0, 0.0), (-ARROW_LENGTH, _ARROW_HALF_WIDTH), (-ARROW_LENGTH, -_ARROW_HALF_WIDTH))
    place = turned(angle).then(moved(*tip))
    board.path(polyline(back, closed=True).transformed(place), weights.fill(ink))


def arrow(board: Recorder, start: Point, tip: Point, style: Style = weights.DIMENSION) -> None:
    """Draw a line that ends in an arrow head at `tip`."""
    board.line(start, tip, style)
    arrow_head(board, tip, angle_of(start, tip), style.ink)


def turn_arrow(
    board: Recorder,
    centre: Point,
    radius: float,
    *,
    clockwise: bool,
    style: Style = weights.DIMENSION,
) -> None:
    """Draw an arc over the top of `centre` with an arrow head: which way to turn."""
    start, sweep = (150.0, -120.0) if clockwise else (30.0, 120.0)
    board.arc(centre, radius, start, sweep, style)
    lead = -ARROW_LENGTH / radius * 28.6 if clockwise else ARROW_LENGTH / radius * 28.6
    side = -90.0 if clockwise else 90.0
    arrow_head(
        board, point_at(centre, radius, start + sweep), start + sweep + side - lead, style.ink
    )


def cross(board: Recorder, at: Point, size: float, style: Style = weights.GUIDE) -> None:
    """Draw an upright cross `size` mm across."""
    x, y = at
    board.line((x - size / 2, y), (x + size / 2, y), style)
    board.line((x, y - size / 2), (x, y + size / 2), style)


def centre_mark(board: Recorder, at: Point, diameter: float) -> None:
    """Draw the mark of a hole to drill: a small cross, and axes just past the edge.

    The cross is where a punch goes; the axes run 2 mm beyond the circle.
    """
    x, y = at
    cross(board, at, min(3.0, diameter * 0.6), weights.DIMENSION)
    inner, outer = diameter / 2 - min(1.0, diameter / 8), diameter / 2 + 2.0
    for dx, dy in ((1, 0), (0, 1), (-1, 0), (0, -1)):
        start = (x + dx * inner, y + dy * inner)
        board.line(start, (x + dx * outer, y + dy * outer), weights.DIMENSION)


def registration_mark(board: Recorder, at: Point) -> None:
    """Draw a cross in a ring, 6 mm across, by which two sheets are laid over each other."""
    cross(board, at, 6.0, Style(weights.HAIR))
    board.circle(at, 3.0, Style(weights.HAIR))


def dimension(
    board: Recorder, start: Point, end: Point, words: str, style: Style = weights.DIMENSION
) -> None:
    """Draw a dimension line with heads at both ends and words above its middle.

    Short lines get their heads from outside. The words read from below or from the right.
    """
    length = hypot(end[0] - start[0], end[1] - start[1])
    angle = angle_of(start, end)
    board.line(start, end, style)
    inside = length > 3 * ARROW_LENGTH
    for tip, out in ((start, angle + 180), (end, angle)):
        arrow_head(board, tip, out if inside else out + 180, style.ink)
        if not inside:
            board.line(tip, point_at(tip, 2 * ARROW_LENGTH, out), style)
    if not -90 + 1e-6 < angle <= 90 + 1e-6:
        angle = turned(180.0).turn(angle)
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    above = point_at(middle, 0.9, angle + 90)
    board.text(above, words, Lettering(2.0, ink=style.ink), anchor="middle", angle=angle)


def ring_sign(board: Recorder, at: Point, size: float, style: Style = weights.HOLE) -> None:
    """Draw a ring: springs back."""
    board.circle(at, size, style)


def filled_sign(board: Recorder, at: Point, size: float, style: Style = weights.HOLE) -> None:
    """Draw a ring half filled: stays where it is put."""
    half = arc(at, size / 2, 90.0, 180.0)
    board.path(Path(half.start, half.pieces, closed=True), weights.fill(style.ink))
    board.circle(at, size, style)


def double_arrow_sign(board: Recorder, at: Point, size: float, style: Style = weights.HOLE) -> None:
    """Draw a ring with a gap and two heads: turns without end."""
    radius = size / 2
    for start in (20.0, 200.0):
        board.arc(at, radius, start, 140.0, style)
        tip = point_at(at, radius, start + 140.0)
        head = ((size * 0.18, 0.0), (-size * 0.14, size * 0.16), (-size * 0.14, -size * 0.16))
        place = turned(start + 140.0 + 90.0).then(moved(*tip))
        board.path(polyline(head, closed=True).transformed(place), weights.fill(style.ink))


def steps_sign(board: Recorder, at: Point, size: float, style: Style = weights.HOLE) -> None:
    """Draw a ring with a pointer and stops around it: has fixed positions."""
    board.circle(at, size * 0.5, style)
    board.line(at, point_at(at, size * 0.5, 90.0), style)
    for angle in (20.0, 55.0, 90.0, 125.0, 160.0):
        board.circle(point_at(at, size * 0.5, angle), size * 0.09, weights.fill(style.ink))


def cross_sign(board: Recorder, at: Point, size: float, style: Style = weights.HOLE) -> None:
    """Draw four heads around a point: tilts to its sides."""
    head = ((size * 0.5, 0.0), (size * 0.22, size * 0.16), (size * 0.22, -size * 0.16))
    for angle in (0.0, 90.0, 180.0, 270.0):
        place = turned(angle).then(moved(*at))
        board.path(polyline(head, closed=True).transformed(place), weights.fill(style.ink))


def slide_sign(board: Recorder, at: Point, size: float, style: Style = weights.HOLE) -> None:
    """Draw a line with a bar across: may stand anywhere between two ends."""
    x, y = at
    board.line((x, y - size / 2), (x, y + size / 2), style)
    bar = Box(x - size * 0.3, y + size * 0.05, x + size * 0.3, y + size * 0.25)
    board.path(rectangle(bar), weights.fill(style.ink))
