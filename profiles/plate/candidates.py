"""Every way to put one label at one place, with what it costs. Lengths in millimetres.

A `Subject` is a label measured and seen in its row. All labels of a plate have one capital height
and one width of letters, a `Setting`; `settings_of` lists those tried, best first. At a setting
`word_options` gives the ways to place words, `leader_options` those to join words from farther
away to their front by a line, and `number_options` those to place a number instead. In all of them
the label belongs to its control (`profiles.plate.association`).

Costs are points: 0 is a label in one line on the first side, at the first distance.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import islice, pairwise
from math import comb, cos, floor, hypot, radians, sin, sqrt
from typing import NamedTuple

from profiles.plate.association import BELONGS
from profiles.plate.fit import (
    MARK_ROOM,
    NARROWEST,
    Break,
    Fit,
    Measured,
    Misfit,
    fit,
    fit_disc,
    set_text,
)
from profiles.plate.free_space import FreeSpace
from profiles.plate.label_requests import Align, Clearances, LabelRequest, Means, Place, Placed
from profiles.plate.shapes import Disc, Rectangle, box_around, inset

NEXT_LINE = 2.0
"""Points for the second line, twice as many for the third: two and two before one and three."""
FARTHER = 3.0
"""Points for each step away from a knob for legends around it."""
OUTWARD = 100.0
"""Points for words around a knob that are farther out than their front asks, to clear others:
letters are condensed or shrunk first, other words tried after."""
CLOSER = 4.0
"""Points for each step nearer to the front than wanted."""
ASIDE = 8.0
"""Points for words that are not in the middle of their side."""
NEXT_PLACE = 5.0
"""Points for each place further down the list of allowed places."""
AWAY = 30.0
"""Points for leaving the side that the row keeps to."""
MEANS: dict[Means, float] = {
    "words": 0.0,
    "short": 200.0,
    "alone": 250.0,
    "divided": 300.0,
    "leader": 400.0,
    "number": 1000.0,
}
"""Points for showing whose a label is by these means, times one more than the priority."""
ON_FRONT = 4000.0
"""Points for a number on the front itself."""
NOWHERE = 20_000.0
"""Points for having no place, times one more than the priority."""

CONDENSED = (1.0, 0.9, NARROWEST)
"""Horizontal scales tried."""
_HEIGHTS = 4
"""Capital heights tried, the wanted and the least among them."""
_STEPS_OUT = (0.0, 2.0, 4.0, 6.0, 8.0)
"""How much farther than its gap a legend around a knob may be, mm."""
_LEADERS = (4.0, 6.0, 9.0, 13.0)
"""How far from their front words at the end of a line are, mm."""
_LEADER_CLEAR = 0.3
"""Half the width that is kept free along a leader, mm."""
_SHORTEST: tuple[Means, ...] = ("alone", "short", "words")
"""The words at the end of a line."""
_MOST_LEADERS, _MOST_NUMBERS = 8, 12
"""Options of a label by these means, the best ones."""
_BEARING = 0.13
"""Most that the ink of a line begins within its box, in capital heights: `L` in the faces."""
_CORNERS: dict[Place, float] = {
    "above-right": 45.0,
    "below-right": 135.0,
    "below-left": 225.0,
    "above-left": 315.0,
}
"""Directions of the corners, degrees clockwise from straight up."""
_NUMBER_PLACES: tuple[Place, ...] = ("above", "below", "right", "left", *_CORNERS)


class Setting(NamedTuple):
    """Capital height in mm and horizontal scale of the letters of a plate."""

    height: float
    condense: float


Text = Callable[[], Measured]
"""Gives a text with its breaks; it is measured once it is asked for, as few are."""


@dataclass(frozen=True, slots=True)
class Subject:
    """A label ready to be set: measured, and with the lines that its row shares."""

    label: LabelRequest
    texts: dict[Means, Text]
    """What there is to set by these means."""
    top: float
    """Where labels above start: the fronts' top in its row, mm."""
    bottom: float
    """Where labels below start, mm."""
    drop: float
    """Deepest ink below the baseline among the labels of its row, capital heights."""
    rise: float
    """Highest ink above the capitals among the labels of its row, capital heights."""
    core: Rectangle
    swell: float
    """Of its front, kept since they are asked for often."""
    hopeless: set[tuple[Means, Place]] = field(default_factory=set)
    """Where not even the smallest letters have room, so that larger ones are not tried."""

    def away(self, box: Rectangle) -> float:
        """Distance of a box from the front, mm; negative where it is on it (`shapes.gap`)."""
        left, bottom, right, top = self.core
        across = left - box[2] if box[2] < left else box[0] - right
        up = bottom - box[3] if box[3] < bottom else box[1] - top
        if across > 0 and up > 0:
            return sqrt(across * across + up * up) - self.swell
        return (across if across > up else up) - self.swell


