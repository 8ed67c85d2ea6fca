"""True-scale drawings on paper: one sheet where they fit, else tiles and a joining map.

    layout = lay_out(drawing, Frame(A4, TitleBlock("Helm desk")))
    document, losses = bind(layout.sheets, title="Helm desk")

`lay_out` never scales a drawing. `bind` numbers the sheets of one or several layouts, draws their
frames and returns the document for a writer.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from profiles.drawing.document import Document, Page
from profiles.drawing.fitting import wrap_lines
from profiles.drawing.frame import Frame
from profiles.drawing.geometry import Box, moved
from profiles.drawing.recorder import Drawing, Recorder
from profiles.drawing.style import Lettering
from profiles.drawing.surface import Loss, decimal, gather
from profiles.drawing.tiling import OVERLAP, Tiling, draw_map, draw_tile, split

JOINING = (
    "Joining map, not to scale. Print every sheet at 100 %. Cut one of two neighbours along the "
    "thin line through the crosses, lay it on the other so that the crosses meet, and fix it. The "
    "joined {what} must measure {width} mm across and {height} mm up."
)
_WORDS = Lettering(2.5)
_LINE = 5.0


@dataclass(frozen=True, slots=True)
class Sheet:
    """A frame and what is drawn within it, not numbered yet."""

    frame: Frame
    drawing: Drawing
    name: str = ""


@dataclass(frozen=True, slots=True)
class Layout:
    """Sheets of one drawing, and what was left out."""

    sheets: tuple[Sheet, ...]
    losses: tuple[Loss, ...] = ()


def lay_out(
    drawing: Drawing,
    frame: Frame,
    *,
    may_turn: bool = True,
    overlap: float = OVERLAP,
    outline: tuple[float, float] | None = None,
) -> Layout:
    """Return a drawing at true scale on one sheet, or on a map sheet and tiles.

    The paper is turned where that lets the drawing fit, or needs fewer sheets. `outline` is the
    width and height in mm to measure once it is joined; None for those of all lines.
    """
    frames = [frame]
    if may_turn:
        frames.append(replace(frame, paper=frame.paper.turned))
    bounds = drawing.ink_bounds() or Box(0.0, 0.0, 0.0, 0.0)
    for candidate in frames:
        room = candidate.room()
        if bounds.width <= room.width + 1e-9 and bounds.height <= room.height + 1e-9:
            dx, dy = room.centre[0] - bounds.centre[0], room.centre[1] - bounds.centre[1]
            return Layout((Sheet(candidate, drawing.transformed(moved(dx, dy))),))
    rooms = [candidate.room() for candidate in frames]
    tilings = [split(drawing, room.width, room.height, overlap) for room in rooms]
    best = min(range(len(frames)), key=lambda number: len(tilings[number].tiles))
    frame, room, tiling = frames[best], rooms[best], tilings[best]
    map_frame = replace(frame, block=replace(frame.block, tile="map", scale="none"))
    sheets = [Sheet(map_frame, _draw_map(tiling, room, outline), "map")]
    losses = []
    for tile in tiling.tiles:
        if tile.empty:
            losses.append(Loss("sheet", f"part {tile.name} is empty and not printed"))
            continue
        board = Recorder()
        draw_tile(board, tiling, tile, (room.left, room.bottom))
        part = replace(frame, block=replace(frame.block, tile=tile.name))
        sheets.append(Sheet(part, board.finish(), tile.name))
    return Layout(tuple(sheets), tuple(losses))


def bind(
    sheets: Sequence[Sheet], *, title: str = "", subject: str = ""
) -> tuple[Document, tuple[Loss, ...]]:
    """Return a document of numbered sheets, and what their title blocks had to cut off."""
    pages: list[Page] = []
    losses: list[Loss] = []
    for number, sheet in enumerate(sheets, 1):
        board = Recorder()
        losses += sheet.frame.numbered(number, len(sheets)).draw(board)
        board.place(sheet.drawing)
        paper = sheet.frame.paper
        pages.append(Page(paper.width, paper.height, board.finish(), sheet.name))
    return Document(tuple(pages), title, subject), gather(losses)


def _draw_map(tiling: Tiling, room: Box, outline: tuple[float, float] | None) -> Drawing:
    """Return what shows how the tiles join."""
    board = Recorder()
    bounds = tiling.drawing.bounds() or Box(0.0, 0.0, 0.0, 0.0)
    what = "outline" if outline else "drawing"
    width, height = (decimal(length, 1) for length in outline or (bounds.width, bounds.height))
    words = JOINING.format(what=what, width=width, height=height)
    lines = wrap_lines(words, room.width, _WORDS)
    for number, line in enumerate(lines):
        board.text((room.left, room.top - number * _LINE), line, _WORDS, rest="top")
    draw_map(board, tiling, replace(room, top=room.top - len(lines) * _LINE - 3.0))
    return board.finish()
