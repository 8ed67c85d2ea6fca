"""Place all labels of a plate together, so that none meets a front, hole, edge or other label.

`place_labels` works in three steps.

1. Each row of a series chooses the side that suits its labels best, the same side as the rest of
   the plate where it can.
2. Each label takes its cheapest option. Only labels that then meet others are looked at again, with
   every option they have: what they choose together is the least total cost that the rest allows,
   and labels drawn in by it join them, until none meet. Labels that never met anything keep their
   cheapest option, so the whole is as good as if all had been searched.
3. What finds no place is reported with what it lacks or what is in its way.

The result depends on the labels, not on the order they come in. Lengths in millimetres.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise, product

from profiles.plate.candidates import (
    AWAY,
    NEXT_PLACE,
    UNPLACED,
    LabelOption,
    Subject,
    label_options,
    padded,
    placed,
    shortfall,
    shrink_cost,
    trial_heights,
)
from profiles.plate.choose import Board, Option
from profiles.plate.fit import MARK_ROOM, Lettering, Measured, measure
from profiles.plate.free_space import FreeSpace
from profiles.plate.label_requests import (
    SIDES,
    Clearances,
    LabelRequest,
    Place,
    Placed,
    Placement,
    Unplaced,
)
from profiles.plate.rows import TOLERANCE, find_rows
from profiles.plate.shapes import Box, Shape, overlap

_LEVEL = 4.0
"""Fronts of a row that end within so many mm of each other share the line of their labels."""

_MOST_SHARE = 40.0
"""Most of half the width that is a label's own in its row, mm."""


def measure_labels(labels: Iterable[LabelRequest], lettering: Lettering) -> dict[str, Measured]:
    """Every label's text measured, with its breaks, by label id."""
    return {
        label.id: measure(label.text, lettering, extra=MARK_ROOM if label.mark else 0.0)
        for label in labels
    }


def place_labels(
    labels: Iterable[LabelRequest],
    outline: Shape,
    obstacles: Iterable[Shape],
    lettering: Lettering,
    clearances: Clearances | None = None,
) -> Placement:
    """Place the labels on a plate of this outline with these obstacles, fronts included.

    Raises ValueError where two labels have one id, or a partner is missing or not mutual.
    """
    clearances = clearances or Clearances()
    requests = sorted(labels, key=lambda label: label.id)
    by_id = {label.id: label for label in requests}
    for label, following in pairwise(requests):
        if label.id == following.id:
            raise ValueError(f"two labels have the id {label.id!r}")
    for label in requests:
        if label.partner and by_id.get(label.partner, label).partner != label.id:
            raise ValueError(f"label {label.id!r}: its partner {label.partner!r} is not mutual")
    space = FreeSpace(outline, obstacles, clear=clearances.clear, edge=clearances.edge)
    layout = _Layout(space, clearances)
    things = layout.things(requests, measure_labels(requests, lettering))
    picks, proven = _settle(things)
    done: list[Placed] = []
    taken: list[tuple[Box, str]] = []
    for thing, pick in zip(things, picks, strict=True):
        for subject, option, box in zip(thing.subjects, pick.options, pick.boxes, strict=False):
            done.append(placed(subject, option))
            taken.append((box, subject.label.id))
    unplaced = [
        layout.explain(subject, thing, taken)
        for thing, pick in zip(things, picks, strict=True)
        for subject in (thing.subjects if not pick.options else ())
    ]
    return Placement(
        placed=tuple(sorted(done, key=lambda label: label.id)),
        unplaced=tuple(sorted(unplaced, key=lambda label: label.id)),
        proven=proven,
    )


@dataclass(slots=True)
class _Pick:
    """Options of one or two labels set together."""

    cost: float
    options: tuple[LabelOption, ...]
    boxes: tuple[Box, ...]

    def covers(self, other: _Pick) -> bool:
        """Whether it takes up all that the other takes up."""
        return all(
            a.left >= b.left and a.right <= b.right and a.bottom >= b.bottom and a.top <= b.top
            for a, b in zip(other.boxes, self.boxes, strict=True)
        )


