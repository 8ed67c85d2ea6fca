"""The plate as cells: its edge and fronts in lines, a badge and its words at each control.

Words come before pictures: fronts are drawn only where every control keeps its words with them.
Small fronts are drawn with the letters for boxes, larger ones and all else in braille dots.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Protocol

from profiles.drawing import weights
from profiles.drawing.geometry import Box
from profiles.drawing.recorder import Drawing, Recorder, replay
from profiles.drawing.shapes import Text
from profiles.drawing.terminal import BRAILLE, CellSurface
from profiles.plate.outlines import screws_of
from profiles.sheets.contours import draw_hole
from profiles.sheets.plate_art import corner_radius, draw_scales, draw_screws, front_size
from profiles.text.cells import cells_of, width_of
from profiles.text.inert import escape_controls
from profiles.text.prose import count
from profiles.tui.plate_words import (
    Front,
    Lettered,
    Rim,
    Spot,
    Words,
    find_joins,
    find_words,
    letter_plate,
    wrap,
)
from profiles.tui.viewport import CELL_ASPECT, ZOOMS, Cell, Viewport, Window

if TYPE_CHECKING:
    from profiles.model import Device
    from profiles.model.control_value import ControlValue

LARGE_FRONT = 3
"""Rows from the middle of a front to its edge from which on its true shape is drawn."""

SMALL_SCREW = 4
"""Cells in width up to which a screw is one sign."""

ROUND, SQUARE = "╭╮╰╯", "┌┐└┘"

LEAST = (24, 8)
"""Columns and rows of the smallest window that a plate is drawn in."""


class Badged(Protocol):
    """What is shown at a control."""

    @property
    def badge(self) -> str:
        """Three letters."""

    @property
    def state(self) -> str:
        """A key of `facts.STATES`, which colours the badge."""

    @property
    def parts(self) -> tuple[tuple[str, str], ...]:
        """Contacts with their words; the control's own label at no contact."""


@dataclass(frozen=True, slots=True)
class Canvas:
    """Rows of cells, where each control's badge and words are, and what the key explains."""

    rows: tuple[tuple[Cell, ...], ...]
    badges: Mapping[str, Spot]
    fronts: Mapping[str, Front] = field(default_factory=dict)
    lettered: Lettered = field(default_factory=Lettered)
    words: Mapping[str, Words] = field(default_factory=dict)

    def key_lines(self) -> list[str]:
        """The number of each control whose words found no room, and those words."""
        nameless = self.lettered.nameless
        lines = [
            f"{number} {' / '.join(text for _, text in self.words[key])}".replace("\u00a0", " ")
            for key, number in self.lettered.numbers.items()
            if key not in nameless
        ]
        if nameless:
            lines.append(f"No room for {count(len(nameless), 'name')}: + looks nearer.")
        return lines

    def marked_row(self, y: int, chosen: str, marked: Iterable[str] = ()) -> list[Cell]:
        """The cells of a row with the marks of the control that is chosen, and of those marked."""
        cells = list(self.rows[y]) if 0 <= y < len(self.rows) else []
        for key in marked if cells else ():
            column, row = self.badges.get(key, (0, -1))
            for at in (column - 2, column + 2) if row == y else ():
                if 0 <= at < len(cells):
                    cells[at] = ("*", "chosen")
        column, row = self.badges.get(chosen, (0, -1))
        if row == y and cells:
            marks = {column - 2: "▸", column + 2: "◂"}
            for at in range(max(column - 2, 0), min(column + 3, len(cells))):
                cells[at] = (marks.get(at, cells[at][0]), "chosen")
        return cells

    def control_at(self, column: int, row: int) -> str | None:
        """The control whose front or words are in a cell; otherwise the nearest within reach."""
        for key, front in self.fronts.items():
            if (column, row) in front.cells():
                return key
        for key, lines in self.lettered.lines.items():
            if any((column, row) in line.cells() for line in lines):
                return key
        near = [
            ((c - column) ** 2 + (CELL_ASPECT * (r - row)) ** 2, key)
            for key, (c, r) in self.badges.items()
        ]
        best = min(near, default=None)
        return best[1] if best and best[0] <= 16 else None


