"""Labels drawn where the layout put them, arrows of rotaries, signs of kinds, and the key."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from profiles.drawing import marks, weights
from profiles.drawing.fitting import fit_line
from profiles.drawing.geometry import Box, Point, moved, point_at, turned
from profiles.drawing.paths import polyline
from profiles.drawing.recorder import Recorder
from profiles.drawing.shapes import Anchor
from profiles.drawing.style import BLACK, GREY, Lettering, Style
from profiles.lettering import BOLD, REGULAR, Face
from profiles.model.control import ControlValue, Latching, Momentary, Rotary, Selector
from profiles.model.device import Device
from profiles.plate.label_requests import Align, Placed
from profiles.sheets.plate_art import front_size

ANCHORS: dict[Align, Anchor] = {"left": "left", "centre": "middle", "right": "right"}

_BOW_RADIUS, _BOW_HEIGHT, _BOW_HALF, _HEAD_SIZE = 0.42, 0.22, 62.0, 0.3
"""A rotary's arrow in shares of its square: radius, height of the centre, half its angle in
degrees, length of its head."""

_KEY_PITCH = 5.0
_KEY_LETTERING = 2.5
_UNDERLINE = 0.2
_SIGN = 5.0
"""Largest sign of a kind, mm; the line under words, in capital heights below the baseline."""

SIGNS: Mapping[type[ControlValue], Callable[[Recorder, Point, float, Style], None]] = {
    Momentary: marks.ring_sign,
    Latching: marks.filled_sign,
    Rotary: marks.double_arrow_sign,
    Selector: marks.steps_sign,
}
"""The sign of each kind of control."""


@dataclass(frozen=True, slots=True)
class Manner:
    """How one title's words are told from another's: weight, and a line under them."""

    face: Face
    underlined: bool = False
    name: str = ""
    """What the key calls it."""


MANNERS = (Manner(BOLD), Manner(REGULAR), Manner(REGULAR, True), Manner(BOLD, True))
"""Weights in the order in which words share a plate."""


def choose_manners(names: Sequence[str]) -> tuple[Manner, ...]:
    """A manner for each of these; one alone is set in the regular weight."""
    if len(names) == 1:
        return (Manner(REGULAR, name=names[0]),)
    return tuple(replace(MANNERS[number], name=name) for number, name in enumerate(names))


def draw_label(
    board: Recorder, placed: Placed, manners: Sequence[Manner], *, ink: str = BLACK
) -> None:
    """Draw one label, a manner for each of its lines, and the arrow of a rotary's direction."""
    words = placed.words
    x = {"left": words.left, "centre": words.centre[0], "right": words.right}[placed.align]
    lines = zip(placed.fit.lines, placed.baselines, manners, strict=True)
    for line, baseline, manner in lines:
        lettering = Lettering(placed.fit.height, manner.face, ink, placed.fit.condense)
        board.text((x, baseline), line, lettering, anchor=ANCHORS[placed.align])
        if manner.underlined:
            share = {"left": 0.0, "centre": 0.5, "right": 1.0}[placed.align]
            _underline(board, x, baseline, line, lettering, share)
    if placed.mark is not None:
        clockwise = ".clockwise" in placed.id
        draw_turn(board, Box(*placed.mark), clockwise=clockwise, ink=ink)


def _underline(
    board: Recorder, x: float, baseline: float, line: str, lettering: Lettering, share: float
) -> None:
    width = lettering.width(line)
    y = baseline - _UNDERLINE * lettering.cap_height
    left = x - share * width
    board.line((left, y), (left + width, y), Style(weights.DIMENSION.width, lettering.ink))


def draw_turn(board: Recorder, box: Box, *, clockwise: bool, ink: str = BLACK) -> None:
    """Draw a bent arrow into a square: which way to turn."""
    lean = -1.0 if clockwise else 1.0
    radius = box.width * _BOW_RADIUS
    centre = (box.centre[0], box.bottom + box.height * _BOW_HEIGHT)
    start = 90.0 - lean * _BOW_HALF
    board.arc(centre, radius, start, lean * 2 * _BOW_HALF, Style(weights.NARROW, ink))
    tip_angle = 90.0 + lean * _BOW_HALF
    size = box.width * _HEAD_SIZE
    head = ((size, 0.0), (-size / 2, size * 0.6), (-size / 2, -size * 0.6))
    place = turned(tip_angle + lean * 90.0).then(moved(*point_at(centre, radius, tip_angle)))
    board.path(polyline(head, closed=True).transformed(place), weights.fill(ink))


def draw_key(board: Recorder, manners: Sequence[Manner], width: float) -> None:
    """Draw under the plate which lettering is whose, no wider than the plate where words allow."""
    with board.layer("key"):
        for number, manner in enumerate(manners):
            wanted = Lettering(_KEY_LETTERING, manner.face)
            fitted = fit_line(f"{number + 1}  {manner.name}", width, wanted)
            y = -_KEY_PITCH * (number + 1)
            board.text((0.0, y), fitted.words, fitted.lettering)
            if manner.underlined:
                _underline(board, 0.0, y, fitted.words, fitted.lettering, 0.0)


def draw_kinds(board: Recorder, device: Device, placed: Sequence[Placed] = ()) -> None:
    """Draw a pale sign into each control: springs back, stays, turns, has steps.

    A control with words inside has none.
    """
    style = Style(weights.HAIR, GREY)
    words = [Box(*label.box) for label in placed]
    with board.layer("kinds"):
        for control in device.controls.values():
            size = min(_SIGN, 0.45 * min(front_size(control)))
            square = Box(*control.position, *control.position).grown(size / 2)
            if not any(square.meets(box) for box in words):
                SIGNS[type(control)](board, control.position, size, style)