_Subjects = tuple[Subject, ...]


@dataclass(slots=True)
class _Thing:
    """One label, or two partners, with its cheapest pick and, if needed, all of them."""

    layout: _Layout
    subjects: _Subjects
    side: Place | None
    best: _Pick
    _every: list[_Pick] = field(default_factory=list)

    @property
    def every(self) -> list[_Pick]:
        """All picks worth having, cheapest first, having no place last.

        Without those that take up all of a cheaper pick's place and more.
        """
        if not self._every:
            found = self.layout.picks(self.subjects, self.side)
            for pick in sorted(found, key=lambda pick: (pick.cost, pick.boxes)):
                if not any(map(pick.covers, self._every)):
                    self._every.append(pick)
            self._every.append(self.layout.nowhere(self.subjects))
        return self._every


@dataclass(slots=True)
class _Layout:
    """Makes the picks of things in the same free space."""

    space: FreeSpace
    clearances: Clearances

    def things(self, labels: Sequence[LabelRequest], measured: dict[str, Measured]) -> list[_Thing]:
        """All things to place, in the order of their labels' ids."""
        rows = _see_rows(labels, measured)
        subjects = {subject.label.id: subject for row in rows for subject in row}
        sided = {key: value for row in rows for key, value in self._choose_side(row).items()}
        things = []
        for label in labels:
            if label.partner and label.partner < label.id:
                continue
            ids = (label.id, label.partner) if label.partner else (label.id,)
            members = tuple(subjects[key] for key in ids)
            side, best = sided.get(label.id, (None, None))
            for cost, places in _ranked(members, side):
                limit = best.cost if best else float("inf")
                if cost >= limit:
                    break
                if best is None or places != (side,):
                    best = self._best_at(members, places, cost, limit) or best
            things.append(_Thing(self, members, side, best or self.nowhere(members)))
        return things

    def _choose_side(self, row: Sequence[Subject]) -> dict[str, tuple[Place, _Pick | None]]:
        """The side on which a row's labels cost least together, and each label's pick there."""
        free = [s for s in row if s.label.series and set(SIDES) <= set(s.label.places)]
        sides = [place for place in row[0].label.places if place in SIDES]
        chosen: dict[str, tuple[Place, _Pick | None]] = {}
        least = float("inf")
        for rank, side in enumerate(sides if free else ()):
            found: dict[str, tuple[Place, _Pick | None]] = {}
            cost = rank * NEXT_PLACE * len(free)
            for subject in free:
                if cost >= least:
                    break
                pick = self._best_at((subject,), (side,), 0.0, UNPLACED)
                found[subject.label.id] = (side, pick)
                cost += pick.cost if pick else UNPLACED
            if cost < least:
                least, chosen = cost, found
        return chosen

    def _best_at(
        self, subjects: _Subjects, places: tuple[Place, ...], base: float, limit: float
    ) -> _Pick | None:
        """The cheapest pick at one place that costs less than `limit`."""
        found = None
        for height in trial_heights(subjects[0].label):
            if base + shrink_cost(subjects[0].label, height) * len(subjects) >= limit:
                break
            for pick in self._picks_at(subjects, places, height, base, every=False):
                if pick.cost < limit:
                    found, limit = pick, pick.cost
        return found

    def picks(self, subjects: _Subjects, side: Place | None) -> list[_Pick]:
        """All picks of all places and heights."""
        return [
            pick
            for base, places in _ranked(subjects, side)
            for height in trial_heights(subjects[0].label)
            for pick in self._picks_at(subjects, places, height, base, every=True)
        ]

    def _picks_at(
        self,
        subjects: _Subjects,
        places: tuple[Place, ...],
        height: float,
        base: float,
        *,
        every: bool,
    ) -> list[_Pick]:
        found = [
            label_options(subject, place, height, self.space, self.clearances, every=every)
            for subject, place in zip(subjects, places, strict=True)
        ]
        return [
            _Pick(base + sum(option.cost for option in chosen), chosen, tuple(map(padded, chosen)))
            for chosen in product(*found)
        ]

    def nowhere(self, subjects: _Subjects) -> _Pick:
        """The pick of having no place."""
        return _Pick(sum(UNPLACED * (1 + max(0, s.label.priority)) for s in subjects), (), ())

    def explain(
        self, subject: Subject, thing: _Thing, taken: Sequence[tuple[Box, str]]
    ) -> Unplaced:
        """Why a label has no place: what it lacks, or the labels in its cheapest place."""
        boxes = thing.every[0].boxes
        crowd = {name for box, name in taken if any(overlap(box, mine) for mine in boxes)}
        return Unplaced(
            id=subject.label.id,
            text=subject.label.text,
            needed=subject.label.least,
            missing=0.0 if crowd else shortfall(subject, self.space, self.clearances),
            crowded_by=tuple(sorted(crowd)),
        )


