"""Finding the box that is meant among those plugged in, with clear ends where it is not there."""

from collections.abc import Sequence

from profiles.cli.exits import Unusable
from profiles.live.boxes import Chosen, describe_box
from profiles.live.events import Box, LiveError, Reader, match_boxes
from profiles.model import Device
from profiles.text.inert import escape_controls
from profiles.text.prose import count


def unusable(error: LiveError) -> Unusable:
    """What went wrong outside, as the end of a command."""
    message = error.message[:1].lower() + error.message[1:]
    return Unusable(message, f"{error.remedy}.")


def open_reader(start: float = 0.0) -> Reader:
    """A reader of real boxes, its clock beginning at `start` ms.

    Raises:
        Unusable: where SDL is absent or broken.
    """
    from profiles.live.reader import SdlReader

    try:
        return SdlReader(start=start)
    except LiveError as error:
        raise unusable(error) from None


def open_chosen(device: Device, which: int | None, start: float = 0.0) -> tuple[Chosen, Box]:
    """A reader of the box of this device alone, and the box.

    Raises:
        Unusable: where SDL is absent, no box fits, or several do and none is chosen.
    """
    reader = open_reader(start)
    boxes = reader.devices()
    try:
        box = choose_box(boxes, device, which)
    except Unusable:
        reader.close()
        raise
    return Chosen(reader, (one for one in boxes if one != box)), box


def choose_box(boxes: Sequence[Box], device: Device, which: int | None) -> Box:
    """The box of this device among those plugged in.

    Raises:
        Unusable: where none fits, or several do and `which` chooses none of them.
    """
    found = match_boxes(boxes, device.device.usb)
    if not found:
        raise Unusable(
            "no box that is plugged in is "
            f"`{escape_controls(device.id)}`{_describe_identity(device)}",
            _describe_seen(boxes),
        )
    if which is None and len(found) > 1:
        raise Unusable(
            f"{len(found)} boxes that are plugged in may be `{escape_controls(device.id)}`: "
            + "; ".join(f"{at}: {describe_box(box)}" for at, box in enumerate(found, 1)),
            f"Choose with --which 1 to {len(found)}, or unplug the others.",
        )
    at = 1 if which is None else which
    if not 1 <= at <= len(found):
        raise Unusable(
            f"--which {at} is none of the {count(len(found), 'box', 'boxes')} that may be "
            f"`{escape_controls(device.id)}`",
            f"Choose with --which 1 to {len(found)}.",
        )
    return found[at - 1]


def _describe_identity(device: Device) -> str:
    usb = device.device.usb
    if usb is None:
        return ""
    serial = f", serial {escape_controls(usb.serial)}" if usb.serial else ""
    return f" (USB {usb.vendor}:{usb.product}{serial})"


def _describe_seen(boxes: Sequence[Box]) -> str:
    if boxes:
        others = count(len(boxes), "box", "boxes")
        return f"Plug it in, or put right its [device.usb]; `platebook press list` shows {others}."
    return f"Plug it in. {NOTHING}"


NOTHING = (
    "Nothing that reports as a game controller can be read here; on Linux you also need leave to "
    "read /dev/input."
)
