"""Where something on a plate may stand instead, so that it meets nothing there. Lengths in mm."""

from collections.abc import Iterator, Sequence
from math import atan2, ceil, cos, pi, sin
from typing import NamedTuple

from profiles.plate.shapes import Outline, Point, Rectangle, Rounded, gap, inset, moved

FARTHEST = 80.0
"""How far from where it should stand a place is looked for."""

STEPS = (1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 10.0, 13.0, 16.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0, 80.0)
WAYS = 16

SURE = 1e-9
"""By how much boxes must keep apart, beyond what is asked for, so that no rounding matters."""


class Body(NamedTuple):
    """A shape that moves: how far it keeps from the edge, and from each other shape; with the boxes
    around those."""

    shape: Outline
    edge: float
    others: Sequence[tuple[Outline, float]]
    boxes: Sequence[Rectangle] = ()


def find_place(
    bodies: Sequence[Body], plate: Rounded, at: Point, source: Point | None = None
) -> Point | None:
    """The nearest place found, in tenths, for what stands at a point; None where none was found.

    It is looked for from the nearest point on the plate on, in ever wider rings, at first away from
    a `source` and so far as what is centred there asks for.
    """
    start = _lead_inside(bodies, plate, at)
    near = [_near(body, start, at) for body in bodies]
    lacking = (
        least - gap(body.shape, other)
        for body in near
        for other, least in body.others
        if other.centre == source
    )
    needed = max(lacking, default=0.0)
    ahead = atan2(start[1] - source[1], start[0] - source[0]) if source else 0.0
    for place in _list_places(start, ahead, needed):
        right, up = place[0] - at[0], place[1] - at[1]
        if all(_is_free(body, plate, right, up) for body in near):
            return place
    return None


def find_strip(
    shapes: Sequence[Outline], plate: Rounded, edge: float, beyond: float, at: Point
) -> tuple[Point, Point]:
    """A place on the right of all that ends `beyond`, for shapes that stand at a point, and the
    width and height of plate that it takes."""
    boxes = [shape.bounds for shape in shapes]
    left, right = min(box.left for box in boxes), max(box.right for box in boxes)
    bottom, top = min(box.bottom for box in boxes), max(box.top for box in boxes)
    kept = edge + plate.radius
    height = max(plate.outer.top, ceil(top - bottom + 2 * kept))
    x = ceil(10 * (beyond + at[0] - left)) / 10 + 0.1
    y = round(at[1] + height / 2 - (bottom + top) / 2, 1)
    return (x, y), (float(ceil(x + right - at[0] + kept)), float(height))


def _lead_inside(bodies: Sequence[Body], plate: Rounded, at: Point) -> Point:
    """The point nearest to this at which the boxes around all bodies lie on the plate."""
    right = up = 0.0
    for body in bodies:
        box, room = body.shape.bounds, plate.outer.grown(-body.edge)
        right += max(room.left - box.left - right, 0.0) + min(room.right - box.right - right, 0.0)
        up += max(room.bottom - box.bottom - up, 0.0) + min(room.top - box.top - up, 0.0)
    return at[0] + right, at[1] + up


def _near(body: Body, start: Point, at: Point) -> Body:
    """The body with only what it can meet there."""
    box = moved(body.shape, start[0] - at[0], start[1] - at[1]).bounds
    met = [one for one in body.others if gap(box, one[0].bounds) < FARTHEST + one[1]]
    return body._replace(others=met, boxes=[other.bounds for other, _ in met])


def _list_places(start: Point, ahead: float, needed: float) -> Iterator[Point]:
    """Places in rings around a point, those ahead first."""
    turns = sorted(range(WAYS), key=lambda turn: min(turn, WAYS - turn))
    needed = max(0.0, ceil(10 * needed - 1e-6) / 10)
    for away in sorted({0.0, needed, needed + 0.1, *STEPS}):
        for turn in turns if away else [0]:
            angle = ahead + turn * 2 * pi / WAYS
            yield round(start[0] + away * cos(angle), 1), round(start[1] + away * sin(angle), 1)


def _is_free(body: Body, plate: Rounded, right: float, up: float) -> bool:
    """Whether the body may stand so far from where it does.

    The boxes around the shapes tell so of most; only what is near takes the shapes themselves.
    """
    shape = moved(body.shape, right, up)
    box = shape.bounds
    if inset(box, plate) < body.edge + SURE and inset(shape, plate) < body.edge:
        return False
    for (other, least), beside in zip(body.others, body.boxes, strict=True):
        across = max(box.left - beside.right, beside.left - box.right)
        above = max(box.bottom - beside.top, beside.bottom - box.top)
        if max(across, above) < least + SURE and gap(shape, other) < least:
            return False
    return True
