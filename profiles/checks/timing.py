"""Pulses and rests of the box against the frames of the applications that read it."""

from collections.abc import Iterator
from math import ceil

from profiles.checks.base import by_device, report
from profiles.facts.device import DeviceFacts
from profiles.facts.survey import Survey
from profiles.model import Finding, Related, Rotary, Spot
from profiles.text.prose import join_words

HAND_TURN = 10.0
"""Detents a second that a hand turns without haste. Rule of thumb."""

LONGEST_GAP = 0.4 * 1000 / HAND_TURN
"""How long nothing is closed while a hand goes from one position to the next, ms: less than half of
the time from one to the other. Rule of thumb."""


def check_frames(survey: Survey) -> Iterator[Finding]:
    """Report pulses and gaps below a frame, once for each device and application."""
    seen: set[tuple[Spot, str]] = set()
    for link in survey.links:
        if link.application is None:
            continue
        application = link.application.id
        frame = 1000 / link.application.application.frame_rate
        for device in link.devices:
            if not device.pulses:
                continue
            used = {contact.control for contact in link.used if contact.device == device.id}
            pulsing = {control: ms for control, ms in device.pulses.items() if control in used}
            lengths: list[tuple[str, tuple[str, ...], float]] = []
            for control, length in pulsing.items():
                own = getattr(device.controls[control], "pulse", None) is not None
                key = ("controls", control, "pulse") if own else ("wiring", "pulse")
                lengths.append(("pulse-below-frame", key, length))
            for control in pulsing:
                gap = getattr(device.controls[control], "gap", None)
                key = ("wiring", "gap") if gap is None else ("controls", control, "gap")
                lengths.append(("gap-below-frame", key, gap or device.device.wiring.gap))
            for code, path, length in lengths:
                spot = Spot(device.id, path)
                if length >= frame or (spot, application) in seen:
                    continue
                seen.add((spot, application))
                verb = "pulses" if path[-1] == "pulse" else "rests between pulses"
                whose = (
                    f"`{path[1]}` {verb}"
                    if path[0] == "controls"
                    else f"the {path[1]} of `{device.id}` is"
                )
                least = -int(-frame * 10 // 1) / 10
                yield report(
                    code,
                    f"{whose} {length:g} ms, but a frame of `{application}` takes {frame:.1f} ms",
                    f"Set {'.'.join(path)} to {least:g} or more",
                    spot,
                    [Related("the frame rate", Spot(application, ("application", "frame_rate")))],
                    about=application,
                )


@by_device
def check_debounce(device: DeviceFacts) -> Iterator[Finding]:
    """Report devices whose debounce time is below published bounce."""
    from profiles.wiring.timing import LONGEST_BOUNCE, covers_bounce

    debounce = device.device.wiring.debounce
    if not covers_bounce(debounce):
        yield report(
            "debounce-short",
            f"`{device.id}` debounces {debounce:g} ms, but switches bounce up to "
            f"{LONGEST_BOUNCE:g} ms",
            f"Set wiring.debounce to {LONGEST_BOUNCE:g} or more",
            device.spot("wiring", "debounce"),
        )


@by_device
def check_hold(device: DeviceFacts) -> Iterator[Finding]:
    """Report devices that take a gap between two positions for the one without a contact."""
    hold = device.device.wiring.hold
    waiting = [contact for contact, signal in device.signals.items() if signal.waits]
    if waiting and hold < LONGEST_GAP:
        yield report(
            "hold-short",
            f"`{device.id}` takes {join_words([device.name(*one) for one in waiting])} for "
            f"chosen once nothing is closed for {hold:g} ms, but a hand takes up to "
            f"{LONGEST_GAP:g} ms from one position to the next",
            f"Set wiring.hold to {LONGEST_GAP:g} or more",
            device.spot("wiring", "hold"),
            [Related("the position", device.spot("controls", waiting[0].control))],
        )


@by_device
def check_scan(device: DeviceFacts) -> Iterator[Finding]:
    """Report devices whose scan takes longer than half their debounce time."""
    if not device.is_wired:
        return
    from profiles.facts.pace import pace_of

    period, debounce = pace_of(device).period, device.device.wiring.debounce
    if 2 * period > debounce:
        yield report(
            "scan-slow",
            f"a scan of `{device.id}` takes {period:.2f} ms, more than half its debounce of "
            f"{debounce:g} ms",
            "Shorten wiring.settle, or drive the side with fewer lines",
            device.spot("wiring", "settle"),
            [Related("the debounce time", device.spot("wiring", "debounce"))],
        )


@by_device
def check_settling(device: DeviceFacts) -> Iterator[Finding]:
    """Report devices whose lines rise slower than their settle time allows."""
    if not (device.board and device.is_wired):
        return
    from profiles.wiring.settling import slowest_rise

    rise, settle = slowest_rise(device.device, device.board), device.device.wiring.settle
    if rise is not None and rise.time > settle:
        yield report(
            "settle-short",
            f"{rise.sensed} settles {settle:g} µs, but takes {rise.time:.1f} µs to rise: "
            f"{rise.pull_up:g} kohm charge {rise.length} mm of wire, {rise.capacitance:.0f} pF",
            f"Set wiring.settle to {ceil(rise.time)} or more",
            device.spot("wiring", "settle"),
            [Related("the board", device.spot("wiring", "board"))],
        )


@by_device
def check_turns(device: DeviceFacts) -> Iterator[Finding]:
    """Report rotaries that a hand outruns."""
    if not any(isinstance(value, Rotary) for value in device.controls.values()):
        return
    from profiles.facts.pace import rotary_paces

    for pace in rotary_paces(device):
        safe = pace.safe
        if safe.detents_per_second < HAND_TURN:
            is_sent_slowly = pace.sent.detents_per_second < pace.followed.detents_per_second
            yield report(
                "turn-slow",
                f"`{pace.control}` follows only {safe.detents_per_second:.1f} detents/s "
                f"({safe.rpm:.0f} rpm), the last of them told up to {pace.lag:.0f} ms late",
                "Shorten wiring.pulse and wiring.gap"
                if is_sent_slowly
                else "Wire both channels to places that are read one after the other",
                device.spot("controls", pace.control),
            )


CHECKS = (check_frames, check_debounce, check_hold, check_scan, check_settling, check_turns)
