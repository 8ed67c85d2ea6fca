"""Every way to set one label at one place, with what it costs. Lengths in millimetres.

A `Subject` is a label measured and seen in its row; `ways` gives its settings at a place and a
capital height, `rungs` the few heights that are tried, which keep a plate to few sizes. Costs are
points: 0 is a label at the wanted height, in one line, on the first side, in its own share of the
row.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, floor, hypot, radians, sin, sqrt
from typing import NamedTuple

from profiles.plate.fit import NARROWEST, Break, Fit, Measured, Misfit, fit, fit_disc, set_text
from profiles.plate.free_space import FreeSpace
from profiles.plate.label_requests import Align, Clearances, LabelRequest, Place, Placed
from profiles.plate.shapes import Box, Disc, box_around, inset

__all__ = [
    "AWAY",
    "NEXT_PLACE",
    "UNPLACED",
    "LabelOption",
    "Subject",
    "padded",
    "placed",
    "shortfall",
    "shrink_cost",
    "trial_heights",
    "ways",
]

SHRINK = 60.0
"""Points for shrinking from the wanted to the least height, in proportion between."""
CONDENSE = 15.0
"""Points for condensing all the way, in proportion between."""
NEXT_LINE = 2.0
"""Points for each line beyond the first."""
SPILL = 6.0
"""Points for reaching beyond the label's share of its row."""
FARTHER = 3.0
"""Points for each step away from a knob for legends around it."""
NEXT_PLACE = 5.0
"""Points for each place further down the list of allowed places."""
AWAY = 30.0
"""Points for leaving the side that the row keeps to."""
UNPLACED = 1000.0
"""Points for having no place, times one more than the priority."""

_RUNGS = 4
_STEPS_OUT = (0.0, 2.0, 4.0, 6.0, 8.0)
"""How much farther than its gap a legend around a knob may stand, mm."""


@dataclass(frozen=True, slots=True)
class Subject:
    """A label ready to be set: measured, and with the lines that its row shares."""

    label: LabelRequest
    measured: Measured
    share: float
    """Half the width that is its own in its row, mm."""
    reach: float
    """Half the width within which it stands over no neighbour's front, mm."""
    top: float
    """Where labels above start: the fronts' top in its row, mm."""
    bottom: float
    """Where labels below start, mm."""
    drop: float
    """Deepest ink below the baseline among the labels of its row, capital heights."""
    rise: float
    """Highest ink above the capitals among the labels of its row, capital heights."""


class LabelOption(NamedTuple):
    """One way to set a label at a place."""

    cost: float
    place: Place
    box: Box
    fit: Fit


def trial_heights(label: LabelRequest) -> tuple[float, ...]:
    """The capital heights tried, from the wanted one down to the least, mm."""
    if label.wanted <= label.least:
        return (label.least,)
    step = (label.wanted - label.least) / (_RUNGS - 1)
    middle = (floor((label.wanted - step * n) * 10) / 10 for n in range(1, _RUNGS - 1))
    inner = [height for height in middle if label.least < height < label.wanted]
    return tuple(dict.fromkeys((label.wanted, *inner, label.least)))


def shrink_cost(label: LabelRequest, height: float) -> float:
    """Points for using this capital height."""
    if label.wanted <= label.least:
        return 0.0
    return SHRINK * (label.wanted - height) / (label.wanted - label.least)


def padded(way: LabelOption) -> Box:
    """The box nobody else's may enter: half a capital height to each side, a quarter up and down.

    So two labels in a line are a word space apart and two lines half a character height
    (NUREG-0700 Rev.3, 11.4.1.5-7).
    """
    height = way.fit.height
    return way.box.grown(height / 2, height / 4)


def ways(
    subject: Subject,
    place: Place,
    height: float,
    ground: FreeSpace,
    manner: Clearances,
    *,
    every: bool,
) -> list[LabelOption]:
    """The ways to set a label at a place and capital height; without `every` only the good ones."""
    if place == "inside":
        return _ways_inside(subject, height, ground)
    if place == "around":
        return _ways_around(subject, height, ground, manner, every)
    if place == "by-hand":
        return _ways_by_hand(subject, height, ground)
    found = []
    for one in subject.measured.breaks:
        found.extend(_ways_beside(subject, place, height, one, ground, manner, every))
        if found and not every and found[0].fit.condense == 1 and found[0].cost < SPILL:
            break
    return found


