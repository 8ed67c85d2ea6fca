"""LEDs show what they follow: on both cores, under the simulated chip, with an interpreter."""

import random
import shutil
from pathlib import Path
from typing import Any

import pytest

from profiles.firmware import CannotBuildError, interpreter_files, plan_firmware, sketch_files
from profiles.model import Contact
from tests.firmware.boxes import make_device, make_lights_box
from tests.firmware.presses import Sequence, Wires
from tests.firmware.simulation import InterpreterCore, SketchCore
from tests.firmware.test_chip import REASON, build_host, run_host
from tests.firmware.test_interpreter import Board, run_board
from tests.needs import skip_unless

CONTACTS = ("horn.press", "shift.press", "mode.on", "deck.press", "mast.press", "keel.press")
ORDER = ("horn", "shift", "mode", "deck", "mast", "keel")
"""LEDs in the order in which the board counts them: those on pins, then the LED matrix."""


def find_lit(closed: set[str]) -> set[str]:
    """What the box's file says, in other words."""
    lit = {"horn", "keel"}
    lit |= {"shift"} if "shift.press" in closed else set()
    lit |= set() if "mode.on" in closed else {"mode"}
    lit |= {"deck"} if {"shift.press", "mode.on"} <= closed else set()
    return lit | ({"mast"} if "mast.press" in closed else set())


def close(names: set[str]) -> frozenset[Contact]:
    return frozenset(Contact(*name.split(".")) for name in names)


def list_moments() -> list[set[str]]:
    rng = random.Random("lights")
    return [{name for name in CONTACTS if rng.random() < 0.5} for _ in range(24)]


def test_both_cores_show_what_each_led_follows(tmp_path: Path) -> None:
    device = make_lights_box()
    plan = plan_firmware(device)
    wires = Wires(device, plan)
    cores: list[Any] = [InterpreterCore(interpreter_files(device))]
    if shutil.which("g++"):
        cores.append(SketchCore(sketch_files(device), plan, tmp_path))
    assert tuple(light.control for light in plan.lights) == ORDER
    for closed in list_moments():
        for core in cores:
            core.run([wires.row(close(closed))] * 6, [1] * 6, wires.diodes)
            assert {ORDER[at] for at in core.list_lit(len(ORDER))} == find_lit(closed)


@pytest.mark.parametrize("inputs", [{"up": 1, "down": 3}, {"up": 1, "centre": 2, "down": 3}])
def test_an_led_of_a_centre_is_not_lit_while_a_hand_passes_it(
    inputs: dict[str, int], tmp_path: Path
) -> None:
    """Alone, and as part of a layer; whether or not the centre has an input of its own."""
    led = {"forward_voltage": 2.0, "current": 5.0}
    ends = {"up": "2", "down": "3"}
    flaps = {"kind": "latching", "pattern": "on-off-on", "pins": ends, "inputs": inputs}
    controls = {
        "flaps": {**flaps, "led": {**led, "pin": "8", "follows": "flaps.centre"}},
        "horn": {
            "kind": "momentary",
            "pin": "4",
            "led": {**led, "pin": "9", "follows": "flaps.centre + horn"},
        },
        "gear": {
            "kind": "latching",
            "pin": "5",
            "led": {**led, "pin": "10", "follows": "gear.off"},
        },
    }
    device = make_device("desk", {"hold": 50.0}, controls)
    plan = plan_firmware(device)
    wires = Wires(device, plan)
    up, down, press = ({"flaps.up"}, {"flaps.down"}, {"horn.press"})
    cores: list[Any] = [InterpreterCore(interpreter_files(device))]
    if shutil.which("g++"):
        cores.append(SketchCore(sketch_files(device), plan, tmp_path))
    for core in cores:
        for passed, last, lit in [
            (40, press, {"gear"}),
            (48, down | press, {"gear"}),
            (80, press, {"flaps", "horn", "gear"}),
            (80, {"gear.on"}, {"flaps"}),
            (80, up, {"gear"}),
        ]:
            moments = [up] * 20 + [press] * passed + [last] * 12
            core.run([wires.row(close(one)) for one in moments], [1] * len(moments), wires.diodes)
            assert {("flaps", "horn", "gear")[at] for at in core.list_lit(3)} == lit


@skip_unless(not REASON, REASON)
def test_the_chip_lights_pins_and_matrix(tmp_path: Path) -> None:
    """Pins as they are at the end of each row; of the LED matrix whatever was lit in turn."""
    device = make_lights_box()
    build_host(tmp_path)
    wires = Wires(device, plan_firmware(device))
    moments = list_moments()
    rows = [wires.row(close(one)) for one in moments for _ in range(6)]

    _, _, lit = run_host(device, wires.diodes, rows, tmp_path)

    for at, closed in enumerate(moments):
        assert {ORDER[light] for light in lit[6 * at + 5]} == find_lit(closed)


def test_an_interpreter_lights_pins_and_matrix(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """`shift` and `mode.on` are closed: the chain's bit 1, and pin 3."""
    board = Board(make_lights_box(), closed=[])
    board.bits = {0: bytes([1, 0, 1, 0, 0, 0, 0, 0])}
    board.low = {"3"}
    board.watched = {("A0", "A3"): "deck", ("A1", "A2"): "mast", ("A1", "A3"): "keel"}

    run_board(board.plan.device, board, tmp_path, monkeypatch)

    outs = {pin: board.pins[pin].out for pin in ("8", "9", "10")}
    assert outs == {"8": True, "9": False, "10": False}
    assert board.lit == {"deck", "mast", "keel"}


@pytest.mark.parametrize(
    ("follows", "why"),
    [
        ("hron", "`hron` is no contact of this device"),
        ("horn.on", "`horn.on` is no contact of this device"),
        ("desk/horn", "`desk/horn` is no contact of this device"),
        ("horn + horn", "names one contact twice"),
        ("", "is no contact such as `horn` or `trim.clockwise`"),
        ("knob.clockwise", "`knob.clockwise` neither opens nor closes for long"),
        ("bell", "bell.press has no wire"),
        (
            "knob",
            "`knob` has several contacts: name `knob.clockwise`, `knob.anticlockwise` or "
            "`knob.press`",
        ),
    ],
)
def test_an_led_that_follows_nothing_gets_no_firmware(follows: str, why: str) -> None:
    led = {"forward_voltage": 2.0, "current": 5.0, "pin": "9", "follows": follows or "+"}
    controls = {
        "horn": {"kind": "momentary", "pin": "2", "input": 1, "led": led},
        "bell": {"kind": "momentary"},
        "knob": {"kind": "rotary", "pins": {"clockwise": "4", "anticlockwise": "5"}},
    }
    with pytest.raises(CannotBuildError) as refused:
        plan_firmware(make_device("box", {}, controls))

    assert refused.value.problems == (f"the LED of horn follows {follows or '+'}: {why}",)


def test_random_presses_are_reported_as_without_leds(tmp_path: Path) -> None:
    """LEDs take nothing from what the box reports."""
    device = make_lights_box()
    dark = device.model_copy(
        update={
            "controls": {
                key: control.model_copy(update={"led": None})
                for key, control in device.controls.items()
            }
        }
    )
    wires = Wires(device, plan_firmware(device))
    sequence = Sequence(wires, random.Random("dark"), steps=12)
    told = [
        InterpreterCore(interpreter_files(one)).run(
            sequence.rows, [1] * len(sequence.rows), wires.diodes
        )
        for one in (device, dark)
    ]
    assert told[0] == told[1]
