"""Labels drawn where the layout put them, arrows of rotaries, and the key of several titles."""

from collections.abc import Sequence

from profiles.drawing import weights
from profiles.drawing.geometry import Box, moved, point_at, turned
from profiles.drawing.paths import polyline
from profiles.drawing.recorder import Recorder
from profiles.drawing.shapes import Anchor
from profiles.drawing.style import BLACK, Lettering, Style
from profiles.lettering import Face
from profiles.plate.wanted import Align, Placed

ANCHORS: dict[Align, Anchor] = {"left": "left", "centre": "middle", "right": "right"}

_BOW_RADIUS, _BOW_HEIGHT, _BOW_HALF, _HEAD_SIZE = 0.42, 0.22, 62.0, 0.3
"""A rotary's arrow in shares of its square: radius, height of the centre, half its angle in
degrees, length of its head."""

_KEY_PITCH = 5.0
_KEY_LETTERING = 2.5


def draw_label(
    board: Recorder,
    placed: Placed,
    face: Face,
    *,
    ink: str = BLACK,
    underlined: bool = False,
) -> None:
    """Draw one label's lines, and the arrow of a rotary's direction."""
    lettering = Lettering(placed.fit.height, face, ink, placed.fit.condense)
    words = placed.words
    x = {"left": words.left, "centre": words.centre[0], "right": words.right}[placed.align]
    for line, baseline in zip(placed.fit.lines, placed.baselines, strict=True):
        board.text((x, baseline), line, lettering, anchor=ANCHORS[placed.align])
    if underlined:
        low = placed.baselines[-1] - 0.2 * placed.fit.height
        board.line((words.left, low), (words.right, low), weights.DIMENSION)
    if placed.mark is not None:
        _draw_turn(board, Box(*placed.mark), placed.id)


def _draw_turn(board: Recorder, box: Box, label: str) -> None:
    """Draw a bent arrow into a square: which way to turn."""
    clockwise = ".clockwise" in label
    lean = -1.0 if clockwise else 1.0
    radius = box.width * _BOW_RADIUS
    centre = (box.centre[0], box.bottom + box.height * _BOW_HEIGHT)
    start = 90.0 - lean * _BOW_HALF
    board.arc(centre, radius, start, lean * 2 * _BOW_HALF, Style(weights.NARROW))
    tip_angle = 90.0 + lean * _BOW_HALF
    size = box.width * _HEAD_SIZE
    head = ((size, 0.0), (-size / 2, size * 0.6), (-size / 2, -size * 0.6))
    place = turned(tip_angle + lean * 90.0).then(moved(*point_at(centre, radius, tip_angle)))
    board.path(polyline(head, closed=True).transformed(place), weights.fill())


def draw_key(board: Recorder, names: Sequence[str], faces: Sequence[Face], width: float) -> None:
    """Draw under the plate which lettering is which title's."""
    with board.layer("key"):
        for number, name in enumerate(names):
            lettering = Lettering(_KEY_LETTERING, faces[number])
            y = -_KEY_PITCH * (number + 1)
            words = f"{number + 1}  {name}"
            board.text((0.0, y), words, lettering)
            if number == 2:
                end = min(width, lettering.width(words))
                board.line((0.0, y - 0.6), (end, y - 0.6), weights.DIMENSION)
