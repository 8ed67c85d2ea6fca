"""Figures from a press test: bounce, press times, rotary pulses; as values and as text.

Times are ms as the host heard them, so a press or gap shorter than the host's polling interval
(1 to 10 ms on USB full speed, by the descriptor's bInterval) does not show, and what the box's own
debounce hides does not either.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from profiles.live.evidence import Observation
from profiles.wiring.numbering import Terminal


@dataclass(frozen=True, slots=True)
class PressFigures:
    """One contact's presses: how long each lasted, and its bounces (gap between, ms)."""

    terminal: Terminal
    times: tuple[float, ...]
    bounces: tuple[float, ...]

    @property
    def median(self) -> float | None:
        """Median time of a press, ms."""
        return _median(self.times)


@dataclass(frozen=True, slots=True)
class TurnFigures:
    """One direction of a rotary: notches asked, pulses heard, and the fastest without a loss.

    `fastest` is in notches a second over `RUN` notches in a row, None where notches were lost or
    too few were heard. `gaps` are ms from pulse to pulse.
    """

    terminal: Terminal
    notches: int
    pulses: int
    gaps: tuple[float, ...]
    fastest: float | None

    @property
    def per_notch(self) -> float:
        """Pulses a notch."""
        return self.pulses / self.notches if self.notches else 0.0


@dataclass(frozen=True, slots=True)
class Figures:
    """All figures of a test, in the order of its steps."""

    presses: tuple[PressFigures, ...]
    turns: tuple[TurnFigures, ...]


RUN = 4
"""Pulses in a row over which a turn's speed is taken, so that no single gap decides."""


def summarise(observations: Iterable[Observation]) -> Figures:
    """Figures of every contact that was pressed or turned."""
    presses, turns = [], []
    for one in observations:
        if one.skipped or one.step.terminal is None or not one.presses:
            continue
        if one.step.gesture == "turn":
            turns.append(_turn_figures(one, one.step.terminal))
        elif one.step.gesture == "press":
            presses.append(_press_figures(one, one.step.terminal))
    return Figures(tuple(presses), tuple(turns))


def _press_figures(one: Observation, terminal: Terminal) -> PressFigures:
    times = tuple(press.end - press.start for press in one.presses if press.end is not None)
    return PressFigures(terminal, times, tuple(gap for _, gap in one.bounces))


def _turn_figures(one: Observation, terminal: Terminal) -> TurnFigures:
    counts = one.counts
    number = max(sorted(counts), key=lambda key: counts[key])
    starts = [press.start for press in one.presses if press.number == number]
    gaps = tuple(after - before for before, after in pairwise(starts))
    whole = counts[number] == one.step.notches
    fastest = _fastest(starts) if whole else None
    return TurnFigures(terminal, one.step.notches, counts[number], gaps, fastest)


def _fastest(starts: Sequence[float]) -> float | None:
    spans = [
        after - before
        for before, after in zip(starts, starts[RUN:], strict=False)
        if after > before
    ]
    return 1000.0 * RUN / min(spans) if spans else None


def _median(values: Sequence[float]) -> float | None:
    if not values:
        return None
    ordered = sorted(values)
    middle = len(ordered) // 2
    if len(ordered) % 2:
        return ordered[middle]
    return (ordered[middle - 1] + ordered[middle]) / 2


@dataclass(frozen=True, slots=True)
class Bin:
    """How many values lie from `low` up to, not including, `high` (the last bin includes it)."""

    low: float
    high: float
    count: int


def count_in_bins(values: Sequence[float], bins: int = 8) -> tuple[Bin, ...]:
    """Values counted in bins of equal width from the least to the greatest; none for no values."""
    if not values:
        return ()
    low, high = min(values), max(values)
    width = (high - low) / bins or 1.0
    counts = [0] * bins
    for value in values:
        counts[min(bins - 1, int((value - low) / width))] += 1
    return tuple(
        Bin(low + at * width, low + (at + 1) * width, number) for at, number in enumerate(counts)
    )


def draw_bars(bins: Sequence[Bin], width: int = 40, unit: str = "ms") -> list[str]:
    """A histogram as lines of text; the longest bar is `width` characters, none is lost."""
    if not bins:
        return []
    most = max(one.count for one in bins)
    edges = [(f"{one.low:.1f}", f"{one.high:.1f}") for one in bins]
    digits = max(len(edge) for pair in edges for edge in pair)
    lines = []
    for one, (low, high) in zip(bins, edges, strict=True):
        bar = "#" * max(round(width * one.count / most), int(one.count > 0))
        lines.append(f"{low:>{digits}} to {high:>{digits}} {unit}  {bar} {one.count}".rstrip())
    return lines


_LEVELS = "▁▂▃▄▅▆▇█"


def draw_spark(values: Sequence[float]) -> str:
    """The values as one line of blocks, from the least (lowest) to the greatest (highest)."""
    if not values:
        return ""
    low, high = min(values), max(values)
    span = (high - low) or 1.0
    return "".join(_LEVELS[round((value - low) / span * (len(_LEVELS) - 1))] for value in values)