def plate_drawing(device: Device) -> Drawing:
    """Fixtures, scales and large screws: all that is drawn in dots wherever it is."""
    board = Recorder()
    draw_screws(board, device.plate)
    with board.layer("fronts"):
        for one in device.fixtures.values():
            draw_hole(board, one.position, one.cover or one.hole, one.rotation, weights.FRONT)
    draw_scales(board, device)
    entries = board.finish().entries
    return Drawing(tuple(entry for entry in entries if not isinstance(entry.shape, Text)))


def draw_dots(drawing: Drawing, window: Window) -> tuple[tuple[Cell, ...], ...]:
    """The dots of a drawing in a window; one cell more is drawn on two sides and cut off again.

    Only what touches the window is drawn, so that a deep zoom costs no more than the whole.
    """
    columns, rows = window.columns + 1, window.rows + 1
    right, bottom = window.left + columns * window.mm, window.top - rows * window.tall
    bounds = Box(window.left, bottom, right, window.top)
    near = tuple(
        entry
        for entry in drawing.entries
        if entry.shape.bounds().meets(bounds)
        and (
            entry.layer not in ("screws", "countersinks")
            or entry.shape.bounds().width >= SMALL_SCREW * window.mm
        )
    )
    surface = CellSurface(bounds, window.mm, window.tall, (columns, rows), BRAILLE)
    replay(Drawing(near), surface)
    return tuple(row[:-1] for row in surface.cells()[:-1])


def draw_whole(device: Device, facts: Mapping[str, Badged], size: tuple[int, int]) -> Canvas:
    """The whole plate in so many columns and rows."""
    window = Viewport().window(device.plate.width, device.plate.height, *size)
    positions = {key: control.position for key, control in device.controls.items()}
    return draw_canvas(draw_dots(plate_drawing(device), window), window, device, facts, positions)


def draw_canvas(
    dots: tuple[tuple[Cell, ...], ...],
    window: Window,
    device: Device,
    facts: Mapping[str, Badged],
    positions: Mapping[str, tuple[float, float]],
) -> Canvas:
    """Fronts, badges and words over the dots; `positions` in mm may differ from the file's."""
    board = _Board(dots)
    words = find_words(device, {key: one.parts for key, one in facts.items()})
    fronts, lettered = _choose_fronts(window, device, facts, words, positions)
    board.draw_outline(window, device)
    board.draw_screws(window, device, lettered)
    board.draw_fronts(window, device, fronts, positions)
    for key, front in fronts.items():
        column, row = front.spot
        board.put(column - 1, row, facts[key].badge, f"badge-{facts[key].state}")
    for key, lines in lettered.lines.items():
        look = "label" if facts[key].state == "unbound" else "legend"
        for (column, row), text in lines:
            board.put(column, row, text.replace("\u00a0", " "), look)
    for column, row in find_joins(lettered):
        board.put(column, row, "┊", "outline")
    for engraving in device.plate.engravings:
        column, row = window.cell_of(*engraving.position)
        text = escape_controls(engraving.text)
        column -= width_of(text) // 2
        if board.is_free(column, row, width_of(text)):
            board.put(column, row, text, "engraving")
    badges = {key: front.spot for key, front in fronts.items()}
    return Canvas(board.finish(), badges, fronts, lettered, words)


def _choose_fronts(
    window: Window,
    device: Device,
    facts: Mapping[str, Badged],
    words: Mapping[str, Words],
    positions: Mapping[str, tuple[float, float]],
) -> tuple[dict[str, Front], Lettered]:
    """Every control in cells with its words; with outlines where these take no words their room.

    Where two controls would have one cell, as two knobs on one axis have, the second is below.
    """
    plain: dict[str, Front] = {}
    used: set[Spot] = set()
    for key in facts:
        column, row = window.cell_of(*positions[key])
        while {(column + step, row) for step in (-1, 0, 1)} & used:
            row += 1
        used |= {(column + step, row) for step in (-1, 0, 1)}
        plain[key] = Front((column, row))
    size, rim = (window.columns, window.rows), _rim_of(window, device)
    drawn = {
        key: _outline(front, device.controls[key], window)
        for key, front in plain.items()
        if key not in device.concentric
    }
    areas = sum((2 * across + 1) * (2 * up + 1) for _, across, up in drawn.values())
    fits = areas <= 2 * ZOOMS[-1] ** 2 * window.columns * window.rows  # more than a plate holds
    cells = [cell for front in drawn.values() for cell in front.cells()] if fits else []
    bare = None
    if fits and len(cells) == len(set(cells)):
        fronts = {key: drawn.get(key, front) for key, front in plain.items()}
        bare = letter_plate(fronts, words, size, rim)
        if not bare.numbers:
            return fronts, bare
    lettered = letter_plate(plain, words, size, rim)
    if bare is not None and len(bare.numbers) <= len(lettered.numbers):
        return fronts, bare
    return plain, lettered


