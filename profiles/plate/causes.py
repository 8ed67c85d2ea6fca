"""Why a label has no place for its words: what they lack by themselves. Lengths in millimetres."""

from collections.abc import Callable
from functools import partial

from profiles.plate.candidates import Setting, Subject, belongs, boxes_at, word_options
from profiles.plate.fit import MARK_ROOM, NARROWEST, Break, Fit, set_text
from profiles.plate.free_space import FreeSpace
from profiles.plate.label_requests import Clearances, Place


def find_cause(subject: Subject, space: FreeSpace, clearances: Clearances) -> str:
    """What a label lacks even in the smallest letters and with no other label around.

    The width or the height missing at the place that lacks least, and the letters' height in mm;
    empty where the label would find a place by itself.
    """
    label, text = subject.label, subject.texts["words"]()
    setting = Setting(label.least, NARROWEST)
    lacks: dict[str, list[float]] = {"wide": [], "high": []}
    for place in label.places:
        if word_options(subject, "words", place, setting, space, clearances):
            return ""
        if place == "by-hand":
            return "the place given by hand is not free"
        if place == "inside":
            continue
        for lines in text.breaks:
            fitted = set_text(text, lines, *setting, label.least)

            has_room = partial(_has_room, subject, place, lines, fitted, space, clearances)
            sliver = (MARK_ROOM if label.mark else 0.1) * label.least
            if has_room(sliver, fitted.depth):
                most = _most(fitted.width, partial(has_room, depth=fitted.depth))
                lacks["wide"].append(fitted.width - most)
            else:
                most = _most(fitted.depth, partial(has_room, sliver))
                lacks["high"].append(fitted.depth - most)
    way = "wide" if lacks["wide"] else "high"
    lack = max(0.1, min(lacks[way], default=label.least))
    return f"{lack:.1f} mm too {way} at {label.least:.1f} mm capital height"


def _has_room(
    subject: Subject,
    place: Place,
    lines: Break,
    fitted: Fit,
    space: FreeSpace,
    clearances: Clearances,
    width: float,
    depth: float,
) -> bool:
    """Whether words of this size would have a place."""
    smaller = fitted._replace(width=width, depth=depth)
    return any(
        belongs(subject, box, smaller, align, space)
        for away in clearances.gaps
        for _, align, box in boxes_at(subject, place, smaller, lines, away)
    )


def _most(whole: float, has_room: Callable[[float], bool]) -> float:
    """The most that has room, of something between nothing and the whole, within a tenth mm."""
    low, high = 0.0, whole
    while high - low > 0.05:
        middle = (low + high) / 2
        low, high = (middle, high) if has_room(middle) else (low, middle)
    return low
