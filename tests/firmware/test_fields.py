"""Hats and axes: contacts and voltages in, reports out, from both cores and the simulated chip.

Reports are read by hid-tools, the reader of the kernel's own HID test suite, from the descriptor
that the box sends. What must come out is reasoned here from the device's words alone.
"""

import random
import re
import shutil
import subprocess
from pathlib import Path
from typing import Any

import hidtools.hid
import pytest

from profiles.firmware import CannotBuildError, interpreter_files, plan_firmware, sketch_files
from profiles.firmware.plan import NOISE, FirmwarePlan, convert_range
from profiles.firmware.sketch import ANALOG_NUMBERS
from profiles.model import Contact, Device
from profiles.wiring.boards import packaged_boards
from tests.firmware.avr import VARIANT, build_sketch
from tests.firmware.boxes import make_device
from tests.firmware.simulation import InterpreterCore, SketchCore
from tests.firmware.test_chip import HOST, REASON
from tests.needs import skip_unless

WAYS = ("up", "right", "down", "left")

ADC_CHANNELS = {"A0": 7, "A1": 6, "fan.3": 102}
"""Converter channels of PF7 and PF6 (ATmega16U4/32U4 data sheet 7766F, pin functions), and a place
of the multiplexer, counted from 100, whose common is at PF1."""

FAN = {"kind": "multiplexer", "select": ["4", "6"], "pin": "A4"}


def make_fields_box() -> Device:
    """A hat of each number of ways, one as buttons, and four axes of all sorts."""
    # The simulator forgets what is outside a pin as soon as the sketch writes to its port.
    pins = dict(zip(WAYS, ("5", "A2", "7", "A3"), strict=True))
    return make_device(
        "fields",
        {
            "rows": ["MISO", "SCK"],
            "columns": ["2", "3", "11", "12", "13"],
            "banks": {"fan": FAN},
        },
        {
            "look": {"kind": "hat", "ways": 8, "pins": pins},
            "view": {
                "kind": "hat",
                "ways": 5,
                "crossings": {
                    **{way: [1, place] for place, way in enumerate(WAYS, 1)},
                    "press": [1, 5],
                },
                "inputs": {"press": 3},
            },
            "menu": {
                "kind": "hat",
                "ways": 8,
                "reports": "buttons",
                "crossings": {way: [2, place] for place, way in enumerate(WAYS, 1)},
                "inputs": {"up": 4, "right": 5, "down": 6, "left": 7, "up-right": 8},
            },
            "sail": {"kind": "axis", "axis": "throttle", "pin": "A0", "range": [5.0, 95.0]},
            "tiller": {
                "kind": "axis",
                "axis": "x",
                "sensor": "hall",
                "pin": "A1",
                "range": [10.0, 90.0],
                "centre": 52.0,
                "dead_band": 2.0,
                "reversed": True,
            },
            "keel": {"kind": "axis", "axis": "rz", "pin": "fan.3", "range": [0.0, 100.0]},
        },
    )


class Reader:
    """A report as hid-tools reads it: buttons down, hats and axes by usage."""

    def __init__(self, plan: FirmwarePlan) -> None:
        descriptor = hidtools.hid.ReportDescriptor.from_bytes(list(plan.descriptor))
        (self.report,) = descriptor.input_reports.values()
        self.size = plan.report_bytes

    def read(self, number: int) -> dict[str, list[int]]:
        raw = [1, *number.to_bytes(self.size, "little")]
        found: dict[str, list[int]] = {"buttons": [], "hats": []}
        for field in self.report:
            if field.is_const:
                continue
            value = int(field.get_values(raw)[0])
            if field.usage >> 16 == 0x09:
                found["buttons"] += [field.usage & 0xFFFF] if value else []
            elif field.usage == 0x00010039:
                found["hats"].append(value)
            else:
                found[f"{field.usage:08x}"] = [value]
        return found


AXES = {"sail": "000200bb", "tiller": "00010030", "keel": "00010035"}
"""Usages of Throttle, X and Rz (HID Usage Tables 1.12, tables 6 and 7)."""


