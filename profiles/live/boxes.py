"""Boxes that are plugged in: a reader of those that were chosen, and a box in words."""

from collections.abc import Iterable

from profiles.live.events import Box, Event, Reader
from profiles.text.inert import escape_controls


class Chosen:
    """A reader that leaves out the boxes that were not chosen."""

    def __init__(self, reader: Reader, others: Iterable[Box]) -> None:
        self._reader = reader
        self._others = frozenset(box.instance for box in others)

    def devices(self) -> tuple[Box, ...]:
        """The boxes that are plugged in, without the others."""
        return tuple(box for box in self._reader.devices() if box.instance not in self._others)

    def poll(self) -> list[Event]:
        """What happened since the last call on the boxes that count."""
        return [event for event in self._reader.poll() if event.device not in self._others]

    def now(self) -> float:
        """The time in ms."""
        return self._reader.now()

    def close(self) -> None:
        """Let go of all boxes."""
        self._reader.close()


def describe_box(box: Box) -> str:
    """A box on one line: name, USB identity, serial number or path."""
    words = [escape_controls(box.name) or "without a name", f"{box.vendor}:{box.product}"]
    if box.serial:
        words.append(f"serial {escape_controls(box.serial)}")
    elif box.path:
        words.append(f"at {escape_controls(box.path)}")
    return ", ".join(words)
