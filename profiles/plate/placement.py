"""Place all labels of a plate together, so that none meets a front, hole, edge or other label.

`place_labels` works in three steps.

1. Each row of a series chooses the side that suits its labels best, the same side as the rest of
   the plate where it can.
2. Each label takes its cheapest way. Only labels that then meet others are looked at again, with
   every way they have: what they choose together is the least total cost that the rest allows,
   and labels drawn in by it join them, until none meet. Labels that never met anything hold their
   cheapest way, so the whole is as good as if all had been searched.
3. What finds no place is reported with what it lacks or what stands there.

The result depends on the labels, not on the order they come in. Lengths in millimetres.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from profiles.plate.candidates import (
    AWAY,
    NEXT_PLACE,
    UNPLACED,
    LabelOption,
    Subject,
    padded,
    placed,
    shortfall,
    shrink_cost,
    trial_heights,
    ways,
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

__all__ = ["measure_labels", "place_labels"]

_LEVEL = 4.0
"""Bodies of a row that end within so many mm of each other share the line of their labels."""

_LONE_SHARE = 40.0
"""Half the width that is a label's own where its row has no neighbour, mm."""


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
    manner: Clearances | None = None,
) -> Placement:
    """Place the labels on a plate of this outline with these obstacles, fronts included.

    Raises ValueError where two labels have one id, or a partner is missing or not mutual.
    """
    manner = manner or Clearances()
    wanted = sorted(labels, key=lambda label: label.id)
    _refuse_confusion(wanted)
    ground = FreeSpace(outline, obstacles, clear=manner.clear, edge=manner.edge)
    measured = measure_labels(wanted, lettering)
    things = _Layout(ground, manner).things(wanted, measured)
    picks, proven = _settle(things)
    return _answer(things, picks, proven, ground, manner)


def _refuse_confusion(wanted: Sequence[LabelRequest]) -> None:
    by_id = {label.id: label for label in wanted}
    if len(by_id) < len(wanted):
        twice = next(a.id for a, b in pairwise(wanted) if a.id == b.id)
        raise ValueError(f"two labels have the id {twice!r}")
    for label in wanted:
        if label.partner and by_id.get(label.partner, label).partner != label.id:
            raise ValueError(f"label {label.id!r}: its partner {label.partner!r} is not mutual")


@dataclass(slots=True)
class _Option:
    """Ways of one or two labels set together."""

    cost: float
    ways: tuple[LabelOption, ...]
    boxes: tuple[Box, ...]


_Subjects = tuple[Subject, ...]


@dataclass(slots=True)
class _Thing:
    """One label, or two partners, with its cheapest option and, when needed, all of them."""

    layout: _Layout
    subjects: _Subjects
    side: Place | None
    best: _Option
    _every: list[_Option] = field(default_factory=list)

    @property
    def every(self) -> list[_Option]:
        """All options worth having, cheapest first, having no place last."""
        if not self._every:
            found = self.layout.options(self.subjects, self.side, every=True)
            self._every = [*_undominated(found), self.layout.nowhere(self.subjects)]
        return self._every


