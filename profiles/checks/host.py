"""What the host makes of a box: inputs that it or the application drops, and devices that it
cannot tell apart."""

from collections.abc import Iterator

from profiles.checks.base import by_device, report
from profiles.facts.device import DeviceFacts
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


def check_axes(survey: Survey) -> Iterator[Finding]:
    """Report boxes without axes, where an application reads them through an interface of which some
    hosts show only devices with axes."""
    for device in survey.devices:
        headers = [
            link.application.application
            for link in survey.links_of(device.id)
            if link.application and link.application.application.interface in WANTS_AXES
        ]
        if not headers:
            continue
        from profiles.host.descriptor import shape_report

        shape = shape_report(device.device.device.report, device.reported.values())
        if {"x", "y"} <= set(shape.axes):
            continue
        first = headers[0]
        yield report(
            "axes-absent",
            f"`{device.id}` has no axes X and Y: some hosts do not show it to `{first.id}`, which "
            f"reads through `{first.interface}`",
            "Set axes = 2 in [device.report], or accept this if your host shows the box",
            device.spot("device", "report"),
            [
                Related("how it is read", Spot(header.id, ("application", "interface")))
                for header in {header.id: header for header in headers}.values()
            ],
        )


WANTS_AXES = frozenset({"linux-joydev", "linux-sdl"})
"""Interfaces that take a joystick by its first button, but on some hosts by its axes alone: kernels
whose joydev_ids (drivers/input/joydev.c) lists no buttons, and SDL where udev is missing
(SDL_EVDEV_GuessDeviceClass)."""


def check_identities(survey: Survey) -> Iterator[Finding]:
    """Report devices that share what the host knows them by.

    A box without an identity of its own has that of its board. An interpreter's serial number is
    that of its chip.
    """
    if len(survey.by_id) < 2:
        return
    from profiles.host.identity import Identity, find_lookalikes

    identities: dict[str, Identity] = {}
    boards: dict[str, int] = {}
    for device in survey.devices:
        usb, board = device.device.device.usb, device.board
        firmware = device.firmware
        serial = usb.serial if usb is not None else None
        if firmware == "python":
            serial = f"the chip of {device.id}"
        if usb is not None:
            known = Identity(int(usb.vendor, 16), int(usb.product, 16), serial)
            identities[device.id] = known
        elif board is not None and firmware is not None:
            # No USB number is below zero: these stand for the board's own.
            own_numbers = Identity(-1, -boards.setdefault(board.id, len(boards) + 1), serial)
            identities[device.id] = own_numbers
    for alike in find_lookalikes(identities):
        same = alike.likeness == "same"
        first, *others = alike.devices
        for other in others:
            own = survey.by_id[other].device.device.usb is None
            yield report(
                "devices-identical" if same else "devices-differ-by-serial",
                f"`{other}` looks like `{first}` to the host"
                + (": both have their board's own identity" if own else ""),
                f"Give `{other}` an identity of its own in [device.usb]"
                if own
                else f"Give `{other}` its own product number{' or serial number' if same else ''}",
                Spot(other, ("device",) if own else ("device", "usb")),
                [
                    Related("has the same", Spot(first, ("device",)))
                    if own
                    else Related("has the same numbers", Spot(first, ("device", "usb")))
                ],
                about=first,
            )


@by_device
def check_strings(device: DeviceFacts) -> Iterator[Finding]:
    """Report names and serial numbers that no USB string carries whole."""
    usb = device.device.device.usb
    given = {key: getattr(usb, key) for key in ("serial", "maker", "name")} if usb else {}
    words: dict[tuple[str, ...], str] = {
        ("device", "usb", key): word for key, word in given.items() if word
    }
    if not given.get("name"):
        words["device", "name"] = device.device.name
    runs_python = device.firmware == "python"
    for path, text in words.items():
        if len(text) <= MOST_UNITS // 4:  # no letter takes more than two units or four bytes
            continue
        from profiles.host.identity import INTERPRETER_BYTES, fit_string

        fits = len(fit_string(text, INTERPRETER_BYTES if runs_python else None))
        if fits < len(text):
            yield report(
                "usb-name-long",
                f"USB carries {fits} of the {len(text)} letters of this {path[-1]}",
                "Shorten it",
                device.spot(*path),
            )


MOST_UNITS = 126
"""UTF-16 units of a USB string descriptor (USB 2.0, 9.6.7)."""

CHECKS = (check_arrival, check_axes, check_identities, check_strings)
