"""Terminal writer: a drawing as cells of braille or block dots with its words as real letters.

`render_cells` is pure and returns characters with the layer they belong to, so a screen can give
layers their own look. A terminal shows proportions, never true scale: `PROPORTIONS` says so.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from math import ceil, floor

from profiles.drawing.geometry import Box, Point, box_around
from profiles.drawing.paths import Path, arc
from profiles.drawing.recorder import Drawing, Entry, replay
from profiles.drawing.shapes import Text
from profiles.drawing.style import WHITE, Style
from profiles.drawing.surface import Loss, Written, gather, missing_letters
from profiles.text.sign_words import say_signs

CANNOT = (
    "true scale: a terminal shows proportions only",
    "line widths, dashes and inks",
    "turned, mirrored and condensed words: they are set level at their place",
)
PROPORTIONS = "Proportions only: a terminal never shows true scale."

Cell = tuple[str, str]
"""One character and the name of the layer it shows ("" for none)."""

Dot = tuple[int, int]
"""Column and row of a dot, from the upper left."""


@dataclass(frozen=True, slots=True)
class DotSet:
    """How many dots a cell has, and the character for a set of them."""

    columns: int
    rows: int
    character: Callable[[frozenset[Dot]], str]


_BRAILLE_DOTS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
"""Bits of a braille pattern by row and column (Unicode 8.0, 2800 to 28FF)."""

BRAILLE = DotSet(2, 4, lambda dots: chr(0x2800 + sum(_BRAILLE_DOTS[y][x] for x, y in dots)))
HALF_BLOCKS = DotSet(1, 2, lambda dots: "█" if len(dots) == 2 else "▀" if (0, 0) in dots else "▄")


@dataclass(frozen=True, slots=True)
class CellPicture:
    """Rows of cells, all of one length, and what they do not show."""

    rows: tuple[tuple[Cell, ...], ...]
    mm_per_column: float
    losses: tuple[Loss, ...] = ()

    def lines(self) -> list[str]:
        """Return the characters row by row, without idle spaces at the ends."""
        return ["".join(letter for letter, _ in row).rstrip() for row in self.rows]


def render_cells(
    drawing: Drawing,
    columns: int,
    rows: int | None = None,
    *,
    cell_aspect: float = 2.0,
    dots: DotSet = BRAILLE,
) -> CellPicture:
    """Return a drawing fitted into at most `columns` by `rows` cells, its proportions kept.

    `cell_aspect` is the height of a cell over its width. Without `rows` the height follows.
    """
    drawing = Drawing(tuple(map(_say_words, drawing.entries)))
    lines = Drawing(tuple(e for e in drawing.entries if not isinstance(e.shape, Text)))
    bounds = lines.bounds() or drawing.bounds() or Box(0.0, 0.0, 1.0, 1.0)
    mm = bounds.width / columns
    if rows is not None:
        mm = max(mm, bounds.height / (rows * cell_aspect))
    mm = mm or 1.0
    # at least one cell; a rounding error takes none
    across, up = (
        max(1, ceil(length / cell - 1e-6))
        for length, cell in ((bounds.width, mm), (bounds.height, mm * cell_aspect))
    )
    surface = CellSurface(bounds, mm, mm * cell_aspect, (across, up), dots)
    replay(drawing, surface)
    return CellPicture(surface.cells(), mm, gather(surface.losses))


def _say_words(entry: Entry) -> Entry:
    """An entry with signs in words, which cells have room for."""
    if not isinstance(entry.shape, Text):
        return entry
    return replace(entry, shape=replace(entry.shape, words=say_signs(entry.shape.words)))


def write_terminal(drawing: Drawing, columns: int = 80) -> Written:
    """Return a drawing as lines of text in UTF-8, with the note that it is not to scale."""
    picture = render_cells(drawing, columns)
    text = "\n".join([*picture.lines(), PROPORTIONS, ""])
    return Written(text.encode("utf-8"), picture.losses)


class CellSurface:
    """A grid of cells as a `Surface`."""

    def __init__(
        self, bounds: Box, width: float, height: float, size: tuple[int, int], dots: DotSet
    ) -> None:
        self.losses: list[Loss] = []
        self._bounds, self._size, self._dot_set = bounds, size, dots
        self._cell = (width, height)
        self._dots: dict[Dot, str] = {}
        self._words: dict[Dot, Cell] = {}
        self._set: list[tuple[range, int, float]] = []
        """Columns and row of each text, and how high up it is wanted, mm."""
        self._layer = ""
        self._masks: list[frozenset[Dot]] = []

    def cells(self) -> tuple[tuple[Cell, ...], ...]:
        """Return the rows of cells drawn so far: words over dots."""
        groups: dict[Dot, dict[Dot, str]] = {}
        for (x, y), layer in self._dots.items():
            column, right = divmod(x, self._dot_set.columns)
            row, down = divmod(y, self._dot_set.rows)
            groups.setdefault((column, row), {})[(right, down)] = layer
        cells = {
            place: (self._dot_set.character(frozenset(dots)), max(dots.values()))
            for place, dots in groups.items()
        }
        cells |= self._words
        columns, rows = self._size
        return tuple(
            tuple(cells.get((column, row), (" ", "")) for column in range(columns))
            for row in range(rows)
        )

    def draw_path(self, path: Path, style: Style) -> None:
        """Draw the dots of a path; a white fill clears what is under it."""
        points = [self._dot_place(point) for point in path.flattened(self._cell[0] / 8)]
        if style.fill is not None:
            self._put(_inside(points), clear=style.fill == WHITE)
        if style.width is not None:
            self._put(_along(points, closed=path.closed))

    def draw_circle(self, centre: Point, diameter: float, style: Style) -> None:
        """Draw the dots of a circle."""
        self.draw_path(arc(centre, diameter / 2, 0.0, 360.0), style)

    def draw_text(self, text: Text) -> None:
        """Put the letters of a text into cells around its middle or beside its anchor.

        They are moved inwards where they would leave the picture, and to the row below or above
        where they would meet other letters, below what is meant to be above where that is possible.
        """
        self.losses += missing_letters(text.lettering.face, text.words)
        words = text.lettering.face.shown(text.words)
        box, (columns, rows) = box_around(text.cap_corners()), self._size
        share = {"left": 0.0, "middle": 0.5, "right": 1.0}[text.anchor]
        if text.angle or text.reversed:
            share = 0.5
        at = box.left + share * box.width - self._bounds.left
        start = round(at / self._cell[0] - share * len(words))
        start = min(max(start, 0), max(0, columns - len(words)))
        row = floor((self._bounds.top - box.centre[1]) / self._cell[1])
        span, high = range(start, start + len(words)), box.centre[1]
        levels = dict.fromkeys(min(max(row + by, 0), rows - 1) for by in (0, 1, -1, 2, -2))
        free = [
            level
            for level in levels
            if span.stop <= columns and self._words.keys().isdisjoint((at, level) for at in span)
        ]
        near = [level for level in free if abs(level - row) < 2]
        kept = (level for level in free if near and self._keeps_order(span, level, high))
        level = next(kept, next(iter(near), None))
        if level is not None:
            self._words.update(
                {(at, level): (one, self._layer) for at, one in zip(span, words, strict=True)}
            )
            self._set.append((span, level, high))
            return
        self.losses.append(Loss("text", f'no room for "{words}" in the terminal picture'))

    def _keeps_order(self, span: range, level: int, high: float) -> bool:
        """Whether a text in a row is below those of its columns that are meant to be above it, and
        above the others."""
        return all(
            (level - row) * round(height - high, 3) >= 0
            for other, row, height in self._set
            if max(span.start, other.start) < min(span.stop, other.stop)
        )

    def open_layer(self, name: str) -> None:
        """Give what follows a layer name."""
        self._layer = name

    def close_layer(self) -> None:
        """End the layer."""
        self._layer = ""

    def open_clip(self, path: Path) -> None:
        """Keep only the dots within a path; words are shown whole."""
        points = [self._dot_place(point) for point in path.flattened(self._cell[0] / 8)]
        self._masks.append(frozenset(_inside(points)))

    def close_clip(self) -> None:
        """End the clip opened last."""
        self._masks.pop()

    def _dot_place(self, point: Point) -> Point:
        """Return a point in dots from the upper left, not rounded."""
        x = (point[0] - self._bounds.left) / self._cell[0] * self._dot_set.columns
        y = (self._bounds.top - point[1]) / self._cell[1] * self._dot_set.rows
        return (x, y)

    def _put(self, dots: Iterator[Dot], *, clear: bool = False) -> None:
        columns = self._size[0] * self._dot_set.columns
        rows = self._size[1] * self._dot_set.rows
        for x, y in dots:
            dot = (min(x, columns - 1), min(y, rows - 1))
            if any(dot not in mask for mask in self._masks) or min(dot) < 0:
                continue
            if clear:
                self._dots.pop(dot, None)
            else:
                self._dots[dot] = self._layer


def _along(points: list[Point], *, closed: bool) -> Iterator[Dot]:
    """Yield the dots of a polyline, at least one for each dot of its longer extent."""
    for start, end in pairwise([*points, points[0]] if closed else points):
        dx, dy = end[0] - start[0], end[1] - start[1]
        count = max(1, ceil(max(abs(dx), abs(dy))))
        for number in range(count + 1):
            share = number / count
            yield floor(start[0] + dx * share), floor(start[1] + dy * share)


def _inside(points: list[Point]) -> Iterator[Dot]:
    """Yield the dots whose middles lie within a polygon, by the even-odd rule."""
    box = box_around(points)
    for row in range(floor(box.bottom), ceil(box.top)):
        y = row + 0.5
        crossings = sorted(
            x0 + (y - y0) / (y1 - y0) * (x1 - x0)
            for (x0, y0), (x1, y1) in pairwise([*points, points[0]])
            if (y0 <= y) != (y1 <= y)
        )
        for left, right in zip(crossings[::2], crossings[1::2], strict=False):
            for x in range(ceil(left - 0.5), ceil(right - 0.5)):
                yield x, row