class Bench:
    """Both cores of one box, and rows of contacts and readings for them."""

    def __init__(self, device: Device, folder: Path) -> None:
        self.plan = plan_firmware(device)
        self.reader = Reader(self.plan)
        self.axes = [one.name for one in self.plan.axes]
        self.cores: list[Any] = [InterpreterCore(interpreter_files(device))]
        if shutil.which("g++"):
            self.cores.append(SketchCore(sketch_files(device), self.plan, folder))

    def row(self, closed: set[Contact], readings: dict[str, int]) -> bytes:
        marks = bytearray(self.plan.points)
        for contact in closed:
            marks[self.plan.model.points[contact]] = 1
        return bytes(marks) + b"".join(
            readings.get(name, 0x8000).to_bytes(2, "big") for name in self.axes
        )

    def settle(self, closed: set[Contact], readings: dict[str, int]) -> dict[str, list[int]]:
        """What both cores report once contacts and readings have stood for a while."""
        rows = [self.row(set(), {}), *[self.row(closed, readings)] * 8]
        found = []
        for core in self.cores:
            changes = core.run(rows, [1] * len(rows), bytes(16))
            found.append(self.reader.read(changes[-1][1]))
        assert all(one == found[0] for one in found)
        return found[0]


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    return Bench(make_fields_box(), tmp_path_factory.mktemp("fields"))


EIGHTHS = {
    frozenset(): 0,
    frozenset({"up"}): 1,
    frozenset({"up", "right"}): 2,
    frozenset({"right"}): 3,
    frozenset({"right", "down"}): 4,
    frozenset({"down"}): 5,
    frozenset({"down", "left"}): 6,
    frozenset({"left"}): 7,
    frozenset({"left", "up"}): 8,
    frozenset({"up", "down"}): 0,
    frozenset({"up", "down", "left"}): 7,
    frozenset(WAYS): 0,
}
"""Hat switch: values clockwise from north, out of range is the null state (HUT 1.12, 4.3)."""


@pytest.mark.parametrize("closed", EIGHTHS, ids=lambda ways: "+".join(sorted(ways)) or "none")
def test_a_hat_of_eight_ways_points_where_its_contacts_add_up(
    bench: Bench, closed: frozenset[str]
) -> None:
    told = bench.settle({Contact("look", way) for way in closed}, {})

    assert told["hats"] == [EIGHTHS[closed], 0]
    assert told["buttons"] == []


def test_a_hat_of_four_ways_shows_none_between(bench: Bench) -> None:
    seen = [
        bench.settle({Contact("view", way) for way in ways}, {})["hats"][1]
        for ways in (["up"], ["right"], ["down"], ["left"], ["up", "right"])
    ]

    assert seen == [1, 3, 5, 7, 0]


def test_the_push_of_a_hat_is_a_button_of_its_own(bench: Bench) -> None:
    told = bench.settle({Contact("view", "press"), Contact("view", "left")}, {})

    assert (told["buttons"], told["hats"]) == ([3], [0, 7])


@pytest.mark.parametrize(
    ("closed", "down"),
    [(["up"], [4]), (["up", "right"], [8]), (["up", "left"], [4, 7]), (["right", "down"], [5, 6])],
)
def test_ways_as_buttons_give_way_to_one_between_that_has_a_number(
    bench: Bench, closed: list[str], down: list[int]
) -> None:
    assert bench.settle({Contact("menu", way) for way in closed}, {})["buttons"] == down


@pytest.mark.parametrize(
    ("axis", "percent", "value"),
    [
        ("sail", 0.0, -32767),
        ("sail", 5.0, -32767),
        ("sail", 50.0, 0),
        ("sail", 72.5, 16384),
        ("sail", 95.0, 32767),
        ("sail", 100.0, 32767),
        ("tiller", 10.0, 32767),
        ("tiller", 50.0, 0),
        ("tiller", 54.0, 0),
        ("tiller", 72.0, -16384),
        ("tiller", 30.0, 16384),
        ("tiller", 93.0, -32767),
        ("keel", 25.0, -16384),
    ],
)
def test_an_axis_reports_its_place_in_its_range(
    bench: Bench, axis: str, percent: float, value: int
) -> None:
    told = bench.settle(set(), {axis: round(655.35 * percent)})[AXES[axis]][0]

    assert told == pytest.approx(value, abs=3)  # a reading is a whole number of 65,535 steps


def test_noise_moves_no_axis_but_two_steps_of_the_converter_do(bench: Bench) -> None:
    rng = random.Random("noise")
    rows = [bench.row(set(), {"sail": 40000})]
    rows += [bench.row(set(), {"sail": 40000 + rng.randint(-NOISE, NOISE)}) for _ in range(200)]
    rows += [bench.row(set(), {"sail": 40128})] * 3
    for core in bench.cores:
        changes = core.run(rows, [1] * len(rows), bytes(16))
        assert [row for row, _ in changes] in ([0, 201], [0, 202], [0, 203])


