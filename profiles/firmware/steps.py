"""What to do with the files of a firmware, once they are written."""

from profiles.model import Device
from profiles.text.inert import file_name
from profiles.wiring.power import EDITOR_ASKS, asked_current


def next_steps(device: Device, target: str) -> list[str]:
    """Lines that tell how to build, upload and try the firmware of a box."""
    test = f"Then try the box: `platebook press test {device.id}`."
    if target == "python":
        return [
            "Copy the files onto the drive that the board shows, and press reset.",
            test,
        ]
    folder = file_name(device.id)
    power = asked_current(device.wiring.usb_current, "avr")
    return [
        f"In the folder {folder}: `make`, then `make upload PORT=/dev/ttyACM0` with the board's "
        "own port.",
        f"Or in the editor of the board's maker: open {folder}.ino, choose an ATmega32U4 board and "
        "upload.",
        f"There the box asks the port for {EDITOR_ASKS} mA instead of {power}, unless "
        "platform.local.txt beside the core's platform.txt has "
        f"`compiler.cpp.extra_flags=-DUSB_CONFIG_POWER={power}`.",
        test,
    ]
