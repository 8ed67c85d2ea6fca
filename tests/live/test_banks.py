"""The press test of boxes on chains and banks: a simulated hand, and wires that came off."""

from collections.abc import Callable

import pytest

from profiles.live.diagnosis import diagnose
from profiles.live.session import Session
from profiles.model import Device
from tests.firmware.boxes import make_banks_box, make_chains_box, make_lights_box
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
