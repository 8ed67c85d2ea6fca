"""Plots of a press test: how contacts bounce, how long presses last, how evenly a rotary turns.

Each plot is a `Drawing` of one width, so that several stand under each other (`stack_plots`), as
SVG or as cells of a terminal (`without_grid`, where a grid would drown the dots). Times are ms.
Ticks stand at 1, 2 or 5 times a power of ten.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, log10

from profiles.drawing import weights
from profiles.drawing.fitting import fit_line
from profiles.drawing.geometry import Box, Point, moved
from profiles.drawing.recorder import Drawing, Recorder
from profiles.drawing.style import GREY, PALE, WHITE, Lettering, Style
from profiles.lettering import BOLD

WIDTH = 170.0
"""Width of every plot, mm."""
HEIGHT = 42.0
"""Height of the field of a plot with counts or gaps, mm."""
ROW = 4.6
"""From one contact to the next, mm."""
BETWEEN = 2.0
"""Clear space between two plots, mm."""
DOT = 2.0
"""Diameter of a point, mm."""
BINS = 12
"""Bars of a histogram."""

GRID_LAYER, PLOT_LAYER = "grid", "plot"

_LEFT, _BELOW, _ABOVE, _HEAD = 38.0, 12.0, 6.0, 10.0
_TITLE, _WORDS, _SMALL = Lettering(2.6, BOLD), Lettering(2.0), Lettering(2.0, ink=GREY)
_BAR = Style(weights.NARROW, fill=PALE)
_PAPER = weights.fill(WHITE)
_MARK = Style(weights.NARROW, dash=weights.dashed(weights.NARROW))


@dataclass(frozen=True, slots=True)
class Named:
    """Values with the contact they belong to."""

    name: str
    values: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Axis:
    """A range and its ticks, from `low` to `high`."""

    low: float
    high: float
    ticks: tuple[float, ...]

    def share(self, value: float) -> float:
        """How far along the axis a value lies, 0 to 1."""
        return (value - self.low) / (self.high - self.low)


def choose_axis(values: Sequence[float], most: int = 6, *, whole: bool = False) -> Axis:
    """An axis from 0 past the greatest value, with at most `most` steps of a round size."""
    top = max([0.0, *values]) or 1.0
    least = top / most
    power = 10.0 ** floor(log10(least))
    factors = (1.0, 2.0, 5.0, 10.0)
    step = next(factor * power for factor in factors if factor * power >= least - 1e-12)
    if whole:
        step = max(1.0, step)
    steps = max(1, ceil(top / step - 1e-9))
    return Axis(0.0, steps * step, tuple(n * step for n in range(steps + 1)))


def draw_bounces(gaps: Sequence[float], debounce: float) -> Drawing:
    """A histogram of the gaps within bouncing presses, ms, and the debounce setting."""
    across = choose_axis([*gaps, debounce])
    width = across.high / BINS
    counts = [0] * BINS
    for gap in gaps:
        counts[min(BINS - 1, int(gap / width))] += 1
    up = choose_axis(counts, 4, whole=True)
    plot = _Plot("Bounce: gaps within one press", across, up, HEIGHT)
    plot.label("gap, ms", "gaps")
    for at, number in enumerate(counts):
        if number:
            plot.bar(at * width, (at + 1) * width, number)
    plot.mark(debounce, f"debounce {debounce:g} ms")
    return plot.board.finish()


def draw_press_times(rows: Sequence[Named]) -> Drawing:
    """How long each contact was pressed, ms: one line a contact, one dot a press."""
    across = choose_axis([value for row in rows for value in row.values])
    up = Axis(0.0, float(len(rows)), ())
    plot = _Plot("Press times", across, up, ROW * len(rows))
    plot.label("time from down to up, ms", "")
    for at, row in enumerate(rows):
        level = len(rows) - at - 0.5
        plot.name(level, row.name)
        for value in row.values:
            plot.dot(value, level)
    return plot.board.finish()


def draw_turn(row: Named, words: str) -> Drawing:
    """One direction of a rotary: ms from each pulse to the next; `words` sum it up."""
    across = choose_axis([float(len(row.values) + 1)], 10, whole=True)
    plot = _Plot(f"Turning {row.name}", across, choose_axis(row.values, 4), HEIGHT)
    plot.label("pulse", "ms since the last")
    plot.remark(words)
    plot.join([(float(at), gap) for at, gap in enumerate(row.values, 2)])
    return plot.board.finish()


def stack_plots(plots: Sequence[Drawing]) -> Drawing:
    """Plots under each other, the first at the top."""
    board = Recorder()
    top = 0.0
    for plot in plots:
        bounds = plot.ink_bounds()
        if bounds is None:
            continue
        board.place(plot, moved(0.0, top - bounds.top))
        top -= bounds.height + BETWEEN
    return board.finish()


def without_grid(drawing: Drawing) -> Drawing:
    """A plot without the lines that only guide the eye."""
    return drawing.on_layers(name for name in drawing.layers() if name != GRID_LAYER)


class _Plot:
    """A field with its axes, title and ticks; `place` goes from values to mm."""

    def __init__(self, title: str, across: Axis, up: Axis, height: float) -> None:
        self.board = board = Recorder()
        self.across, self.up = across, up
        self.field = field = Box(_LEFT, _BELOW, WIDTH, _BELOW + height)
        lefts = [(self.place(tick, 0.0)[0], f"{tick:g}") for tick in across.ticks]
        levels = [(self.place(0.0, tick)[1], f"{tick:g}") for tick in up.ticks]
        fitted = fit_line(title, WIDTH / 2, _TITLE)
        with board.layer(PLOT_LAYER):
            board.rectangle(Box(0.0, 0.0, WIDTH + 4.0, _BELOW + height + _HEAD), _PAPER)
            board.text((0.0, field.top + _ABOVE), fitted.words, fitted.lettering)
        with board.layer(GRID_LAYER):
            for x, _ in lefts:
                board.line((x, field.bottom), (x, field.top), weights.GRID)
            for y, _ in levels:
                board.line((field.left, y), (field.right, y), weights.GRID)
        with board.layer(PLOT_LAYER):
            for x, words in lefts:
                board.line((x, field.bottom - 1.0), (x, field.bottom), weights.DIMENSION)
                board.text((x, field.bottom - 2.2), words, _WORDS, anchor="middle", rest="top")
            for y, words in levels:
                board.text((field.left - 2.0, y), words, _WORDS, anchor="right", rest="middle")
            board.line((field.left, field.bottom), (field.right, field.bottom), weights.FRONT)
            board.line((field.left, field.bottom), (field.left, field.top), weights.FRONT)

    def place(self, x: float, y: float) -> Point:
        """Where a pair of values lies, mm."""
        field = self.field
        return (
            field.left + self.across.share(x) * field.width,
            field.bottom + self.up.share(y) * field.height,
        )

    def label(self, across: str, up: str) -> None:
        """Name what the axes count, with units."""
        field = self.field
        low, middle = (field.right, field.bottom - 6.8), (field.bottom + field.top) / 2
        with self.board.layer(PLOT_LAYER):
            self.board.text(low, across, _SMALL, anchor="right", rest="top")
            self.board.text((0.0, middle), up, _SMALL, rest="middle")

    def name(self, level: float, words: str) -> None:
        """Name a row at the left of the field."""
        fitted = fit_line(words, _LEFT - 4.0, _WORDS)
        field, y = self.field, self.place(0.0, level)[1]
        with self.board.layer(GRID_LAYER):
            self.board.line((field.left, y), (field.right, y), weights.GRID)
        with self.board.layer(PLOT_LAYER):
            at = (field.left - 2.0, y)
            self.board.text(at, fitted.words, fitted.lettering, anchor="right", rest="middle")

    def bar(self, low: float, high: float, value: float) -> None:
        """A bar from 0 up to a value."""
        corner, other = self.place(low, 0.0), self.place(high, value)
        with self.board.layer(PLOT_LAYER):
            self.board.rectangle(Box(*corner, *other), _BAR)

    def mark(self, x: float, words: str) -> None:
        """A dashed line up from a value, named above the field."""
        low, top = self.place(x, 0.0), self.field.top
        with self.board.layer(PLOT_LAYER):
            self.board.line(low, (low[0], top), _MARK)
            self.board.text((low[0], top + 1.2), words, _WORDS, anchor="middle")

    def remark(self, words: str) -> None:
        """Words above the field, at its right."""
        with self.board.layer(PLOT_LAYER):
            at = (self.field.right, self.field.top + _ABOVE)
            self.board.text(at, words, _WORDS, anchor="right")

    def join(self, pairs: Sequence[tuple[float, float]]) -> None:
        """Dots at pairs of values, a thin line through them."""
        points = [self.place(x, y) for x, y in pairs]
        with self.board.layer(PLOT_LAYER):
            if len(points) > 1:
                self.board.polyline(points, weights.DIMENSION)
            for x, y in pairs:
                self.dot(x, y)

    def dot(self, x: float, y: float) -> None:
        """A point."""
        with self.board.layer(PLOT_LAYER):
            self.board.circle(self.place(x, y), DOT, weights.fill())
