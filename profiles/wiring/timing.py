"""Time in the box: scan, debounce, the pulses of rotaries, and the frames of applications.

Times are milliseconds, the settling of a line microseconds.

Published bounce: A Guide to Debouncing: 18 types of switch tested, 16 of them averaged
1557 microseconds with 6200 at most; the two left out were far worse.
"""

from math import ceil
from typing import NamedTuple

TYPICAL_BOUNCE = 1.557
"""Average bounce of 16 switch types, ms (A Guide to Debouncing)."""

LONGEST_BOUNCE = 6.2
"""Longest bounce of those 16 types, ms (A Guide to Debouncing)."""

TICKS = {"avr": 1.024, "python": 1.0}
"""From one scan to the next at least, ms, by firmware: a scan begins when the board's clock has
moved. That of the AVR board core moves once in 64 * 256 cycles of 16 MHz (wiring.c)."""

USB_FRAME = 1.0
"""A full-speed interrupt endpoint is polled once a frame at best, ms (USB 2.0, 5.7.4)."""


class Turn(NamedTuple):
    """The fastest turn of a rotary that loses no detent."""

    detents_per_second: float
    rpm: float


class Pulse(NamedTuple):
    """How a pulse and the rest after it meet an application's frames."""

    frame: float
    seen: bool
    rest_seen: bool
    least: float


def debounce_scans(debounce: float, interval: float) -> int:
    """Return how many scans in a row, this far apart, agree before a contact counts as changed.

    The first one starts the clock, so there are two at least.
    """
    return 1 + max(1, ceil(round(debounce / interval, 9)))


def last_scans(time: float, interval: float) -> float:
    """Return how long a time lasts that is over at a scan, ms: so many whole intervals."""
    return ceil(round(time / interval, 9)) * interval


def covers_bounce(debounce: float) -> bool:
    """Say whether a debounce time outlasts the longest published bounce of ordinary switches."""
    return debounce >= LONGEST_BOUNCE


def frame_time(frame_rate: float) -> float:
    """Return the length of a frame, ms, at this many frames a second."""
    return 1000 / frame_rate


def judge_pulse(pulse: float, gap: float, frame_rate: float) -> Pulse:
    """Say whether an application that looks once a frame sees every pulse, and every rest.

    A state shorter than a frame can fall between two looks; `least` is the shortest safe time, ms.
    """
    frame = frame_time(frame_rate)
    return Pulse(frame, seen=pulse >= frame, rest_seen=gap >= frame, least=frame)


def fastest_turn(pulse: float, gap: float, detents: int) -> Turn:
    """Return the fastest turn at which each detent gets its own pulse and rest."""
    rate = 1000 / (pulse + gap)
    return Turn(rate, rate / detents * 60)


def fastest_decode(interval: float, detents: int, steps_per_detent: int = 4) -> Turn:
    """Return the fastest turn that scanning can follow: a look at each Gray step of a detent."""
    rate = 1000 / (interval * steps_per_detent)
    return Turn(rate, rate / detents * 60)


def scans_per_frame(interval: float, frame_rate: float) -> float:
    """Return how many times the matrix is read in one frame of an application."""
    return frame_time(frame_rate) / interval
