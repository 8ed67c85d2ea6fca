"""Curves of letters as straight pieces."""

from collections.abc import Iterator

Point = tuple[float, float]


def bend(start: Point, steering: Point, end: Point, pieces: int) -> Iterator[Point]:
    """Points along a quadratic Bezier curve after its start, its end the last."""
    for step in range(1, pieces + 1):
        t = step / pieces
        a, b, c = (1 - t) ** 2, 2 * t * (1 - t), t * t
        yield (
            a * start[0] + b * steering[0] + c * end[0],
            a * start[1] + b * steering[1] + c * end[1],
        )