def test_both_cores_agree_on_any_reading(bench: Bench) -> None:
    rng = random.Random("any")
    rows = [
        bench.row(
            {Contact("look", way) for way in WAYS if rng.random() < 0.5},
            {name: rng.choice((rng.randrange(65536), 0, 65535)) for name in bench.axes},
        )
        for _ in range(1500)
    ]
    told = [core.run(rows, [1] * len(rows), bytes(16)) for core in bench.cores]

    assert all(one == told[0] for one in told)


@pytest.mark.parametrize("ends", [(0.0, 100.0), (50.0, 50.001), (99.999, 100.0)])
def test_readings_of_any_range_rise(ends: tuple[float, float]) -> None:
    axis = make_device("one", {}, {"a": {"kind": "axis", "axis": "x", "range": ends, "pin": "A0"}})
    low, rest_low, rest_high, high = convert_range(axis.controls["a"])  # type: ignore[arg-type]

    assert 0 <= low < rest_low <= rest_high < high <= 65535


@skip_unless(VARIANT.joinpath("pins_arduino.h").exists(), "no AVR board core")
def test_measured_pins_have_the_numbers_of_the_board_core() -> None:
    """pins_arduino.h: D4 is A6 as well, and so on; A0 is number 18."""
    text = VARIANT.joinpath("pins_arduino.h").read_text(errors="replace")
    shared = dict(re.findall(r"D(\d+)#?\t+A(\d+)\t", text))
    plain = dict(re.findall(r"A(\d)\t+D(\d+) *\t+PF", text))
    numbers = {int(pin): 18 + int(place) for pin, place in shared.items()}
    numbers |= {int(number): 18 + int(place) for place, number in plain.items()}

    assert numbers == ANALOG_NUMBERS


def test_a_pin_that_cannot_measure_stops_the_sketch() -> None:
    device = make_device("one", {}, {"a": {"kind": "axis", "axis": "x", "pin": "2"}})

    with pytest.raises(CannotBuildError, match=r"^pin 2 for a cannot measure$"):
        sketch_files(device)


@skip_unless(not REASON, REASON)
def test_the_chip_measures_its_axes_and_closes_its_hats(tmp_path: Path) -> None:
    """The whole sketch under simavr, whose converter gets the voltages of the sensors."""
    device, ports = make_fields_box(), packaged_boards()["atmega32u4"].pins
    plan = plan_firmware(device)
    command = ["gcc", "-O2", "-Wall", "-Wextra", "-Werror", str(HOST), "-o", str(tmp_path / "host")]
    subprocess.run([*command, "-lsimavr"], check=True)
    program = build_sketch(sketch_files(device), tmp_path / "box", tmp_path.parent / "avr-core")
    points = plan.model.points
    states: list[tuple[set[Contact], list[int]]] = [
        (set(), [250, 2600, 2500]),
        ({Contact("look", "left"), Contact("look", "up")}, [4750, 4600, 1250]),
        ({Contact("view", "down")}, [2500, 500, 5000]),
    ]
    lines = [
        " ".join(["pins", *(ports[pin] for pin in pins)])
        for pins in (plan.driven, plan.sensed, plan.own)
    ]
    lines += [
        f"banks multiplexer:PF1:{ports['4']},{ports['6']}::1",
        "lights",
        "".join("0" for _ in range(len(plan.driven) * len(plan.sensed))),
    ]
    for closed, millivolts in states:
        digits = ["0"] * plan.points
        for contact in closed:
            digits[points[contact]] = "1"
        axes = zip(plan.axes, millivolts, strict=True)
        volts = " ".join(f"{ADC_CHANNELS[axis.pin]}={value}" for axis, value in axes)
        lines += [f"{''.join(digits)} {volts}"] * 20
    done = subprocess.run(
        [str(tmp_path / "host"), str(program), "1"],
        input="\n".join(lines) + "\n",
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
    )
    last = {}
    for line in done.stdout.splitlines():
        if line.startswith("report "):
            _, row, raw, _ = line.split()
            last[int(row) // 20] = int.from_bytes(bytes.fromhex(raw[2:]), "little")
    told = [Reader(plan).read(last[place]) for place in range(len(states))]

    assert [one["hats"] for one in told] == [[0, 0], [8, 0], [0, 5]]
    values = [[one[AXES[axis]][0] for axis in ("sail", "tiller", "keel")] for one in told]
    assert values[0] == pytest.approx([-32767, 0, 0], abs=70)  # a step of ten bits is 64
    assert values[1] == pytest.approx([32767, -32767, -16384], abs=100)
    assert values[2] == pytest.approx([0, 32767, 32767], abs=70)
