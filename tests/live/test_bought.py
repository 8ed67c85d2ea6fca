"""A box that was bought: its file says nothing of wires, so nothing electrical is thought of."""

from profiles.live.diagnosis import diagnose
from profiles.live.fault_types import FAULT_TYPES
from profiles.live.question import best_question
from profiles.live.session import Session
from profiles.live.words import describe_fault, describe_remedy
from profiles.model import Device
from tests.firmware.boxes import make_device
from tests.live.table import list_faults
from tests.live.test_examples import hear_all

ELECTRICAL = ("wire", "leg", "diode", "pin ", "solder", "ground", "joint", "meter", "channel")


def make_bought_box() -> Device:
    """Buttons, a knob, a hat, a toggle and two levers, with numbers and no wiring."""
    return make_device(
        "bought",
        {},
        {
            **{f"key-{number}": {"kind": "momentary", "input": number} for number in range(1, 5)},
            "dial": {"kind": "rotary", "inputs": {"clockwise": 6, "anticlockwise": 7}},
            "look": {"kind": "hat"},
            "gear": {"kind": "latching", "input": 8},
            "sail": {"kind": "axis", "axis": "x"},
            "keel": {"kind": "axis", "axis": "y"},
        },
    )


def test_nothing_of_wires_is_said_of_a_bought_box_whatever_is_wrong() -> None:
    session = Session(make_bought_box(), "short")
    model, named = session.model, set[str]()
    for kind, faults in list_faults(model).items():
        heard = hear_all(session, faults[-1:])
        found = diagnose(model, heard)
        question = best_question(model, found)
        told = [one for each in found.explanations for one in each.faults]
        told += [one for each in found.explanations for other in each.equivalents for one in other]
        words = [describe_fault(model, one) for one in told]
        words += [describe_remedy(model, one) for one in told]
        words += [question.words] if question else []
        assert all(FAULT_TYPES[one.kind].whole for one in told), kind
        assert not [one for one in words if any(each in one for each in ELECTRICAL)]
        named |= {kind} & {one.kind for one in found.explanations[0].faults}
    assert named >= {"offset", "stuck", "open", "exchanged", "turns-back", "springs"}
    assert named >= {"axis-backwards", "axis-silent", "axes-exchanged", "multiplies"}
