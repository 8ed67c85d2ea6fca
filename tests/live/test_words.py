"""Faults in words: every kind has a sentence and a remedy with the device's own names."""

import pytest

from profiles.facts.device import DeviceFacts
from profiles.live.buttons import inputs_by_button, unheard_inputs
from profiles.live.fault_types import FAULT_KINDS
from profiles.live.faults import Fault
from profiles.live.hypotheses import WEIGHTS
from profiles.live.words import describe_fault, describe_faults, describe_remedy, name_line
from profiles.model import Device
from tests.live.banked import make_banked_box
from tests.live.simulated import make_box
from tests.live.table import box, list_faults

BLUEPRINT = DeviceFacts(make_box(4, 5, diodes=True, knobs=2)).model
ON_BANKS = DeviceFacts(make_banked_box()).model
ONE_OF_EACH = {
    kind: (model, faults[0])
    for model in (ON_BANKS, BLUEPRINT)
    for kind, faults in list_faults(model).items()
}


def test_every_kind_can_be_tried_weighed_and_told() -> None:
    assert {*ONE_OF_EACH, "unnamed"} == set(FAULT_KINDS) == set(WEIGHTS)
    told = {describe_fault(model, fault) for model, fault in ONE_OF_EACH.values()}
    assert len(told) == len(FAULT_KINDS) - 1


@pytest.mark.parametrize(
    ("fault", "remedy"),
    [
        (Fault("swapped", (1, 4)), "Exchange the yellow wire at pin A1 and the blue wire at pin 2"),
        (
            Fault("dead", (4,)),
            "Look at the joint of the blue wire at pin 2, and along its first stretch",
        ),
        (
            Fault("bridged", (0, 10)),
            "Look for solder or a stray strand between the yellow wire at pin A0 and the "
            "white wire at pin 20",
        ),
        (
            Fault("reversed", (0,)),
            "Put the wires of the rows on pins A0, A1, A2 and A3 in this order",
        ),
        (
            Fault("shifted", (4, 1)),
            "Put the wires of the columns on pins 2, 3, 4, 5 and 6 in this order",
        ),
        (
            Fault("transposed"),
            "Set `numbering` in the device file as the board does it, or correct the firmware",
        ),
        (
            Fault("offset", (1,)),
            "Set `first_input` in the device file as the board does it, or correct the firmware",
        ),
        (Fault("exchanged", (2, 9)), "Exchange the wires of b13.press and b25.press"),
        (
            Fault("joined", (1, 13)),
            "Look for solder between the diodes of b12.press and b34.press",
        ),
        (
            Fault("stuck", (8,)),
            "Unsolder one end of b24.press and measure: the switch, or a bridge beside it",
        ),
        (
            Fault("open", (8,)),
            "Look at both joints of b24.press, where row 2 (yellow) and column 4 (blue) arrive, "
            "then at the switch",
        ),
        (
            Fault("diode-reversed", (8,)),
            "Turn the diode at b24.press: its band (cathode) belongs toward row 2 (pin A1)",
        ),
        (
            Fault("diode-missing", (8,)),
            "Look at the diode at b24.press: its band (cathode) belongs toward row 2 (pin A1)",
        ),
        (Fault("diodes-reversed"), "Set `driven` as the board does it, or turn every diode"),
        (
            Fault("turns-back", (0,)),
            "Exchange the wires of trim.clockwise and trim.anticlockwise",
        ),
        (
            Fault("skips", (0,)),
            "Look at the joints of trim, then turn it slowly: a worn one still skips",
        ),
        (
            Fault("multiplies", (0, 0)),
            "Set the pulses per detent of trim in the firmware",
        ),
        (
            Fault("bounces", (8,)),
            "Raise the debounce time above 7 ms, or change the switch",
        ),
    ],
)
def test_each_remedy_names_pins_and_contacts(fault: Fault, remedy: str) -> None:
    assert describe_remedy(BLUEPRINT, fault) == remedy


def test_a_diodes_ring_faces_the_driven_line() -> None:
    _, by_row = box(4, 5, True)
    from profiles.facts.device import DeviceFacts

    by_column = DeviceFacts(make_box(4, 5, diodes=True, driven="columns")).model
    fault = Fault("diode-reversed", (8,))
    assert describe_remedy(by_row, fault).endswith("toward row 2 (pin A1)")
    assert describe_remedy(by_column, fault).endswith("toward column 4 (pin 5)")


def test_no_fault_is_said_too() -> None:
    assert describe_faults(BLUEPRINT, ()) == "the box is as described"


def test_wires_of_single_pins_go_by_their_contact() -> None:
    assert name_line(BLUEPRINT, 10) == "the wire of trim.clockwise (pin 20)"
    assert name_line(BLUEPRINT, 9) == "the common"


def wide_box(collection: str, buttons: int) -> Device:
    device = make_box(8, 11, rotary=False)
    report = device.device.report.model_copy(update={"collection": collection, "buttons": buttons})
    header = device.device.model_copy(update={"report": report})
    return device.model_copy(update={"device": header})


def test_a_joystick_is_heard_by_its_own_numbers_up_to_79_on_linux() -> None:
    """SDL src/joystick/linux: buttons below KEY_MAX; usage 80 is KEY_MAX."""
    device = wide_box("joystick", 88)
    assert inputs_by_button(device, "linux") == {n: n for n in range(1, 80)}
    assert unheard_inputs(device, "linux") == tuple(range(80, 89))
    assert inputs_by_button(device, "win32") == {n: n for n in range(1, 89)}
    assert unheard_inputs(device, "darwin") == ()
