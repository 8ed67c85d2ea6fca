"""Linux: which event code a HID button usage becomes, and which index that code then has.

Three steps, each its own function, all on plain integers:

- `find_code` maps a Button usage (1-based) to an event code, as the kernel's HID input
  layer does for the application collection the button sits in;
- `name_code` gives a code its symbol, where the kernel's header has one;
- `rank_joydev` and `rank_sdl` number the codes that are present, as the joystick
  interface and SDL do. An index is the rank among the codes present, never an offset:
  a button that is missing shifts every later index.

Sources: Linux drivers/hid/hid-input.c (mapping), include/uapi/linux/input-event-codes.h
(symbols, KEY_MAX), drivers/input/joydev.c (order of the joystick interface), SDL 2 and 3
src/joystick/linux/SDL_sysjoystick.c (order there).
"""

from collections.abc import Iterable
from typing import Literal, NamedTuple

from profiles.host.evdev_names import ALIASES, NAMES

Collection = Literal["joystick", "game-pad", "multi-axis"]
"""The application collection that holds the buttons. `multi-axis` stands for every
collection that the kernel does not know as a pointer, a joystick or a game pad."""

Kernel = Literal["split", "offset"]
"""How button 17 and above are mapped. `split`: they start at BTN_TRIGGER_HAPPY1, in both
collections (kernels of today). `offset`: the joystick collection adds the whole number to
BTN_TRIGGER_HAPPY, so that button 17 is BTN_TRIGGER_HAPPY17, and the game pad collection
runs on past its block (older kernels, for instance at commit 020abf03cd65)."""

KEY_MAX = 0x2FF
"""The highest event code. A usage that maps above it is dropped without a word."""

BTN_MISC = 0x100
BTN_JOYSTICK = 0x120
BTN_GAMEPAD = 0x130
BTN_TRIGGER_HAPPY = 0x2C0

BLOCK = 0x10
"""Codes in the joystick and in the game pad block."""

_BASES: dict[Collection, int] = {
    "joystick": BTN_JOYSTICK,
    "game-pad": BTN_GAMEPAD,
    "multi-axis": BTN_MISC,
}


class EvdevButton(NamedTuple):
    """An event code with its symbol; `name` is None where the header has no symbol."""

    code: int
    name: str | None
    alias: str | None

    @property
    def label(self) -> str:
        """The symbol, or the code in hexadecimal where there is no symbol."""
        return self.name or f"{self.code:#x}"


def map_usage(usage: int, collection: Collection = "joystick", kernel: Kernel = "split") -> int:
    """The code the kernel computes for a Button usage, before it looks at KEY_MAX.

    `usage` counts from 1, as in the HID Usage Tables. A multi-axis collection without a
    physical collection inside counts on from BTN_MISC, so its button 17 is a mouse button.
    Raises ValueError for a usage below 1 (usage 0 means that no button is pressed).
    """
    if usage < 1:
        raise ValueError(f"a HID button usage counts from 1, not {usage}")
    position = usage - 1
    if position < BLOCK or collection == "multi-axis":
        return _BASES[collection] + position
    if kernel == "split":
        return BTN_TRIGGER_HAPPY - BLOCK + position
    if collection == "joystick":
        return BTN_TRIGGER_HAPPY + position
    return BTN_GAMEPAD + position


def find_code(
    usage: int, collection: Collection = "joystick", kernel: Kernel = "split"
) -> int | None:
    """The event code of a Button usage, or None where the kernel ignores it."""
    code = map_usage(usage, collection, kernel)
    return code if code <= KEY_MAX else None


def find_button(
    usage: int, collection: Collection = "joystick", kernel: Kernel = "split"
) -> EvdevButton | None:
    """Code, symbol and second symbol of a Button usage, or None where it is ignored."""
    code = find_code(usage, collection, kernel)
    if code is None:
        return None
    return EvdevButton(code, name_code(code), ALIASES.get(code))


def name_code(code: int) -> str | None:
    """The BTN_ symbol of an event code; None where the header has none.

    Symbols of keys (KEY_) are not listed: a button that lands among them reaches programs
    as a key of a keyboard or a remote control.
    """
    return NAMES.get(code)


def find_last_usage(collection: Collection = "joystick", kernel: Kernel = "split") -> int:
    """The highest Button usage the kernel keeps: 80 for joystick and game pad today."""
    usage = BLOCK + 1
    return usage + KEY_MAX - map_usage(usage, collection, kernel)


def rank_joydev(codes: Iterable[int]) -> dict[int, int]:
    """Index of each code in the joystick interface, counted from 0.

    First the codes from BTN_JOYSTICK to KEY_MAX, the last included, then those from
    BTN_MISC up to BTN_JOYSTICK. Chromium's reader of event devices uses the same order.
    """
    present = sorted(set(codes))
    upper = [code for code in present if BTN_JOYSTICK <= code <= KEY_MAX]
    lower = [code for code in present if BTN_MISC <= code < BTN_JOYSTICK]
    return {code: index for index, code in enumerate(upper + lower)}


def rank_sdl(codes: Iterable[int]) -> dict[int, int]:
    """Index of each code in SDL's joystick interface on Linux, counted from 0.

    The order is that of the joystick interface, but the loop stops before KEY_MAX: HID
    button 80 of a joystick never becomes an SDL button, and codes below BTN_MISC count too.
    """
    present = sorted(set(codes))
    upper = [code for code in present if BTN_JOYSTICK <= code < KEY_MAX]
    lower = [code for code in present if 0 <= code < BTN_JOYSTICK]
    return {code: index for index, code in enumerate(upper + lower)}


def map_present(
    usages: Iterable[int], collection: Collection = "joystick", kernel: Kernel = "split"
) -> dict[int, int]:
    """Event code of every usage that the kernel keeps, usages in rising order."""
    found = ((usage, find_code(usage, collection, kernel)) for usage in sorted(set(usages)))
    return {usage: code for usage, code in found if code is not None}


def joydev_index(
    usages: Iterable[int], collection: Collection = "joystick", kernel: Kernel = "split"
) -> dict[int, int]:
    """Joystick interface index of each usage the device declares; dropped ones are absent."""
    codes = map_present(usages, collection, kernel)
    ranks = rank_joydev(codes.values())
    return {usage: ranks[code] for usage, code in codes.items() if code in ranks}


def sdl_index(
    usages: Iterable[int], collection: Collection = "joystick", kernel: Kernel = "split"
) -> dict[int, int]:
    """SDL index on Linux of each usage the device declares; dropped ones are absent."""
    codes = map_present(usages, collection, kernel)
    ranks = rank_sdl(codes.values())
    return {usage: ranks[code] for usage, code in codes.items() if code in ranks}
