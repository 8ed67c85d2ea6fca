"""Pulses and rests of the box against the frames of the applications that read it."""

from collections.abc import Iterator

from profiles.checks.base import Check, report
from profiles.facts.device import DeviceFacts
from profiles.facts.survey import LinkFacts, Survey
from profiles.model import Application, Finding, Page, Related, Rotary, Spot

_FRAMES = (
    "Frame arithmetic: a program that looks once a frame sees for sure only what lasts a frame, "
    "1000 ms divided by the frame rate"
)

PULSE_BELOW_FRAME = Page(
    code="pulse-below-frame",
    severity="warning",
    title="A pulse is shorter than a frame",
    what="A pulse that the box sends, for a detent or an edge, is shorter than one frame of an "
    "application that uses it.",
    why="A pulse that begins and ends between two looks is never seen: detents go missing, "
    "and more of them the slower the title runs.",
    example="[wiring]\npulse = 10.0   # ms\n\n[application]\nframe_rate = 30.0   # 33 ms",
    remedy="Lengthen the pulse to one frame or more.",
    source=_FRAMES,
)

GAP_BELOW_FRAME = Page(
    code="gap-below-frame",
    severity="warning",
    title="The rest between pulses is shorter than a frame",
    what="The rest that the box keeps between two pulses is shorter than one frame of an "
    "application that uses it.",
    why="Two pulses with no look between them are one long press: two detents step once.",
    example="[wiring]\ngap = 10.0   # ms\n\n[application]\nframe_rate = 30.0   # 33 ms",
    remedy="Lengthen the gap to one frame or more.",
    source=_FRAMES,
)

LONGEST_BOUNCE = 6.2
"""Longest bounce of 16 ordinary switch types, ms (J. Ganssle, A Guide to Debouncing)."""

HAND_TURN = 10.0
"""Detents a second that a hand turns without haste. Common practice, no source."""

DEBOUNCE_SHORT = Page(
    code="debounce-short",
    severity="note",
    title="The debounce time is shorter than switches bounce",
    what="The debounce time of a device is below the longest bounce measured on ordinary switches.",
    why="One press is then now and then reported as two. Good switches settle far faster, so "
    "the press test decides.",
    example="[wiring]\ndebounce = 3.0   # ms",
    remedy="Lengthen the debounce time, or accept it after a press test.",
    source="J. Ganssle, A Guide to Debouncing: 16 types of switch averaged 1.56 ms, 6.2 ms at "
    "most; two more were far worse",
)

TURN_SLOW = Page(
    code="turn-slow",
    severity="note",
    title="A rotary must be turned slowly",
    what="Pulse and gap, or the scan, leave a rotary fewer detents a second than a hand turns "
    "without haste.",
    why="Detents of a faster turn queue up or get lost: the value lags behind the hand.",
    example="[wiring]\npulse = 100.0\ngap = 100.0   # 5 detents a second",
    remedy="Shorten pulse and gap as far as the frames of your applications allow.",
    source=f"1000 ms divided by pulse and gap; {HAND_TURN:g} detents a second: common practice, "
    "no source",
)

SCAN_SLOW = Page(
    code="scan-slow",
    severity="note",
    title="Two scans take longer than the debounce time",
    what="The time to look at every line once is longer than half the debounce time, and two "
    "scans must agree before a contact counts as changed.",
    why="Presses are then reported later than the debounce time says, and short ones are missed.",
    example="[wiring]\nsettle = 1000.0   # microseconds a line, eight lines\ndebounce = 7.0",
    remedy="Shorten the settling time, or drive the side with fewer lines.",
    source="Scan period: lines times settling time, and 0.05 ms for the rest (common practice, "
    "no source)",
)


def check_scan(survey: Survey) -> Iterator[Finding]:
    """Report devices whose scan takes longer than half their debounce time."""
    for device in survey.devices:
        if not device.is_wired:
            continue
        from profiles.wiring.pace import period_of

        period, debounce = period_of(device.device), device.device.wiring.debounce
        if 2 * period > debounce:
            yield report(
                SCAN_SLOW,
                f"a scan of `{device.id}` takes {period:.2f} ms, its debounce is {debounce:g} ms",
                "Shorten wiring.settle, or drive the side with fewer lines",
                device.spot("wiring", "settle"),
                [Related("the debounce time", device.spot("wiring", "debounce"))],
            )


