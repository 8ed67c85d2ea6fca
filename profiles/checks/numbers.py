"""Input numbers of one device: repeated, missing, or beyond what is declared and carried."""

from collections.abc import Iterator

from profiles.checks.base import Check, report
from profiles.facts.device import DeviceFacts
from profiles.facts.survey import Survey, list_some
from profiles.model import Finding, Page, Related, Spot

WIDEST_HOST = 128
"""Buttons of the widest joystick interface that an operating system publishes a limit for:
`rgbButtons[128]` (learn.microsoft.com, DIJOYSTATE2). Linux maps 80 (drivers/hid/hid-input.c)."""

LINUX = 80
"""Buttons of a joystick or game pad that Linux has codes for (drivers/hid/hid-input.c)."""

MOST_TOLD = 12
"""Inputs shown beside the first; the message counts all."""

INPUT_REPEATED = Page(
    code="input-repeated",
    severity="error",
    title="One input number serves two contacts",
    what="Two contacts of one device carry the same input number.",
    why="The host sees one button for both, so no title can tell them apart, and holding one "
    "hides the other.",
    example="[controls.horn]\ninput = 4\n[controls.bell]\ninput = 4",
    remedy="Give one of them a number of its own.",
    source="USB HID Usage Tables 1.12, Button page: one usage, one button",
)

NUMBER_BEYOND_HOST = Page(
    code="number-beyond-host",
    severity="warning",
    title="An input number is above what hosts pass on",
    what=f"An input number is above {WIDEST_HOST}, the widest joystick interface that an "
    "operating system publishes a limit for.",
    why="The box sends the input, and the host drops it without a word: the control looks "
    "broken in every title.",
    example="[controls.horn]\ninput = 129",
    remedy=f"Number the inputs from 1 to {WIDEST_HOST}, or report as a second device.",
    source="learn.microsoft.com, DIJOYSTATE2: rgbButtons[128]; Linux drivers/hid/hid-input.c "
    "maps Button usages 1 to 80 of a joystick or game pad",
)

NUMBER_BEYOND_LINUX = Page(
    code="number-beyond-linux",
    severity="note",
    title="An input number is above what Linux passes on",
    what=f"An input number of a joystick or game pad is above {LINUX}, and not every application "
    "bound to the device says through which interface it reads.",
    why="Linux maps 80 buttons of a joystick or game pad and ignores the rest; other systems pass "
    "more. On Linux the control looks broken in every title.",
    example="[controls.horn]\ninput = 81",
    remedy=f"Number the inputs from 1 to {LINUX}, name the interface of your applications, or "
    "accept it where the box never meets Linux.",
    source="Linux drivers/hid/hid-input.c and KEY_MAX in include/uapi/linux/input-event-codes.h",
)

NUMBER_BEYOND_REPORT = Page(
    code="number-beyond-report",
    severity="error",
    title="An input number is above the buttons the device declares",
    what="The device tells the host that it has fewer buttons than its highest input number.",
    why="The report has no bit for the input, so it never leaves the box.",
    example="[device.report]\nbuttons = 16\n[controls.horn]\ninput = 17",
    remedy="Declare more buttons, or number the input lower.",
    source="USB HID 1.11, 6.2.2.7 and 6.2.2.8: Report Count and Usage Maximum",
)

NUMBER_GAP = Page(
    code="number-gap",
    severity="note",
    title="Input numbers leave a gap",
    what="Between 1 and the highest input number of a device some numbers are not in use.",
    why="Hosts that count the buttons that are there, and titles that list every button the "
    "report declares, show numbers that no control has. A gap is also how a forgotten contact "
    "looks.",
    example="[controls.horn]\ninput = 1\n[controls.bell]\ninput = 3   # 2 is nobody's",
    remedy="Close the gap, or accept it with the reason for which it is kept.",
    source="Linux drivers/input/joydev.c numbers the codes that are present, in order",
)


def check_repeated(survey: Survey) -> Iterator[Finding]:
    """Report contacts whose input number another contact of the device carries already."""
    for device in survey.devices:
        first: dict[int, tuple[str, str]] = {}
        for place, number in device.inputs.items():
            owner = first.setdefault(number, place)
            if owner != place:
                yield _describe_repeated(device, number, owner, place)


