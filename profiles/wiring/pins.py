"""How many crossings a number of pins serves, and how best to split them into rows and columns.

n lines split evenly make floor(n/2) * ceil(n/2) crossings (ordinary multiplexing: each pin is
either driven or sensed).
"""

from math import isqrt
from typing import NamedTuple

from profiles.wiring.matrix import Matrix


class Split(NamedTuple):
    """Rows and columns, and how many crossings they leave unused."""

    rows: int
    columns: int
    spare: int

    @property
    def lines(self) -> int:
        """Pins taken."""
        return self.rows + self.columns


def capacity(lines: int) -> int:
    """Return the most crossings that this many pins serve."""
    return (lines // 2) * (lines - lines // 2)


def best_split(lines: int, contacts: int = 0) -> Split:
    """Return the even split of this many pins; `spare` is negative when contacts do not fit."""
    rows = lines // 2
    return Split(rows, lines - rows, capacity(lines) - contacts)


def split_for(contacts: int) -> Split:
    """Return the even split of the fewest pins that serve this many contacts."""
    return best_split(fewest_lines(contacts), contacts)


def fewest_lines(contacts: int) -> int:
    """Return the fewest pins whose capacity reaches this many contacts."""
    if contacts <= 0:
        return 0
    root = isqrt(contacts - 1) + 1
    return 2 * root - 1 if root * (root - 1) >= contacts else 2 * root


def spare_crossings(matrix: Matrix) -> int:
    """Return how many crossings of a matrix hold no contact."""
    return matrix.rows * matrix.columns - len(matrix.crossings)
