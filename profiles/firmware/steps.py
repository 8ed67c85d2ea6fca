"""What to do with the files of a firmware, once they are written."""

from pathlib import Path

from profiles.model import Device, Firmware
from profiles.text.inert import escape_controls, file_name
from profiles.wiring.power import EDITOR_ASKS, asked_current


def next_steps(device: Device, target: Firmware, output: Path = Path()) -> list[str]:
    """Lines that tell how to build, upload and try the firmware that was written into a folder."""
    test = f"Then try the box: `platebook press test {device.id}`."
    if target == "python":
        return [
            "Copy the files onto the drive that the board shows, and press reset. If it shows "
            "none, put its Python interpreter on it first.",
            test,
        ]
    folder = file_name(device.id)
    power = asked_current(device.wiring.usb_current, "avr")
    other = [
        f"There the box asks the port for {EDITOR_ASKS} mA instead of {power}, unless "
        "platform.local.txt beside the core's platform.txt has "
        f"`compiler.cpp.extra_flags=-DUSB_CONFIG_POWER={power}`."
    ]
    return [
        f"In the folder {escape_controls(str(output / folder))}: `make`, then `make upload "
        "PORT=/dev/ttyACM0` with the board's own port.",
        "Both need the general compiler and uploader of the chip, and the board core; on Debian: "
        "`apt install make gcc-avr avr-libc arduino-core-avr avrdude`.",
        f"Or in the editor of the board's maker: open {folder}.ino, choose an ATmega32U4 board and "
        "upload.",
        *(other if power != EDITOR_ASKS else []),
        test,
    ]
