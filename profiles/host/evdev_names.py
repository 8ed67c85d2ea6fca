"""Symbols of Linux event codes for buttons, by code.

Source: Linux include/uapi/linux/input-event-codes.h. Where two symbols share a code, the
header's own definition is in `NAMES` and the second symbol in `ALIASES`. Names of blocks
(BTN_MISC, BTN_JOYSTICK and so on) are left out in favour of the first button in the block.
"""

from collections.abc import Iterator


def _list_block(first: int, names: str) -> Iterator[tuple[int, str]]:
    """Pairs of code and symbol for consecutive codes; a dash is a code without a symbol."""
    for offset, name in enumerate(names.split()):
        if name != "-":
            yield first + offset, f"BTN_{name}"


NAMES: dict[int, str] = dict(
    [
        *_list_block(0x100, "0 1 2 3 4 5 6 7 8 9"),
        *_list_block(0x110, "LEFT RIGHT MIDDLE SIDE EXTRA FORWARD BACK TASK"),
        *_list_block(0x120, "TRIGGER THUMB THUMB2 TOP TOP2 PINKIE"),
        *_list_block(0x126, "BASE BASE2 BASE3 BASE4 BASE5 BASE6 - - - DEAD"),
        *_list_block(0x130, "SOUTH EAST C NORTH WEST Z TL TR TL2 TR2"),
        *_list_block(0x13A, "SELECT START MODE THUMBL THUMBR"),
        *_list_block(0x140, "TOOL_PEN TOOL_RUBBER TOOL_BRUSH TOOL_PENCIL TOOL_AIRBRUSH"),
        *_list_block(0x145, "TOOL_FINGER TOOL_MOUSE TOOL_LENS TOOL_QUINTTAP STYLUS3"),
        *_list_block(0x14A, "TOUCH STYLUS STYLUS2 TOOL_DOUBLETAP TOOL_TRIPLETAP TOOL_QUADTAP"),
        *_list_block(0x150, "GEAR_DOWN GEAR_UP"),
        *_list_block(0x220, "DPAD_UP DPAD_DOWN DPAD_LEFT DPAD_RIGHT"),
        *_list_block(0x2C0, " ".join(f"TRIGGER_HAPPY{number}" for number in range(1, 41))),
    ]
)
"""Symbol of each code. The trigger-happy block is numbered to 40 and no further."""

ALIASES: dict[int, str] = {0x130: "BTN_A", 0x131: "BTN_B", 0x133: "BTN_X", 0x134: "BTN_Y"}
"""Second symbols of the game pad block. North is X and west is Y, whatever is printed."""