class LabelOption(NamedTuple):
    """One way to put a label at a place."""

    cost: float
    place: Place
    box: Rectangle
    fit: Fit
    means: Means = "words"
    leader: tuple[tuple[float, float], tuple[float, float]] | None = None
    align: Align = "centre"
    lost: float = 0.0
    """Points of its cost that are lost by where the words are."""


def _align(place: Place) -> Align:
    """How words at a place are held: by the edge that faces the front."""
    if place.endswith("left"):
        return "right"
    return "left" if place.endswith("right") else "centre"


def settings_of(labels: Sequence[LabelRequest]) -> list[Setting]:
    """The settings tried for all labels, best first: letters are condensed before they shrink."""
    least = max(label.least for label in labels)
    wanted = max(least, *(label.wanted for label in labels))
    steps = ((wanted - (wanted - least) * n / (_HEIGHTS - 1)) for n in range(1, _HEIGHTS - 1))
    inner = [floor(height * 10) / 10 for height in steps]
    heights = dict.fromkeys(
        (wanted, *(height for height in inner if least < height < wanted), least)
    )
    return [Setting(height, condense) for height in heights for condense in CONDENSED]


def padded(option: LabelOption) -> tuple[Rectangle, ...]:
    """The boxes that no other label may enter: half a capital height aside, a quarter up and down.

    So two labels in a line are a word space apart and two lines half a character height
    (NUREG-0700 Rev.3, 11.4.1.5-7). A leader takes up the boxes around its thirds.
    """
    height = option.fit.height
    box = option.box.grown(height / 2, height / 4)
    return (box, *_along(option.leader)) if option.leader else (box,)


def _along(leader: tuple[tuple[float, float], tuple[float, float]]) -> tuple[Rectangle, ...]:
    (x, y), (to_x, to_y) = leader
    beyond = min(1.0, 1.5 * _LEADER_CLEAR / max(_LEADER_CLEAR, hypot(to_x - x, to_y - y)))
    x, y = x + (to_x - x) * beyond, y + (to_y - y) * beyond
    points = [(x + (to_x - x) * n / 3, y + (to_y - y) * n / 3) for n in range(4)]
    return tuple(
        Rectangle(min(a, c), min(b, d), max(a, c), max(b, d)).grown(_LEADER_CLEAR)
        for (a, b), (c, d) in pairwise(points)
    )


