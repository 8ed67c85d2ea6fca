"""Contacts on wires: bits of the shift-register chain, contacts wired twice, by half or not at all,
commons that one line cannot reach, and controls that report nothing."""

from collections.abc import Container, Iterator

from profiles.checks.base import by_device, is_contact_wired, name_lack, quote, report
from profiles.facts.device import DeviceFacts
from profiles.facts.survey import Survey
from profiles.model import Axis, Contact, Finding, Related, ResolvedBinding, Rotary, Spot
from profiles.model.control_value import FINGERS, TURNS
from profiles.text.prose import join_words, list_some


@by_device
def check_bits(device: DeviceFacts) -> Iterator[Finding]:
    """Report bits that the chain lacks, and bits of two contacts."""
    wiring = device.device.wiring
    length = wiring.chain_bits
    first: dict[int, tuple[str, str]] = {}
    for control, value in device.controls.items():
        for contact, bit in value.bit_by_contact.items():
            name, spot = device.name(control, contact), device.spot_of(control, "bit", contact)
            if not length:
                yield report(
                    "bit-outside",
                    f"{name} sits at bit {bit}, but there is no chain",
                    "Describe the shift-register chain",
                    spot,
                )
            elif bit > length:
                have = "chain has" if wiring.chain else "chains have"
                key = ("chain", "length") if wiring.chain else ("chains",)
                yield report(
                    "bit-outside",
                    f"{name} sits at bit {bit}, but the {have} {length}",
                    "Correct the bit, or the length of the chain",
                    spot,
                    [Related("its length", device.spot("wiring", *key))],
                )
            owner = first.setdefault(bit, (control, contact))
            if owner != (control, contact):
                yield report(
                    "bit-shared",
                    f"{device.name(*owner)} and {name} share bit {bit}",
                    f"Move {name} to a free bit",
                    spot,
                    [
                        Related(
                            f"{device.name(*owner)} sits there",
                            device.spot_of(owner[0], "bit", owner[1]),
                        )
                    ],
                )


@by_device
def check_ways(device: DeviceFacts) -> Iterator[Finding]:
    """Report contacts that are wired in more than one way."""
    for control, value in device.controls.items():
        wired: dict[str, Container[str]] = {
            "crossing": value.crossing_by_contact,
            "pin": value.pin_by_contact,
            "bit": value.bit_by_contact,
        }
        for contact in value.contacts:
            ways = [way for way, contacts in wired.items() if contact in contacts]
            if len(ways) < 2:
                continue
            kept, *others = [device.spot_of(control, way, contact) for way in ways]
            yield report(
                "wired-twice",
                f"{device.name(control, contact)} has {join_words([f'a {way}' for way in ways])}",
                "Keep the one that is soldered, and remove the other",
                kept,
                [Related("is wired here too", other) for other in others],
            )


@by_device
def check_halves(device: DeviceFacts) -> Iterator[Finding]:
    """Report rotaries of which one channel is wired, or numbered, and the other is not."""
    for control, value in device.controls.items():
        if not isinstance(value, Rotary):
            continue
        numbered = device.contacts.get(control, ())
        for what, has in (("wired", value.wired_contacts), ("numbered", numbered)):
            ways = [way for way in TURNS if way in has]
            if len(ways) == 1:
                yield report(
                    "rotary-half-wired",
                    f"`{control}` is {what} {ways[0]} only",
                    "Give the other direction its place and its number",
                    device.spot("controls", control),
                    about=what,
                )


def check_unwired(survey: Survey) -> Iterator[Finding]:
    """Report contacts with an input number that no wire of a wired device reaches.

    A rotary of which one channel is wired is told of by `check_halves`. What must be bound is not
    known while a profile or application cannot be used.
    """
    library = survey.library
    is_sure = not (library.may_define("profile") or library.may_define("application"))
    for device in survey.devices:
        if not device.is_wired:
            continue
        links = survey.links_of(device.id)
        lost: dict[str, list[str]] = {}
        for where in device.reported:
            value = device.controls[where.control]
            is_half = not value.wired_contacts.isdisjoint(TURNS) and where.contact in TURNS
            if not is_contact_wired(device, where) and not is_half:
                lost.setdefault(where.control, []).append(where.contact)
        all_lost = {(device.id, control, one) for control, those in lost.items() for one in those}
        resting: dict[str, dict[str, Spot]] = {}
        for link in links if lost else ():
            ways: dict[str, list[ResolvedBinding]] = {}
            for binding in link.bound:
                if binding.action.need == "must":
                    ways.setdefault(binding.action_id, []).append(binding)
            for bindings in ways.values():
                needed = [all_lost.intersection((*way.held, way.acting)) for way in bindings]
                for control in {who[1] for those in needed for who in those} if all(needed) else ():
                    found = resting.setdefault(control, {})
                    found.setdefault(bindings[0].action.name, bindings[0].spot)
        for control, contacts in lost.items():
            names = [device.name(control, contact) for contact in contacts]
            actions = {quote(name): spot for name, spot in resting.get(control, {}).items()}
            if not actions and not is_sure:
                continue
            axis = isinstance(device.controls[control], Axis)
            lacks = f"{list_some(names)} {'has' if len(names) == 1 else 'have'}"
            yield report(
                "must-unwired" if actions else "contact-unwired",
                f"{list_some(list(actions))} must be bound, but {lacks} no wire"
                if actions
                else f"{lacks} an input number but no wire"
                if (control, contacts[0]) in device.inputs
                else f"{lacks} no wire",
                f"Give {list_some(names)} a crossing, a pin or a bit, or remove the input number"
                if (control, contacts[0]) in device.inputs
                else f"Give {list_some(names)} a {'pin' if axis else 'crossing, a pin or a bit'}",
                device.input_spot(control, contacts[0]),
                [Related(f"{name} is bound here", spot) for name, spot in actions.items()],
            )


@by_device
def check_commons(device: DeviceFacts) -> Iterator[Finding]:
    """Report controls whose contacts cannot share one common terminal."""
    if not device.device.wiring.rows:
        return
    from profiles.wiring.commons import find_split

    for control in find_split(device.circuit):
        placed = device.controls[control].crossing_by_contact
        places = [at for contact, at in placed.items() if contact not in FINGERS]
        rows, columns = (len({at[axis] for at in places}) for axis in (0, 1))
        yield report(
            "common-split",
            f"`{control}` is on {rows} rows and {columns} columns, but its common takes one line",
            "Move its contacts to one row or one column",
            device.spot_of(control, "crossing", next(iter(placed))),
        )


def check_silent(survey: Survey) -> Iterator[Finding]:
    """Report controls that no input number reaches, but for those that a profile binds."""
    for device in survey.devices:
        silent = [control for control in device.controls if control not in device.contacts]
        if not silent or not device.reported or survey.library.may_define("profile"):
            continue
        used = {contact[:2] for link in survey.links_of(device.id) for contact in link.used}
        for control in silent:
            if (device.id, control) not in used:
                lack = name_lack(device, Contact(control, device.controls[control].contacts[0]))
                numbered = "" if device.is_wired else ", or a place in the numbered wiring"
                yield report(
                    "control-without-input",
                    f"`{control}` has no input",
                    f"Give it {lack}{numbered}",
                    device.spot("controls", control),
                )


CHECKS = (check_bits, check_ways, check_halves, check_unwired, check_commons, check_silent)
