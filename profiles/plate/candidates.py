"""Every way to set one label at one place, with what it costs. Lengths in millimetres.

A `Subject` is a label measured and seen in its row; `label_options` gives its settings at a place
and a capital height, `trial_heights` the few heights that are tried, which keep a plate to few
sizes. Costs are points: 0 is a label at the wanted height, in one line, on the first side, in its
own share of the row.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, floor, hypot, inf, radians, sin, sqrt
from typing import NamedTuple

from profiles.plate.fit import NARROWEST, Fit, Measured, Misfit, fit, fit_disc, set_text
from profiles.plate.free_space import FreeSpace
from profiles.plate.label_requests import Align, Clearances, LabelRequest, Place, Placed
from profiles.plate.shapes import Box, Disc, box_around, inset

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

_HEIGHTS = 4
"""Capital heights tried, the wanted and the least among them."""
_STEPS_OUT = (0.0, 2.0, 4.0, 6.0, 8.0)
"""How much farther than its gap a legend around a knob may be, mm."""
_BACK: dict[Align, float] = {"left": 0.0, "centre": 0.5, "right": 1.0}
"""Share of a label's width to the left of the point that its words are held by."""


@dataclass(frozen=True, slots=True)
class Subject:
    """A label ready to be set: measured, and with the lines that its row shares."""

    label: LabelRequest
    measured: Measured
    share: float
    """Half the width that is its own in its row, mm."""
    reach: float
    """Half the width within which it is over no neighbour's front, mm."""
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


class _Band(NamedTuple):
    """Where the words of a label beside its front are held, and how much width is free there."""

    x: float
    align: Align
    bottom: float
    top: float
    free: float


def trial_heights(label: LabelRequest) -> tuple[float, ...]:
    """The capital heights tried, from the wanted height down to the least, mm."""
    if label.wanted <= label.least:
        return (label.least,)
    step = (label.wanted - label.least) / (_HEIGHTS - 1)
    middle = (floor((label.wanted - step * n) * 10) / 10 for n in range(1, _HEIGHTS - 1))
    inner = [height for height in middle if label.least < height < label.wanted]
    return tuple(dict.fromkeys((label.wanted, *inner, label.least)))


def shrink_cost(label: LabelRequest, height: float) -> float:
    """Points for using this capital height."""
    if label.wanted <= label.least:
        return 0.0
    return SHRINK * (label.wanted - height) / (label.wanted - label.least)


def padded(option: LabelOption) -> Box:
    """The box that no other label may enter: half a capital height aside, a quarter up and down.

    So two labels in a line are a word space apart and two lines half a character height
    (NUREG-0700 Rev.3, 11.4.1.5-7).
    """
    height = option.fit.height
    return option.box.grown(height / 2, height / 4)


def label_options(
    subject: Subject,
    place: Place,
    height: float,
    space: FreeSpace,
    clearances: Clearances,
    *,
    every: bool,
) -> list[LabelOption]:
    """The ways to set a label at a place and capital height; without `every` only the good ones.

    Horizontal scales worth trying: within the share, within what is free, and the narrowest.
    """
    if place == "inside":
        return _inside(subject, height, space)
    if place == "around":
        return _around(subject, height, space, clearances, every)
    if place == "by-hand":
        return _by_hand(subject, height, space)
    middle = 2 * (subject.share - height / 2)
    shares = {"above": middle, "below": middle, "left": inf, "right": inf}
    own = shares.get(place, subject.share - height)
    found: list[LabelOption] = []
    for lines in subject.measured.breaks:
        band = _band(subject, place, height, len(lines.lines), space, clearances)
        natural = lines.widest * height
        if band.free < natural * NARROWEST:
            continue
        share = min(band.free, own)
        within, reach = min(1.0, share / natural), min(1.0, band.free / natural)
        scales = [within] if within >= NARROWEST else []
        if within < 1 and reach > max(within, NARROWEST):
            scales.append(reach)
        if not scales or (every and min(scales) > NARROWEST):
            scales.append(NARROWEST)
        for condense in scales:
            setting = set_text(subject.measured, lines, height, condense, subject.label.least)
            back = _BACK[band.align] * setting.width
            box = Box(band.x - back, band.bottom, band.x + (setting.width - back), band.top)
            spill = setting.width > share + 1e-9
            found.append(LabelOption(_cost(subject.label, setting, spill), place, box, setting))
        if not every and found[0].fit.condense == 1 and found[0].cost < SPILL:
            break
    return found


def _cost(label: LabelRequest, setting: Fit, spill: bool = False) -> float:
    return (
        shrink_cost(label, setting.height)
        + CONDENSE * (1 - setting.condense) / (1 - NARROWEST)
        + NEXT_LINE * (len(setting.lines) - 1)
        + (SPILL if spill else 0.0)
    )