def word_options(
    subject: Subject,
    means: Means,
    place: Place,
    setting: Setting,
    space: FreeSpace,
    clearances: Clearances,
    *,
    only: float | None = None,
    first: bool = False,
) -> list[LabelOption]:
    """The ways to put words, or the number, at a place; cheapest first.

    With `only` the distance from the front is this one; with `first` the cheapest is enough.
    """
    text = subject.texts[means]()
    if place == "inside":
        return _inside(subject, text, means, setting, space)
    if place == "by-hand":
        return _by_hand(subject, text, means, setting, space)
    if (means, place) in subject.hopeless:
        return []
    found: list[LabelOption] = []
    gaps = clearances.gaps if only is None else (only,)
    for lines in text.breaks:
        if means == "divided" and lines.lines == text.breaks[0].lines:
            continue
        fitted = set_text(text, lines, setting.height, setting.condense, subject.label.least)
        cost = MEANS[means] * (1 + subject.label.priority) + NEXT_LINE * comb(len(lines.lines), 2)
        if first and any(option.cost <= cost for option in found):
            break
        for away in gaps:
            closer = cost + CLOSER * clearances.gaps.index(away)
            options = (
                LabelOption(closer + extra, place, box, fitted, means, None, align)
                for extra, align, box in boxes_at(subject, place, fitted, lines, away)
                if belongs(subject, box, fitted, align, space)
            )
            fitting = [*(options if place == "around" else islice(options, 1))]
            if fitting:
                found.append(fitting[0])
                found += [
                    option._replace(cost=option.cost + OUTWARD, lost=OUTWARD)
                    for option in fitting[1:]
                ]
                break
    if not found and only is None and setting == (subject.label.least, NARROWEST):
        subject.hopeless.add((means, place))
    found.sort(key=lambda option: option.cost)
    return found[:1] if first else found


def belongs(
    subject: Subject,
    box: Rectangle,
    fitted: Fit,
    align: Align,
    space: FreeSpace,
    ratio: float = BELONGS,
) -> bool:
    """Whether a box is free, and so much nearer to its front than to any other.

    Its words alone are as well, should the mark beside them be taken for something else, and
    however far the ink keeps from the ends of their box.
    """
    away, label = subject.away(box), subject.label
    if label.mark:
        away = max(away, subject.away(_words(label, box, fitted, align)))
    return away >= 0 and space.is_free(box, label.front, ratio * (away + _BEARING * fitted.height))


def _words(label: LabelRequest, box: Rectangle, fitted: Fit, align: Align) -> Rectangle:
    """The box without the room for the mark, which is at the end that faces the front."""
    if not label.mark:
        return box
    room = MARK_ROOM * fitted.height * fitted.condense
    if align == "right":
        return box._replace(right=box.right - room)
    return box._replace(left=box.left + room)


def boxes_at(
    subject: Subject, place: Place, fitted: Fit, lines: Break, away: float
) -> Iterator[tuple[float, Align, Rectangle]]:
    """Boxes of this size at a place, `away` mm from the front, with the points each costs.

    Rows share the last baseline above and the first line below, if that is no farther than wanted.
    """
    front, (x, y), height = subject.label.front, subject.label.front.centre, fitted.height
    width, depth = fitted.width, fitted.depth
    if place == "around":
        for step, farther in enumerate(_STEPS_OUT):
            turn = subject.label.angle
            yield FARTHER * step, *_toward(subject, turn, fitted, away + farther)
    elif place in ("left", "right"):
        edge = front.bounds.left - away - width if place == "left" else front.bounds.right + away
        level = y - (1 + (len(lines.lines) - 1) * fitted.pitch / height) * height / 2
        low = level - lines.drop * height
        yield 0.0, _align(place), Rectangle(edge, low, edge + width, low + depth)
    else:
        own = front.bounds
        if place.startswith("above"):
            shared = subject.top + (subject.drop - lines.drop) * height
            lows = [base + away for base in dict.fromkeys((shared, own.top))]
        else:
            shared = subject.bottom - (subject.rise - lines.rise) * height
            lows = [base - away - depth for base in dict.fromkeys((shared, own.bottom))]
        lefts: dict[Align, float] = {
            "centre": x - width / 2,
            "left": x + height / 2,
            "right": x - height / 2 - width,
        }
        held = _align(place)
        for cost, low in zip((0.0, CLOSER / 2), lows, strict=False):
            left = lefts[held]
            yield cost, held, Rectangle(left, low, left + width, low + depth)
        if place in _CORNERS:
            yield CLOSER, *_toward(subject, _CORNERS[place], fitted, away)
        elif width > height:
            ends: tuple[Align, Align] = ("left", "right")
            for align, left in zip(ends, (x - height / 2, x + height / 2 - width), strict=True):
                yield ASIDE, align, Rectangle(left, lows[-1], left + width, lows[-1] + depth)


