"""The example boxes: controls of every kind, some made by the board, through test and diagnosis.

What is heard is told by the forward model itself, so this tests that all kinds of control come
through whole; that the model is right is tested against a netlist in `test_forward`.
"""

import random
from collections.abc import Iterable
from pathlib import Path

import pytest

from profiles.files.library import load_library
from profiles.live.diagnosis import diagnose
from profiles.live.evidence import Observation, Press
from profiles.live.faults import Fault, apply_all
from profiles.live.forward import Simulator
from profiles.live.session import Session
from profiles.live.words import ask_step, describe_fault, describe_remedy
from profiles.model import Device
from tests.live.bench import helm_desk, make_entries
from tests.live.simulated import INSTANCE
from tests.live.table import list_faults

LIBRARY = load_library(Path(__file__).parents[2] / "example_profiles" / "harbour").library
DEVICES = [pytest.param(LIBRARY.devices[key], id=key) for key in sorted(LIBRARY.devices)]


def hear_all(session: Session, faults: Iterable[Fault]) -> list[Observation]:
    """Every step as a box with these faults would answer it."""
    model = session.model
    simulator = Simulator(model, apply_all(model, tuple(faults)))
    found = []
    for step in session.steps:
        told = simulator.hear(step, tuple(model.mask(frame) for frame in step.frames))
        numbers = [n for n, times in told.counts for _ in range(int(times))]
        presses = tuple(
            Press(number, 100.0 * at, 100.0 * at + 30.0)
            for at, number in enumerate(numbers or sorted(told.seen | told.passing))
        )
        already = frozenset() if step.stays else told.passing
        ended = told.seen if step.stays else told.passing
        found.append(Observation(step, already, presses, ended))
    return found


@pytest.mark.parametrize("device", DEVICES)
def test_a_faultless_example_is_right_and_sound(device: Device) -> None:
    session = Session(device, "full")
    assert diagnose(session.model, hear_all(session, ())).is_sound


@pytest.mark.parametrize("device", DEVICES)
def test_faults_of_an_example_are_found(device: Device) -> None:
    session = Session(device, "full")
    for kind, faults in list_faults(session.model).items():
        if kind in ("bounces", "skips"):
            continue
        for fault in random.Random(2).sample(faults, min(2, len(faults))):
            heard = hear_all(session, [fault])
            if heard == hear_all(session, ()):
                continue
            (best, *_) = diagnose(session.model, heard).explanations
            assert (fault,) in (best.faults, *best.equivalents), fault


@pytest.mark.parametrize("device", DEVICES)
def test_every_step_and_fault_of_an_example_has_words(device: Device) -> None:
    session = Session(device, "full")
    assert all(ask_step(session.model, step) for step in session.steps)
    for faults in list_faults(session.model).values():
        for fault in faults:
            assert describe_fault(session.model, fault)
            assert describe_remedy(session.model, fault)


@pytest.mark.parametrize(
    "fault",
    [
        Fault("offset", (1,)),
        Fault("transposed"),
        Fault("swapped", (6, 8)),
        Fault("reversed", (5,)),
        Fault("skips", (1,)),
        Fault("stuck", (6,)),
    ],
    ids=lambda fault: fault.kind,
)
def test_pulses_of_toggles_follow_the_fault_of_a_box_and_nothing_is_left_over(fault: Fault) -> None:
    """A netlist of the helm desk, several of whose toggles report edges."""
    device = helm_desk()
    session = Session(device, "full", instance=INSTANCE)
    session.take(*make_entries(device, [fault]))
    (best, *_) = diagnose(session.model, session.observations).explanations
    assert (best.faults, best.unexplained) == ((fault,), ())
