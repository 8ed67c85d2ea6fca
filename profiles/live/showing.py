"""What touching a control does in an application, in words for any screen.

- `attach`: which device a box is, when it is plugged in
- `tell_title`, `name_touched`, `tell_touched`: the words
"""

from collections.abc import Sequence

from profiles.live.events import Event, match_boxes
from profiles.live.show import Board, Triggered
from profiles.model import Device, DeviceContact, Link, ResolvedBinding
from profiles.text.prose import join_words


def attach(board: Board, link: Link, event: Event) -> Device | None:
    """Let the board know a box that was plugged in; the device that it is, or None."""
    if event.kind != "added" or event.box is None:
        return None
    for device in link.devices:
        if match_boxes([event.box], device.device.usb):
            board.attach(event.device, device)
            return device
    return None


def describe_application(link: Link) -> str:
    """The application's name, or the profile's where its file is not in the library."""
    return link.application.name if link.application else link.profile.name


def describe_touched(link: Link, one: Triggered) -> tuple[str, list[str]]:
    """What a contact does: the words to show large, and the lines under them."""
    where = name_touched(link, one.contact)
    if not one.bound:
        return "nothing", [f"{where} is not bound", *_describe_others(one)]
    words = " / ".join(dict.fromkeys(bound.legend for bound in one.bound))
    lines = [f"{where}: {_describe_actions(one.bound)}"]
    held = dict.fromkeys(name_touched(link, contact) for b in one.bound for contact in b.held)
    if held:
        lines.append(f"with {join_words(list(held))} held")
    return words, [*lines, *_describe_others(one)]


def _describe_actions(bound: Sequence[ResolvedBinding]) -> str:
    """The actions' full names; of several also in which contexts each acts."""
    told = dict.fromkeys(one.action.name for one in bound)
    return join_words(list(told))


def _describe_others(one: Triggered) -> list[str]:
    if not one.others:
        return []
    return [f"by itself: {_describe_actions(one.others)}"]


def name_touched(link: Link, contact: DeviceContact) -> str:
    """A contact as its plate names it: label first, then the contact where it has several."""
    device = next((one for one in link.devices if one.id == contact.device), None)
    control = device.controls.get(contact.control) if device else None
    name = control.label if control and control.label else contact.control
    several = control is not None and len(control.contacts) > 1
    return f"{name} {contact.contact.replace('-', ' ')}" if several else name
