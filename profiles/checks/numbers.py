"""Input numbers, hats and axes of one device: repeated, missing, or beyond what is declared and
carried."""

from collections.abc import Iterator
from itertools import pairwise

from profiles.checks.base import by_device, report
from profiles.facts.device import DeviceFacts
from profiles.facts.signals import LAST_BUTTON
from profiles.facts.survey import Survey
from profiles.model import Contact, Finding, Related, Spot
from profiles.text.prose import count, list_some

WIDEST_HOST = 128
"""Buttons of the widest joystick interface that an operating system publishes a limit for:
`rgbButtons[128]` (learn.microsoft.com, DIJOYSTATE2). Linux maps 80 (drivers/hid/hid-input.c)."""

LINUX = 80
"""Buttons of a joystick or game pad that Linux has codes for (drivers/hid/hid-input.c)."""

MOST_TOLD = 12
"""Inputs shown beside the first; the message counts all."""


@by_device
def check_repeated(device: DeviceFacts) -> Iterator[Finding]:
    """Report contacts that share an input number with another of the device.

    A number that a crossing or bit gives can only be changed there, so any other gives way to it.
    """
    from profiles.host.axes import name_input, whole_axis

    if len(set(map(whole_axis, device.reported.values()))) == len(device.reported):
        return

    placed = device.numbering.placed
    sharing: dict[int, list[Contact]] = {}
    for contact in sorted(device.reported, key=lambda contact: contact not in placed):
        sharing.setdefault(whole_axis(device.reported[contact]), []).append(contact)
    for number, (owner, *others) in sharing.items():
        for contact in others:
            if number > LAST_BUTTON and contact.control == owner.control:
                continue  # both ends of one axis
            name = device.name(*contact)
            spot = device.input_spot(*contact)
            own = "a number" if number <= LAST_BUTTON else "an axis"
            remedy = f"Give {name} {own} of its own"
            if contact in placed:
                spot = device.place_spot(*contact)
                key = str(spot.path[2]).removesuffix("s")
                remedy = f"Move {name} to a free {key}, which gives it a number of its own"
            has = "gets it from its wiring" if owner in placed else "has it first"
            there = device.place_spot if owner in placed else device.input_spot
            yield report(
                "input-repeated",
                f"{name_input(number)} serves {device.name(*owner)} and {name}",
                remedy,
                spot,
                [Related(f"{device.name(*owner)} {has}", there(*owner))],
            )


def check_bounds(survey: Survey) -> Iterator[Finding]:
    """Report input numbers above what the device declares, or above what hosts pass on."""
    for device in survey.devices:
        declared = device.device.device.report.buttons or device.highest_input
        sent: dict[Contact, int] = {}
        for place, number in device.inputs.items():
            if number <= declared:
                sent[place] = number
                continue
            is_placed = place in device.numbering.placed
            lower = "move it to a lower place" if is_placed else "number it lower"
            yield report(
                "number-beyond-report",
                f"{device.name(*place)} is input {number}, "
                f"but the device declares only {count(declared, 'button')}",
                f"Declare at least {number} buttons, or {lower}",
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
            them = "them" if others else "it"
            is_free = device.numbering.placed.isdisjoint(places)
            verb = f"Number {them}" if is_free else f"Move {them} to places numbered"
            yield report(
                code,
                f"{device.name(*first)} is input {sent[first]}, but {passes} only {most}{more}",
                f"{verb} from 1 to {most}",
                device.input_spot(*first),
                [
                    Related(
                        f"{device.name(*other)} is input {sent[other]}", device.input_spot(*other)
                    )
                    for other in others[:MOST_TOLD]
                ],
            )


@by_device
def check_gaps(device: DeviceFacts) -> Iterator[Finding]:
    """Report devices whose numbers, given one by one, leave some unused."""
    if device.device.wiring.numbering is not None or not device.inputs:
        return
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


@by_device
def check_fields(device: DeviceFacts) -> Iterator[Finding]:
    """Report hats and axes that Linux, or the widest structure of Windows, does not carry."""
    declared = device.device.device.report
    if len(device.reported) == len(device.inputs) and not (declared.axes or declared.hats):
        return
    from profiles.host.axes import name_input, view_fields
    from profiles.host.descriptor import shape_report

    shape = shape_report(declared, device.reported.values())
    for view in view_fields(shape.hats, shape.axes):
        dropped = {
            title: view.indices[interface].reason
            for interface, title in WIDEST.items()
            if view.indices[interface].number is None
        }
        owners = [
            name
            for name, number in device.reported.items()
            if f"{name_input(number)} ".startswith(f"{view.name} ")
        ]
        if dropped:
            host, reason = next(iter(dropped.items()))
            owner = f" of `{owners[0].control}`" if owners else ""
            yield report(
                "axis-dropped",
                f"{host} drops {view.name}{owner}: it {reason}",
                "Choose another axis"
                if view.name.startswith("axis")
                else "Report its ways as buttons",
                device.spot("controls", owners[0].control)
                if owners
                else device.spot("device", "report"),
                about=view.name,
            )


WIDEST = {"linux-evdev": "Linux", "windows-dijoystate2": "Windows (DIJOYSTATE2)"}
"""Interfaces that carry the most hats and axes on each system, and what people call them."""

CHECKS = (check_repeated, check_bounds, check_gaps, check_fields)
