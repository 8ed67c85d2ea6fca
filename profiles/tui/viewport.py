"""Where the plate is looked at, and how millimetres become cells.

A cell is taken for twice as tall as wide, so that a circle on the plate looks round; to use the
window, the plate may be stretched a little one way.
"""

from collections.abc import Sequence
from typing import NamedTuple

CELL_ASPECT = 2.0
"""Height of a cell over its width; rule of thumb."""

STRETCH = 1.35
"""How much wider or taller than true a plate may be shown so that it fills the window."""

MARGIN = 3.0
"""Strip around the plate that is shown too, mm."""

Cell = tuple[str, str]
"""Letters of one cell (empty beside a wide one) and the name of their look."""

Drawn = tuple[Sequence[Sequence[Cell]], Sequence[str]]
"""Rows of cells, or of runs of cells of one look, and what their numbers mean."""

ZOOMS = (1.0, 1.5, 2.0, 3.0, 4.0, 6.0, 8.0)


class Window(NamedTuple):
    """What is shown of the plate: its upper left corner, width and height of a cell, all in mm."""

    left: float
    top: float
    mm: float
    tall: float
    columns: int
    rows: int

    @property
    def width(self) -> float:
        """Width shown, mm."""
        return self.columns * self.mm

    @property
    def height(self) -> float:
        """Height shown, mm."""
        return self.rows * self.tall

    def cell_of(self, x: float, y: float) -> tuple[int, int]:
        """Column and row of a point; outside the window where the point is."""
        return int((x - self.left) // self.mm), int((self.top - y) // self.tall)

    def point_of(self, column: int, row: int) -> tuple[float, float]:
        """The middle of a cell, mm."""
        return (
            self.left + (column + 0.5) * self.mm,
            self.top - (row + 0.5) * self.tall,
        )


class Viewport(NamedTuple):
    """How near, and around which point; no point is the middle of the plate."""

    level: int = 0
    centre: tuple[float, float] | None = None

    def nearer(self, by: int) -> "Viewport":
        """One or more levels nearer, or further where negative."""
        return Viewport(min(max(self.level + by, 0), len(ZOOMS) - 1), self.centre)

    def moved(self, window: Window, across: float, up: float) -> "Viewport":
        """Moved by shares of what is shown."""
        x = window.left + window.width * (0.5 + across)
        y = window.top - window.height * (0.5 - up)
        return Viewport(self.level, (x, y))

    def window(self, width: float, height: float, columns: int, rows: int) -> Window:
        """The window on a plate of this size, mm, for so many cells; kept over the plate."""
        columns, rows = max(columns, 1), max(rows, 1)
        across = (width + 2 * MARGIN) / columns
        up = (height + 2 * MARGIN) / (rows * CELL_ASPECT)
        mm = max(across, up / STRETCH, 1e-3) / ZOOMS[self.level]
        tall = max(up, across / STRETCH, 1e-3) * CELL_ASPECT / ZOOMS[self.level]
        shown = columns * mm, rows * tall
        middle = []
        for at, part, size in zip(
            self.centre or (width / 2, height / 2), shown, (width, height), strict=True
        ):
            least, most = part / 2 - MARGIN, size + MARGIN - part / 2
            middle.append(size / 2 if part >= size + 2 * MARGIN else min(max(at, least), most))
        return Window(middle[0] - shown[0] / 2, middle[1] + shown[1] / 2, mm, tall, columns, rows)

    def following(self, window: Window, x: float, y: float) -> "Viewport":
        """Moved so that a point is well inside the window; the same where it is already."""
        column, row = window.cell_of(x, y)
        inside = 4 <= column < window.columns - 4 and 1 <= row < window.rows - 1
        return self if inside or self.level == 0 else Viewport(self.level, (x, y))
