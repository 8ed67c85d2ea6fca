"""The boxes that are plugged in: which may be meant, and a reader of the one that was chosen."""

from collections.abc import Sequence

from profiles.live.events import Event, FoundBox, LiveError, Reader, match_boxes
from profiles.model import Device
from profiles.text.inert import escape_controls

NO_ACCESS = (
    "Nothing that reports as a game controller can be read here; on Linux you also need permission "
    "to read /dev/input"
)


class ChosenReader:
    """A reader that ignores the boxes that were plugged in beside those that were chosen."""

    def __init__(self, reader: Reader, *chosen: FoundBox) -> None:
        self._reader = reader
        self._others = {box.instance for box in reader.devices() if box not in chosen}

    def devices(self) -> tuple[FoundBox, ...]:
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


def open_reader(start: float = 0.0) -> Reader:
    """A reader of real boxes, its clock beginning at `start` ms.

    Raises LiveError if SDL is absent or broken.
    """
    from profiles.live.reader import SdlReader

    return SdlReader(start=start)


def find_boxes(boxes: Sequence[FoundBox], device: Device) -> tuple[FoundBox, ...]:
    """The boxes that may be this device. Raises LiveError if none may."""
    found = match_boxes(boxes, device.device.usb)
    if found:
        return found
    usb = device.device.usb
    serial = f", serial {escape_controls(usb.serial)}" if usb and usb.serial else ""
    identity = f" (USB {usb.vendor}:{usb.product}{serial})" if usb else ""
    seen = "; ".join(describe_box(box) for box in boxes)
    raise LiveError(
        f"No box that is plugged in is `{escape_controls(device.id)}`{identity}",
        f"Plug it in, or correct its [device.usb]; this computer shows {seen}"
        if seen
        else f"Plug it in. {NO_ACCESS}",
    )


def describe_box(box: FoundBox) -> str:
    """A box on one line: name, USB identity, serial number or path."""
    words = [escape_controls(box.name) or "without a name", f"{box.vendor}:{box.product}"]
    if box.serial:
        words.append(f"serial {escape_controls(box.serial)}")
    elif box.path:
        words.append(f"at {escape_controls(box.path)}")
    return ", ".join(words)
