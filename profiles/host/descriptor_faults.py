"""What USB HID 1.11 demands of a report descriptor, checked item by item.

Each fault names the byte at which the item begins. The rules and where they stand:
every field has the globals it needs and data fields a usage (6.2.2, page 25); collections
nest and close, and the outermost are application collections (6.2.2.6, 8.4); report ids
are not 0 and come before the first field (6.2.2.7); limits are in order; push and pop
pair up (6.2.2.7); a field spans at most four bytes (8.4); reserved tags are not used.
"""

from collections import Counter
from dataclasses import dataclass, field
from typing import NamedTuple

from profiles.host.hid_items import Item, read_items

APPLICATION = 0x01
CONSTANT = 0x01
FIELDS = ("Input", "Output", "Feature")
NEEDED = ("Logical Minimum", "Logical Maximum", "Report Size", "Report Count")
WIDEST_FIELD = 4
"""Bytes that one field may touch."""


class Fault(NamedTuple):
    """One thing a strict reader may stumble over, at a byte of the descriptor."""

    offset: int
    message: str


@dataclass
class _State:
    """What is in force while the items are read."""

    globals: dict[str, int] = field(default_factory=dict)
    saved: list[dict[str, int]] = field(default_factory=list)
    depth: int = 0
    usages: int = 0
    fields: int = 0
    bits: Counter[tuple[str, int]] = field(default_factory=Counter)
    faults: list[Fault] = field(default_factory=list)

    def blame(self, item: Item, message: str) -> None:
        self.faults.append(Fault(item.offset, message))


def find_faults(descriptor: bytes) -> list[Fault]:
    """Everything in a descriptor that goes against USB HID 1.11, in order of bytes.

    Raises DescriptorError where the descriptor ends inside an item.
    """
    state = _State()
    for item in read_items(descriptor):
        _judge_item(item, state)
    if state.depth:
        state.faults.append(Fault(len(descriptor), f"{state.depth} collections stay open"))
    if state.saved:
        state.faults.append(Fault(len(descriptor), f"{len(state.saved)} pushes are never popped"))
    return state.faults


def count_report_bits(descriptor: bytes) -> dict[tuple[str, int], int]:
    """Bits of every report by kind (`Input`, `Output`, `Feature`) and report id (0: none).

    Padding inside the descriptor counts, the report id byte does not. Raises
    DescriptorError where the descriptor ends inside an item.
    """
    state = _State()
    for item in read_items(descriptor):
        _judge_item(item, state)
    return dict(sorted(state.bits.items()))


def _judge_item(item: Item, state: _State) -> None:
    if not item.name:
        state.blame(item, f"reserved item {item.prefix:#04x}")
    elif item.name in FIELDS:
        _judge_field(item, state)
    elif item.name in ("Collection", "End Collection"):
        _judge_collection(item, state)
    elif item.name in ("Push", "Pop"):
        _judge_stack(item, state)
    elif item.prefix & 0x0C == 0x04:
        _judge_global(item, state)
    elif item.name in ("Usage", "Usage Minimum", "Usage Maximum"):
        state.usages += 1


def _judge_global(item: Item, state: _State) -> None:
    state.globals[item.name] = item.value
    if item.name != "Report ID":
        return
    if item.value == 0:
        state.blame(item, "report id 0 is reserved")
    if state.fields and all(key[1] == 0 for key in state.bits):
        state.blame(item, "the first report id comes after a field")


def _judge_stack(item: Item, state: _State) -> None:
    if item.name == "Push":
        state.saved.append(dict(state.globals))
    elif state.saved:
        state.globals = state.saved.pop()
    else:
        state.blame(item, "pop without a push")


def _judge_collection(item: Item, state: _State) -> None:
    state.usages = 0
    if item.name == "Collection":
        if state.depth == 0 and item.value != APPLICATION:
            state.blame(item, "the outermost collection is no application")
        state.depth += 1
    elif state.depth:
        state.depth -= 1
    else:
        state.blame(item, "a collection is closed that was never opened")


def _judge_field(item: Item, state: _State) -> None:
    state.fields += 1
    if not state.depth:
        state.blame(item, f"{item.name} stands outside every collection")
    missing = [name for name in NEEDED if name not in state.globals]
    constant = bool(item.value & CONSTANT)
    if missing and not constant:
        state.blame(item, f"{item.name} lacks {' and '.join(missing)}")
    if not constant and not state.usages:
        state.blame(item, f"{item.name} has no usage")
    if not constant and not missing:
        _judge_limits(item, state)
    _judge_span(item, state)
    state.usages = 0


def _judge_limits(item: Item, state: _State) -> None:
    low, high = state.globals["Logical Minimum"], state.globals["Logical Maximum"]
    if low > high:
        state.blame(item, f"logical limits run from {low} down to {high}")


def _judge_span(item: Item, state: _State) -> None:
    size, count = state.globals.get("Report Size", 0), state.globals.get("Report Count", 0)
    key = (item.name, state.globals.get("Report ID", 0))
    start = state.bits[key]
    if not item.value & CONSTANT and _touch_bytes(start, size, count) > WIDEST_FIELD:
        state.blame(item, f"a field of {size} bits spans more than {WIDEST_FIELD} bytes")
    state.bits[key] = start + size * count


def _touch_bytes(start: int, size: int, count: int) -> int:
    """Most bytes that any of the fields touches; the pattern repeats after eight."""
    begins = [start + size * index for index in range(min(count, 8))]
    return max(((at + size - 1) // 8 - at // 8 + 1 for at in begins if size), default=0)
