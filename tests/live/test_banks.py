"""The press test of boxes on chains and banks: a simulated hand, wires that came off, and what goes
wrong at the bank itself."""

from collections.abc import Callable

import pytest

from profiles.live.diagnosis import diagnose
from profiles.live.faults import Fault
from profiles.live.session import Session
from profiles.live.words import describe_faults, describe_remedy
from profiles.model import Device
from tests.firmware.boxes import make_banks_box, make_chains_box, make_lights_box
from tests.live.banked import BankedBox, make_banked_box
from tests.live.hand import free_test
from tests.live.table import list_faults
from tests.live.test_examples import hear_all

BOXES = [make_banks_box, make_chains_box, make_lights_box]


@pytest.mark.parametrize("make", BOXES)
def test_a_sound_box_is_right_in_every_step(make: Callable[[], Device]) -> None:
    session = Session(make(), "full")
    assert diagnose(session.model, hear_all(session, ())).is_sound


@pytest.mark.parametrize("make", BOXES)
def test_a_wire_that_came_off_is_named(make: Callable[[], Device]) -> None:
    session = Session(make(), "full")
    for fault in list_faults(session.model)["open"][::4]:
        found = diagnose(session.model, hear_all(session, [fault]))
        assert (fault,) in [explanation.faults for explanation in found.explanations]


@pytest.mark.parametrize(
    ("fault", "words", "remedy"),
    [
        (
            Fault("bank-silent", (1,)),
            "nothing on deck is heard",
            "Look at its supply, and its wires at pins 2 and 3; then at its address, 0x20 in the "
            "device file",
        ),
        (
            Fault("banks-exchanged", (1, 2)),
            "deck and rail answer at each other's address",
            "Exchange their addresses at the chips, or in the device file",
        ),
        (
            Fault("places-lost", (0, 8, 0)),
            "register is cut off after bit 8: all beyond reads open",
            "Look at the joints of the serial wire from bit 8 to bit 9 of register",
        ),
        (
            Fault("places-lost", (0, 8, 1)),
            "register is cut off after bit 8: all beyond reads closed",
            "Look at the joints of the serial wire from bit 8 to bit 9 of register",
        ),
        (
            Fault("bits-shifted", (0, 1)),
            "every bit of register is read as the one after it",
            "Look at how the firmware clocks register: it begins one bit too early",
        ),
        (
            Fault("select-stuck", (3, 1, 1)),
            "select line 2 of fan is always high",
            "Look at the wire of that select line, at pin A4",
        ),
        (
            Fault("selects-exchanged", (3, 0, 2)),
            "two select lines of fan are exchanged",
            "Exchange the wires at pins A3 and A5",
        ),
        (
            Fault("places-lost", (4, 3, 0)),
            "rungs is cut off after rungs.3: all beyond reads open",
            "Look at the joints of the resistor between rungs.3 and rungs.4",
        ),
        (
            Fault("resistor-wrong", (4, 1, 2)),
            "the resistor between rungs.2 and rungs.3 is about ten times too large",
            "Unplug the box and measure the resistor between rungs.2 and rungs.3: the device file "
            "has 4.3 kilohm",
        ),
        (
            Fault("axis-backwards", (0,)),
            "sail works backwards",
            "Exchange the outer wires of sail, or change its `reversed` in the device file",
        ),
        (
            Fault("axis-silent", (1,)),
            "keel is never heard",
            "Look at the joint of its middle wire at A6, then at the outer ones",
        ),
        (
            Fault("axes-exchanged", (0, 1)),
            "sail and keel are exchanged",
            "Exchange the middle wires of sail and keel",
        ),
    ],
    ids=lambda one: one.kind if isinstance(one, Fault) else "",
)
def test_what_is_wrong_at_a_bank_or_a_lever_is_named(fault: Fault, words: str, remedy: str) -> None:
    """A box of resistors, select lines and registers, worked by a hand that never answers."""
    device = make_banked_box()
    session = free_test(device, depth="short", box=BankedBox(device, fault))
    best = diagnose(session.model, session.tries).explanations[0]

    assert best.unexplained == ()
    assert describe_faults(session.model, best.faults) == words
    assert describe_remedy(session.model, best.faults[0]) == remedy


def test_a_sound_box_with_banks_and_levers_is_asked_nothing_more() -> None:
    device = make_banked_box()
    session = free_test(device, depth="short", box=BankedBox(device))

    assert diagnose(session.model, session.tries).is_sound
    assert len(session.tries) == session.planned
