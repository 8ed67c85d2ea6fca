"""A device's inputs as the host and the applications of a library see them.

Joins the model to `profiles.host.interfaces`. The inputs themselves come from the caller,
because numbering belongs to the wiring.
"""

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from profiles.host.axes import axis_input, hat_input
from profiles.host.descriptor import shape_report, write_descriptor
from profiles.host.identity import Identity, Lookalikes, find_lookalikes
from profiles.host.interfaces import INTERFACES, ButtonIndex, HostView, number_inputs, view_inputs
from profiles.model import HAT_WAYS, Application, Axis, Contact, Device, Hat, Rotary
from profiles.model.control_value import TURNS

KNOWN_INTERFACES = frozenset(interface.id for interface in INTERFACES)


def number_fields(device: Device) -> dict[Contact, int]:
    """The inputs that are ways of hats and axes, hats counted in the order of the file;
    of a rotary that moves an axis the ends to which its two directions lead."""
    found, hats = {}, 0
    for name, control in device.controls.items():
        if isinstance(control, Hat) and control.fields:
            hats += 1
            for way in HAT_WAYS[: len(control.fields)]:
                found[Contact(name, way)] = hat_input(hats, way)
        elif isinstance(control, Axis):
            found[Contact(name, "axis")] = axis_input(control.axis)
        elif isinstance(control, Rotary) and control.axis:
            found |= {
                Contact(name, way): axis_input(control.axis, end)
                for way, end in zip(TURNS, (1, -1), strict=True)
            }
    return found


class Shown(NamedTuple):
    """How an application writes an input; `text` is empty when it never sees it."""

    text: str
    reason: str


def declare_usages(device: Device, inputs: Iterable[int]) -> range:
    """The Button usages the device's report descriptor declares, from 1."""
    return range(1, shape_report(device.device.report, inputs).buttons + 1)


def describe_device(device: Device, inputs: Iterable[int], report_id: int | None = None) -> bytes:
    """The report descriptor of a device; see `profiles.host.descriptor.write_descriptor`."""
    return write_descriptor(shape_report(device.device.report, inputs), report_id)


def view_device(
    device: Device, inputs: Iterable[int], interfaces: Iterable[str] | None = None
) -> HostView:
    """Every input of a device through the interfaces chosen (all unless told otherwise)."""
    wanted = sorted(set(inputs))
    declared = declare_usages(device, wanted)
    return view_inputs(wanted, device.device.report.collection, interfaces, declared)


def show_inputs(
    application: Application, device: Device, inputs: Iterable[int]
) -> dict[int, Shown]:
    """How an application writes each input of a device, or why it never sees it.

    Three limits stand between: what the report declares, the interface through which the
    application reads (where its file names a known one), and how many buttons it accepts.
    """
    wanted = sorted(set(inputs))
    declared = declare_usages(device, wanted)
    header = application.application
    indices: Mapping[int, ButtonIndex] = {}
    if header.interface in KNOWN_INTERFACES:
        collection = device.device.report.collection
        indices = number_inputs(wanted, header.interface, collection, declared)
    shown = {}
    for number in wanted:
        index = indices.get(number)
        if number not in declared:
            shown[number] = Shown("", f"the box declares {len(declared)} buttons")
        elif index is not None and index.number is None:
            shown[number] = Shown("", f"{header.interface}: {index.reason}")
        elif number > header.buttons:
            shown[number] = Shown("", f"{application.name} accepts {header.buttons} buttons")
        else:
            shown[number] = Shown(application.write_number(number), "")
    return shown


def identify_device(device: Device) -> Identity:
    """Vendor, product and serial number as the device's file gives them."""
    usb = device.device.usb
    if usb is None:
        return Identity(None, None)
    return Identity(int(usb.vendor, 16), int(usb.product, 16), usb.serial)


def find_device_lookalikes(devices: Mapping[str, Device]) -> list[Lookalikes]:
    """Groups of devices the host cannot tell apart, by device id in rising order."""
    return find_lookalikes({name: identify_device(devices[name]) for name in sorted(devices)})
