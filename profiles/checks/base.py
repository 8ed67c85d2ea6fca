"""What a check is, and how it words a finding."""

from collections.abc import Callable, Iterable, Iterator
from functools import wraps

from profiles.checks.codes import CODES
from profiles.facts.device import DeviceFacts
from profiles.facts.signals import find_sources
from profiles.facts.survey import Survey
from profiles.model import Contact, Finding, Related, Spot

Check = Callable[[Survey], Iterable[Finding]]
"""A function that looks for one pattern in a survey of the library."""


def by_device(check: Callable[[DeviceFacts], Iterable[Finding]]) -> Check:
    """Make a check of one that looks at nothing but a device; what it finds is kept with the facts
    of the device, for libraries in which something else has changed."""

    @wraps(check)
    def find(survey: Survey) -> Iterator[Finding]:
        for device in survey.devices:
            if check not in device.found:
                device.found[check] = tuple(check(device))
            yield from device.found[check]

    return find


def report(
    code: str,
    message: str,
    remedy: str,
    spot: Spot,
    related: Iterable[Related] = (),
    about: str = "",
) -> Finding:
    """A finding of this code, in its default severity.

    `about` tells it from others of the code at the same spot, such as the action left unbound.
    """
    return Finding(code, CODES[code], message, remedy, spot, tuple(related), about=about)


def quote(words: str, most: int = 40) -> str:
    """Words of a label in backticks, on one line, cut where they are long."""
    line = " ".join(words.split())
    return f"`{line}`" if len(line) <= most else f"`{line[:most].rstrip()}…`"


def is_contact_wired(device: DeviceFacts, contact: Contact) -> bool:
    """Whether a contact has a place in the wiring, or the board tells it by others that have."""
    value = device.controls[contact.control]
    wired = {*value.crossing_by_contact, *value.pin_by_contact, *value.bit_by_contact}
    closed, opened = find_sources(device.device, contact)
    return wired.issuperset(one.contact for one in closed + opened)


def name_lack(device: DeviceFacts, contact: Contact) -> str:
    """What a contact without an input lacks: in a wired box a number alone would reach no wire."""
    if not device.is_wired or is_contact_wired(device, contact):
        return "an input number"
    places = "a crossing, a pin or a bit"
    is_numbered = device.device.wiring.numbering is not None
    return places if is_numbered else f"an input number, and {places}"
