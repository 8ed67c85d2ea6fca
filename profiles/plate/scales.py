"""The marks of an axis: ticks around a knob or along a slide, and their words. Lengths in mm.

A knob's marks run clockwise, evenly to both sides of straight up; a slide's run upwards at its
left. The control's `rotation` turns both; words stay upright.
"""

from __future__ import annotations

from math import cos, radians, sin
from typing import TYPE_CHECKING, NamedTuple

from profiles.lettering import REGULAR
from profiles.plate.fit import Lettering, measure
from profiles.plate.shapes import Rectangle
from profiles.text.sign_words import set_signs

if TYPE_CHECKING:
    from profiles.model.control import Control

Point = tuple[float, float]

TICK_FROM, TICK_TO, WORDS_FROM = 1.0, 3.0, 3.8
"""Where a tick begins and ends, and where its words begin, from the edge of the front. Rule of
thumb."""


class Mark(NamedTuple):
    """A tick from `start` to `end`, and the words in `box`."""

    start: Point
    end: Point
    text: str
    box: Rectangle


def scale_marks(
    control: Control, height: float, lettering: Lettering = REGULAR
) -> tuple[Mark, ...]:
    """The marks of a control, words of this capital height; none where it has no scale."""
    if control.kind != "axis" or control.scale is None:
        return ()
    scale, front = control.scale, control.front_or_hole
    width, depth = front if isinstance(front, tuple) else (front, front)
    marks = []
    for place, text in enumerate(scale.marks):
        share = place / (len(scale.marks) - 1) - 0.5
        if scale.angle is not None:
            way = 90.0 - share * scale.angle + control.rotation
            foot = _go((0.0, 0.0), way, max(width, depth) / 2)
        else:
            along = _go((0.0, 0.0), 90.0 + control.rotation, share * (scale.stroke or 0.0))
            way = 180.0 + control.rotation
            foot = _go(along, way, width / 2)
        text = set_signs(text)
        line = measure(text, lettering, max_lines=1).breaks[0]
        across, up = line.widest * height / 2, height / 2
        reach = across * abs(cos(radians(way))) + up * abs(sin(radians(way)))
        start, end, middle = (
            _go(foot, way, out, control.position)
            for out in (TICK_FROM, TICK_TO, WORDS_FROM + reach)
        )
        box = Rectangle(middle[0] - across, middle[1] - up, middle[0] + across, middle[1] + up)
        marks.append(Mark(start, end, text, box))
    return tuple(marks)


def _go(start: Point, angle: float, length: float, shift: Point = (0.0, 0.0)) -> Point:
    turn = radians(angle)
    return (
        start[0] + length * cos(turn) + shift[0],
        start[1] + length * sin(turn) + shift[1],
    )


def scale_box(control: Control, height: float, lettering: Lettering = REGULAR) -> Rectangle | None:
    """The upright box around a control's scale; None where it has none."""
    marks = scale_marks(control, height, lettering)
    if not marks:
        return None
    points = [point for mark in marks for point in (mark.start, mark.end)]
    xs = [x for x, _ in points] + [edge for m in marks for edge in (m.box.left, m.box.right)]
    ys = [y for _, y in points] + [edge for m in marks for edge in (m.box.bottom, m.box.top)]
    return Rectangle(min(xs), min(ys), max(xs), max(ys))
