"""A drawing larger than a sheet, split into tiles that overlap and join at crosses.

Tiles are named by row and column, rows by letters from the top and columns by numbers from the
left, as the grid of a drawing sheet is, which also leaves out I and O (ISO 5457; unverified).
Every tile shows its part at true scale; the crosses in an overlap are at the same place of the
drawing on both sheets, on the line along which one of them is cut.
"""

from dataclasses import dataclass, replace
from itertools import pairwise

from profiles.drawing import marks, weights
from profiles.drawing.geometry import Box, Point, moved, scaled
from profiles.drawing.paths import arc, rectangle
from profiles.drawing.recorder import Drawing, Entry, Recorder, Rest
from profiles.drawing.seams import place_views
from profiles.drawing.shapes import Shape, Stroke, Text
from profiles.drawing.style import GREY, PALE, WHITE, Lettering
from profiles.lettering import BOLD

OVERLAP = 12.0
"""Width of the strip two neighbours share, in mm: room for a cross and for glue."""
EMPTY = "empty, not printed"
WORDY = frozenset({"legends", "key"})
"""Layers whose lines mean nothing without their words."""
ROW_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"

_CROSS = 6.0
_SHARES = (1 / 4, 3 / 4)


@dataclass(frozen=True, slots=True)
class Tile:
    """One sheet's part of a drawing."""

    row: int
    column: int
    view: Box
    """The part shown, in the coordinates of the drawing."""
    entries: tuple[Entry, ...] = ()
    """What of the drawing may reach into the view."""
    empty: bool = False
    """Nothing of the drawing falls on it."""

    @property
    def name(self) -> str:
        """Row letter and column number, such as B2; rows after Z are AA and on."""
        lead, last = divmod(self.row, len(ROW_LETTERS))
        letters = (ROW_LETTERS[lead - 1] if lead else "") + ROW_LETTERS[last]
        return f"{letters}{self.column + 1}"


@dataclass(frozen=True, slots=True)
class Tiling:
    """A drawing and the tiles that cover it, row by row from the upper left."""

    drawing: Drawing
    tiles: tuple[Tile, ...]
    seams_across: tuple[float, ...]
    """x of the upright lines at which columns join."""
    seams_up: tuple[float, ...]
    """y of the level lines at which rows join."""
    crosses: tuple[Point, ...]
    """Where the crosses are, in the coordinates of the drawing."""

    def at(self, row: int, column: int) -> Tile | None:
        """Return the tile at a row and column, None beyond the edge."""
        rows, columns = len(self.seams_up) + 1, len(self.seams_across) + 1
        is_there = 0 <= row < rows and 0 <= column < columns
        return self.tiles[row * columns + column] if is_there else None

    @property
    def view(self) -> Box:
        """The box all tiles cover together."""
        first, last = self.tiles[0].view, self.tiles[-1].view
        return first.joined(last)


def split(drawing: Drawing, width: float, height: float, overlap: float = OVERLAP) -> Tiling:
    """Return tiles of at most `width` by `height` mm that cover a drawing.

    They meet between its circles, closed lines and words, and each of these is whole on a tile if
    it fits. Raises ValueError where the overlap has no room for a cross or leaves a tile nothing
    new.
    """
    if overlap < _CROSS or overlap >= min(width, height) / 2:
        raise ValueError(f"overlap must be {_CROSS:g} mm or more and less than half a tile")
    bounds = drawing.ink_bounds() or Box(0.0, 0.0, 0.0, 0.0)
    inks = [(entry, entry.shape.ink_bounds()) for entry in drawing.entries]
    whole = [ink for entry, ink in inks if _is_one(entry.shape)]
    columns = place_views(
        (bounds.left, bounds.right), width, overlap, [(box.left, box.right) for box in whole]
    )
    rows = place_views(
        (bounds.bottom, bounds.top), height, overlap, [(box.bottom, box.top) for box in whole]
    )
    tiles = []
    for row, (bottom, top) in enumerate(rows.views[::-1]):
        strip = Box(bounds.left, bottom, bounds.right, top)
        in_row = [(entry, ink) for entry, ink in inks if ink.meets(strip)]
        for column, (left, right) in enumerate(columns.views):
            view = Box(left, bottom, right, top)
            near = tuple(entry for entry, ink in in_row if ink.meets(view))
            is_empty = not any(_touches(entry, view) for entry in near)
            tiles.append(Tile(row, column, view, near, is_empty))
    across, up = columns.seams, rows.seams[::-1]
    ups = [bottom + (top - bottom) * share for bottom, top in rows.views for share in _SHARES]
    lefts = [left + (right - left) * share for left, right in columns.views for share in _SHARES]
    points = {(x, y) for x in across for y in ups} | {(x, y) for y in up for x in lefts}
    return Tiling(drawing, tuple(tiles), across, up, tuple(sorted(points)))


