"""A resistor ladder: what its pin reads for each contact at worst, and which resistors to take.

Readings are shares of the supply, 0 to 1; resistances kilohm. Contact k joins the pin to ground by
S = the sum of the first k - 1 resistors, so the pin, held up by the pull-up P, reads S / (S + P).
That grows with S and falls with P: the ends of an interval are read at the ends of both (interval
arithmetic; Interval Analysis).
"""

from collections.abc import Sequence
from functools import lru_cache
from itertools import accumulate, pairwise
from typing import NamedTuple

from profiles.wiring.power import SERIES

READ_ERROR = 0.01
"""How far a reading may be off, as a share of the range: accuracy of the converter, leakage and
noise. Unverified."""

CONTACT_RESISTANCE = 0.05
"""Closed contact and its wires at most, kilohm. Rule of thumb."""


class Window(NamedTuple):
    """Lowest and highest share of the supply that the pin may read."""

    low: float
    high: float


def find_windows(pull_up: float, steps: Sequence[float], tolerance: float) -> tuple[Window, ...]:
    """Return the window of each contact, then that of none closed; `tolerance` in per cent."""
    totals = accumulate(steps, initial=0.0)
    closed = (_window(total, pull_up, tolerance) for total in totals)
    return (*closed, Window(1 - READ_ERROR, 1.0))


def _window(total: float, pull_up: float, tolerance: float) -> Window:
    """The window of a contact that joins the pin to ground by this resistance."""
    less, more = 1 - tolerance / 100, 1 + tolerance / 100
    low, high = total * less, total * more + CONTACT_RESISTANCE
    return Window(
        max(low / (low + pull_up * more) - READ_ERROR, 0.0),
        min(high / (high + pull_up * less) + READ_ERROR, 1.0),
    )


def find_thresholds(windows: Sequence[Window]) -> tuple[float, ...]:
    """Return the share of the supply that parts each window from the next: halfway between."""
    return tuple((one.high + other.low) / 2 for one, other in pairwise(windows))


def find_overlap(windows: Sequence[Window]) -> int | None:
    """Return the first window, from 0, that reaches the next one; None where all are apart."""
    pairs = enumerate(pairwise(windows))
    return next((at for at, (one, other) in pairs if other.low <= one.high), None)


def find_margin(windows: Sequence[Window]) -> float:
    """Return the least room between two windows; not above 0 where two contacts may read alike."""
    return min(other.low - one.high for one, other in pairwise(windows))


@lru_cache(maxsize=256)
def propose_steps(
    contacts: int, pull_up: float, tolerance: float, series: str = "E24"
) -> tuple[float, ...] | None:
    """Return resistors of an IEC 60063 series that keep so many contacts apart; None where none do.

    By bisection of the room to the next window: each resistor is the least one that leaves it.
    """
    values = sorted(
        round(value * 10.0**power, 6) for value in SERIES[series] for power in range(-3, 3)
    )
    found, low, high = None, 0.0, 1.0
    for _ in range(20):
        middle = (low + high) / 2
        steps = _take_steps(contacts, pull_up, tolerance, values, middle)
        if steps is None or find_margin(find_windows(pull_up, steps, tolerance)) <= 0:
            high = middle
        else:
            found, low = steps, middle
    return found


def _take_steps(
    contacts: int, pull_up: float, tolerance: float, values: Sequence[float], room: float
) -> tuple[float, ...] | None:
    steps, total = list[float](), 0.0
    last = _window(total, pull_up, tolerance)
    while len(steps) < contacts - 1:
        for value in values:
            window = _window(total + value, pull_up, tolerance)
            if window.low - last.high >= room:
                break
        else:
            return None
        steps.append(value)
        total, last = total + value, window
    return tuple(steps) if 1 - READ_ERROR - last.high >= room else None
