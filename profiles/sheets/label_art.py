"""Labels drawn where the layout put them, arrows of rotaries, signs of kinds, and the key."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from profiles.drawing import marks, weights
from profiles.drawing.fitting import fit_line, wrap_lines
from profiles.drawing.geometry import Box, Point, moved, point_at, turned
from profiles.drawing.paths import polyline
from profiles.drawing.recorder import Recorder
from profiles.drawing.shapes import Anchor, Text
from profiles.drawing.style import BLACK, GREY, Lettering, Style
from profiles.facts.legend_layout import LegendLayout
from profiles.lettering import BOLD, REGULAR, Face
from profiles.model.control import Axis, Hat, Latching, Momentary, Rotary, Selector
from profiles.model.control_value import ControlValue, name_position
from profiles.model.device import Device
from profiles.plate.label_requests import Align, Placed
from profiles.plate.shapes import box_around
from profiles.plate.spacing import find_near
from profiles.sheets.plate_art import front_size
from profiles.text.prose import join_words
from profiles.text.sign_words import set_signs

ANCHORS: dict[Align, Anchor] = {"left": "left", "centre": "middle", "right": "right"}

_BOW_RADIUS, _BOW_HEIGHT, _BOW_HALF, _HEAD_SIZE = 0.42, 0.22, 62.0, 0.3
"""A rotary's arrow in shares of its square: radius, height of the centre, half its angle in
degrees, length of its head."""

_KEY_PITCH = 5.0
_KEY_LETTERING = 2.5
_KEY_COLUMN = 70.0
"""Least width of a column of the key, mm."""
_NOTE_WIDTH = 120.0
"""Most width of a note, so that it is whole on one sheet of any paper, mm."""
_UNDERLINE = 0.2
_SIGN = 5.0
"""Largest sign of a kind, mm; the line under words, in capital heights below the baseline."""

SIGNS: Mapping[type[ControlValue], Callable[[Recorder, Point, float, Style], None]] = {
    Momentary: marks.ring_sign,
    Latching: marks.filled_sign,
    Rotary: marks.double_arrow_sign,
    Selector: marks.steps_sign,
    Hat: marks.cross_sign,
    Axis: marks.slide_sign,
}
"""The sign of each kind of control."""


@dataclass(frozen=True, slots=True)
class LetterStyle:
    """How one application's words differ from another's: weight, and a line under them."""

    face: Face
    underlined: bool = False
    name: str = ""
    """What the key calls it."""


STYLES = (
    LetterStyle(BOLD),
    LetterStyle(REGULAR),
    LetterStyle(REGULAR, True),
    LetterStyle(BOLD, True),
)
"""Styles in the order in which words share a plate."""


def choose_styles(names: Sequence[str]) -> tuple[LetterStyle, ...]:
    """A style for each of these; a single name is set in the regular weight."""
    if len(names) == 1:
        return (LetterStyle(REGULAR, name=names[0]),)
    return tuple(replace(STYLES[number], name=name) for number, name in enumerate(names))


def draw_label(
    board: Recorder, placed: Placed, styles: Sequence[LetterStyle], *, ink: str = BLACK
) -> None:
    """Draw one label, a style for each of its lines, and the arrow of a rotary's direction."""
    words, fit = placed.words, placed.fit
    if placed.leader is not None:
        board.line(*placed.leader, Style(weights.DIMENSION.width, ink))
    x = {"left": words.left, "centre": words.centre[0], "right": words.right}[placed.align]
    for line, baseline, style in zip(fit.lines, placed.baselines, styles, strict=True):
        lettering = Lettering(fit.height, style.face, ink, fit.condense)
        text = Text((x, baseline), line, lettering, ANCHORS[placed.align])
        _draw_words(board, text, style)
    if placed.mark is not None:
        clockwise = ".clockwise" in placed.id
        draw_turn(board, Box(*placed.mark), clockwise=clockwise, ink=ink)


def _draw_words(board: Recorder, text: Text, style: LetterStyle) -> None:
    board.draw(text)
    if style.underlined:
        lettering, (left, baseline) = text.lettering, text.start()
        y = baseline - _UNDERLINE * lettering.cap_height
        line = Style(weights.DIMENSION.width, lettering.ink)
        board.line((left, y), (left + text.width, y), line)


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


def draw_styles(board: Recorder, styles: Sequence[LetterStyle], width: float) -> float:
    """Draw under the plate which lettering is whose, no wider than the plate where words allow.

    Returns the y under which there is room again, mm.
    """
    with board.layer("key"):
        for number, style in enumerate(styles, 1):
            wanted = Lettering(_KEY_LETTERING, style.face)
            fitted = fit_line(f"Row {number}: {style.name}", width, wanted)
            at = (0.0, -_KEY_PITCH * number)
            _draw_words(board, Text(at, fitted.words, fitted.lettering), style)
    return -_KEY_PITCH * (len(styles) + 0.5)


def draw_numbers(board: Recorder, layout: LegendLayout, width: float, low: float = 0.0) -> None:
    """Draw under `low` what the numbers on the plate mean, in as many columns as have room."""
    entries = layout.placement.keyed
    columns = max(1, min(len(entries), int(width / _KEY_COLUMN)))
    step = -(-len(entries) // columns)
    room = max(width / columns, _KEY_COLUMN) - 2.0
    lettering = Lettering(_KEY_LETTERING)
    y = low
    with board.layer("key"):
        for place, placed in enumerate(entries):
            y = y if place % step else low
            words = f"{placed.number} {layout.key_words(placed)}"
            for line in wrap_lines(words, room, lettering):
                y -= _KEY_PITCH
                board.text((place // step * width / columns, y), line, lettering)


def draw_notes(board: Recorder, device: Device, width: float, low: float = 0.0) -> float:
    """Draw under `low` what no label tells: which knob is which where two share an axis, and where
    a key comes out.

    Returns the y under which there is room again, mm.
    """
    lettering, controls = Lettering(_KEY_LETTERING), device.controls
    notes = [
        f"Two knobs on one axis: {set_signs(controls[outer].label)} is the outer one, "
        f"{set_signs(controls[inner].label)} the inner one."
        for inner, outer in device.concentric.items()
    ]
    for control in controls.values():
        if isinstance(control, Selector) and control.key_out:
            names = [
                set_signs(control.labels.get(name_position(n), f"position {n}"))
                for n in control.key_out
            ]
            key = set_signs(control.label)
            notes.append(f"The key of {key} comes out at {join_words(names)} only.")
    with board.layer("key"):
        for note in notes:
            for line in wrap_lines(note, max(_KEY_COLUMN, min(width, _NOTE_WIDTH)), lettering):
                low -= _KEY_PITCH
                board.text((0.0, low), line, lettering)
    return low


def draw_kinds(board: Recorder, device: Device, placed: Sequence[Placed] = ()) -> None:
    """Draw a pale sign into each control: springs back, stays, turns, has steps.

    A control with words inside has none.
    """
    style = Style(weights.HAIR, GREY)
    controls = [each for key, each in device.controls.items() if key not in device.concentric]
    sizes = [min(_SIGN, 0.45 * min(front_size(control))) for control in controls]
    squares = [
        box_around(*control.position, size, size)
        for control, size in zip(controls, sizes, strict=True)
    ]
    near = find_near([*squares, *(label.box for label in placed)], 0.0)
    covered = {first for first, second, _ in near if first < len(controls) <= second}
    with board.layer("kinds"):
        for place, control in enumerate(controls):
            if place not in covered:
                SIGNS[type(control)](board, control.position, sizes[place], style)
