"""The words at the top of every board program: what it is, and what to mind.

Lines are plain text; whoever writes them into a program makes them inert comments.
"""

from collections.abc import Iterable
from textwrap import wrap

from profiles.firmware.plan import FirmwarePlan
from profiles.text.inert import escape_controls
from profiles.text.prose import count

WIDTH = 88

CAUTIONS = (
    "Unplug the box before you solder or move a wire. Before you plug it in, measure that the "
    "supply pin and GND are not connected.",
    "Solder in fresh air, wear eye protection, and follow the rules that hold where you live. "
    "When in doubt about anything electrical, ask someone qualified.",
    "Try the box with nothing else at stake first: a wrong number can trigger anything that a "
    "program has on it.",
)


def write_header(plan: FirmwarePlan, board: str, warnings: Iterable[str] = ()) -> list[str]:
    """Lines that say what made the program, for which box and board, and the cautions."""
    lines = [
        f"{escape_controls(plan.device.name)} ({plan.device.id}): program for {board}.",
        "Written by Platebook from the device's file. Change that file and write this anew;",
        "changes made here are lost.",
        "",
        f"Reads {count(plan.points, 'point')}, reports "
        f"{count(plan.shape.buttons, 'button')} as a {plan.shape.collection}.",
        "",
    ]
    for caution in (*CAUTIONS, *warnings, *_mention_leds(plan), *plan.cautions):
        lines += wrap(f"- {caution}", WIDTH, subsequent_indent="  ", break_on_hyphens=False)
    return lines


def _mention_leds(plan: FirmwarePlan) -> list[str]:
    if not plan.leds:
        return []
    pins = ", ".join(plan.leds)
    return [f"LEDs light as long as the box has power. Their pins: {pins}."]
