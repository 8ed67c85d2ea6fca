"""The interfaces by which a program meets a box, and what each makes of an input.

One registry, `INTERFACES`: the number the first button has there, how many buttons it can
carry, how many axes and hats, and the source of those figures. Two ways of numbering
exist: by position (the Button usage minus one, counted from the interface's first number)
and by rank (Linux: the place among the event codes present). `number_inputs` does both.

Some figures are limits of one program's source rather than of an operating system; they
are listed because a box with more buttons loses the rest there without a word.
"""

from collections.abc import Iterable
from typing import Literal, NamedTuple

from profiles.host.evdev import (
    Collection,
    find_button,
    find_last_usage,
    joydev_index,
    map_usage,
    sdl_index,
)

Numbering = Literal["usage", "code", "rank", "sdl-rank"]
"""How an interface numbers a button: by Button usage, by event code, or by rank."""


class HostInterface(NamedTuple):
    """One interface.

    `first` is the number of HID button 1; `buttons` is how many the interface can carry
    (None: no limit is published), likewise `axes` and `hats`.
    """

    id: str
    title: str
    numbering: Numbering
    first: int
    buttons: int | None
    axes: int | None
    hats: int | None

    @property
    def source(self) -> str:
        """Where these figures come from."""
        return SOURCES[self.id]


INTERFACES: tuple[HostInterface, ...] = (
    HostInterface("usb-hid", "HID report, Button page", "usage", 1, 0xFFFF, None, None),
    HostInterface("linux-evdev", "Linux event device", "code", 0, None, None, None),
    HostInterface("linux-joydev", "Linux joystick device", "rank", 0, None, None, None),
    HostInterface("linux-sdl", "SDL joystick on Linux", "sdl-rank", 0, 256, None, None),
    HostInterface("sdl", "SDL joystick elsewhere", "usage", 0, 256, None, None),
    HostInterface("windows-joyinfo", "Windows multimedia, JOYINFO", "usage", 1, 4, 3, 0),
    HostInterface("windows-joyinfoex", "Windows multimedia, JOYINFOEX", "usage", 1, 32, 6, 1),
    HostInterface("windows-dijoystate", "Windows DirectInput, DIJOYSTATE", "usage", 0, 32, 8, 4),
    HostInterface("windows-dijoystate2", "Windows DirectInput, DIJOYSTATE2", "usage", 0, 128, 8, 4),
    HostInterface("browser", "Browser, W3C Gamepad", "usage", 0, None, None, None),
    HostInterface("browser-chromium", "Browser on Chromium's reader", "usage", 0, 32, 16, 0),
)
"""Every interface that is known, in the order in which tables show them."""

SOURCES = {
    "usb-hid": "HID Usage Tables 1.12, table 14",
    "linux-evdev": "Linux drivers/hid/hid-input.c, include/uapi/linux/input-event-codes.h",
    "linux-joydev": "Linux drivers/input/joydev.c",
    "linux-sdl": "SDL src/joystick/linux/SDL_sysjoystick.c; SDL_JoyButtonEvent has a Uint8 button",
    "sdl": "wiki.libsdl.org, SDL_JoyButtonEvent: Uint8 button",
    "windows-joyinfo": "learn.microsoft.com, joystickapi JOYINFO: JOY_BUTTON1 to JOY_BUTTON4",
    "windows-joyinfoex": "learn.microsoft.com, joystickapi JOYINFOEX: dwButtons is one DWORD",
    "windows-dijoystate": "learn.microsoft.com, DIJOYSTATE: rgbButtons[32]",
    "windows-dijoystate2": "learn.microsoft.com, DIJOYSTATE2: rgbButtons[128]",
    "browser": "W3C Gamepad, Gamepad.buttons: an array without a fixed length",
    "browser-chromium": "Chromium device/gamepad: kButtonsLengthCap 32, kAxesLengthCap 16",
}
"""Where the figures of each interface come from."""

_BY_ID = {interface.id: interface for interface in INTERFACES}


class ButtonIndex(NamedTuple):
    """Where an input lands in one interface.

    `number` is None when the input never arrives, and `reason` then says why; else
    `label` is what the interface calls it.
    """

    number: int | None
    label: str
    reason: str


class InputView(NamedTuple):
    """One input seen through several interfaces: its index by interface id."""

    input: int
    indices: dict[str, ButtonIndex]


class HostView(NamedTuple):
    """All inputs of a device through the chosen interfaces, rows in rising order."""

    collection: Collection
    interfaces: tuple[str, ...]
    rows: tuple[InputView, ...]

    def list_dropped(self, interface: str) -> list[int]:
        """Inputs that never arrive through an interface, in rising order."""
        return [row.input for row in self.rows if row.indices[interface].number is None]


def find_interface(interface: str) -> HostInterface:
    """The interface of that id. Raises KeyError for an id that is not in the registry."""
    return _BY_ID[interface]


def find_last_input(interface: str, collection: Collection = "joystick") -> int | None:
    """The highest input that arrives when all below are present; None without a limit."""
    found = find_interface(interface)
    limits = [found.buttons]
    if found.numbering in ("code", "rank"):
        limits.append(find_last_usage(collection))
    elif found.numbering == "sdl-rank":
        limits.append(find_last_usage(collection) - 1)
    return min((limit for limit in limits if limit is not None), default=None)


def number_inputs(
    inputs: Iterable[int],
    interface: str,
    collection: Collection = "joystick",
    declared: Iterable[int] | None = None,
) -> dict[int, ButtonIndex]:
    """Index of every input in one interface, inputs in rising order.

    `declared` are the Button usages of the device's report descriptor; an input outside
    them never leaves the box. Without it the device declares every usage from 1 to its
    highest input, as this project's own descriptors do.
    """
    wanted = sorted(set(inputs))
    if declared is None:
        declared = range(1, max(wanted, default=0) + 1)
    present = set(declared)
    found = find_interface(interface)
    ranks: dict[int, int] = {}
    if found.numbering in ("rank", "sdl-rank"):
        rank = joydev_index if found.numbering == "rank" else sdl_index
        ranks = rank(present, collection)
    indices = {}
    for number in wanted:
        index = number - 1 if found.numbering == "usage" else ranks.get(number)
        button = find_button(number, collection) if found.numbering == "code" else None
        code = map_usage(number, collection)
        if number not in present:
            indices[number] = ButtonIndex(None, "", "is not in the report descriptor")
        elif button is not None:
            indices[number] = ButtonIndex(button.code, button.label, "")
        elif index is None:
            is_above = number > find_last_usage(collection)
            what = "above KEY_MAX" if is_above else "KEY_MAX, where the search stops"
            indices[number] = ButtonIndex(None, "", f"code {code:#x} is {what}")
        elif found.buttons is not None and index >= found.buttons:
            indices[number] = ButtonIndex(None, "", f"carries {found.buttons} buttons")
        else:
            indices[number] = ButtonIndex(index + found.first, str(index + found.first), "")
    return indices


def view_inputs(
    inputs: Iterable[int],
    collection: Collection = "joystick",
    interfaces: Iterable[str] | None = None,
    declared: Iterable[int] | None = None,
) -> HostView:
    """Every input through every interface chosen (all of them unless told otherwise)."""
    chosen = tuple(_BY_ID) if interfaces is None else tuple(interfaces)
    wanted = sorted(set(inputs))
    present = None if declared is None else sorted(set(declared))
    indices = {name: number_inputs(wanted, name, collection, present) for name in chosen}
    rows = tuple(
        InputView(number, {name: indices[name][number] for name in chosen}) for number in wanted
    )
    return HostView(collection, chosen, rows)
