"""Short items of a HID report descriptor: made, encoded in as few bytes as possible, read back.

An item is a prefix byte (tag, type, size code) and 0, 1, 2 or 4 bytes of data, least
significant byte first. Source: USB HID 1.11, 6.2.2.2 (prefix), 6.2.2.3 (long items),
6.2.2.4, 6.2.2.7 and 6.2.2.8 (main, global and local items).
"""

from typing import NamedTuple

LONG_PREFIX = 0xFE
SIZES = (0, 1, 2, 4)
"""Bytes of data by size code."""

_KINDS: dict[str, int] = {
    "Input": 0x80,
    "Output": 0x90,
    "Collection": 0xA0,
    "Feature": 0xB0,
    "End Collection": 0xC0,
    "Usage Page": 0x04,
    "Logical Minimum": 0x14,
    "Logical Maximum": 0x24,
    "Physical Minimum": 0x34,
    "Physical Maximum": 0x44,
    "Unit Exponent": 0x54,
    "Unit": 0x64,
    "Report Size": 0x74,
    "Report ID": 0x84,
    "Report Count": 0x94,
    "Push": 0xA4,
    "Pop": 0xB4,
    "Usage": 0x08,
    "Usage Minimum": 0x18,
    "Usage Maximum": 0x28,
    "Designator Index": 0x38,
    "Designator Minimum": 0x48,
    "Designator Maximum": 0x58,
    "String Index": 0x78,
    "String Minimum": 0x88,
    "String Maximum": 0x98,
    "Delimiter": 0xA8,
}
_NAMES = {prefix: name for name, prefix in _KINDS.items()}
_SIGNED = {"Logical Minimum", "Logical Maximum", "Physical Minimum", "Physical Maximum"}
_BARE = {"End Collection", "Push", "Pop"}


class DescriptorError(ValueError):
    """A descriptor that ends inside an item, or a value that no item can hold."""


class Item(NamedTuple):
    """One item: where it starts, its name (empty for a reserved tag) and its data bytes."""

    offset: int
    prefix: int
    name: str
    data: bytes

    @property
    def value(self) -> int:
        """The data as a number, two's complement for the limits, else unsigned."""
        return int.from_bytes(self.data, "little", signed=self.name in _SIGNED)

    @property
    def raw(self) -> bytes:
        """The item as it stands in the descriptor."""
        if self.prefix == LONG_PREFIX:
            return bytes((LONG_PREFIX, len(self.data) - 1)) + self.data
        return bytes((self.prefix,)) + self.data


def encode_item(name: str, value: int | None = None) -> bytes:
    """One short item, in the fewest bytes that keep its value for a strict reader.

    Logical and physical limits are signed, so 255 takes two bytes (`26 FF 00`); all else is
    unsigned. `End Collection`, `Push` and `Pop` take no value. Raises KeyError for an
    unknown name and DescriptorError for a value that is missing, not wanted or too large.
    """
    prefix = _KINDS[name]
    if (value is None) != (name in _BARE):
        raise DescriptorError(f"{name} takes {'no value' if name in _BARE else 'a value'}")
    if value is None:
        return bytes((prefix,))
    for code, size in enumerate(SIZES[1:], start=1):
        try:
            data = value.to_bytes(size, "little", signed=name in _SIGNED)
        except OverflowError:
            continue
        return bytes((prefix | code,)) + data
    raise DescriptorError(f"{name} cannot hold {value}")


def encode_items(items: list[tuple[str, int | None]]) -> bytes:
    """Items in a row; see `encode_item`."""
    return b"".join(encode_item(name, value) for name, value in items)


def read_items(descriptor: bytes) -> list[Item]:
    """The items of any descriptor, long ones and reserved tags included.

    Raises DescriptorError where the last item is cut off. What the items mean is not
    judged here.
    """
    items: list[Item] = []
    offset = 0
    while offset < len(descriptor):
        prefix = descriptor[offset]
        is_long = prefix == LONG_PREFIX
        start, size = offset + 1, SIZES[prefix & 0b11]
        if is_long:  # a byte for the size, the tag, then the data
            start, size = offset + 2, 1 + int.from_bytes(descriptor[offset + 1 : offset + 2])
        data = descriptor[start : start + size]
        if len(data) < size:
            raise DescriptorError(f"the item at byte {offset} is cut off")
        name = "" if is_long else _NAMES.get(prefix & 0xFC, "")
        items.append(Item(offset, prefix, name, data))
        offset = start + size
    return items
