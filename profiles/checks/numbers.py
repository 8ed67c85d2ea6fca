"""Input numbers of one device: repeated, missing, or beyond what is declared and carried."""

from collections.abc import Iterator
from itertools import pairwise

from profiles.checks.base import report
from profiles.facts.survey import Survey
from profiles.model import Finding, Related, Spot
from profiles.text.prose import count, list_some

WIDEST_HOST = 128
"""Buttons of the widest joystick interface that an operating system publishes a limit for:
`rgbButtons[128]` (learn.microsoft.com, DIJOYSTATE2). Linux maps 80 (drivers/hid/hid-input.c)."""

LINUX = 80
"""Buttons of a joystick or game pad that Linux has codes for (drivers/hid/hid-input.c)."""

MOST_TOLD = 12
"""Inputs shown beside the first; the message counts all."""


def check_repeated(survey: Survey) -> Iterator[Finding]:
    """Report contacts whose input number another contact of the device carries already."""
    for device in survey.devices:
        first: dict[int, tuple[str, str]] = {}
        for place, number in device.inputs.items():
            owner = first.setdefault(number, place)
            if owner != place:
                yield report(
                    "input-repeated",
                    f"input {number} serves {device.name(*owner)} and {device.name(*place)}",
                    f"Give {device.name(*place)} a number of its own",
                    device.input_spot(*place),
                    [Related(f"{device.name(*owner)} has it first", device.input_spot(*owner))],
                )


def check_bounds(survey: Survey) -> Iterator[Finding]:
    """Report input numbers above what the device declares, or above what hosts pass on."""
    for device in survey.devices:
        declared = device.device.device.report.buttons or device.highest_input
        sent: dict[tuple[str, str], int] = {}
        for place, number in device.inputs.items():
            if number <= declared:
                sent[place] = number
                continue
            yield report(
                "number-beyond-report",
                f"{device.name(*place)} is input {number}, "
                f"but the device declares only {count(declared, 'button')}",
                f"Declare at least {number} buttons, or number it lower",
                device.input_spot(*place),
                [
                    Related(
                        f"declares {count(declared, 'button')}",
                        device.spot("device", "report", "buttons"),
                    )
                ],
            )
        if device.highest_input <= LINUX:
            continue
        # Each application that says through which interface it reads is judged by that one.
        applications = [link.application for link in survey.links_of(device.id)]
        all_named = bool(applications) and all(
            application is not None and application.application.interface is not None
            for application in applications
        )
        dropped = {} if all_named else device.dropped("linux-evdev")
        order = sorted(sent, key=lambda place: sent[place])
        beyond = [place for place in order if sent[place] > WIDEST_HOST]
        lost = [place for place in order if sent[place] in dropped and place not in set(beyond)]
        for code, places, passes, most in (
            ("number-beyond-host", beyond, "hosts pass on", WIDEST_HOST),
            ("number-beyond-linux", lost, "Linux passes on", LINUX),
        ):
            if not places:
                continue
            first, *others = places
            more = f"; {count(len(others), 'more contact')} affected" if others else ""
            yield report(
                code,
                f"{device.name(*first)} is input {sent[first]}, but {passes} only {most}{more}",
                f"Number {'them' if others else 'it'} from 1 to {most}",
                device.input_spot(*first),
                [
                    Related(
                        f"{device.name(*other)} is input {sent[other]}", device.input_spot(*other)
                    )
                    for other in others[:MOST_TOLD]
                ],
            )


def check_gaps(survey: Survey) -> Iterator[Finding]:
    """Report devices whose numbers, given one by one, leave some unused."""
    for device in survey.devices:
        if device.device.wiring.numbering is not None or not device.inputs:
            continue
        gaps = [
            f"{low + 1}" if high - low == 2 else f"{low + 1} to {high - 1}"
            for low, high in pairwise([0, *sorted(set(device.inputs.values()))])
            if high - low > 1
        ]
        if gaps:
            yield report(
                "number-gap",
                f"no contact of `{device.id}` is input {list_some(gaps)}",
                "Close the gap, or accept it with a reason",
                Spot(device.id, ("controls",)),
            )


CHECKS = (check_repeated, check_bounds, check_gaps)