def _band(
    subject: Subject,
    place: Place,
    height: float,
    lines: int,
    space: FreeSpace,
    clearances: Clearances,
) -> _Band:
    """Where so many lines go. Rows share the last baseline above and the first line below.

    Over a neighbour's front a label would be taken for that of the neighbour.
    """
    front, measured, gap = subject.label.front, subject.measured, clearances.gap
    (x, y), align = front.centre, _align(subject.label, place)
    depth, wanted = measured.depth(lines) * height, max(subject.label.wanted, height)
    if place.startswith("above"):
        bottom = subject.top + gap + subject.drop * wanted - measured.drop * height
        top = bottom + depth
    elif place.startswith("below"):
        top = subject.bottom - gap - subject.rise * wanted + measured.rise * height
        bottom = top - depth
    else:
        capitals = (1 + (lines - 1) * measured.pitch) * height
        bottom = y - capitals / 2 - measured.drop * height
        top = bottom + depth
    if align == "centre":
        free = 2 * min(*space.room(x, bottom, top), subject.reach)
    else:
        beside = place in ("left", "right")
        edge = front.bounds.left if align == "right" else front.bounds.right
        away = gap if beside else height / 2
        x = (edge if beside else x) + (-away if align == "right" else away)
        left, right = space.room(x, bottom, top)
        free = min(left if align == "right" else right, inf if beside else subject.reach)
    return _Band(x, align, bottom, top, free)


def _inside(subject: Subject, height: float, space: FreeSpace) -> list[LabelOption]:
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
    if inset(box, front) < 0 or not space.is_free_on(box, front):
        return []
    return [LabelOption(_cost(label, setting), "inside", box, setting)]


def _around(
    subject: Subject, height: float, space: FreeSpace, clearances: Clearances, every: bool
) -> list[LabelOption]:
    """Just outside the knob in the direction of the label's angle, or some steps farther out.

    The nearer the direction lies to a side, the more the label is held by the edge that faces
    the knob.
    """
    label, (x, y), core = subject.label, subject.label.front.centre, subject.label.front.core
    aside, up = sin(radians(label.angle)), cos(radians(label.angle))
    lean, rise = max(-1.0, min(1.0, 2 * aside)), max(-1.0, min(1.0, 2 * up))
    found = []
    for lines in subject.measured.breaks:
        for condense in (1.0, NARROWEST):
            setting = set_text(subject.measured, lines, height, condense, label.least)
            cost = _cost(label, setting)
            for step, farther in enumerate(_STEPS_OUT):
                away = label.front.swell + (clearances.gap + farther)
                out = _distance_along(abs(aside), abs(up), core.width / 2, core.height / 2, away)
                middle_x = x + out * aside + lean * setting.width / 2
                middle_y = y + out * up + rise * setting.depth / 2
                box = box_around(middle_x, middle_y, setting.width, setting.depth)
                if space.is_free(box):
                    found.append(LabelOption(cost + FARTHER * step, "around", box, setting))
                    if not every:
                        break
    return found


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


def _by_hand(subject: Subject, height: float, space: FreeSpace) -> list[LabelOption]:
    """Centred where the owner put it; over its own front only if that is where it was put."""
    label = subject.label
    if label.at is None:
        return []
    on_front = inset(Disc(*label.at, 0.0), label.front) >= 0
    found = []
    for lines in subject.measured.breaks:
        for condense in (1.0, NARROWEST):
            setting = set_text(subject.measured, lines, height, condense, label.least)
            box = box_around(*label.at, setting.width, setting.depth)
            if space.is_free_on(box, label.front) if on_front else space.is_free(box):
                found.append(LabelOption(_cost(label, setting), "by-hand", box, setting))
                break
    return found


def shortfall(subject: Subject, space: FreeSpace, clearances: Clearances) -> float:
    """Width in mm that the roomiest allowed place lacks at the least height.

    0 where no place has any room, so that width is not what is missing.
    """
    height = subject.label.least
    lacks = []
    for place in set(subject.label.places) - {"around", "by-hand"}:
        for lines in subject.measured.breaks:
            if place == "inside":
                room = subject.label.front.bounds.width - height
            else:
                room = _band(subject, place, height, len(lines.lines), space, clearances).free
            if room > 0:
                lacks.append(lines.widest * height * NARROWEST - room)
    return max(0.0, min(lacks, default=0.0))


def placed(subject: Subject, option: LabelOption) -> Placed:
    """The answer for a label set this way.

    Its mark is the square at the end that faces the front, beside the first line's capitals.
    """
    label, box, side = subject.label, option.box, option.fit.height
    align, mark = _align(label, option.place), None
    if label.mark:
        top = box.top - option.fit.rise
        left = box.right - side if align == "right" else box.left
        right = box.right if align == "right" else box.left + side
        mark = Box(left, top - side, right, top)
    return Placed(
        id=label.id,
        text=label.text,
        place=option.place,
        box=box,
        fit=option.fit,
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
