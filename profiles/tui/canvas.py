"""The plate as cells: edges and fronts in braille dots, a badge and a legend for each control.

The dots come from the drawing room; over them is a badge of three letters in the middle of
each control, and its words below or above it. Words that find no room are cut with `…`, and
`Canvas.cut` counts them: the panel beside the plate always has them in full.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Protocol
from unicodedata import combining, east_asian_width

from profiles.drawing.geometry import Box
from profiles.drawing.recorder import Drawing, Recorder, replay
from profiles.drawing.shapes import Text
from profiles.drawing.terminal import BRAILLE, CellSurface
from profiles.model import Device
from profiles.sheets.plate_art import draw_plate
from profiles.text.inert import escape_controls
from profiles.tui.viewport import CELL_ASPECT, Window

Cell = tuple[str, str]
"""Letters of one cell (empty beside a wide one) and the name of their look."""

Spot = tuple[int, int]
"""Column and row of a cell."""

LONGEST = 22
"""Cells that a legend takes at most in one line."""


class Badged(Protocol):
    """What is shown at a control."""

    @property
    def badge(self) -> str:
        """Three letters."""

    @property
    def state(self) -> str:
        """A key of `facts.STATES`, which colours the badge."""

    @property
    def legend(self) -> str:
        """Words beside the badge."""


@dataclass(frozen=True, slots=True)
class Canvas:
    """Rows of cells, where each control's badge and words are, and how many words were cut."""

    rows: tuple[tuple[Cell, ...], ...]
    badges: Mapping[str, Spot]
    words: Mapping[str, tuple[tuple[Spot, int], ...]]
    cut: int

    def control_at(self, column: int, row: int) -> str | None:
        """The control nearest to a cell, within a hand's reach of it."""
        near = [
            ((c - column) ** 2 + (CELL_ASPECT * (r - row)) ** 2, key)
            for key, (c, r) in self.badges.items()
        ]
        best = min(near, default=None)
        return best[1] if best and best[0] <= 16 else None


def plate_drawing(device: Device) -> Drawing:
    """The plate without its words, which are written as letters of their own."""
    board = Recorder()
    draw_plate(board, device)
    entries = board.finish().entries
    return Drawing(tuple(entry for entry in entries if not isinstance(entry.shape, Text)))


def draw_dots(drawing: Drawing, window: Window) -> tuple[tuple[Cell, ...], ...]:
    """The dots of a drawing in a window; one cell more is drawn on two sides and cut off again.

    Only what touches the window is drawn, so that a deep zoom costs no more than the whole.
    """
    height = window.mm * CELL_ASPECT
    columns, rows = window.columns + 1, window.rows + 1
    right, bottom = window.left + columns * window.mm, window.top - rows * height
    bounds = Box(window.left, bottom, right, window.top)
    near = tuple(entry for entry in drawing.entries if entry.shape.bounds().meets(bounds))
    surface = CellSurface(bounds, window.mm, height, (columns, rows), BRAILLE)
    replay(Drawing(near), surface)
    return tuple(row[:-1] for row in surface.cells()[:-1])


def draw_canvas(
    dots: tuple[tuple[Cell, ...], ...],
    window: Window,
    device: Device,
    facts: Mapping[str, Badged],
    positions: Mapping[str, tuple[float, float]],
) -> Canvas:
    """Badges and legends over the dots; `positions` in mm may differ from the file's.

    A legend is written clear of its control's front but for a sliver, in as many cells as reach to
    the nearest neighbour whose legend may be beside it.
    """
    board = _Board(dots)
    badges = {key: window.cell_of(*positions[key]) for key in facts}
    for key, (column, row) in badges.items():
        board.put(column - 1, row, facts[key].badge, f"badge-{facts[key].state}")
    words: dict[str, tuple[tuple[Spot, int], ...]] = {}
    cut = 0
    for key, spot in badges.items():
        (x, y), size = positions[key], device.controls[key].front_or_hole
        height = max(size) if isinstance(size, tuple) else size
        sliver = 0.3 * window.mm * CELL_ASPECT
        reach = max(1, window.cell_of(x, y - height / 2 + sliver)[1] - spot[1] + 1)
        gaps = [
            abs(column - spot[0])
            for other, (column, row) in badges.items()
            if other != key and abs(row - spot[1]) <= 1 and column != spot[0]
        ]
        room = max(3, min([LONGEST, *[gap - 1 for gap in gaps]]))
        words[key], is_whole = board.put_legend(spot, facts[key].legend, room, reach)
        cut += not is_whole
    for engraving in device.plate.engravings:
        column, row = window.cell_of(*engraving.position)
        text = escape_controls(engraving.text)
        column -= width_of(text) // 2
        if board.is_free(column, row, width_of(text)):
            board.put(column, row, text, "engraving")
    return Canvas(board.finish(), badges, words, cut)


