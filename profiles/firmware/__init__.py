"""Firmware for the board inside the box, written from its description.

- `plan`: what firmware needs to know of a device, and what prevents it
- `sketch`: a C++ sketch for 8-bit AVR boards with native USB
- `interpreter`: boot and main files for boards that run a Python interpreter with USB HID
- `steps`: what to do with the files
- `cores/`: fixed texts that go out with all firmware; `box_core.h` and `box_core.py` do
  the same thing step by step
"""

from profiles.firmware.interpreter import interpreter_files
from profiles.firmware.plan import CannotBuildError, FirmwarePlan, plan_firmware
from profiles.firmware.sketch import sketch_files
from profiles.firmware.steps import next_steps

WRITERS = {"avr": sketch_files, "python": interpreter_files}
"""What writes the files of a device's firmware, for each kind."""

__all__ = [
    "WRITERS",
    "CannotBuildError",
    "FirmwarePlan",
    "interpreter_files",
    "next_steps",
    "plan_firmware",
    "sketch_files",
]