def _ways_beside(
    subject: Subject,
    place: Place,
    height: float,
    one: Break,
    ground: FreeSpace,
    manner: Clearances,
    every: bool,
) -> list[LabelOption]:
    bottom, top = _band(subject, place, height, len(one.lines), manner)
    x, align = _start(subject, place, height, manner)
    free = min(_across(align, ground.room(x, bottom, top)), _reach(subject, place))
    natural = one.widest * height
    if free < natural * NARROWEST:
        return []
    share = min(free, _share(subject, place, height))
    found = []
    scales = _scales(natural, share, free, every)
    for condense in scales:
        setting = set_text(subject.measured, one, height, condense, subject.label.least)
        box = _box(x, align, setting.width, bottom, top)
        spill = setting.width > share + 1e-9
        found.append(LabelOption(_cost(subject.label, setting, spill), place, box, setting))
    return found


def _scales(natural: float, share: float, free: float, every: bool) -> list[float]:
    """Horizontal scales worth trying: within the share, within what is free, and the narrowest."""
    within = min(1.0, share / natural)
    reach = min(1.0, free / natural)
    found = []
    if within >= NARROWEST:
        found.append(within)
    if within < 1 and reach > max(within, NARROWEST):
        found.append(reach)
    if not found or (every and min(found) > NARROWEST):
        found.append(NARROWEST)
    return found


def _cost(label: LabelRequest, setting: Fit, spill: bool) -> float:
    return (
        shrink_cost(label, setting.height)
        + CONDENSE * (1 - setting.condense) / (1 - NARROWEST)
        + NEXT_LINE * (len(setting.lines) - 1)
        + (SPILL if spill else 0.0)
    )


def _band(
    subject: Subject, place: Place, height: float, lines: int, manner: Clearances
) -> tuple[float, float]:
    """Bottom and top of the ink. Rows share the last baseline above and the first line below."""
    measured, wanted = subject.measured, max(subject.label.wanted, height)
    depth = measured.depth(lines) * height
    if place.startswith("above"):
        bottom = subject.top + manner.gap + subject.drop * wanted - measured.drop * height
        return bottom, bottom + depth
    if place.startswith("below"):
        top = subject.bottom - manner.gap - subject.rise * wanted + measured.rise * height
        return top - depth, top
    capitals = (1 + (lines - 1) * measured.pitch) * height
    bottom = subject.label.front.centre[1] - capitals / 2 - measured.drop * height
    return bottom, bottom + depth


def _start(
    subject: Subject, place: Place, height: float, manner: Clearances
) -> tuple[float, Align]:
    """Where the words are held, and by which end."""
    bounds, (x, _) = subject.label.front.bounds, subject.label.front.centre
    match place:
        case "left":
            return bounds.left - manner.gap, "right"
        case "right":
            return bounds.right + manner.gap, "left"
        case "above-left" | "below-left":
            return x - height / 2, "right"
        case "above-right" | "below-right":
            return x + height / 2, "left"
        case _:
            return x, "centre"


def _across(align: Align, room: tuple[float, float]) -> float:
    """Width free for words held at this end."""
    left, right = room
    if align == "centre":
        return 2 * min(left, right)
    return left if align == "right" else right


def _share(subject: Subject, place: Place, height: float) -> float:
    """Width that is the label's own at this place, mm, its padding taken off."""
    if place in ("above", "below"):
        return 2 * (subject.share - height / 2)
    if place in ("left", "right"):
        return float("inf")
    return subject.share - height


def _reach(subject: Subject, place: Place) -> float:
    """Greatest width at this place, mm: over a neighbour's front a label would be taken for its."""
    if place in ("left", "right"):
        return float("inf")
    return 2 * subject.reach if place in ("above", "below") else subject.reach


def _box(x: float, align: Align, width: float, bottom: float, top: float) -> Box:
    if align == "centre":
        return Box(x - width / 2, bottom, x + width / 2, top)
    if align == "right":
        return Box(x - width, bottom, x, top)
    return Box(x, bottom, x + width, top)


def _ways_inside(subject: Subject, height: float, ground: FreeSpace) -> list[LabelOption]:
    """On the cap itself, half a capital height from its edge."""
    label, front = subject.label, subject.label.front
    if isinstance(front, Disc):
        found = fit_disc(subject.measured, 2 * front.radius - height, height, height)
    else:
        inner = front.bounds.grown(-height / 2)
        found = fit(subject.measured, inner.width, inner.height, height, height)
    if isinstance(found, Misfit):
        return []
    setting = found._replace(needed=label.least)
    box = box_around(*front.centre, setting.width, setting.depth)
    if inset(box, front) < 0 or not ground.is_free_on(box, front):
        return []
    return [LabelOption(_cost(label, setting, False), "inside", box, setting)]


