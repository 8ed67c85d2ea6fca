"""Curves of letters as straight pieces."""

from collections.abc import Iterator
from math import ceil, hypot, sqrt

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


def count_pieces(start: Point, steering: Point, end: Point, within: float) -> int:
    """How many even pieces of a quadratic Bezier curve stay so close to it.

    A chord over a step h of t leaves a curve f by at most h^2 / 8 times the most of its second
    derivative (the error of linear interpolation), which here is twice the second difference.
    """
    across = start[0] - 2 * steering[0] + end[0]
    up = start[1] - 2 * steering[1] + end[1]
    return max(1, ceil(sqrt(hypot(across, up) / 4 / within)))
