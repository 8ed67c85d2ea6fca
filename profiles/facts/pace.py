"""A device's timing, and how it meets an application's frames: from the model to `timing`.

- `pace_of`: scan time, time between scans, debounce and the longest wait for a report
- `rotary_paces`: the fastest safe turn of each rotary, and when its last pulse is over
- `meet_frames`: pulses and rests of a device against the frames of one application

Times of scans are those of the board's firmware (`facts.scan`); of a device whose board is not
known, or runs neither, those of the sketch.
"""

from math import ceil
from typing import NamedTuple

from profiles.facts.device import DeviceFacts
from profiles.facts.scan import read_costs, time_points, time_scan
from profiles.model import Application, Device, Firmware, Rotary
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

    A scan takes `period`, one in which a contact differs `busy`, that in which it counts as changed
    `change`, and the longest while a knob turns `turn`; `pause` is by how much one may be longer.
    The next one starts an `interval` after it, or a `busy_interval`. It takes at most `agree` until
    `scans` agree.
    """

    firmware: Firmware
    period: float
    busy: float
    change: float
    turn: float
    interval: float
    busy_interval: float
    pause: float
    scans: int
    agree: float
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


def pace_of(device: DeviceFacts) -> Pace:
    """Return the times of a device.

    The slowest press just misses a scan; the next one sees it, those of the debounce time agree,
    the last of them runs to its end, and a USB frame goes by. Scans that the clock paces come as
    told; others may be a little quicker or slower, so that it takes one more of them to cover the
    debounce time, but never one that begins later than a scan after it.
    """
    firmware, debounce = device.firmware or "avr", device.device.wiring.debounce
    costs, scan, tick = read_costs(firmware), time_scan(device.model, firmware), TICKS[firmware]
    interval, busy_interval = max(scan.quiet, tick), max(scan.busy, tick)
    counted = ceil(debounce) * tick  # the board counts whole steps of its clock
    less, more = 1 - costs.error, 1 + costs.error
    slow, most = max(scan.busy * more, tick), debounce_scans(counted, max(scan.busy * less, tick))
    agree = min((most - 1) * slow, counted + slow)
    slowest = max(scan.quiet * more, tick) + agree + scan.change * more
    return Pace(
        firmware,
        scan.quiet,
        scan.busy,
        scan.change,
        scan.turn,
        interval,
        busy_interval,
        scan.pause,
        debounce_scans(counted, busy_interval),
        agree,
        slowest + scan.pause + USB_FRAME,
        covers_bounce(debounce),
        costs.source,
    )


def rotary_paces(device: DeviceFacts) -> tuple[RotaryPace, ...]:
    """Return the fastest safe turn of each rotary, in the order of the file.

    Where one Gray code step is a whole detent its channels are debounced; otherwise bounce counts.
    A knob that turns keeps every scan busy. Of two steps each must be seen in a scan of its own,
    though the one channel is read later in it than the other.
    """
    pace, paces = pace_of(device), []
    interval, more = pace.busy_interval, 1 + read_costs(pace.firmware).error
    slow = max(pace.turn * more, TICKS[pace.firmware])
    read = time_points(device.model, pace.firmware)
    apart = {turn.name: abs(read[turn.a] - read[turn.b]) for turn in device.model.read_rules.turns}
    # The clock counts whole ms, and is right in the long run, however often a scan looks at it.
    beat = interval if interval > TICKS[pace.firmware] else 1.0
    for control_id, control in device.controls.items():
        if isinstance(control, Rotary):
            steps, look = control.steps_per_detent, slow + pace.pause
            look += apart.get(control_id, 0.0) * more
            if steps == 1:
                look += pace.agree
            followed = fastest_decode(look, control.detents, steps)
            pulse = last_scans(pulse_of(device.device, control), beat)
            gap = last_scans(gap_of(device.device, control), beat)
            sent = fastest_turn(pulse, gap, control.detents)
            if control.axis:  # it moves an axis at once, and sends no pulses
                pulse, gap, sent = 0.0, 0.0, followed
            lag = look + pulse + gap + pulse + pace.turn * more + USB_FRAME
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
