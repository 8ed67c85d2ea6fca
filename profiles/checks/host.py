"""What the host makes of a box: inputs that it or the application drops, and devices that it
cannot tell apart."""

from collections.abc import Iterator

from profiles.checks.base import report
from profiles.facts.signals import LAST_BUTTON
from profiles.facts.survey import Survey
from profiles.model import DeviceContact, Finding, Related, ResolvedBinding, Spot


def check_arrival(survey: Survey) -> Iterator[Finding]:
    """Report inputs a profile uses that never reach its application."""
    for link in survey.links:
        if link.application is None:
            continue
        header = link.application.application
        first: dict[DeviceContact, ResolvedBinding] = {}
        for binding in link.bound:
            for contact in (*binding.held, binding.acting):
                first.setdefault(contact, binding)
        for device in link.devices:
            dropped = device.dropped(header.interface) if header.interface else {}
            if device.highest_input <= header.buttons and not dropped:
                continue
            for place, number in device.reported.items():
                bound = first.get(DeviceContact(device.id, *place))
                fits = number <= header.buttons or number > LAST_BUTTON
                if bound is None or (number not in dropped and fits):
                    continue
                if number in dropped:
                    code, key, reason = "input-never-arrives", "interface", dropped[number]
                else:
                    code, key = "number-beyond-application", "buttons"
                    reason = f"but `{header.id}` accepts only {header.buttons}"
                from profiles.host.axes import name_input

                name = device.name(*place)
                is_placed = place in device.numbering.placed
                lower = (
                    f"Move {name} to a lower place" if is_placed else f"Give {name} a lower number"
                )
                yield report(
                    code,
                    f"{name} is {name_input(number)}, {reason}",
                    f"{lower}, or bind `{bound.action_id}` elsewhere"
                    if number <= LAST_BUTTON
                    else f"Bind `{bound.action_id}` elsewhere",
                    bound.spot,
                    [
                        Related("its input", device.input_spot(*place)),
                        Related("what is carried", Spot(header.id, ("application", key))),
                    ],
                    about=f"{device.id}/{'.'.join(place)}",
                )


def check_identities(survey: Survey) -> Iterator[Finding]:
    """Report devices that share what the host knows them by."""
    known = {
        device.id: usb for device in survey.devices if (usb := device.device.device.usb) is not None
    }
    if len(known) < 2:
        return
    from profiles.host.identity import Identity, find_lookalikes

    identities = {
        key: Identity(int(usb.vendor, 16), int(usb.product, 16), usb.serial)
        for key, usb in known.items()
    }
    for alike in find_lookalikes(identities):
        same = alike.likeness == "same"
        first, *others = alike.devices
        for other in others:
            yield report(
                "devices-identical" if same else "devices-differ-by-serial",
                f"`{other}` looks like `{first}` to the host",
                f"Give `{other}` its own product number{' or serial number' if same else ''}",
                Spot(other, ("device", "usb")),
                [Related("has the same numbers", Spot(first, ("device", "usb")))],
                about=first,
            )


CHECKS = (check_arrival, check_identities)