def _ranked(subjects: _Subjects, side: Place | None) -> list[tuple[float, tuple[Place, ...]]]:
    """The places of a thing with the points each costs, cheapest first."""
    ranked = []
    for rank, places in enumerate(zip(*(s.label.places for s in subjects), strict=False)):
        if side is None or side not in subjects[0].label.places:
            cost = rank * NEXT_PLACE
        else:
            cost = 0.0 if places == (side,) else AWAY + rank * NEXT_PLACE
        ranked.append((cost, places))
    return sorted(ranked, key=lambda pair: pair[0])


def _see_rows(labels: Sequence[LabelRequest], measured: dict[str, Measured]) -> list[list[Subject]]:
    """Labels by series and row of their fronts, with what each row has in common.

    A label without a series is alone. A label's share of its row is half the distance to the
    nearer neighbour.
    """
    series: dict[str, dict[str, LabelRequest]] = {}
    rows: list[list[LabelRequest]] = []
    for label in labels:
        if label.series:
            series.setdefault(label.series, {})[label.id] = label
        else:
            rows.append([label])
    for _, members in sorted(series.items()):
        points = {key: label.front.centre for key, label in members.items()}
        rows.extend([members[key] for key in line.members] for line in find_rows(points))
    seen = []
    for row in rows:
        centres = [label.front.centre[0] for label in row]
        bounds = [label.front.bounds for label in row]
        top, bottom = max(box.top for box in bounds), min(box.bottom for box in bounds)
        drop = max(measured[label.id].drop for label in row)
        rise = max(measured[label.id].rise for label in row)
        subjects = []
        for label, own, x in zip(row, bounds, centres, strict=True):
            apart = [abs(other - x) for other in centres]
            share = min([2 * _MOST_SHARE, *(away for away in apart if away > TOLERANCE)]) / 2
            subject = Subject(
                label=label,
                measured=measured[label.id],
                share=share,
                reach=max(share, 2 * share - own.width / 2),
                top=top if top - own.top <= _LEVEL else own.top,
                bottom=bottom if own.bottom - bottom <= _LEVEL else own.bottom,
                drop=drop,
                rise=rise,
            )
            subjects.append(subject)
        seen.append(subjects)
    return seen


def _settle(things: Sequence[_Thing]) -> tuple[list[_Pick], bool]:
    """Choose among the picks of the things that meet, drawing in those that they meet."""
    picks = [thing.best for thing in things]
    board, numbers = Board(), dict[int, int]()
    proven = True
    while met := sorted(_meeting(picks) - numbers.keys()):
        for n in met:
            numbers[n] = board.add([Option(pick.cost, pick.boxes) for pick in things[n].every])
        proven = board.settle()
        for n, number in numbers.items():
            picks[n] = things[n].every[board.pick(number)]
    return picks, proven


def _meeting(picks: Sequence[_Pick]) -> set[int]:
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
