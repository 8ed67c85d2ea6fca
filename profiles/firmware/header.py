"""The words at the top of all firmware: what it is, and what to mind.

Lines are plain text; whoever writes them into a file makes them inert comments.
"""

from collections.abc import Iterable
from textwrap import wrap

from profiles.facts.lights import ALWAYS
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
    """Lines that say what made the firmware, for which box and board, and the cautions."""
    lines = [
        f"{escape_controls(plan.device.name)} ({plan.device.id}): firmware for {board}.",
        "Written by Platebook from the device's file. Change that file and write this again;",
        "changes made here are lost.",
        "",
        f"Reads {count(plan.points, 'point')}, reports "
        f"{count(plan.shape.buttons, 'button')} as a {plan.shape.collection}.",
        "",
    ]
    steady = [
        light.led.pin for light in plan.lights if light.led.follows == ALWAYS and light.led.pin
    ]
    leds = [f"LEDs light as long as the box has power. Their pins: {', '.join(steady)}."]
    leds = leds if steady else []
    for light in plan.lights:
        where = f"Pin {light.led.pin}" if light.led.pin else "The LED matrix"
        if light.led.follows != ALWAYS:
            leds.append(f"{where} lights the LED of {light.control} with {light.led.follows}.")
    for caution in (*CAUTIONS, *warnings, *leds, *plan.cautions):
        lines += wrap(f"- {caution}", WIDTH, subsequent_indent="  ", break_on_hyphens=False)
    return lines
