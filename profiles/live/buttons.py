"""Which input a host's button is, where the two are counted differently.

SDL counts the buttons it finds from 0. On most hosts that is the HID button less one; on Linux it
is the rank of its event code, which differs where a device leaves numbers out or declares itself
otherwise than as joystick or game pad, and inputs beyond the last event code are not there at all
(see `profiles.host.interfaces`).
"""

import sys

from profiles.facts.device import DeviceFacts
from profiles.host.interfaces import number_inputs
from profiles.model import Device


def inputs_by_button(device: Device, platform: str = sys.platform) -> dict[int, int]:
    """Input number of each of the host's buttons, counted from 1."""
    return {
        button: number
        for number, button in _buttons(device, platform).items()
        if button is not None
    }


def unheard_inputs(device: Device, platform: str = sys.platform) -> tuple[int, ...]:
    """Inputs of the device that this host never hears, so that no test can."""
    buttons = _buttons(device, platform)
    used = sorted(set(DeviceFacts(device).inputs.values()))
    return tuple(number for number in used if buttons.get(number) is None)


def _buttons(device: Device, platform: str) -> dict[int, int | None]:
    report = device.device.report
    used = DeviceFacts(device).inputs.values()
    declared = range(1, (report.buttons or max(used, default=0)) + 1)
    interface = "linux-sdl" if platform.startswith("linux") else "sdl"
    indices = number_inputs(declared, interface, report.collection, declared)
    return {
        number: None if index.number is None else index.number + 1
        for number, index in indices.items()
    }
