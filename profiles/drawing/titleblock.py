"""The title block: what the sheet is, its scale and unit, its date and number.

One strip across the foot of a sheet. Its fields are among those ISO 7200 asks of a title block
(title, supplementary title, date of issue, sheet number); scale, unit and view stand beside them.
"""

from dataclasses import dataclass

from profiles.drawing import weights
from profiles.drawing.fitting import fit_line
from profiles.drawing.geometry import Box
from profiles.drawing.recorder import Recorder
from profiles.drawing.style import GREY, Lettering
from profiles.drawing.surface import Loss
from profiles.lettering import BOLD

HEIGHT = 13.0
"""Height of the strip in mm."""

_PAD = 2.0
_EDGE = 4.0
_CAPTION = Lettering(1.5, ink=GREY)
_VALUE = Lettering(2.5)
_TITLE = Lettering(3.5, BOLD)
_SUBTITLE = Lettering(2.2)


@dataclass(frozen=True, slots=True)
class TitleBlock:
    """The words of a title block; empty fields are left out."""

    title: str
    subtitle: str = ""
    date: str = ""
    view: str = ""
    """Which side is seen, such as `from the front`."""
    tile: str = ""
    """Name of the part shown, where a drawing is spread over several sheets."""
    scale: str = "1:1"
    unit: str = "mm"
    number: int = 1
    count: int = 1

    def cells(self) -> list[tuple[str, str]]:
        """Return caption and value of the small fields, left to right."""
        sheet = f"{self.number} of {self.count}"
        named = [
            ("Part", self.tile),
            ("View", self.view),
            ("Scale", self.scale),
            ("Unit", self.unit),
            ("Date", self.date),
            ("Sheet", sheet),
        ]
        return [(caption, value) for caption, value in named if value]


def draw_title_block(board: Recorder, box: Box, block: TitleBlock) -> list[Loss]:
    """Draw the block into `box` on layer `titleblock`; return what had to be cut off."""
    with board.layer("titleblock"):
        board.rectangle(box, weights.OUTLINE)
        right = box.right
        for caption, value in reversed(block.cells()):
            right = _draw_cell(board, Box(box.left, box.bottom, right, box.top), caption, value)
        return _draw_titles(board, Box(box.left, box.bottom, right, box.top), block)


def _draw_cell(board: Recorder, room: Box, caption: str, value: str) -> float:
    """Draw a cell at the right end of `room` and return its left edge."""
    width = max(_CAPTION.width(caption), _VALUE.width(value)) + 2 * _PAD
    left = room.right - width
    board.line((left, room.bottom), (left, room.top), weights.DIMENSION)
    board.text((left + _PAD, room.top - 2.0), caption, _CAPTION, rest="top")
    board.text((left + _PAD, room.bottom + 3.2), value, _VALUE)
    return left


def _draw_titles(board: Recorder, room: Box, block: TitleBlock) -> list[Loss]:
    losses = []
    rows = ((block.title, _TITLE, 7.2), (block.subtitle, _SUBTITLE, 2.4))
    if not block.subtitle:
        rows = ((block.title, _TITLE, (HEIGHT - _TITLE.cap_height) / 2), rows[1])
    for words, lettering, rise in rows:
        fitted = fit_line(words, room.width - _EDGE - _PAD, lettering)
        board.text((room.left + _EDGE, room.bottom + rise), fitted.words, fitted.lettering)
        if fitted.cut:
            losses.append(Loss("text", f'title block shows "{fitted.words}" for "{words}"'))
    return losses
