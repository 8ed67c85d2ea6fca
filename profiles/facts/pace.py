"""A device's timing, and how it meets an application's frames: from the model to `timing`.

- `pace_of`: scan time, time between scans, debounce and the longest wait for a report
- `rotary_paces`: the fastest safe turn of each rotary, and when its last pulse is over
- `meet_frames`: pulses and rests of a device against the frames of one application

Times of scans are those of the board's firmware (`facts.scan`); of a device whose board is not
known, or runs neither, those of the sketch.
"""

from typing import NamedTuple

from profiles.facts.device import DeviceFacts
from profiles.facts.scan import Firmware, read_costs, time_scan
from profiles.model import Application, Device, Rotary
from profiles.wiring.timing import (
    TICKS,
    USB_FRAME,
    Pulse,
    Turn,
    covers_bounce,
    debounce_scans,
    fastest_decode,
    fastest_turn,
    judge_pulse,
    last_scans,
    scans_per_frame,
)


class Pace(NamedTuple):
    """Times of a device, ms; `scans` must agree before a contact counts as changed.

    A scan takes `period`, one in which a contact differs `busy`; the next one starts an `interval`
    after it, or a `busy_interval`. `pause` is by how much one scan may be longer.
    """

    firmware: Firmware
    period: float
    busy: float
    interval: float
    busy_interval: float
    pause: float
    scans: int
    slowest_press: float
    covers_bounce: bool
    source: str


class RotaryPace(NamedTuple):
    """The fastest turn of one rotary: by the pulses it sends, and by the scan that follows it.

    Its last detent is over `lag` ms after the click, at that turn or a slower one.
    """

    control: str
    sent: Turn
    followed: Turn
    lag: float

    @property
    def safe(self) -> Turn:
        """The slower of the two."""
        return min(self.sent, self.followed, key=lambda turn: turn.detents_per_second)


class FrameFit(NamedTuple):
    """How a device's pulses meet the frames of an application; `control` None: the wiring's."""

    control: str | None
    pulse: Pulse
    scans_per_frame: float


def firmware_of(device: DeviceFacts) -> Firmware:
    """The firmware that the board of a device runs, as far as it is known."""
    runs = device.board.board.firmware if device.board else None
    return runs or "avr"


def pace_of(device: DeviceFacts) -> Pace:
    """Return the times of a device.

    The slowest press just misses a scan; the next one sees it, those of the debounce time agree,
    the last of them runs to its end, and a USB frame goes by.
    """
    firmware, debounce = firmware_of(device), device.device.wiring.debounce
    costs, scan, tick = read_costs(firmware), time_scan(device.model, firmware), TICKS[firmware]
    interval, busy_interval = max(scan.quiet, tick), max(scan.busy, tick)
    # Scans that the clock paces come as told; others may be a little quicker or slower, and then it
    # takes one more of them to cover the debounce time.
    error = costs.error if busy_interval > tick else 0.0
    scans = debounce_scans(debounce, max(interval * (1 - error), tick))
    slowest = interval + (scans - 1) * busy_interval + scan.busy
    return Pace(
        firmware,
        scan.quiet,
        scan.busy,
        interval,
        busy_interval,
        costs.pause,
        scans,
        slowest * (1 + error) + costs.pause + USB_FRAME,
        covers_bounce(debounce),
        costs.source,
    )


def rotary_paces(device: DeviceFacts) -> tuple[RotaryPace, ...]:
    """Return the fastest safe turn of each rotary, in the order of the file.

    Where one Gray code step is a whole detent its channels are debounced; otherwise bounce counts.
    A knob that turns keeps every scan busy.
    """
    pace, paces = pace_of(device), []
    interval = pace.busy_interval
    # The clock counts whole ms, and is right in the long run, however often a scan looks at it.
    beat = interval if interval > TICKS[pace.firmware] else 1.0
    for control_id, control in device.controls.items():
        if isinstance(control, Rotary):
            steps, look = control.steps_per_detent, interval + pace.pause
            if steps == 1:
                look += (pace.scans - 1) * interval
            followed = fastest_decode(look, control.detents, steps)
            pulse = last_scans(pulse_of(device.device, control), beat)
            gap = last_scans(gap_of(device.device, control), beat)
            sent = fastest_turn(pulse, gap, control.detents)
            if control.axis:  # it moves an axis at once, and sends no pulses
                pulse, gap, sent = 0.0, 0.0, followed
            lag = look + pulse + gap + pulse + pace.busy + USB_FRAME
            paces.append(RotaryPace(control_id, sent, followed, lag))
    return tuple(paces)


def pulse_of(device: Device, control: Rotary) -> float:
    """Return the length of a rotary's pulse, ms: its own, or the wiring's."""
    return device.wiring.pulse if control.pulse is None else control.pulse


def gap_of(device: Device, control: Rotary) -> float:
    """Return the rest between two pulses of a rotary, ms: its own, or the wiring's."""
    return device.wiring.gap if control.gap is None else control.gap


def meet_frames(device: DeviceFacts, application: Application) -> tuple[FrameFit, ...]:
    """Return how the pulses of the wiring, and of each rotary with its own, meet the frames."""
    rate, wiring = application.application.frame_rate, device.device.wiring
    scans = scans_per_frame(pace_of(device).interval, rate)
    pulses: list[tuple[str | None, float, float]] = [(None, wiring.pulse, wiring.gap)]
    pulses += [
        (control_id, pulse_of(device.device, control), gap_of(device.device, control))
        for control_id, control in device.controls.items()
        if isinstance(control, Rotary) and (control.pulse, control.gap) != (None, None)
    ]
    return tuple(FrameFit(who, judge_pulse(pulse, gap, rate), scans) for who, pulse, gap in pulses)
