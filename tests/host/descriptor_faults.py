"""What USB HID 1.11 demands of a report descriptor, checked item by item.

Each fault names the byte at which the item begins. The rules and where they stand:
every field has the globals it needs and data fields a usage (6.2.2, page 25); collections
nest and close, and the outermost are application collections (6.2.2.6, 8.4); report ids
are not 0 and come before the first field (6.2.2.7); limits are in order; push and pop
pair up (6.2.2.7); a field spans at most four bytes (8.4); reserved tags are not used.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import NamedTuple

from profiles.host.hid_items import Item, read_items

APPLICATION = 0x01
CONSTANT = 0x01
NEEDED = ("Logical Minimum", "Logical Maximum", "Report Size", "Report Count")
WIDEST_FIELD = 4
"""Bytes that one field may touch."""


class Fault(NamedTuple):
    """One thing a strict reader may stumble over, at a byte of the descriptor."""

    offset: int
    message: str


@dataclass
class _Reader:
    """Reads items one by one, with what is in force."""

    globals: dict[str, int] = field(default_factory=dict)
    saved: list[dict[str, int]] = field(default_factory=list)
    depth: int = 0
    usages: int = 0
    bits: Counter[tuple[str, int]] = field(default_factory=Counter)
    faults: list[Fault] = field(default_factory=list)

    def take(self, item: Item) -> None:
        """Judge one item, and let it take effect."""
        said = []
        match item.name:
            case "":
                said.append(f"reserved item {item.prefix:#04x}")
            case "Input" | "Output" | "Feature":
                said += self._take_field(item)
            case "Collection":
                self.usages = 0
                if self.depth == 0 and item.value != APPLICATION:
                    said.append("the outermost collection is no application")
                self.depth += 1
            case "End Collection":
                self.usages = 0
                if self.depth == 0:
                    said.append("a collection is closed that was never opened")
                self.depth = max(self.depth - 1, 0)
            case "Push":
                self.saved.append(dict(self.globals))
            case "Pop" if self.saved:
                self.globals = self.saved.pop()
            case "Pop":
                said.append("pop without a push")
            case "Usage" | "Usage Minimum" | "Usage Maximum":
                self.usages += 1
            case name if item.prefix & 0x0C == 0x04:
                self.globals[name] = item.value
                if name == "Report ID" and item.value == 0:
                    said.append("report id 0 is reserved")
                if name == "Report ID" and self.bits and all(key[1] == 0 for key in self.bits):
                    said.append("the first report id comes after a field")
        self.faults += [Fault(item.offset, message) for message in said]

    def _take_field(self, item: Item) -> Iterator[str]:
        constant = bool(item.value & CONSTANT)
        missing = [name for name in NEEDED if name not in self.globals]
        if not self.depth:
            yield f"{item.name} is outside every collection"
        if missing and not constant:
            yield f"{item.name} lacks {' and '.join(missing)}"
        if not constant and not self.usages:
            yield f"{item.name} has no usage"
        low, high = (self.globals.get(f"Logical {end}", 0) for end in ("Minimum", "Maximum"))
        if not constant and not missing and low > high:
            yield f"logical limits run from {low} down to {high}"
        size, count = self.globals.get("Report Size", 0), self.globals.get("Report Count", 0)
        key = (item.name, self.globals.get("Report ID", 0))
        start = self.bits[key]
        # Bytes that each field touches; the pattern repeats after eight.
        begins = [start + size * index for index in range(min(count, 8) if size else 0)]
        widest = max(((at + size - 1) // 8 - at // 8 + 1 for at in begins), default=0)
        if not constant and widest > WIDEST_FIELD:
            yield f"a field of {size} bits spans more than {WIDEST_FIELD} bytes"
        self.bits[key] = start + size * count
        self.usages = 0


def find_faults(descriptor: bytes) -> list[Fault]:
    """Everything in a descriptor that goes against USB HID 1.11, in order of bytes.

    Raises DescriptorError where the descriptor ends inside an item.
    """
    reader = _Reader()
    for item in read_items(descriptor):
        reader.take(item)
    faults, end = reader.faults, len(descriptor)
    if reader.depth:
        faults.append(Fault(end, f"{reader.depth} collections stay open"))
    if reader.saved:
        faults.append(Fault(end, f"{len(reader.saved)} pushes are never popped"))
    return faults


def count_report_bits(descriptor: bytes) -> dict[tuple[str, int], int]:
    """Bits of every report by kind (`Input`, `Output`, `Feature`) and report id (0: none).

    Padding inside the descriptor counts, the report id byte does not. Raises
    DescriptorError where the descriptor ends inside an item.
    """
    reader = _Reader()
    for item in read_items(descriptor):
        reader.take(item)
    return dict(sorted(reader.bits.items()))
