"""True-scale drawings on paper: one sheet where they fit, else tiles and a joining map.

    layout = lay_out(drawing, Frame(A4, TitleBlock("Helm desk")))
    document, losses = bind(layout.sheets, title="Helm desk")

`lay_out` never scales a drawing. `bind` numbers the sheets of one or several layouts, draws their
frames and returns the document for a writer.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from profiles.drawing.document import Document, Page
from profiles.drawing.fitting import fit_line, wrap_lines
from profiles.drawing.frame import Frame
from profiles.drawing.geometry import Box, moved
from profiles.drawing.recorder import Drawing, Recorder
from profiles.drawing.shapes import Text
from profiles.drawing.style import Lettering
from profiles.drawing.surface import Loss, decimal, gather, judge_pages
from profiles.drawing.tiling import OVERLAP, Tiling, draw_map, draw_tile, split
from profiles.drawing.titleblock import is_sheet_caption

JOINING = (
    "Joining map, not to scale. Print every sheet at 100 %. Cut one of two neighbours along the "
    "thin line through the crosses, lay it on the other so that the crosses meet, and fix it. The "
    "joined {what} must measure {width} mm across and {height} mm up."
)
_WORDS = Lettering(2.5)
_LINE = 5.0
_APART = 8.0
"""Least clear space between a drawing and what stands under it, mm."""
_LEAST_MAP = 90.0
"""Least height of the map with its words, mm."""


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
    has_foot: bool = False
    """Whether what was to stand at the foot has room there."""


def lay_out(
    drawing: Drawing,
    frame: Frame,
    *,
    may_turn: bool = True,
    overlap: float = OVERLAP,
    outline: tuple[float, float] | None = None,
    foot: Drawing | None = None,
) -> Layout:
    """Return a drawing at true scale on one sheet, or on a map sheet and tiles.

    The paper is turned where that lets the drawing fit, or needs fewer sheets. What the frame says
    for all, such as cautions, is on the map and not on the tiles. `outline` is the width and height
    in mm to measure once it is joined; None for those of all lines. `foot` is drawn under
    the drawing or the map, if it has room there and the paper is not turned.

    Raises:
        TooLargeError: where it needs more sheets than a document may have.
    """
    bounds = drawing.ink_bounds() or Box(0.0, 0.0, 0.0, 0.0)
    under = foot.ink_bounds() if foot else None
    chosen = find_frame(bounds, frame, may_turn=may_turn)
    if chosen is not None:
        room = chosen.room()
        upper = _above(room, under if chosen is frame else None, bounds.height)
        (x, y), (left, up) = (upper or room).centre, bounds.centre
        placed = drawing.transformed(moved(x - left, y - up))
        return Layout(
            (Sheet(chosen, _join(placed, room, foot if upper else None)),),
            (),
            upper is not None,
        )
    frames = _turns(frame, may_turn=may_turn)
    bare = [candidate.bare() for candidate in frames]
    rooms = [candidate.room() for candidate in bare]
    tilings = [split(drawing, room.width, room.height, overlap) for room in rooms]
    printed = [sum(not tile.empty for tile in tiling.tiles) for tiling in tilings]
    best = min(range(len(frames)), key=printed.__getitem__)
    judge_pages(1 + printed[best], len(drawing.entries))
    tile_frame, room, tiling = bare[best], rooms[best], tilings[best]
    map_frame = replace(frame, block=replace(frame.block, tile="map", scale="none"))
    whole = map_frame.room()
    upper = _above(whole, under, _LEAST_MAP)
    joining = _draw_map(tiling, upper or whole, outline)
    sheets = [Sheet(map_frame, _join(joining, whole, foot if upper else None), "map")]
    losses = []
    for tile in tiling.tiles:
        if tile.empty:
            losses.append(Loss("sheet", f"part {tile.name} is empty and not printed"))
            continue
        board = Recorder()
        draw_tile(board, tiling, tile, (room.left, room.bottom))
        part = replace(tile_frame, block=replace(tile_frame.block, tile=tile.name))
        sheets.append(Sheet(part, board.finish(), tile.name))
    return Layout(tuple(sheets), tuple(losses), upper is not None)


def find_frame(bounds: Box, frame: Frame, *, may_turn: bool = True) -> Frame | None:
    """Return the frame, turned or not, on which a box has room at true scale; None if on none."""
    for each in _turns(frame, may_turn=may_turn):
        room = each.room()
        if bounds.width <= room.width + 1e-9 and bounds.height <= room.height + 1e-9:
            return each
    return None


def _turns(frame: Frame, *, may_turn: bool) -> list[Frame]:
    return [frame, *([replace(frame, paper=frame.paper.turned)] if may_turn else [])]


def _above(room: Box, under: Box | None, least: float) -> Box | None:
    """The room over what stands at the foot; None where that leaves less than the least height."""
    if under is None or room.height - under.height - _APART < least:
        return None
    return replace(room, bottom=room.bottom + under.height + _APART)


def _join(drawing: Drawing, room: Box, foot: Drawing | None) -> Drawing:
    """A drawing with what stands at the foot of the room."""
    under = foot.ink_bounds() if foot else None
    if foot is None or under is None:
        return drawing
    lower = foot.transformed(moved(0.0, room.bottom - under.bottom))
    return Drawing((*drawing.entries, *lower.entries))


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


def renumber(pages: Sequence[Page]) -> tuple[Page, ...]:
    """Return the pages of several documents, their title blocks numbered through.

    A longer number is condensed into the room of the shorter one.
    """
    found = []
    for number, page in enumerate(pages, 1):
        entries = list(page.drawing.entries)
        for place, (before, entry) in enumerate(pairwise(page.drawing.entries), 1):
            shape = entry.shape
            if isinstance(shape, Text) and is_sheet_caption(before):
                fitted = fit_line(f"{number} of {len(pages)}", shape.width + 1.0, shape.lettering)
                shape = replace(shape, words=fitted.words, lettering=fitted.lettering)
                entries[place] = replace(entry, shape=shape)
        found.append(replace(page, drawing=Drawing(tuple(entries))))
    return tuple(found)


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
