"""Titles and devices compared: functions that move, boxes that the host cannot tell apart."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from profiles.checks.base import Check, report
from profiles.checks.groups import find_moves
from profiles.facts.survey import Survey, list_some
from profiles.model import Device, Finding, Page, Related, Spot

if TYPE_CHECKING:
    from profiles.host.identity import Identity

GROUP_MOVED = Page(
    code="group-moved",
    severity="note",
    title="A function group sits on other controls in another title",
    what="Actions of one group are bound to different controls of a device in two profiles, and "
    "neither set of controls contains the other.",
    why="The hand learns places, not titles. In a hurry it goes where the function was in the "
    "title played most.",
    example='[bindings]              # in one title\nleft-1 = "lights-on"\n\n'
    '[bindings]              # in another\nright-4 = "head-leds"   # same group: lights',
    remedy="Bind the group to the same controls, or accept the move.",
    source="Common practice, no source",
)

DEVICES_ALIKE = Page(
    code="devices-alike",
    severity="warning",
    title="The host cannot tell two devices apart",
    what="Two devices have the same USB vendor and product number and no serial numbers that "
    "differ.",
    why="After a restart, or in another socket, the two may change places, and every binding of "
    "one acts on the other.",
    example='[device.usb]\nvendor = "1209"\nproduct = "0001"   # the same in both files',
    remedy="Give each device its own product or serial number.",
    source="USB 2.0, 9.6.1: idVendor, idProduct, iSerialNumber",
)

DEVICES_ALIKE_BUT_SERIAL = Page(
    code="devices-alike-but-serial",
    severity="note",
    title="Only the serial number tells two devices apart",
    what="Devices share vendor and product number, and each has a serial number of its own.",
    why="Many programs never read the serial number, and keep the two apart by the order in "
    "which they appear.",
    example='[device.usb]\nvendor = "1209"\nproduct = "0001"\nserial = "A"   # "B" in the other',
    remedy="Give each device its own product number where you can.",
    source="USB 2.0, 9.6.1: idVendor, idProduct, iSerialNumber",
)


def check_groups(survey: Survey) -> Iterator[Finding]:
    """Report profiles that have a group elsewhere than most profiles of the device."""
    for move in find_moves((link.id, link.bound) for link in survey.links):
        yield report(
            GROUP_MOVED,
            f"`{move.group}` sits on {_name(move.new)}, in `{move.home}` on {_name(move.left)}",
            "Bind the group to the same controls, or accept the move",
            Spot(move.profile, ("bindings",)),
            [Related("has it there", Spot(move.home, ("bindings",)))],
            about=f"{move.device} {move.group}",
        )


def _name(controls: frozenset[str]) -> str:
    return list_some([f"`{one}`" for one in sorted(controls)])


def check_identities(survey: Survey) -> Iterator[Finding]:
    """Report devices that share what the host knows them by."""
    known = {facts.id: facts.device for facts in survey.devices if facts.device.device.usb}
    if len(known) < 2:
        return
    from profiles.host.identity import find_lookalikes

    for alike in find_lookalikes({key: _identify(device) for key, device in known.items()}):
        page = DEVICES_ALIKE if alike.likeness == "same" else DEVICES_ALIKE_BUT_SERIAL
        first, *others = alike.devices
        for other in others:
            yield report(
                page,
                f"`{other}` looks like `{first}` to the host",
                f"Give `{other}` its own product number"
                + (" or serial number" if page is DEVICES_ALIKE else ""),
                Spot(other, ("device", "usb")),
                [Related("has the same numbers", Spot(first, ("device", "usb")))],
                about=first,
            )


def _identify(device: Device) -> "Identity":
    from profiles.host.identity import Identity

    usb = device.device.usb
    if usb is None:
        return Identity(None, None)
    return Identity(int(usb.vendor, 16), int(usb.product, 16), usb.serial)


CHECKS = (
    Check(check_groups, (GROUP_MOVED,)),
    Check(check_identities, (DEVICES_ALIKE, DEVICES_ALIKE_BUT_SERIAL)),
)
