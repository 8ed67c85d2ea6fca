"""The title block: what the sheet is, its scale and unit, its date and number.

One strip across the foot of a sheet. Its fields are among those ISO 7200 asks of a title block
(title, supplementary title, date of issue, sheet number); scale, unit and view are beside them, and
what a workshop asks for (material, revision) in rows above.
"""

from dataclasses import dataclass, replace

from profiles.drawing import weights
from profiles.drawing.fitting import fit_line
from profiles.drawing.geometry import Box
from profiles.drawing.recorder import Entry, Recorder
from profiles.drawing.shapes import Text
from profiles.drawing.style import GREY, Lettering
from profiles.drawing.surface import Loss
from profiles.lettering import BOLD
from profiles.text.inert import escape_controls

HEIGHT = 13.0
"""Height of the strip in mm, without rows of details."""
ROW = 9.0
"""Height of a row of details in mm."""

_PAD = 2.0
_EDGE = 4.0
_SHEET = "Sheet"
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
    details: tuple[tuple[str, str], ...] = ()
    """Captions and values in rows above the rest."""

    def height(self, width: float) -> float:
        """Return the height in mm that the block takes at a width."""
        return HEIGHT + ROW * len(self.rows(width))

    def rows(self, width: float) -> list[list[tuple[str, str, float]]]:
        """Return the details in rows, each with the width of its cell, mm."""
        rows: list[list[tuple[str, str, float]]] = []
        used = width
        for caption, value in self.details:
            cell = min(width, max(_CAPTION.width(caption), _VALUE.width(value)) + 2 * _PAD)
            if used + cell > width:
                rows.append([])
                used, cell = 0.0, min(width, cell + _EDGE - _PAD)
            rows[-1].append((caption, value, cell))
            used += cell
        return rows

    def cells(self) -> list[tuple[str, str]]:
        """Return caption and value of the small fields, left to right."""
        sheet = f"{self.number} of {self.count}"
        named = [
            ("Part", self.tile),
            ("View", self.view),
            ("Scale", self.scale),
            ("Unit", self.unit),
            ("Date", self.date),
            (_SHEET, sheet),
        ]
        return [(caption, value) for caption, value in named if value]


def draw_title_block(board: Recorder, box: Box, block: TitleBlock) -> list[Loss]:
    """Draw the block into `box` on layer `titleblock`; return what had to be cut off."""
    losses = []
    with board.layer("titleblock"):
        board.rectangle(box, weights.OUTLINE)
        top = box.top
        for row in block.rows(box.width):
            left, top = box.left, top - ROW
            board.line((box.left, top), (box.right, top), weights.DIMENSION)
            for caption, value, width in row:
                if left > box.left:
                    board.line((left, top), (left, top + ROW), weights.DIMENSION)
                start = left + (_PAD if left > box.left else _EDGE)
                fitted = fit_line(value, left + width - _PAD - start + 0.01, _VALUE)
                board.text((start, top + ROW - 1.8), caption, _CAPTION, rest="top")
                board.text((start, top + 2.2), fitted.words, fitted.lettering)
                if fitted.cut:
                    losses.append(_tell_cut(fitted.words, value))
                left += width
        box = replace(box, top=top)
        right = box.right
        for caption, value in reversed(block.cells()):
            right -= max(_CAPTION.width(caption), _VALUE.width(value)) + 2 * _PAD
            board.line((right, box.bottom), (right, box.top), weights.DIMENSION)
            board.text((right + _PAD, box.top - 2.0), caption, _CAPTION, rest="top")
            board.text((right + _PAD, box.bottom + 3.2), value, _VALUE)
        rise = 7.2 if block.subtitle else (HEIGHT - _TITLE.cap_height) / 2
        room = right - box.left - _EDGE - _PAD
        for words, lettering, up in ((block.title, _TITLE, rise), (block.subtitle, _SUBTITLE, 2.4)):
            fitted = fit_line(words, room, lettering)
            board.text((box.left + _EDGE, box.bottom + up), fitted.words, fitted.lettering)
            if fitted.cut:
                losses.append(_tell_cut(fitted.words, words))
    return losses


def is_sheet_caption(entry: Entry) -> bool:
    """Whether this is the caption after which the number of the sheet comes."""
    shape = entry.shape
    is_caption = isinstance(shape, Text) and shape.lettering == _CAPTION and shape.words == _SHEET
    return is_caption and entry.layer == "titleblock"


def _tell_cut(shown: str, words: str) -> Loss:
    return Loss("text", f'title block shows "{shown}" for "{escape_controls(words)}"')
