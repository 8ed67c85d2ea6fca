"""The 100 mm ruler by which a print proves its scale."""

from profiles.drawing.geometry import Point
from profiles.drawing.recorder import Recorder
from profiles.drawing.style import GREY, Lettering, Style

LENGTH = 100.0
HEIGHT = 9.0
"""Room from the words below the ticks to the top of the longest tick, in mm."""
WORDS = "Print at 100 % (actual size, no fit to page). This ruler must measure 100 mm."

_TICK = Style(0.18)
_BASE = 3.4


def draw_ruler(board: Recorder, at: Point) -> None:
    """Draw the ruler on layer `ruler` with its zero at the left of `at`, the words below it.

    `at` is the lower left corner of a space `LENGTH` by `HEIGHT`, numbers at the ends aside.
    """
    x, y = at[0], at[1] + _BASE
    with board.layer("ruler"):
        board.line((x, y), (x + LENGTH, y), _TICK)
        for mm in range(int(LENGTH) + 1):
            board.line((x + mm, y), (x + mm, y + _tick_length(mm)), _TICK)
        for mm in range(0, int(LENGTH) + 1, 10):
            _number(board, (x + mm, y), mm)
        words = Lettering(1.8, ink=GREY)
        board.text((x, at[1]), WORDS, words)


def _number(board: Recorder, at: Point, mm: int) -> None:
    """Write a number to the right of the top of its tick, above the shorter ones."""
    words = f"{mm} mm" if mm == int(LENGTH) else str(mm)
    board.text((at[0] + 0.5, at[1] + 3.6), words, Lettering(1.8))


def _tick_length(mm: int) -> float:
    """Return how long a tick is: every tenth the longest, every fifth longer."""
    if mm % 10 == 0:
        return 5.4
    return 3.0 if mm % 5 == 0 else 2.0
