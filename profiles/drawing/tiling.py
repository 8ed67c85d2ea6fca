"""A drawing larger than a sheet, split into tiles that overlap and join at crosses.

Tiles are named by row and column, rows by letters from the top and columns by numbers from the
left, as the grid of a drawing sheet is (ISO 5457; from memory, which also leaves out I and O).
Every tile shows its part at true scale; the crosses in an overlap stand at the same place of the
drawing on both sheets, on the line along which one of them is cut.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from math import ceil

from profiles.drawing import marks, weights
from profiles.drawing.geometry import Box, Point, moved, scaled
from profiles.drawing.paths import Path, arc, rectangle
from profiles.drawing.recorder import Drawing, Entry, Recorder, Rest
from profiles.drawing.shapes import Circle, Text
from profiles.drawing.style import GREY, PALE, WHITE, Lettering
from profiles.lettering import BOLD

OVERLAP = 12.0
"""Width of the strip two neighbours share, in mm: room for a cross and for glue."""
EMPTY = "empty, not printed"
ROW_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"

_CROSS = 6.0


@dataclass(frozen=True, slots=True)
class Tile:
    """One sheet's part of a drawing."""

    row: int
    column: int
    view: Box
    """The part shown, in the coordinates of the drawing."""
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

    def crosses(self) -> tuple[Point, ...]:
        """Return where the crosses stand, in the coordinates of the drawing."""
        lefts = {tile.column: tile.view for tile in self.tiles}
        rows = {tile.row: tile.view for tile in self.tiles}
        points = [
            (x, y) for x in self.seams_across for v in rows.values() for y in _two(v, up=True)
        ]
        points += [(x, y) for y in self.seams_up for v in lefts.values() for x in _two(v, up=False)]
        return tuple(sorted(points))

    def at(self, row: int, column: int) -> Tile | None:
        """Return the tile at a row and column, None beyond the edge."""
        found = [tile for tile in self.tiles if (tile.row, tile.column) == (row, column)]
        return found[0] if found else None

    @property
    def view(self) -> Box:
        """The box all tiles cover together."""
        first, last = self.tiles[0].view, self.tiles[-1].view
        return first.joined(last)


def split(drawing: Drawing, width: float, height: float, overlap: float = OVERLAP) -> Tiling:
    """Return tiles of `width` by `height` mm that cover a drawing, which is centred on them.

    Raises ValueError where the overlap has no room for a cross or leaves a tile nothing new.
    """
    if overlap < _CROSS or overlap >= min(width, height) / 2:
        raise ValueError(f"overlap must be {_CROSS:g} mm or more and less than half a tile")
    bounds = drawing.ink_bounds() or Box(0.0, 0.0, 0.0, 0.0)
    lefts = _starts(bounds.left, bounds.right, width, overlap)
    bottoms = _starts(bounds.bottom, bounds.top, height, overlap)[::-1]
    tiles = [
        Tile(row, column, Box(left, bottom, left + width, bottom + height))
        for row, bottom in enumerate(bottoms)
        for column, left in enumerate(lefts)
    ]
    marked = tuple(replace(tile, empty=not _touches(drawing, tile.view)) for tile in tiles)
    across = tuple(left + overlap / 2 for left in lefts[1:])
    up = tuple(bottom + overlap / 2 for bottom in bottoms[:-1])
    return Tiling(drawing, marked, across, up)


def draw_tile(board: Recorder, tiling: Tiling, tile: Tile, corner: Point) -> None:
    """Draw one tile at true scale with the lower left of its view at `corner`."""
    place = moved(corner[0] - tile.view.left, corner[1] - tile.view.bottom)
    window = rectangle(tile.view).transformed(place)
    with board.clip(window):
        board.place(tiling.drawing, place)
    with board.carried(place), board.layer("registration"):
        _draw_seams(board, tiling, tile.view)
        for at in tiling.crosses():
            if tile.view.holds(Box(*at, *at)):
                marks.registration_mark(board, at)
        _draw_neighbours(board, tiling, tile)


def draw_map(board: Recorder, tiling: Tiling, room: Box) -> float:
    """Draw the joining map into `room`: all tiles, reduced; return its scale.

    Words of the drawing are left out. Tiles without anything on them are crossed out and marked.
    """
    view = tiling.view
    factor = min(room.width / view.width, room.height / view.height, 1.0)
    to_corner = moved(-view.left, -view.bottom).then(scaled(factor))
    left = room.centre[0] - view.width * factor / 2
    place = to_corner.then(moved(left, room.top - view.height * factor))
    with board.layer("map"):
        board.place(_outlines_only(tiling.drawing), place)
        for tile in tiling.tiles:
            _draw_map_tile(board, tile, rectangle(tile.view).transformed(place).bounds())
    return factor


