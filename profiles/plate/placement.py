"""Place all labels of a plate together, so that each belongs to its control and none meets another.

`place_labels` works in these steps.

1. All letters of a plate have one height and one width: the best `Setting` at which as much is
   shown by its own words as at the smallest.
2. Each row of a series chooses the side, and the distance from its fronts, that suit its labels
   best, the same as the rest of the plate where it can.
3. Each label takes its cheapest option: its words, then shorter words given by hand, words
   without rows that give way, words broken between syllables, words at the end of a line, a
   number. Only labels that then meet others are looked at again, with more of their options: what
   they choose together is the least total cost that the rest allows, and labels drawn in by it join
   them, until none meet. Dearer options are found only for labels that would take one at the least
   that it costs. Labels that never met anything keep their cheapest option, so the whole is as good
   as if all had been searched.
4. What is not shown by its words as wanted has a cause: what it lacks, or what is in its way.

The result depends on the labels, not on the order they come in. Lengths in millimetres.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cache, partial
from itertools import chain, count, pairwise, product
from math import inf
from typing import NamedTuple

from profiles.plate.candidates import (
    AWAY,
    CLOSER,
    MEANS,
    NEXT_PLACE,
    LabelOption,
    Setting,
    Subject,
    Text,
    leader_options,
    number_options,
    padded,
    placed,
    settings_of,
    word_options,
)
from profiles.plate.causes import find_cause
from profiles.plate.fit import MARK_ROOM, NARROWEST, Lettering, measure
from profiles.plate.free_space import FreeSpace
from profiles.plate.label_requests import (
    SIDES,
    Clearances,
    LabelRequest,
    Means,
    Place,
    Placed,
    Placement,
    Unplaced,
)
from profiles.plate.picks import Pick, Subjects, Thing, nowhere, pick_of, settle_things
from profiles.plate.rows import find_rows
from profiles.plate.shapes import Shape, overlap

_LEVEL = 4.0
"""Fronts of a row that end within so many mm of each other share the line of their labels."""

_MOST_PAIRED = 6
"""Options at one place, by the same means, of a label that is placed with a partner."""

_MOST_SETTLED = 2000
"""Labels that are settled in search of better letters where not all words find room, some 2 ms
each: of up to 400 labels all settings that halving asks for, of more so many as that allows."""

_MOST_CAUSES = 200
"""Labels of one plate of which it is told in mm what they lack, some 2 ms each."""


def measure_labels(
    labels: Sequence[LabelRequest], lettering: Lettering
) -> dict[str, dict[Means, Text]]:
    """Everything that may be set for every label, by label id."""
    number = "8" * len(str(len(labels)))
    found = {}
    for label in labels:
        ready = partial(measure, lettering=lettering, extra=MARK_ROOM if label.mark else 0.0)
        texts: dict[Means, Text] = {"words": cache(partial(ready, label.text))}
        given: tuple[tuple[Means, str], ...] = (("short", label.short), ("alone", label.alone))
        texts |= {means: cache(partial(ready, text)) for means, text in given if text}
        shortest = label.alone or label.short or label.text
        texts["divided"] = cache(partial(ready, shortest, divide=True))
        texts["number"] = cache(partial(ready, number, max_lines=1))
        found[label.id] = texts
    return found


def place_labels(
    labels: Iterable[LabelRequest],
    outline: Shape,
    fronts: Iterable[Shape],
    lettering: Lettering,
    clearances: Clearances | None = None,
    others: Iterable[Shape] = (),
) -> Placement:
    """Place the labels on a plate of this outline with these fronts and other obstacles.

    Raises ValueError where two labels have one id, or a partner is missing or not mutual.
    """
    clearances = clearances or Clearances()
    by_id = _by_id(labels)
    requests = list(by_id.values())
    if not requests:
        return Placement(placed=(), unplaced=(), proven=True)
    space = FreeSpace(outline, fronts, others, clear=clearances.clear, edge=clearances.edge)
    subjects = _see_rows(requests, measure_labels(requests, lettering))
    found = _choose_setting(requests, subjects, space, clearances)
    options = {
        subject.label.id: (subject, option)
        for thing, pick in zip(found.things, found.picks, strict=True)
        for subject, option in zip(thing.subjects, pick.options, strict=False)
    }
    done, lost, told = list[Placed](), list[Unplaced](), 0
    for subject in sorted(chain(*subjects), key=lambda subject: subject.label.id):
        label, cause = subject.label, ""
        option = options[label.id][1] if label.id in options else None
        if option is None or option.means != "words":
            told += 1
            if told > _MOST_CAUSES:
                cause = "no room on so crowded a plate"
            else:
                cause = find_cause(subject, space, clearances)
                cause = cause or _name_crowd(subject, found, options)
        if option is None:
            lost.append(Unplaced(id=label.id, text=label.text, needed=label.least, cause=cause))
        else:
            done.append(placed(subject, option)._replace(cause=cause))
    return Placement(placed=_number(done, by_id), unplaced=tuple(lost), proven=found.proven)


def labels_fit(
    labels: Iterable[LabelRequest],
    outline: Shape,
    fronts: Iterable[Shape],
    lettering: Lettering,
    clearances: Clearances | None = None,
    others: Iterable[Shape] = (),
) -> bool:
    """Whether `place_labels` shows all words as wanted, told without looking for the best setting.

    Raises as that does.
    """
    clearances = clearances or Clearances()
    requests = list(_by_id(labels).values())
    if not requests:
        return True
    space = FreeSpace(outline, fronts, others, clear=clearances.clear, edge=clearances.edge)
    smallest = _Layout(space, clearances, settings_of(requests)[-1])
    rows = _see_rows(requests, measure_labels(requests, lettering))
    return smallest.settle(requests, rows, 0.0) is not None


def _by_id(labels: Iterable[LabelRequest]) -> dict[str, LabelRequest]:
    requests = sorted(labels, key=lambda label: label.id)
    found = {label.id: label for label in requests}
    for label, following in pairwise(requests):
        if label.id == following.id:
            raise ValueError(f"two labels have the id {label.id!r}")
    for label in requests:
        if label.partner and found.get(label.partner, label).partner != label.id:
            raise ValueError(f"label {label.id!r}: its partner {label.partner!r} is not mutual")
    return found


def _name_crowd(
    subject: Subject, found: _Settled, options: dict[str, tuple[Subject, LabelOption]]
) -> str:
    """The labels in the place where the words would go in the smallest letters."""
    layout = replace(found.layout, setting=Setting(subject.label.least, NARROWEST), _found={})
    words = [
        option for place in subject.label.places for option in layout.words(subject, "words", place)
    ]
    mine = [box for option in words[:1] for box in padded(option)]
    crowd = [
        name
        for name, (_, option) in options.items()
        if name != subject.label.id
        and any(overlap(box, other) for box in mine for other in padded(option))
    ]
    return "no room beside " + ", ".join(crowd) if crowd else "no room among the other labels"


def _number(labels: Sequence[Placed], requests: dict[str, LabelRequest]) -> tuple[Placed, ...]:
    """The labels with numbers in reading order; a number that a label has as words is left out."""
    keyed = [label.id for label in labels if label.means == "number"]
    words = {line for label in labels if label.means != "number" for line in label.fit.lines}
    points = {key: requests[key].front.centre for key in keyed}
    order = [key for row in find_rows(points) for key in row.members]
    free = (number for number in count(1) if str(number) not in words)
    numbers = dict(zip(order, free, strict=False))
    return tuple(
        label._replace(
            number=numbers[label.id],
            fit=label.fit._replace(lines=(str(numbers[label.id]),)),
        )
        if label.id in numbers
        else label
        for label in labels
    )


_Home = tuple[Place, float] | None
"""The side and the distance from the fronts that a row keeps to."""


class _Settled(NamedTuple):
    """The things of a layout with their picks, and whether these are proven best."""

    layout: _Layout
    things: list[Thing]
    picks: list[Pick]
    proven: bool

    @property
    def loss(self) -> float:
        """Points lost by showing less than the words."""
        return sum(pick.loss for pick in self.picks)


def _choose_setting(
    labels: Sequence[LabelRequest],
    rows: Sequence[Sequence[Subject]],
    space: FreeSpace,
    clearances: Clearances,
) -> _Settled:
    """The best setting that loses no more than the smallest, found by halving; of very many labels
    that do not all fit a smaller one."""
    layouts = [_Layout(space, clearances, setting) for setting in settings_of(labels)]
    tries = _MOST_SETTLED // len(labels)
    best = layouts[0].settle(labels, rows, 0.0)
    if best is not None:
        return best
    tight = layouts[-1].settle(labels, rows, 0.0) if tries > 1 else None
    tight = tight or layouts[-1].settle(labels, rows)
    if tight is None:
        raise AssertionError("without a limit there is always a result")
    if tight.loss and tries > 1:
        best = layouts[0].settle(labels, rows, tight.loss)
        if best is not None:
            return best
    low, high = 0, len(layouts) - 1
    halvings = tries - 1 if tight.loss else high
    while high - low > 1 and halvings > 0:
        halvings -= 1
        middle = (low + high) // 2
        found = layouts[middle].settle(labels, rows, tight.loss)
        if found is None:
            low = middle
        else:
            tight, high = found, middle
    return tight


@dataclass(slots=True)
class _Layout:
    """Makes the picks of things in the same free space at one setting."""

    space: FreeSpace
    clearances: Clearances
    setting: Setting
    _found: dict[tuple[object, ...], list[LabelOption]] = field(default_factory=dict)

    def settle(
        self,
        labels: Sequence[LabelRequest],
        rows: Sequence[Sequence[Subject]],
        limit: float = inf,
    ) -> _Settled | None:
        """All things with their picks; None where more than `limit` points are lost."""
        things, least = [], 0.0
        for thing in self._things(labels, rows):
            things.append(thing)
            least += thing.best.loss
            if least > limit:
                return None
        found = settle_things(things, limit)
        return _Settled(self, things, *found) if found else None

    def _things(
        self, labels: Sequence[LabelRequest], rows: Sequence[Sequence[Subject]]
    ) -> Iterator[Thing]:
        """All things to place, in the order of their labels' ids."""
        subjects = {subject.label.id: subject for row in rows for subject in row}
        homes = {key: home for row in rows for key, home in self._choose_home(row).items()}
        for label in labels:
            if label.partner and label.partner < label.id:
                continue
            ids = (label.id, label.partner) if label.partner else (label.id,)
            members = tuple(subjects[key] for key in ids)
            home, best = homes.get(label.id), nowhere(members)
            for least, group in self.groups(members, home, first=True):
                best = min([best, *group], key=lambda pick: pick.cost)
                if best.cost <= least:
                    break
            yield Thing(members, best, self.groups(members, home))

    def _choose_home(self, row: Sequence[Subject]) -> dict[str, tuple[Place, float]]:
        """The side and the distance at which a row's labels cost least together."""
        free = [
            subject
            for subject in row
            if subject.label.series and set(SIDES) <= set(subject.label.places)
        ]
        sides = [place for place in row[0].label.places if place in SIDES]
        least, home = inf, None
        for closer, away in enumerate(self.clearances.gaps if free else ()):
            for rank, side in enumerate(sides):
                cost = len(free) * (rank * NEXT_PLACE + closer * CLOSER)
                for subject in free:
                    if cost >= least:
                        break
                    found = self.words(subject, "words", side, only=away, first=True)
                    cost += found[0].cost if found else MEANS["number"]
                if cost < least:
                    least, home = cost, (side, away)
        return {subject.label.id: home for subject in free} if home else {}

    def groups(
        self, subjects: Subjects, home: _Home, *, first: bool = False
    ) -> Iterator[tuple[float, list[Pick]]]:
        """All picks, place by place and means by means, each lot with the least that any later
        one costs; with `first` the cheapest of each place."""
        ranked = _ranked(subjects, home)
        if len(subjects) == 2:
            yield from self._paired(subjects, ranked)
            return
        (subject,) = subjects
        dear = 1 + subject.label.priority
        lots: list[tuple[Means, float, Place]] = [
            (means, cost, place)
            for means in ("words", "short", "alone", "divided")
            if means in subject.texts
            for cost, (place,) in ranked
        ]
        for number, (means, cost, place) in enumerate(lots):
            options = self.words(subject, means, place, home, first=first)
            after = lots[number + 1][:2] if number + 1 < len(lots) else ("leader", 0.0)
            least = MEANS[after[0]] * dear + after[1]
            yield least, [pick_of(cost, option) for option in options]
        leaders = leader_options(subject, self.setting, self.space)
        yield MEANS["number"] * dear, [pick_of(0.0, option) for option in leaders]
        numbers = number_options(subject, self.setting, self.space, self.clearances)
        yield inf, [pick_of(0.0, option) for option in numbers]

    def _paired(
        self, subjects: Subjects, ranked: Sequence[tuple[float, tuple[Place, ...]]]
    ) -> Iterator[tuple[float, list[Pick]]]:
        """Picks of two partners: n-th place with n-th place; first both by their words, then each
        by its own means."""
        less = MEANS["short"] * (1 + min(subject.label.priority for subject in subjects))
        lots = [(least, cost, places) for least in (0.0, less) for cost, places in ranked]
        for number, (least, cost, places) in enumerate(lots):
            found: list[list[LabelOption]] = []
            for subject, place in zip(subjects, places, strict=True):
                means = [one for one in MEANS if one in subject.texts and (least or one == "words")]
                options = [self.words(subject, mean, place)[:_MOST_PAIRED] for mean in means]
                found.append([option for lot in options for option in lot])
            picks = [
                pick_of(cost, *options)
                for options in product(*found)
                if not least or any(option.means != "words" for option in options)
            ]
            after = [least + cost for least, cost, _ in lots[number + 1 :]]
            yield min(after, default=MEANS["number"]), picks
        numbers = [
            number_options(one, self.setting, self.space, self.clearances)[:_MOST_PAIRED]
            for one in subjects
        ]
        yield inf, [pick_of(AWAY, *options) for options in product(*numbers)]

    def words(
        self,
        subject: Subject,
        means: Means,
        place: Place,
        home: _Home = None,
        *,
        only: float | None = None,
        first: bool = False,
    ) -> list[LabelOption]:
        """The options at a place; at the side of its row those at its distance come first."""
        key = (subject.label.id, means, place, only, first)
        if key not in self._found:
            self._found[key] = word_options(
                subject,
                means,
                place,
                self.setting,
                self.space,
                self.clearances,
                only=only,
                first=first,
            )
        found = self._found[key]
        if home is None or place != home[0] or home[1] == self.clearances.gaps[0]:
            return found
        return [
            *self.words(subject, means, place, only=home[1], first=first),
            *(option._replace(cost=option.cost + 2 * CLOSER) for option in found),
        ]


