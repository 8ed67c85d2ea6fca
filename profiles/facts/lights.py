"""What each LED of a device follows: contacts, which their wires tell of."""

from typing import NamedTuple

from profiles.facts.signals import find_sources, nature_of, passes_gaps
from profiles.model import Contact, Device, Led, parse_key
from profiles.model.binding import BindingKeyError
from profiles.text.prose import join_words
from profiles.text.suggest import closest

ALWAYS = "power"


class Light(NamedTuple):
    """When an LED is lit: while all of `closed` read closed and all of `opened` open, those of each
    group in `lasting` for the hold time of the wiring.

    `problem` says why its file's words lead nowhere, and `meant` what they may mean; it stays dark
    then.
    """

    control: str
    led: Led
    closed: tuple[Contact, ...] = ()
    opened: tuple[Contact, ...] = ()
    lasting: tuple[tuple[Contact, ...], ...] = ()
    problem: str = ""
    meant: str | None = None


def find_lights(device: Device) -> tuple[Light, ...]:
    """Every LED of a device with what it follows, in the order of the file."""
    return tuple(
        _find_light(device, key, control.led)
        for key, control in device.controls.items()
        if control.led is not None
    )


def _find_light(device: Device, key: str, led: Led) -> Light:
    if led.follows == ALWAYS:
        return Light(key, led)
    try:
        names = parse_key(led.follows)
    except BindingKeyError as error:
        return Light(key, led, problem=str(error))
    closed, opened = list[Contact](), list[Contact]()
    lasting = list[tuple[Contact, ...]]()
    for name in (*names.held, names.acting):
        control = device.controls.get(name.control)
        contact = name.contact or (control.main_contact if control else None)
        if control is not None and contact is None and not name.device:
            every = join_words([f"`{name.control}.{one}`" for one in control.contacts], "or")
            return Light(key, led, problem=f"`{name}` has several contacts: name {every}")
        if control is None or name.device or contact not in control.contacts:
            known = [
                word
                for one, other in device.controls.items()
                for word in ([one] if other.main_contact else [])
                + [f"{one}.{contact}" for contact in other.contacts]
            ]
            near = closest(str(name), known)
            meant = near and led.follows.replace(str(name), near)
            return Light(key, led, problem=f"`{name}` is no contact of this device", meant=meant)
        if nature_of(control, contact) in ("turn", "axis"):
            return Light(key, led, problem=f"`{name}` neither opens nor closes for long")
        those = find_sources(device, Contact(name.control, contact))
        closed += those[0]
        opened += those[1]
        if not those[0] and passes_gaps(control):
            lasting.append(those[1])
    return Light(
        key, led, tuple(dict.fromkeys(closed)), tuple(dict.fromkeys(opened)), tuple(lasting)
    )
