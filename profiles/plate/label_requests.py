"""What the label layout is asked for and what it answers. Lengths in millimetres.

- `LabelRequest`: one label and where it may go; `Clearances`: distances kept around labels.
- `Placed`, `Unplaced`, `Placement`: the answer.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

from profiles.plate.fit import MARK_ROOM, Fit
from profiles.plate.shapes import Rectangle, Shape

Place = Literal[
    "above",
    "below",
    "right",
    "left",
    "inside",
    "above-left",
    "above-right",
    "below-left",
    "below-right",
    "around",
    "by-hand",
]
"""Where a label is, seen from the front of its control."""

Align = Literal["left", "centre", "right"]

Means = Literal["words", "short", "alone", "divided", "leader", "number"]
"""What shows whose a label is, dearest last: its words, shorter words given by hand, words without
rows that give way first, words broken between syllables, a line from the words to the front, a
number that a key explains."""

SIDES: tuple[Place, ...] = ("above", "below", "right", "left")
"""The plain sides, best first: a hand on the control hides a label above it least (rule of
thumb)."""


class LabelRequest(NamedTuple):
    """A label to place."""

    id: str
    text: str
    front: Shape
    """The front it belongs to, which is among the plate's fronts as well."""
    wanted: float
    """Capital height wanted, mm."""
    least: float
    """Least readable capital height, mm."""
    short: str = ""
    """Shorter words given by hand, for where the text finds no place; empty for none."""
    alone: str = ""
    """The words without rows that give way first; empty for the same."""
    places: tuple[Place, ...] = SIDES
    """Places allowed, best first."""
    priority: int = 0
    """Of two labels that exclude each other the one of higher priority stays."""
    series: str = ""
    """Labels of the same series in the same row keep to one side; empty: on its own."""
    partner: str = ""
    """Id of a label placed with this one: n-th place with n-th place, at one height."""
    angle: float = 0.0
    """Direction for the place `around`, degrees clockwise from straight up."""
    at: tuple[float, float] | None = None
    """Centre for the place `by-hand`, mm."""
    mark: bool = False
    """Whether room for a square mark, such as an arrow, is kept beside the words."""


class Clearances(NamedTuple):
    """Distances kept on the plate, mm."""

    gaps: tuple[float, ...] = (1.5, 1.0, 0.5)
    """From a front to its own label, best first; rule of thumb."""
    clear: float = 1.0
    """From a label to any other front, hole or screw head; rule of thumb."""
    edge: float = 3.0
    """From a label to the plate's edge; rule of thumb."""


class Placed(NamedTuple):
    """A label that has its place."""

    id: str
    text: str
    place: Place
    box: Rectangle
    """The ink's place, and the mark's where there is one."""
    fit: Fit
    align: Align
    mark: Rectangle | None = None
    """The square for the mark, one capital height wide."""
    means: Means = "words"
    number: int = 0
    """Counts the labels that a key explains in reading order, from 1; 0 for words."""
    leader: tuple[tuple[float, float], tuple[float, float]] | None = None
    """The line from the front to the words, where there is one."""
    cause: str = ""
    """Why the words as wanted have no place, in a few words; empty where they have."""

    @property
    def baselines(self) -> tuple[float, ...]:
        """y of each line's baseline, first line first, mm."""
        first = self.box.top - self.fit.rise - self.fit.height
        return tuple(first - line * self.fit.pitch for line in range(len(self.fit.lines)))

    @property
    def words(self) -> Rectangle:
        """The box without the part kept for the mark."""
        if self.mark is None:
            return self.box
        width = self.box.width - MARK_ROOM * self.fit.height * self.fit.condense
        if self.mark.left > self.box.left:
            return self.box._replace(right=self.box.left + width)
        return self.box._replace(left=self.box.right - width)


class Unplaced(NamedTuple):
    """A label for which not even a number has a place, and why."""

    id: str
    text: str
    needed: float
    """Least readable capital height, mm."""
    cause: str


class Placement(NamedTuple):
    """All labels of a plate, in the order of their ids."""

    placed: tuple[Placed, ...]
    unplaced: tuple[Unplaced, ...]
    proven: bool
    """Whether no better choice among the places tried exists."""

    @property
    def keyed(self) -> tuple[Placed, ...]:
        """The labels that a key explains, by number."""
        numbered = (label for label in self.placed if label.number)
        return tuple(sorted(numbered, key=lambda label: label.number))
