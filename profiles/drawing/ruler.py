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
            tick = 5.4 if mm % 10 == 0 else 3.0 if mm % 5 == 0 else 2.0
            board.line((x + mm, y), (x + mm, y + tick), _TICK)
        for mm in range(0, int(LENGTH) + 1, 10):
            number = f"{mm} mm" if mm == int(LENGTH) else str(mm)
            board.text((x + mm + 0.5, y + 3.6), number, Lettering(1.8))
        board.text((x, at[1]), WORDS, Lettering(1.8, ink=GREY))
