"""Which devices the host cannot tell apart.

A host knows a USB device by vendor and product number and, where the device sends one, a
serial number (USB 2.0, 9.6.1: idVendor, idProduct, iSerialNumber). Devices that share all
of them can change places from one start to the next.
"""

from collections.abc import Mapping
from typing import Literal, NamedTuple

MOST_UNITS = 126
"""UTF-16 units of a USB string descriptor: 255 bytes less two, two bytes each (USB 2.0, 9.6.7)."""


INTERPRETER_BYTES = 126
"""UTF-8 bytes of a name that an interpreter takes. Unverified."""

MOST_SHOWN = 127
"""Bytes of UTF-8 that Linux keeps of the maker's name, a space and the box's name: `name` of struct
hid_device has room for 128, the last one 0 (include/linux/hid.h)."""


def shows_name(shown: str, name: str, maker: str = "") -> bool:
    """Whether a host that shows this name may mean a box of that name, cut as USB carries it.

    Hosts put the maker's name before it, or do not (Linux, drivers/hid/usbhid/hid-core.c); and may
    cut the whole.
    """
    cuts = {fit_string(name), fit_string(name, INTERPRETER_BYTES)}
    if shown in cuts or any(shown.endswith(f" {cut}") for cut in cuts):
        return True
    whole = f"{fit_string(maker)} {fit_string(name)}"
    return len(shown.encode()) > MOST_SHOWN - 4 and whole.startswith(shown)


def fit_string(text: str, most_bytes: int | None = None) -> str:
    """The first letters of a text that a USB string carries; `most_bytes` of UTF-8 at most."""
    while len(text.encode("utf-16-le")) > 2 * MOST_UNITS or (
        most_bytes is not None and len(text.encode()) > most_bytes
    ):
        text = text[:-1]
    return text


Likeness = Literal["same", "serial", "unknown"]
"""`same`: nothing tells them apart. `serial`: only the serial number does, which many
programs never read. `unknown`: at least one has no vendor or product number on file."""


class Identity(NamedTuple):
    """What a device tells the host of itself; None where the file does not say."""

    vendor: int | None
    product: int | None
    serial: str | None = None


class Lookalikes(NamedTuple):
    """Devices in one group, by id in the order given, and how alike they are."""

    devices: tuple[str, ...]
    likeness: Likeness


def find_lookalikes(identities: Mapping[str, Identity]) -> list[Lookalikes]:
    """Groups of two or more devices that share vendor and product number.

    A group is `same` when two of its members share the serial number or lack it, and only
    these members are in it; members with serial numbers of their own form a `serial` group
    with one of each kind. Two or more devices without numbers on file form an `unknown`
    group: nothing here says whether the host can tell them apart.
    """
    groups: dict[tuple[int, int], list[str]] = {}
    unknown: list[str] = []
    for device, identity in identities.items():
        if identity.vendor is None or identity.product is None:
            unknown.append(device)
        else:
            groups.setdefault((identity.vendor, identity.product), []).append(device)
    found: list[Lookalikes] = []
    for members in groups.values():
        found.extend(_split_by_serial(members, identities))
    if len(unknown) > 1:
        found.append(Lookalikes(tuple(unknown), "unknown"))
    return found


def _split_by_serial(members: list[str], identities: Mapping[str, Identity]) -> list[Lookalikes]:
    by_serial: dict[str | None, list[str]] = {}
    for device in members:
        by_serial.setdefault(identities[device].serial or None, []).append(device)
    found = [Lookalikes(tuple(same), "same") for same in by_serial.values() if len(same) > 1]
    if len(by_serial) > 1:
        found.append(Lookalikes(tuple(same[0] for same in by_serial.values()), "serial"))
    return found
