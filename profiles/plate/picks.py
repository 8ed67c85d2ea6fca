"""Choose together, for labels that meet, which of their options each takes.

A `Thing` is one label, or two partners that are placed together; a `Pick` is a way to place it.
`settle_things` chooses a pick for each. Lengths in millimetres.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from profiles.plate.candidates import MEANS, NOWHERE, LabelOption, Subject, padded
from profiles.plate.choose import Board, Option
from profiles.plate.shapes import Rectangle

_GAP = 50.0
"""Points between picks that are found together and dearer ones, which may never be asked for: more
than lies between any two places for words."""


Subjects = tuple[Subject, ...]


@dataclass(slots=True)
class Pick:
    """Options of one or two labels taken together."""

    cost: float
    options: tuple[LabelOption, ...]
    boxes: tuple[Rectangle, ...]

    @property
    def loss(self) -> float:
        """What of its cost is for showing less than the words, or not where they are looked for."""
        lost = sum(MEANS[option.means] + option.lost for option in self.options)
        return lost if self.options else self.cost

    def covers(self, other: Pick) -> bool:
        """Whether it takes up all that the other takes up."""
        return len(self.boxes) == len(other.boxes) and all(
            a.left >= b.left and a.right <= b.right and a.bottom >= b.bottom and a.top <= b.top
            for a, b in zip(other.boxes, self.boxes, strict=True)
        )


def pick_of(cost: float, *options: LabelOption) -> Pick:
    """The pick of these options at a place of this cost."""
    boxes = tuple(box for option in options for box in padded(option))
    return Pick(cost + sum(option.cost for option in options), options, boxes)


def nowhere(subjects: Subjects) -> Pick:
    """The pick of having no place."""
    return Pick(sum(NOWHERE * (1 + max(0, subject.label.priority)) for subject in subjects), (), ())


@dataclass(slots=True)
class Thing:
    """One label, or two partners, with its cheapest pick and, if needed, more of them."""

    subjects: Subjects
    best: Pick
    lots: Iterator[tuple[float, list[Pick]]]
    """All its picks, in lots, each with the least that any later pick costs."""
    picks: list[Pick] = field(default_factory=list)
    """Picks worth having, cheapest first. The last takes up no place: it is to have none, or stands
    for all that are still to be found, at the least that they cost."""
    is_whole: bool = False
    """Whether all picks are found."""

    def find_more(self) -> list[Pick]:
        """Find the picks that are next in cost, up to a gap in the costs; return what is new.

        Those that take up all of a cheaper pick's place and more are left out.
        """
        found, rest, self.is_whole = list[Pick](), nowhere(self.subjects), True
        for least, group in self.lots:
            found += group
            if found and least >= max(pick.cost for pick in found) + _GAP:
                rest, self.is_whole = Pick(least, (), ()), False
                break
        kept = self.picks[:-1]
        first = len(kept)
        for pick in sorted(found, key=lambda pick: (pick.cost, pick.boxes)):
            if not any(map(pick.covers, kept)):
                kept.append(pick)
        self.picks = [*kept, rest]
        return self.picks[first:]


def settle_things(things: Sequence[Thing], limit: float) -> tuple[list[Pick], bool] | None:
    """Choose among the picks of the things that meet, drawing in those that they meet.

    None where more than `limit` points are lost: what stands for picks still to be found costs no
    more than they do. Where nothing may be lost, that is asked until a round brings no fewer.
    """
    picks = [thing.best for thing in things]
    board, numbers = Board(), dict[int, int]()
    proven, before, is_patient = True, 0.0, limit == 0.0
    while (loss := sum(pick.loss for pick in picks)) <= limit or (
        is_patient and (loss < before or before <= limit)
    ):
        before = loss
        met = sorted(_meeting(picks) - numbers.keys())
        for n in met:
            numbers[n] = board.add(_as_options(things[n].find_more()))
        short = [n for n in numbers if picks[n] is things[n].picks[-1] and not things[n].is_whole]
        for n in short:
            board.extend(numbers[n], _as_options(things[n].find_more()))
        if not met and not short:
            return (picks, proven) if loss <= limit else None
        proven = board.settle()
        for n, number in numbers.items():
            picks[n] = things[n].picks[board.pick(number)]
    return None


def _as_options(picks: Iterable[Pick]) -> list[Option]:
    return [Option(pick.cost, pick.boxes) for pick in picks]


def _meeting(picks: Sequence[Pick]) -> set[int]:
    """The things whose chosen boxes meet another thing's, found by sweeping along x."""
    spans = sorted(
        (box.left, box.right, box.bottom, box.top, thing)
        for thing, pick in enumerate(picks)
        for box in pick.boxes
    )
    met: set[int] = set()
    active: list[tuple[float, float, float, float, int]] = []
    for span in spans:
        left, _, bottom, top, thing = span
        active = [other for other in active if other[1] > left]
        for other in active:
            if other[2] < top and bottom < other[3] and other[4] != thing:
                met.update((thing, other[4]))
        active.append(span)
    return met
