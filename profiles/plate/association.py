"""Whose label is this: how much nearer a label is to its own control than to any other.

People take words for those of the nearest thing (rule of thumb). So the measure of a label is a
ratio of two distances, both edge to edge in mm:

- *own*: from the label's box, the rectangle around all its ink (every line, the rows of every
  application, an arrow beside the words), to the edge of its own front;
- *stranger*: from the same box to the edge of the nearest other front of the plate.

A label belongs to its control if `stranger >= 1.5 x own`; below 1 it is nearer to a stranger. A
label that touches or covers its own front, and one on a plate without other fronts, belongs to it
beyond doubt: its ratio is infinite.
"""

from collections.abc import Iterable
from math import inf

from profiles.plate.shapes import Rectangle, Shape, gap

BELONGS = 1.5
"""How many times nearer its own front must be to a label than any other; rule of thumb."""


def association(label: Rectangle, own: Shape, strangers: Iterable[Shape]) -> float:
    """How many times farther the nearest other front is from a label than its own front."""
    apart = max(0.0, min((gap(label, other) for other in strangers), default=inf))
    away = gap(label, own)
    return apart / away if away > 0 else inf