@dataclass(slots=True)
class _Layout:
    """Makes the options of things on one ground."""

    ground: FreeSpace
    manner: Clearances

    def things(self, wanted: Sequence[LabelRequest], measured: dict[str, Measured]) -> list[_Thing]:
        """All things to place, in the order of their labels' ids."""
        rows = [_see_row(row, measured) for row in _rows(wanted)]
        subjects = {subject.label.id: subject for row in rows for subject in row}
        sided = {key: value for row in rows for key, value in self._choose_side(row).items()}
        things = []
        for label in wanted:
            if label.partner and label.partner < label.id:
                continue
            ids = (label.id, label.partner) if label.partner else (label.id,)
            members = tuple(subjects[one] for one in ids)
            side, first = sided.get(label.id, (None, None))
            best = self._best(members, side, first) or self.nowhere(members)
            things.append(_Thing(self, members, side, best))
        return things

    def _choose_side(self, row: Sequence[Subject]) -> dict[str, tuple[Place, _Option | None]]:
        """The side on which a row's labels cost least together, and each one's option there."""
        free = [s for s in row if s.label.series and set(SIDES) <= set(s.label.places)]
        sides = [place for place in row[0].label.places if place in SIDES]
        chosen: dict[str, tuple[Place, _Option | None]] = {}
        least = float("inf")
        for rank, side in enumerate(sides if free else ()):
            found, cost = self._at_side(free, side, rank * NEXT_PLACE * len(free), least)
            if cost < least:
                least = cost
                chosen = {key: (side, option) for key, option in found.items()}
        return chosen

    def _at_side(
        self, row: Sequence[Subject], side: Place, cost: float, limit: float
    ) -> tuple[dict[str, _Option | None], float]:
        """Each label's option at this side, and what all cost; gives up at the limit."""
        found: dict[str, _Option | None] = {}
        for subject in row:
            if cost >= limit:
                break
            option = self.best_at((subject,), (side,), 0.0, UNPLACED)
            found[subject.label.id] = option
            cost += option.cost if option else UNPLACED
        return found, cost

    def _best(
        self, subjects: _Subjects, side: Place | None, found: _Option | None
    ) -> _Option | None:
        """The cheapest option of all places; `found` is the one at the row's side, if known."""
        for cost, places in _ranked(subjects, side):
            limit = found.cost if found else float("inf")
            if cost >= limit:
                break
            if found is None or places != (side,):
                found = self.best_at(subjects, places, cost, limit) or found
        return found

    def best_at(
        self, subjects: _Subjects, places: tuple[Place, ...], base: float, limit: float
    ) -> _Option | None:
        """The cheapest option at one place that costs less than `limit`."""
        found = None
        for height in trial_heights(subjects[0].label):
            if base + shrink_cost(subjects[0].label, height) * len(subjects) >= limit:
                break
            for option in self._at(subjects, places, height, base, every=False):
                if option.cost < limit:
                    found, limit = option, option.cost
        return found

    def options(self, subjects: _Subjects, side: Place | None, *, every: bool) -> list[_Option]:
        """All options of all places and heights."""
        return [
            option
            for base, places in _ranked(subjects, side)
            for height in trial_heights(subjects[0].label)
            for option in self._at(subjects, places, height, base, every=every)
        ]

    def _at(
        self,
        subjects: _Subjects,
        places: tuple[Place, ...],
        height: float,
        base: float,
        *,
        every: bool,
    ) -> list[_Option]:
        found = [
            ways(subject, place, height, self.ground, self.manner, every=every)
            for subject, place in zip(subjects, places, strict=True)
        ]
        if len(found) == 1:
            return [_option(base, (way,)) for way in found[0]]
        return [_option(base, (one, other)) for one in found[0] for other in found[1]]

    def nowhere(self, subjects: _Subjects) -> _Option:
        """The option of having no place."""
        return _Option(sum(UNPLACED * (1 + max(0, s.label.priority)) for s in subjects), (), ())


def _option(base: float, chosen: tuple[LabelOption, ...]) -> _Option:
    return _Option(base + sum(way.cost for way in chosen), chosen, tuple(map(padded, chosen)))


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


def _undominated(options: list[_Option]) -> list[_Option]:
    """Without those that take up all of a cheaper one's place and more; cheapest first."""
    kept: list[_Option] = []
    for option in sorted(options, key=lambda option: (option.cost, option.boxes)):
        if not any(_within(cheaper.boxes, option.boxes) for cheaper in kept):
            kept.append(option)
    return kept


def _within(inner: tuple[Box, ...], outer: tuple[Box, ...]) -> bool:
    return all(
        a.left >= b.left and a.right <= b.right and a.bottom >= b.bottom and a.top <= b.top
        for a, b in zip(inner, outer, strict=True)
    )


def _rows(wanted: Sequence[LabelRequest]) -> list[list[LabelRequest]]:
    """Labels by series and row of their fronts; a label without a series is alone."""
    series: dict[str, list[LabelRequest]] = {}
    rows: list[list[LabelRequest]] = []
    for label in wanted:
        if label.series:
            series.setdefault(label.series, []).append(label)
        else:
            rows.append([label])
    for name in sorted(series):
        members = {label.id: label for label in series[name]}
        points = {key: label.front.centre for key, label in members.items()}
        rows.extend([members[key] for key in line.members] for line in find_rows(points))
    return rows


