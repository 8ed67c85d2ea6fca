"""Which input a host's button is, where the two are counted differently.

SDL counts the buttons it finds from 0. On most hosts that is the HID button less one; on Linux it
is the rank of its event code, which differs where a device leaves numbers out or declares itself
otherwise than as joystick or game pad, and inputs beyond the last event code are not there at all
(see `profiles.host.interfaces`). Hats and axes are counted likewise (`profiles.host.axes`).
"""

import sys

from profiles.facts.device import DeviceFacts
from profiles.host.axes import axis_input, hat_input, view_fields
from profiles.host.descriptor import shape_report
from profiles.host.interfaces import number_inputs
from profiles.live.events import Event
from profiles.model import HAT_WAYS, Axis, Device, Rotary

END = 26214
"""Four fifths of the way to an end of an axis, of 32,767: the end, for a hand."""

AWAY = 22937
"""An axis that came nearer to its rest than seven tenths of the way has left its end."""


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


class FieldReader:
    """Turns the hats and axes that a device describes into inputs that go down and up."""

    def __init__(self, device: Device, platform: str = sys.platform) -> None:
        facts = DeviceFacts(device)
        shape = shape_report(device.device.report, facts.reported.values())
        interface = _choose_interface(platform)
        self._fields: dict[tuple[str, int], str] = {}
        names = [*(str(hat) for hat in range(1, shape.hats + 1)), *shape.axes]
        for name, view in zip(names, view_fields(shape.hats, shape.axes), strict=True):
            number = view.indices[interface].number
            if number is not None:
                self._fields["hat" if name.isdigit() else "axis", number + 1] = name
        self._known = frozenset(facts.reported.values())
        axes = (control for control in device.controls.values() if isinstance(control, Axis))
        self._ends = {axis.axis: 0 if axis.centre is not None else -1 for axis in axes}
        knobs = (control for control in device.controls.values() if isinstance(control, Rotary))
        self._ends |= {knob.axis: 0 for knob in knobs if knob.axis}
        self._closed: dict[int, frozenset[int]] = {}

    def take(self, event: Event) -> tuple[frozenset[int], frozenset[int]] | None:
        """Inputs that went down, and up; None for a field that the device does not describe.

        An axis is at an end for a moment only, when it comes there: a lever may stay anywhere.
        """
        name = self._fields.get((event.kind, event.number), "")
        if event.kind == "hat" and name and hat_input(int(name), "up") in self._known:
            closed = frozenset(
                hat_input(int(name), way)
                for bit, way in enumerate(HAT_WAYS[:4])
                if event.value >> bit & 1
            )
            before = self._closed.get(event.number, frozenset())
            self._closed[event.number] = closed
            return closed - before, before - closed
        if name not in self._ends:
            return None
        end, before_end = (event.value > 0) - (event.value < 0), self._ends[name]
        if abs(event.value) < (AWAY if end == before_end else END):
            end = 0
        self._ends[name] = end
        came = frozenset({axis_input(name, end)} if end and end != before_end else ())
        return came, came


def _choose_interface(platform: str) -> str:
    return "linux-sdl" if platform.startswith("linux") else "sdl"


def _buttons(device: Device, platform: str) -> dict[int, int | None]:
    report = device.device.report
    used = DeviceFacts(device).inputs.values()
    declared = range(1, (report.buttons or max(used, default=0)) + 1)
    indices = number_inputs(declared, _choose_interface(platform), report.collection, declared)
    return {
        number: None if index.number is None else index.number + 1
        for number, index in indices.items()
    }
