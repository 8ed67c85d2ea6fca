"""A device's timing, and how it meets an application's frames: from the model to `timing`.

- `pace_of`: scan period, time between scans, debounce and the longest wait for a report
- `rotary_paces`: the fastest safe turn of each rotary
- `meet_frames`: pulses and rests of a device against the frames of one application
"""

from typing import NamedTuple

from profiles.model import Application, Device, Rotary
from profiles.wiring.banks import banks_of, read_time
from profiles.wiring.timing import (
    TICK,
    Pulse,
    Turn,
    covers_bounce,
    debounce_scans,
    fastest_decode,
    fastest_turn,
    judge_pulse,
    scan_period,
    scans_per_frame,
    slowest_press,
)


class Pace(NamedTuple):
    """Times of a device, ms; `scans` must agree before a contact counts as changed.

    A scan takes `period`, the next one starts an `interval` after it.
    """

    period: float
    interval: float
    scans: int
    slowest_press: float
    covers_bounce: bool


class RotaryPace(NamedTuple):
    """The fastest turn of one rotary: by the pulses it sends, and by the scan that follows it."""

    control: str
    sent: Turn
    followed: Turn

    @property
    def safe(self) -> Turn:
        """The slower of the two."""
        return min(self.sent, self.followed, key=lambda turn: turn.detents_per_second)


class FrameFit(NamedTuple):
    """How a device's pulses meet the frames of an application; `control` None: the wiring's."""

    control: str | None
    pulse: Pulse
    scans_per_frame: float


def period_of(device: Device) -> float:
    """Return the time of one scan of a device, ms."""
    wiring = device.wiring
    driven = wiring.rows if wiring.driven == "rows" else wiring.columns
    lines = scan_period(len(driven), wiring.settle)
    return lines + sum(read_time(bank, wiring.settle) for bank in banks_of(device))


def interval_of(device: Device) -> float:
    """Return the time from one scan to the next, ms: that of our firmware, or the scan's."""
    return max(period_of(device), TICK)


def pace_of(device: Device) -> Pace:
    """Return the times of a device."""
    interval, debounce = interval_of(device), device.wiring.debounce
    return Pace(
        period_of(device),
        interval,
        debounce_scans(debounce, interval),
        slowest_press(debounce, interval),
        covers_bounce(debounce),
    )


def rotary_paces(device: Device) -> tuple[RotaryPace, ...]:
    """Return the fastest safe turn of each rotary, in the order of the file.

    Where one Gray code step is a whole detent its channels are debounced; otherwise bounce counts.
    """
    interval = interval_of(device)
    paces = []
    for control_id, control in device.controls.items():
        if isinstance(control, Rotary):
            steps = control.steps_per_detent
            look = max(interval, device.wiring.debounce) if steps == 1 else interval
            pulse, gap = pulse_of(device, control), gap_of(device, control)
            sent = fastest_turn(pulse, gap, control.detents)
            followed = fastest_decode(look, control.detents, steps)
            paces.append(RotaryPace(control_id, sent, followed))
    return tuple(paces)


def pulse_of(device: Device, control: Rotary) -> float:
    """Return the length of a rotary's pulse, ms: its own, or the wiring's."""
    return device.wiring.pulse if control.pulse is None else control.pulse


def gap_of(device: Device, control: Rotary) -> float:
    """Return the rest between two pulses of a rotary, ms: its own, or the wiring's."""
    return device.wiring.gap if control.gap is None else control.gap


def meet_frames(device: Device, application: Application) -> tuple[FrameFit, ...]:
    """Return how the pulses of the wiring, and of each rotary with its own, meet the frames."""
    rate = application.application.frame_rate
    scans = scans_per_frame(interval_of(device), rate)
    pulses: list[tuple[str | None, float, float]]
    pulses = [(None, device.wiring.pulse, device.wiring.gap)]
    pulses += [
        (control_id, pulse_of(device, control), gap_of(device, control))
        for control_id, control in device.controls.items()
        if isinstance(control, Rotary) and (control.pulse, control.gap) != (None, None)
    ]
    return tuple(FrameFit(who, judge_pulse(pulse, gap, rate), scans) for who, pulse, gap in pulses)