def width_of(text: str) -> int:
    """Cells that a text takes (Unicode Standard Annex 11: wide and fullwidth take two)."""
    return sum(_cells(letter) for letter in text)


def _cells(letter: str) -> int:
    if combining(letter) or letter in "\u200c\u200d\ufe0e\ufe0f":
        return 0
    return 2 if east_asian_width(letter) in "WF" else 1


def cut_to(text: str, room: int) -> str:
    """A text in at most `room` cells, its end marked where it is cut."""
    if width_of(text) <= room:
        return text
    kept, used = [], 0
    for letter in text:
        if used + _cells(letter) > room - 1:
            break
        kept.append(letter)
        used += _cells(letter)
    return "".join(kept).rstrip() + "…"


def wrap(text: str, room: int) -> tuple[str, ...]:
    """A text in at most two lines of so many cells; the last is cut where it must be."""
    if width_of(text) <= room:
        return (text,)
    first, rest = "", text.split(" ")
    while rest and width_of(f"{first} {rest[0]}".strip()) <= room:
        first = f"{first} {rest.pop(0)}".strip()
    if not first:
        return (cut_to(text, room),)
    return (first, cut_to(" ".join(rest), room))


class _Board:
    """Cells that are written over, and which of them hold letters already."""

    def __init__(self, dots: Iterable[Iterable[Cell]]) -> None:
        self.rows = [list(row) for row in dots]
        self.taken: set[Spot] = set()

    def finish(self) -> tuple[tuple[Cell, ...], ...]:
        return tuple(tuple(row) for row in self.rows)

    def put(self, column: int, row: int, text: str, look: str) -> None:
        """Write a text over whatever is there; what lies outside the window is not shown."""
        if not 0 <= row < len(self.rows):
            return
        line = self.rows[row]
        for letter in text:
            wide = _cells(letter)
            if wide == 0 or not 0 <= column <= len(line) - wide:
                column += wide
                continue
            line[column] = (letter, look)
            if wide == 2:
                line[column + 1] = ("", look)
            self.taken.update((column + step, row) for step in range(wide))
            column += wide

    def is_free(self, column: int, row: int, width: int) -> bool:
        if not 0 <= row < len(self.rows) or column < 0 or column + width > len(self.rows[row]):
            return False
        return all((column + step, row) not in self.taken for step in range(-1, width + 1))

    def put_legend(
        self, spot: Spot, legend: str, room: int, reach: int
    ) -> tuple[tuple[tuple[Spot, int], ...], bool]:
        """Write the words of a control below or above it; returns where, and whether uncut."""
        if not legend:
            return (), True
        lines = wrap(legend, room)
        for block in dict.fromkeys((lines, (cut_to(legend, room),))):
            rows = (reach, 1 - reach - len(block), 1, -len(block))
            for first in (spot[1] + step for step in dict.fromkeys(rows)):
                places = [
                    ((spot[0] - width_of(line) // 2, first + number), line)
                    for number, line in enumerate(block)
                ]
                if all(self.is_free(*at, width_of(line)) for at, line in places):
                    for at, line in places:
                        self.put(*at, line, "legend")
                    whole = " ".join(block) == legend
                    return tuple((at, width_of(line)) for at, line in places), whole
        return (), False
