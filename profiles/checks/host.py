"""Inputs that a profile needs and that its application, or the host interface before it, drops."""

from collections.abc import Iterator

from profiles.checks.base import Check, report
from profiles.facts.device import DeviceFacts
from profiles.facts.survey import LinkFacts, Survey
from profiles.model import Application, DeviceContact, Finding, Page, Related, Spot

NUMBER_BEYOND_APPLICATION = Page(
    code="number-beyond-application",
    severity="error",
    title="A profile needs an input above what its application takes",
    what="A bound or held contact has an input number above the buttons of one device that the "
    "application accepts.",
    why="The host reports the input, the application never looks at it: pressing does nothing "
    "and its binding screen does not react.",
    example="[application]\nbuttons = 32\n\n[controls.horn]\ninput = 33",
    remedy="Give the contact a lower input number, or bind another.",
)

INPUT_NEVER_ARRIVES = Page(
    code="input-never-arrives",
    severity="error",
    title="The host interface drops an input that a profile needs",
    what="The interface through which the application reads devices does not carry the input of "
    "a bound or held contact.",
    why="The box is right and the application is right; what lies between them has no room. "
    "Nothing on the screen says so.",
    example='[application]\ninterface = "windows-joyinfoex"   # carries 32 buttons\n\n'
    "[controls.horn]\ninput = 33",
    remedy="Give the contact a lower input number, or bind another.",
    source="The figures and sources that `wiring host` prints for each interface",
)


def check_arrival(survey: Survey) -> Iterator[Finding]:
    """Report inputs a profile uses that never reach its application."""
    for link in survey.links:
        if link.application is None:
            continue
        for device in link.devices:
            yield from _check_device(link, device, link.application)


def _check_device(
    link: LinkFacts, device: DeviceFacts, application: Application
) -> Iterator[Finding]:
    header = application.application
    dropped = device.dropped(header.interface) if header.interface else {}
    if device.highest_input <= header.buttons and not dropped:
        return
    for place, number in device.inputs.items():
        if DeviceContact(device.id, *place) not in link.used:
            continue
        if number in dropped:
            yield _tell(INPUT_NEVER_ARRIVES, link, device, place, dropped[number])
        elif number > header.buttons:
            reason = f"`{application.id}` takes {header.buttons}"
            yield _tell(NUMBER_BEYOND_APPLICATION, link, device, place, reason)


def _tell(
    page: Page, link: LinkFacts, device: DeviceFacts, place: tuple[str, str], reason: str
) -> Finding:
    control, contact = place
    name, number = device.name(control, contact), device.inputs[place]
    key = "interface" if page is INPUT_NEVER_ARRIVES else "buttons"
    owner = link.application.id if link.application else ""
    bound = next(
        one
        for one in link.bound
        for each in (*one.held, one.acting)
        if each == DeviceContact(device.id, control, contact)
    )
    return report(
        page,
        f"{name} is input {number}, {reason}",
        f"Give {name} a lower number, or bind `{bound.action_id}` elsewhere",
        bound.spot,
        [
            Related("its input", device.input_spot(control, contact)),
            Related("what is carried", Spot(owner, ("application", key))),
        ],
        about=f"{device.id}/{control}.{contact}",
    )


CHECKS = (Check(check_arrival, (NUMBER_BEYOND_APPLICATION, INPUT_NEVER_ARRIVES)),)