def _draw_map_tile(board: Recorder, tile: Tile, box: Box) -> None:
    x, y = box.centre
    board.rectangle(box, weights.HOLE)
    height = min(5.0, box.height / 6)
    if tile.empty:
        words = Lettering(max(1.8, height / 3), ink=GREY)
        board.line(box.corners[0], box.corners[2], weights.GUIDE)
        board.line(box.corners[1], box.corners[3], weights.GUIDE)
        half = words.width(EMPTY) / 2
        ground = Box(x - half, y - 2 * height, x + half, y + height / 2).grown(height / 3)
        board.rectangle(ground, weights.fill(WHITE))
        board.text((x, y - 1.5 * height), EMPTY, words, anchor="middle", rest="middle")
    name = Lettering(height, BOLD, GREY)
    half = name.width(tile.name) / 2
    ground = Box(x - half, y - height / 2, x + half, y + height / 2).grown(height / 3)
    board.rectangle(ground, weights.fill(WHITE))
    board.text((x, y), tile.name, name, anchor="middle", rest="middle")


def _starts(low: float, high: float, size: float, overlap: float) -> list[float]:
    """Return where tiles begin so that they cover low to high with the slack shared out."""
    count = max(1, ceil((high - low - overlap) / (size - overlap) - 1e-9))
    covered = count * size - (count - 1) * overlap
    first = low - (covered - (high - low)) / 2
    return [first + number * (size - overlap) for number in range(count)]


def _two(view: Box, *, up: bool) -> tuple[float, float]:
    """Return the quarter points of a view's side."""
    start, length = (view.bottom, view.height) if up else (view.left, view.width)
    return (start + length / 4, start + length * 3 / 4)


def _draw_seams(board: Recorder, tiling: Tiling, view: Box) -> None:
    for x in tiling.seams_across:
        if view.left < x < view.right:
            board.line((x, view.bottom), (x, view.top), weights.GUIDE)
    for y in tiling.seams_up:
        if view.bottom < y < view.top:
            board.line((view.left, y), (view.right, y), weights.GUIDE)


def _draw_neighbours(board: Recorder, tiling: Tiling, tile: Tile) -> None:
    """Write just outside each joining side which sheet goes there."""
    view, (x, y) = tile.view, tile.view.centre
    sides: tuple[tuple[int, int, Point, float, Rest], ...] = (
        (0, 1, (view.right + 1.0, y), -90.0, "baseline"),
        (0, -1, (view.left - 1.0, y), 90.0, "baseline"),
        (-1, 0, (x, view.top + 1.0), 0.0, "baseline"),
        (1, 0, (x, view.bottom - 1.0), 0.0, "top"),
    )
    lettering = Lettering(1.8, ink=GREY)
    for down, right, at, angle, rest in sides:
        other = tiling.at(tile.row + down, tile.column + right)
        if other:
            words = f"joins {other.name}" + (" (empty)" if other.empty else "")
            board.text(at, words, lettering, anchor="middle", angle=angle, rest=rest)


def _outlines_only(drawing: Drawing) -> Drawing:
    """Return the drawing without words, its lines thin and pale: a background for the map."""
    return Drawing(tuple(_paled(entry) for entry in drawing.entries if _is_outline(entry)))


def _is_outline(entry: Entry) -> bool:
    return not isinstance(entry.shape, Text) and entry.shape.style.width is not None


def _paled(entry: Entry) -> Entry:
    shape = entry.shape
    if isinstance(shape, Text):
        return entry
    return replace(entry, shape=replace(shape, style=replace(weights.GUIDE, fill=_pale(entry))))


def _pale(entry: Entry) -> str | None:
    filled = not isinstance(entry.shape, Text) and entry.shape.style.fill not in (None, WHITE)
    return PALE if filled else None


def _touches(drawing: Drawing, view: Box) -> bool:
    """Tell whether any line, fill or word of a drawing falls into a view."""
    return any(_entry_touches(entry, view) for entry in drawing.entries)


def _entry_touches(entry: Entry, view: Box) -> bool:
    shape = entry.shape
    if not shape.ink_bounds().meets(view):
        return False
    if isinstance(shape, Text) or shape.style.fill is not None:
        return True
    path = _circle_path(shape) if isinstance(shape, Circle) else shape.path
    grown = view.grown(shape.style.half_width)
    return any(_crosses_box(start, end, grown) for start, end in _edges(path))


def _circle_path(circle: Circle) -> Path:
    return arc(circle.centre, circle.diameter / 2, 0.0, 360.0)


def _edges(path: Path) -> Iterator[tuple[Point, Point]]:
    points = path.flattened(0.05)
    yield from pairwise([*points, points[0]] if path.closed else points)


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