def _ranked(subjects: Subjects, home: _Home) -> list[tuple[float, tuple[Place, ...]]]:
    """The places of a thing with the points each costs, cheapest first."""
    ranked = []
    for rank, places in enumerate(
        zip(*(subject.label.places for subject in subjects), strict=False)
    ):
        if home is None or home[0] not in subjects[0].label.places:
            cost = rank * NEXT_PLACE
        else:
            cost = 0.0 if places == (home[0],) else AWAY + rank * NEXT_PLACE
        ranked.append((cost, places))
    return sorted(ranked, key=lambda pair: pair[0])


def _see_rows(
    labels: Sequence[LabelRequest], texts: dict[str, dict[Means, Text]]
) -> list[list[Subject]]:
    """Labels by series and row of their fronts, with what each row has in common.

    A label without a series is alone.
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
        bounds = [label.front.bounds for label in row]
        top, bottom = max(box.top for box in bounds), min(box.bottom for box in bounds)
        lines = [one for label in row for one in texts[label.id]["words"]().breaks]
        subjects = [
            Subject(
                label=label,
                texts=texts[label.id],
                top=top if top - own.top <= _LEVEL else own.top,
                bottom=bottom if own.bottom - bottom <= _LEVEL else own.bottom,
                drop=max(one.drop for one in lines),
                rise=max(one.rise for one in lines),
                core=label.front.core,
                swell=label.front.swell,
            )
            for label, own in zip(row, bounds, strict=True)
        ]
        seen.append(subjects)
    return seen