def _see_row(row: Sequence[LabelRequest], measured: dict[str, Measured]) -> list[Subject]:
    """The labels of a row with what the row has in common."""
    bounds = [label.front.bounds for label in row]
    top = max(one.top for one in bounds)
    bottom = min(one.bottom for one in bounds)
    drop = max(measured[label.id].drop for label in row)
    rise = max(measured[label.id].rise for label in row)
    return [
        Subject(
            label=label,
            measured=measured[label.id],
            share=share,
            reach=max(share, 2 * share - own.width / 2),
            top=top if top - own.top <= _LEVEL else own.top,
            bottom=bottom if own.bottom - bottom <= _LEVEL else own.bottom,
            drop=drop,
            rise=rise,
        )
        for label, own, share in zip(row, bounds, _shares(row), strict=True)
    ]


def _shares(row: Sequence[LabelRequest]) -> list[float]:
    """Half the distance to the nearer neighbour in the row, for each label of it."""
    places = [label.front.centre[0] for label in row]
    steps = [b - a for a, b in pairwise(places) if b - a > TOLERANCE]
    if len(steps) + 1 < len(places):
        return [_share_among(place, places) for place in places]
    halves = [_LONE_SHARE, *(step / 2 for step in steps), _LONE_SHARE]
    return [min(left, right) for left, right in pairwise(halves)]


def _share_among(place: float, places: Sequence[float]) -> float:
    """As `_shares`, where several labels of the row stand at one place."""
    away = [abs(other - place) for other in places if abs(other - place) > TOLERANCE]
    return min(away, default=2 * _LONE_SHARE) / 2


def _settle(things: Sequence[_Thing]) -> tuple[list[_Option], bool]:
    """Choose among the options of the things that meet, drawing in those that they meet."""
    picks = [thing.best for thing in things]
    board, seats = Board(), dict[int, int]()
    proven = True
    while met := sorted(_meeting(picks) - seats.keys()):
        for n in met:
            seats[n] = board.add([Option(one.cost, one.boxes) for one in things[n].every])
        proven = board.settle()
        for n, seat in seats.items():
            picks[n] = things[n].every[board.pick(seat)]
    return picks, proven


def _meeting(picks: Sequence[_Option]) -> set[int]:
    """The things whose chosen boxes meet another thing's, found by sweeping along x."""
    spans = sorted(
        (box.left, box.right, box.bottom, box.top, thing)
        for thing, option in enumerate(picks)
        for box in option.boxes
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


def _answer(
    things: Sequence[_Thing],
    picks: Sequence[_Option],
    proven: bool,
    ground: FreeSpace,
    manner: Clearances,
) -> Placement:
    done: list[Placed] = []
    homeless: list[_Thing] = []
    for thing, option in zip(things, picks, strict=True):
        if not option.ways:
            homeless.append(thing)
        done.extend(placed(s, way) for s, way in zip(thing.subjects, option.ways, strict=False))
    taken = [
        (way_box, subject.label.id)
        for thing, option in zip(things, picks, strict=True)
        for way_box, subject in zip(option.boxes, thing.subjects, strict=False)
    ]
    unplaced = [
        _unplaced(subject, thing, taken, ground, manner)
        for thing in homeless
        for subject in thing.subjects
    ]
    return Placement(
        placed=tuple(sorted(done, key=lambda one: one.id)),
        unplaced=tuple(sorted(unplaced, key=lambda one: one.id)),
        proven=proven,
    )


def _unplaced(
    subject: Subject,
    thing: _Thing,
    taken: Sequence[tuple[Box, str]],
    ground: FreeSpace,
    manner: Clearances,
) -> Unplaced:
    """Why a label has no place: what it lacks, or the labels that stand in its cheapest one."""
    wanted = [box for option in thing.every[:1] for box in option.boxes]
    crowd = {name for box, name in taken for mine in wanted if overlap(box, mine)}
    return Unplaced(
        id=subject.label.id,
        text=subject.label.text,
        needed=subject.label.least,
        missing=0.0 if crowd else shortfall(subject, ground, manner),
        crowded_by=tuple(sorted(crowd)),
    )