def _ways_around(
    subject: Subject, height: float, ground: FreeSpace, manner: Clearances, every: bool
) -> list[LabelOption]:
    """Just outside the knob in the direction of the label's angle, or some steps farther out."""
    found = []
    for one in subject.measured.breaks:
        for condense in (1.0, NARROWEST):
            setting = set_text(subject.measured, one, height, condense, subject.label.least)
            cost = _cost(subject.label, setting, False)
            for step, out in enumerate(_STEPS_OUT):
                box = _box_around(subject.label, setting, manner.gap + out)
                if ground.is_free(box):
                    found.append(LabelOption(cost + FARTHER * step, "around", box, setting))
                    if not every:
                        break
    return found


def _box_around(label: LabelRequest, setting: Fit, away: float) -> Box:
    """The setting's box outside the point `away` mm from the front on the ray of the angle.

    The nearer the ray lies to a side, the more the box is held by the edge that faces the knob.
    """
    aside, up = sin(radians(label.angle)), cos(radians(label.angle))
    core, swell = label.front.core, label.front.swell + away
    out = _distance_along(abs(aside), abs(up), core.width / 2, core.height / 2, swell)
    x, y = label.front.centre
    lean, rise = _held(aside), _held(up)
    middle = x + out * aside + lean * setting.width / 2, y + out * up + rise * setting.depth / 2
    return box_around(*middle, setting.width, setting.depth)


def _held(part: float) -> float:
    """-1 or 1 where a box is held by its edge, between for a direction nearly along that edge."""
    return max(-1.0, min(1.0, 2 * part))


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


def _ways_by_hand(subject: Subject, height: float, ground: FreeSpace) -> list[LabelOption]:
    """Centred where the owner put it; over its own front only if that is where it was put."""
    label = subject.label
    if label.at is None:
        return []
    on_front = inset(Disc(*label.at, 0.0), label.front) >= 0
    found = []
    for one in subject.measured.breaks:
        for condense in (1.0, NARROWEST):
            setting = set_text(subject.measured, one, height, condense, label.least)
            box = box_around(*label.at, setting.width, setting.depth)
            if ground.is_free_on(box, label.front) if on_front else ground.is_free(box):
                found.append(LabelOption(_cost(label, setting, False), "by-hand", box, setting))
                break
    return found


def shortfall(subject: Subject, ground: FreeSpace, manner: Clearances) -> float:
    """Width in mm that the roomiest allowed place lacks at the least height.

    0 where no place has any room, so that width is not what is missing.
    """
    height = subject.label.least
    lacks = []
    for place in subject.label.places:
        for one in subject.measured.breaks:
            room = _room_at(subject, place, height, len(one.lines), ground, manner)
            if room > 0:
                lacks.append(one.widest * height * NARROWEST - room)
    return max(0.0, min(lacks, default=0.0))


def _room_at(
    subject: Subject, place: Place, height: float, lines: int, ground: FreeSpace, manner: Clearances
) -> float:
    if place == "inside":
        return subject.label.front.bounds.width - height
    if place in ("around", "by-hand"):
        return 0.0
    x, align = _start(subject, place, height, manner)
    free = _across(align, ground.room(x, *_band(subject, place, height, lines, manner)))
    return min(free, _reach(subject, place))


def placed(subject: Subject, way: LabelOption) -> Placed:
    """The answer for a label set this way."""
    align = _align(subject.label, way.place)
    mark = _mark_box(way, align) if subject.label.mark else None
    label = subject.label
    return Placed(
        id=label.id,
        text=label.text,
        place=way.place,
        box=way.box,
        fit=way.fit,
        align=align,
        mark=mark,
    )


def _align(label: LabelRequest, place: Place) -> Align:
    if place == "left" or place.endswith("-left"):
        return "right"
    if place == "right" or place.endswith("-right"):
        return "left"
    if place == "around" and abs(sin(radians(label.angle))) > 0.3:
        return "left" if sin(radians(label.angle)) > 0 else "right"
    return "centre"


def _mark_box(way: LabelOption, align: Align) -> Box:
    """The square at the end that faces the front, beside the first line's capitals."""
    top = way.box.top - way.fit.rise
    side = way.fit.height
    if align == "right":
        return Box(way.box.right - side, top - side, way.box.right, top)
    return Box(way.box.left, top - side, way.box.left + side, top)