def _toward(subject: Subject, turn: float, fitted: Fit, away: float) -> tuple[Align, Rectangle]:
    """The box `away` from the front in a direction, in degrees clockwise from straight up.

    The nearer the direction is to a side, the more the words are held by the edge that faces the
    front.
    """
    (x, y), core = subject.label.front.centre, subject.label.front.core
    aside, up = round(sin(radians(turn)), 9), round(cos(radians(turn)), 9)
    lean, rise = max(-1.0, min(1.0, 2 * aside)), max(-1.0, min(1.0, 2 * up))
    reach = subject.label.front.swell + away
    out = _distance_along(abs(aside), abs(up), core.width / 2, core.height / 2, reach)
    middle_x = x + out * aside + lean * fitted.width / 2
    middle_y = y + out * up + rise * fitted.depth / 2
    box = box_around(middle_x, middle_y, fitted.width, fitted.depth)
    return "centre" if abs(aside) < 0.3 else "left" if aside > 0 else "right", box


def _distance_along(across: float, up: float, half_x: float, half_y: float, reach: float) -> float:
    """How far along a direction a point lies `reach` outside a box of these half sides."""
    if up > 1e-9:
        out = (half_y + reach) / up
        if across * out <= half_x:
            return out
    if across > 1e-9:
        out = (half_x + reach) / across
        if up * out <= half_y:
            return out
    along = across * half_x + up * half_y
    return along + sqrt(max(0.0, along**2 - hypot(half_x, half_y) ** 2 + reach**2))


def _inside(
    subject: Subject, text: Measured, means: Means, setting: Setting, space: FreeSpace
) -> list[LabelOption]:
    """On the cap itself, half a capital height from its edge; small where the cap needs it."""
    label, front = subject.label, subject.label.front
    for height in dict.fromkeys((setting.height, label.least)):
        if isinstance(front, Disc):
            fitted = fit_disc(text, 2 * front.radius - height, height, height)
        else:
            inner = front.bounds.grown(-height / 2)
            fitted = fit(text, inner.width, inner.height, height, height)
        if isinstance(fitted, Misfit):
            continue
        box = box_around(*front.centre, fitted.width, fitted.depth)
        if inset(box, front) >= 0 and space.is_free_on(box, front):
            fitted = fitted._replace(needed=label.least)
            return [LabelOption(MEANS[means], "inside", box, fitted, means)]
    return []


def _by_hand(
    subject: Subject, text: Measured, means: Means, setting: Setting, space: FreeSpace
) -> list[LabelOption]:
    """Centred where the owner put it; over its own front only if that is where it was put.

    A line joins it to its front where it would be taken for another's.
    """
    label = subject.label
    if label.at is None:
        return []
    on_front = inset(Disc(*label.at, 0.0), label.front) >= 0
    found = []
    for lines in text.breaks:
        for height, condense in dict.fromkeys((setting, Setting(label.least, NARROWEST))):
            fitted = set_text(text, lines, height, condense, label.least)
            box = box_around(*label.at, fitted.width, fitted.depth)
            cost = MEANS[means] + NEXT_LINE * comb(len(lines.lines), 2)
            if on_front and space.is_free_on(box, label.front):
                found.append(LabelOption(cost, "by-hand", box, fitted, means))
                break
            if not on_front and space.is_free(box, label.front):
                is_plain = belongs(subject, box, fitted, "centre", space)
                leader = None if is_plain else _leader(label, box, space)
                found.append(LabelOption(cost, "by-hand", box, fitted, means, leader))
                break
    return found