def _describe_repeated(
    device: DeviceFacts, number: int, owner: tuple[str, str], other: tuple[str, str]
) -> Finding:
    names = f"{device.name(*owner)} and {device.name(*other)}"
    return report(
        INPUT_REPEATED,
        f"input {number} serves {names}",
        f"Give {device.name(*other)} a number of its own",
        device.input_spot(*other),
        [Related(f"{device.name(*owner)} has it first", device.input_spot(*owner))],
    )


def check_bounds(survey: Survey) -> Iterator[Finding]:
    """Report input numbers above what the device declares, or above what hosts pass on."""
    for device in survey.devices:
        if device.highest_input > LINUX or device.device.device.report.buttons is not None:
            yield from _check_bounds(survey, device)


def _check_bounds(survey: Survey, device: DeviceFacts) -> Iterator[Finding]:
    declared = device.device.device.report.buttons or device.highest_input
    sent = {place: number for place, number in device.inputs.items() if number <= declared}
    for place, number in device.inputs.items():
        if place not in sent:
            yield _describe_undeclared(device, place, number, declared)
    beyond = [place for place, number in sent.items() if number > WIDEST_HOST]
    if beyond:
        yield _describe_beyond(NUMBER_BEYOND_HOST, device, beyond, "hosts pass", WIDEST_HOST)
    if device.highest_input > LINUX and not _names_interfaces(survey, device):
        dropped = device.dropped("linux-evdev")
        lost = [place for place, number in sent.items() if number in dropped]
        lost = [place for place in lost if place not in set(beyond)]
        if lost:
            yield _describe_beyond(NUMBER_BEYOND_LINUX, device, lost, "Linux passes", LINUX)


def _names_interfaces(survey: Survey, device: DeviceFacts) -> bool:
    """Whether every application bound to a device says through which interface it reads."""
    applications = [link.application for link in survey.links_of(device.id)]
    return bool(applications) and all(
        one is not None and one.application.interface is not None for one in applications
    )


def _describe_undeclared(
    device: DeviceFacts, place: tuple[str, str], number: int, declared: int
) -> Finding:
    return report(
        NUMBER_BEYOND_REPORT,
        f"{device.name(*place)} is input {number}, declared are {declared}",
        f"Declare at least {number} buttons, or number it lower",
        device.input_spot(*place),
        [Related(f"declares {declared} buttons", device.spot(*_REPORT))],
    )


def _describe_beyond(
    page: Page, device: DeviceFacts, places: list[tuple[str, str]], who: str, most: int
) -> Finding:
    """One finding a device: the lowest number in words, others beside it."""
    first, *others = sorted(places, key=lambda place: device.inputs[place])
    more = f", {len(others)} more likewise" if others else ""
    return report(
        page,
        f"{device.name(*first)} is input {device.inputs[first]}, {who} {most}{more}",
        f"Number {'them' if others else 'it'} from 1 to {most}",
        device.input_spot(*first),
        [
            Related(f"{device.name(*one)} is input {device.inputs[one]}", device.input_spot(*one))
            for one in others[:MOST_TOLD]
        ],
    )


_REPORT = ("device", "report", "buttons")


def check_gaps(survey: Survey) -> Iterator[Finding]:
    """Report devices whose numbers, given one by one, leave some out."""
    for device in survey.devices:
        if device.device.wiring.numbering is not None or not device.inputs:
            continue
        used = sorted(set(device.inputs.values()))
        runs = [
            _name_run(low + 1, high - 1)
            for low, high in zip([0, *used], used, strict=False)
            if high - low > 1
        ]
        if runs:
            yield report(
                NUMBER_GAP,
                f"no contact of `{device.id}` is input {list_some(runs)}",
                "Close the gap, or accept it with a reason",
                Spot(device.id, ("controls",)),
            )


def _name_run(low: int, high: int) -> str:
    return str(low) if low == high else f"{low} to {high}"


CHECKS = (
    Check(check_repeated, (INPUT_REPEATED,)),
    Check(check_bounds, (NUMBER_BEYOND_REPORT, NUMBER_BEYOND_HOST, NUMBER_BEYOND_LINUX)),
    Check(check_gaps, (NUMBER_GAP,)),
)