def _rim_of(window: Window, device: Device) -> Rim:
    left, bottom = window.cell_of(0.0, 0.0)
    right, top = window.cell_of(device.plate.width, device.plate.height)
    return Rim(left, top, right, bottom)


def _outline(front: Front, control: ControlValue, window: Window) -> Front:
    """How far the outline of a control reaches from its badge; nothing where it is too flat."""
    width, height = front_size(control)
    up = height / 2 / window.tall
    if up < 0.75:
        return front
    return Front(front.spot, max(3, round(width / 2 / window.mm)), max(1, round(up - 0.25)))


def tell_too_small(columns: int, rows: int, window: tuple[int, int]) -> Canvas:
    """What is shown in place of a plate that has no room: how large the window has to be."""
    wide, high = window[0] + max(LEAST[0] - columns, 0), window[1] + max(LEAST[1] - rows, 0)
    words = f"Too small for the plate: {window[0]} x {window[1]} cells, {wide} x {high} needed."
    lines = wrap(words, max(columns, 1))[:rows]
    cells = [[(letter, "") for letter in line.ljust(columns)[:columns]] for line in lines]
    blank = [(" ", "")] * columns
    return Canvas(tuple(map(tuple, [*cells, *[blank] * (rows - len(lines))])), {})


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
            wide = cells_of(letter)
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

    def draw_box(
        self, left: int, top: int, right: int, bottom: int, corners: str, look: str
    ) -> None:
        """A box of lines; `corners` from the upper left on, as one reads."""
        across = "─" * (right - left - 1)
        self.put(left, top, f"{corners[0]}{across}{corners[1]}", look)
        self.put(left, bottom, f"{corners[2]}{across}{corners[3]}", look)
        for row in range(top + 1, bottom):
            for column in (left, right):
                self.put(column, row, "│", look)

    def draw_outline(self, window: Window, device: Device) -> None:
        """The plate's edge."""
        corners = ROUND if corner_radius(device.plate) else SQUARE
        self.draw_box(*_rim_of(window, device), corners, "outline")

    def draw_screws(self, window: Window, device: Device, lettered: Lettered) -> None:
        """Small screws, but where they would be read as part of a word."""
        rim = _rim_of(window, device)
        letters = {
            cell for lines in lettered.lines.values() for one in lines for cell in one.cells()
        }
        for screw, outline in zip(device.plate.screws, screws_of(device.plate), strict=True):
            column, row = window.cell_of(*screw.position)
            beside = {(column + step, row) for step in (-1, 0, 1)}
            if column in (rim.left, rim.right) or row in (rim.top, rim.bottom):
                continue
            if outline.head.bounds.width < SMALL_SCREW * window.mm and not beside & letters:
                self.put(column, row, "+", "screws")

    def draw_fronts(
        self,
        window: Window,
        device: Device,
        fronts: Mapping[str, Front],
        positions: Mapping[str, tuple[float, float]],
    ) -> None:
        """The outlines of controls: small ones as boxes, large ones in their true shape."""
        true = Recorder()
        for key, ((column, row), across, up) in fronts.items():
            control = device.controls[key]
            size = control.front_or_hole
            if up >= LARGE_FRONT:
                with true.layer("fronts"):
                    draw_hole(
                        true, window.point_of(column, row), size, control.rotation, weights.FRONT
                    )
            elif up:
                corners = SQUARE if isinstance(size, tuple) else ROUND
                self.draw_box(
                    column - across, row - up, column + across, row + up, corners, "fronts"
                )
        overlay = draw_dots(true.finish(), window) if true.finish().entries else ()
        for line, cells in zip(self.rows, overlay, strict=False):
            line[:] = [new if new[1] else old for old, new in zip(line, cells, strict=True)]