def leader_options(subject: Subject, setting: Setting, space: FreeSpace) -> list[LabelOption]:
    """Words farther out and a line from the front to them; no other front is nearer to them."""
    label = subject.label
    means = next(kind for kind in _SHORTEST if kind in subject.texts)
    text = subject.texts[means]()
    is_apart = label.mark or not set(label.places) & set(_NUMBER_PLACES)
    if is_apart or ("leader", "around") in subject.hopeless:
        return []
    found = list[LabelOption]()
    for turn in range(0, 360, 45):
        place: Place = "above" if abs((turn + 180) % 360 - 180) < 90 else "below"
        for away in _LEADERS:
            dot = set_text(text, text.breaks[0], 0.0, 1.0, 0.0)
            align, box = _toward(subject, float(turn), dot, away)
            if not belongs(subject, box, dot, align, space, 1.0):
                break
            for lines in text.breaks:
                fitted = set_text(text, lines, setting.height, setting.condense, label.least)
                align, box = _toward(subject, float(turn), fitted, away)
                if not belongs(subject, box, fitted, align, space, 1.0):
                    continue
                leader = _leader(label, box, space)
                if leader is not None:
                    cost = (
                        MEANS["leader"] * (1 + label.priority) + away + NEXT_LINE * len(lines.lines)
                    )
                    option = LabelOption(cost, place, box, fitted, "leader", leader, align)
                    found.append(option)
                    break
    if not found and setting == (label.least, NARROWEST):
        subject.hopeless.add(("leader", "around"))
    return sorted(found, key=lambda option: option.cost)[:_MOST_LEADERS]


def _leader(
    label: LabelRequest, box: Rectangle, space: FreeSpace
) -> tuple[tuple[float, float], tuple[float, float]] | None:
    """The shortest line from a front to a box; None where it would meet anything else."""
    core, swell = label.front.core, label.front.swell
    low_x, high_x = max(core.left, box.left), min(core.right, box.right)
    low_y, high_y = max(core.bottom, box.bottom), min(core.top, box.top)
    x = (low_x + high_x) / 2 if low_x <= high_x else None
    y = (low_y + high_y) / 2 if low_y <= high_y else None
    start_x = x if x is not None else core.right if box.left > core.right else core.left
    start_y = y if y is not None else core.top if box.bottom > core.top else core.bottom
    end_x = x if x is not None else box.left if box.left > core.right else box.right
    end_y = y if y is not None else box.bottom if box.bottom > core.top else box.top
    length = hypot(end_x - start_x, end_y - start_y)
    if length <= swell:
        return None
    share = swell / length
    start = (start_x + (end_x - start_x) * share, start_y + (end_y - start_y) * share)
    line = (start, (end_x, end_y))
    return line if all(space.is_free(part, label.front) for part in _along(line)) else None


def number_options(
    subject: Subject, setting: Setting, space: FreeSpace, clearances: Clearances
) -> list[LabelOption]:
    """The ways to put a number beside a front, or on it where that alone is left."""
    label = subject.label
    places = label.places if label.places[0] == "around" else _NUMBER_PLACES
    found = []
    for rank, place in enumerate(places):
        for option in word_options(subject, "number", place, setting, space, clearances):
            found.append(option._replace(cost=option.cost + rank))
    found.sort(key=lambda option: option.cost)
    if label.places[0] != "around":
        for option in word_options(subject, "number", "inside", setting, space, clearances):
            found.append(option._replace(cost=option.cost + ON_FRONT))
    return found[:_MOST_NUMBERS]


def placed(subject: Subject, option: LabelOption) -> Placed:
    """The answer for a label put this way.

    Its mark is the square at the end that faces the front, beside the first line's capitals.
    """
    label, box, side, mark = subject.label, option.box, option.fit.height, None
    if label.mark:
        top = box.top - option.fit.rise
        left = box.right - side if option.align == "right" else box.left
        right = box.right if option.align == "right" else box.left + side
        mark = Rectangle(left, top - side, right, top)
    return Placed(
        id=label.id,
        text=label.text,
        place=option.place,
        box=box,
        fit=option.fit,
        align=option.align,
        mark=mark,
        means=option.means,
        leader=option.leader,
    )