def check_debounce(survey: Survey) -> Iterator[Finding]:
    """Report devices whose debounce time is below published bounce."""
    for device in survey.devices:
        debounce = device.device.wiring.debounce
        if debounce < LONGEST_BOUNCE:
            yield report(
                DEBOUNCE_SHORT,
                f"`{device.id}` debounces {debounce:g} ms, switches bounce up to "
                f"{LONGEST_BOUNCE:g} ms",
                f"Set wiring.debounce to {LONGEST_BOUNCE:g} or more",
                device.spot("wiring", "debounce"),
            )


def check_turns(survey: Survey) -> Iterator[Finding]:
    """Report rotaries that a hand outruns."""
    for device in survey.devices:
        if not any(isinstance(value, Rotary) for value in device.controls.values()):
            continue
        from profiles.wiring.pace import rotary_paces

        for pace in rotary_paces(device.device):
            safe = pace.safe
            if safe.detents_per_second < HAND_TURN:
                yield report(
                    TURN_SLOW,
                    f"`{pace.control}` takes {safe.detents_per_second:.1f} detents a second, "
                    f"{safe.rpm:.0f} turns a minute",
                    "Shorten wiring.pulse and wiring.gap",
                    device.spot("controls", pace.control),
                )


def check_frames(survey: Survey) -> Iterator[Finding]:
    """Report pulses and gaps below a frame, once for each device and application."""
    told: set[tuple[str, str]] = set()
    for link in survey.links:
        if link.application is None:
            continue
        for device in link.devices:
            pulsing = _pulsing(link, device)
            if pulsing:
                yield from _check_device(device, link.application, pulsing, told)


def _pulsing(link: LinkFacts, device: DeviceFacts) -> dict[str, float]:
    """Pulse length in ms of each control that this profile uses and that sends pulses."""
    if not device.pulses:
        return {}
    used = {one.control for one in link.used if one.device == device.id}
    return {control: length for control, length in device.pulses.items() if control in used}


def _check_device(
    device: DeviceFacts,
    application: Application,
    pulsing: dict[str, float],
    told: set[tuple[str, str]],
) -> Iterator[Finding]:
    frame = 1000 / application.application.frame_rate
    wiring = device.device.wiring
    for control, length in pulsing.items():
        own = getattr(device.controls[control], "pulse", None) is not None
        key = ("controls", control, "pulse") if own else ("wiring", "pulse")
        if length < frame:
            yield from _tell(PULSE_BELOW_FRAME, device, application, key, length, told)
    if wiring.gap < frame:
        yield from _tell(GAP_BELOW_FRAME, device, application, ("wiring", "gap"), wiring.gap, told)


def _tell(
    page: Page,
    device: DeviceFacts,
    application: Application,
    path: tuple[str, ...],
    length: float,
    told: set[tuple[str, str]],
) -> Iterator[Finding]:
    spot = Spot(device.id, path)
    if (str(spot), application.id) in told:
        return
    told.add((str(spot), application.id))
    frame = 1000 / application.application.frame_rate
    word = f"`{path[1]}` pulses" if path[0] == "controls" else f"the {path[1]} of `{device.id}` is"
    yield report(
        page,
        f"{word} {length:g} ms, `{application.id}` frames {frame:.1f} ms",
        f"Set {'.'.join(path)} to {_round_up(frame)} or more",
        spot,
        [Related("the frame rate", Spot(application.id, ("application", "frame_rate")))],
        about=application.id,
    )


def _round_up(length: float) -> str:
    """A length in ms, rounded up to a tenth."""
    tenths = -int(-length * 10 // 1)
    return f"{tenths / 10:g}"


CHECKS = (
    Check(check_frames, (PULSE_BELOW_FRAME, GAP_BELOW_FRAME)),
    Check(check_debounce, (DEBOUNCE_SHORT,)),
    Check(check_scan, (SCAN_SLOW,)),
    Check(check_turns, (TURN_SLOW,)),
)