def _is_one(shape: Shape) -> bool:
    """Whether a shape means something only as a whole: all but lines that go on."""
    if isinstance(shape, Stroke):
        return shape.path.closed or shape.style.fill is not None
    return True


def draw_tile(board: Recorder, tiling: Tiling, tile: Tile, corner: Point) -> None:
    """Draw one tile at true scale with the lower left of its view at `corner`.

    Just outside each joining side it says which sheet goes there.
    """
    view, (x, y) = tile.view, tile.view.centre
    place = moved(corner[0] - view.left, corner[1] - view.bottom)
    with board.clip(rectangle(view).transformed(place)):
        board.place(Drawing(tile.entries), place)
    sides: tuple[tuple[int, int, Point, float, Rest], ...] = (
        (0, 1, (view.right + 1.0, y), -90.0, "baseline"),
        (0, -1, (view.left - 1.0, y), 90.0, "baseline"),
        (-1, 0, (x, view.top + 1.0), 0.0, "baseline"),
        (1, 0, (x, view.bottom - 1.0), 0.0, "top"),
    )
    with board.carried(place), board.layer("registration"):
        for seam in tiling.seams_across:
            if view.left < seam < view.right:
                board.line((seam, view.bottom), (seam, view.top), weights.GUIDE)
        for seam in tiling.seams_up:
            if view.bottom < seam < view.top:
                board.line((view.left, seam), (view.right, seam), weights.GUIDE)
        for at in tiling.crosses:
            if view.holds(Box(*at, *at)):
                marks.registration_mark(board, at)
        for down, right, at, angle, rest in sides:
            other = tiling.at(tile.row + down, tile.column + right)
            if other:
                words = f"joins {other.name}" + (" (empty)" if other.empty else "")
                small = Lettering(1.8, ink=GREY)
                board.text(at, words, small, anchor="middle", angle=angle, rest=rest)


def draw_map(board: Recorder, tiling: Tiling, room: Box) -> float:
    """Draw the joining map into `room`: all tiles, reduced; return its scale.

    The drawing is a background of thin, pale lines, without its words and what is beside them.
    Tiles without anything on them are crossed out and marked.
    """
    view = tiling.view
    factor = min(room.width / view.width, room.height / view.height, 1.0)
    to_corner = moved(-view.left, -view.bottom).then(scaled(factor))
    left = room.centre[0] - view.width * factor / 2
    place = to_corner.then(moved(left, room.top - view.height * factor))
    outlines = []
    for entry in tiling.drawing.entries:
        shape = entry.shape
        if isinstance(shape, Text) or shape.style.width is None or entry.layer in WORDY:
            continue
        fill = None if shape.style.fill in (None, WHITE) else PALE
        style = replace(weights.GUIDE, fill=fill)
        outlines.append(replace(entry, shape=replace(shape, style=style)))
    with board.layer("map"):
        board.place(Drawing(tuple(outlines)), place)
        for tile in tiling.tiles:
            box = rectangle(tile.view).transformed(place).bounds()
            (x, y), height = box.centre, min(5.0, box.height / 6)
            board.rectangle(box, weights.HOLE)
            notes = [(tile.name, Lettering(height, BOLD, GREY), height / 2, 0.0)]
            if tile.empty:
                board.line(box.corners[0], box.corners[2], weights.GUIDE)
                board.line(box.corners[1], box.corners[3], weights.GUIDE)
                small = Lettering(max(1.8, height / 3), ink=GREY)
                notes.insert(0, (EMPTY, small, 2 * height, 1.5 * height))
            for words, lettering, low, drop in notes:
                half = lettering.width(words) / 2
                patch = Box(x - half, y - low, x + half, y + height / 2).grown(height / 3)
                board.rectangle(patch, weights.fill(WHITE))
                board.text((x, y - drop), words, lettering, anchor="middle", rest="middle")
    return factor


def _touches(entry: Entry, view: Box) -> bool:
    """Tell whether a line, fill or word, whose box meets a view, falls into it."""
    shape = entry.shape
    if isinstance(shape, Text) or shape.style.fill is not None:
        return True
    path = (
        shape.path if isinstance(shape, Stroke) else arc(shape.centre, shape.diameter / 2, 0, 360)
    )
    points = path.flattened(0.05)
    edges = pairwise([*points, points[0]] if path.closed else points)
    grown = view.grown(shape.style.half_width)
    return any(_crosses_box(start, end, grown) for start, end in edges)


def _crosses_box(start: Point, end: Point, box: Box) -> bool:
    """Tell whether a straight line has a point in a box (Liang and Barsky's clipping)."""
    low, high = 0.0, 1.0
    for axis, near, far in ((0, box.left, box.right), (1, box.bottom, box.top)):
        step = end[axis] - start[axis]
        if abs(step) < 1e-12:
            if not near <= start[axis] <= far:
                return False
            continue
        enter, leave = sorted(((near - start[axis]) / step, (far - start[axis]) / step))
        low, high = max(low, enter), min(high, leave)
    return low <= high
