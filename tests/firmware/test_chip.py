"""The compiled sketch on a simulated ATmega32U4, seen from the computer's side of USB.

simavr runs the very program that goes onto the board: pins, timers, USB. The test stands in
for the computer (enumeration, report descriptor, reports) and for the wires between the
pins. The press sequences and the reasoning are those of `presses`, three times slower.
"""

import random
import shutil
import subprocess
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path

import pytest

from profiles.firmware import plan_firmware, sketch_files
from profiles.model import Device, Expander, Ladder, Led, Multiplexer, ShiftRegisterChain
from profiles.wiring.banks import Bank
from profiles.wiring.boards import packaged_boards
from tests.firmware.avr import build_sketch, find_missing
from tests.firmware.boxes import (
    make_banks_box,
    make_bare_box,
    make_chains_box,
    make_diode_box,
    make_kinds_box,
    make_mixed_box,
)
from tests.firmware.presses import Sequence, Wires, check_reports
from tests.firmware.simulation import Changes
from tests.needs import skip_unless

HOST = Path(__file__).parent / "avr_host.c"
MS_PER_ROW = 3
CHANNELS = {f"PF{bit}": bit for bit in (0, 1, 4, 5, 6, 7)}
"""Channels of the chip's converter (ATmega16U4/32U4 data sheet, pin configurations). Others, which
want MUX5, the simulator does not read."""
BOXES = {
    "bare": make_bare_box,
    "diodes": make_diode_box,
    "mixed": make_mixed_box,
    "chains": make_chains_box,
    "banks": make_banks_box,
    "kinds": make_kinds_box,
}


def find_reason() -> str:
    if shutil.which("gcc") is None or not Path("/usr/include/simavr/sim_avr.h").exists():
        return "no simulator of the chip (gcc, libsimavr-dev)"
    return find_missing()


REASON = find_reason()
pytestmark = skip_unless(not REASON, REASON)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("chip")
    build_host(folder)
    return folder


def build_host(folder: Path) -> None:
    """Compile the simulated computer into a folder."""
    command = ["gcc", "-O2", "-Wall", "-Wextra", "-Werror", str(HOST), "-o", str(folder / "host")]
    done = subprocess.run([*command, "-lsimavr"], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def slow_down(device: Device) -> Device:
    wiring = device.wiring
    times = {
        name: getattr(wiring, name) * MS_PER_ROW for name in ("debounce", "hold", "pulse", "gap")
    }
    return device.model_copy(update={"wiring": wiring.model_copy(update=times)})


def run_chip(
    device: Device, wires: Wires, sequence: Sequence, folder: Path, swap: bool = False
) -> tuple[bytes, Changes]:
    """Report descriptor and changes, as the computer gets them; `swap` crosses two wires."""
    return run_host(device, wires.diodes, sequence.rows, folder, swap)[:2]


def run_host(
    device: Device,
    diodes: bytes,
    rows: Iterable[bytes],
    folder: Path,
    swap: bool = False,
) -> tuple[bytes, Changes, dict[int, set[int]]]:
    """Report descriptor, changes, and which LEDs are lit at the end of each row."""
    plan = plan_firmware(device)
    program = build_sketch(
        sketch_files(slow_down(device)), folder / device.id, folder.parent / "avr-core"
    )
    ports = packaged_boards()["atmega32u4"].pins
    lines = [
        " ".join(["pins", *(ports[pin] for pin in pins)])
        for pins in (plan.driven, plan.sensed, plan.own)
    ]
    lines.append(" ".join(["banks", *(name_bank(bank, ports) for bank in plan.banks)]))
    lines.append(" ".join(["lights", *(name_light(device, light.led) for light in plan.lights)]))
    if swap:
        first, second, *others = lines[1].split()[1:]
        lines[1] = " ".join(["pins", second, first, *others])
    lines += ["".join(str(digit) for digit in row) for row in (diodes, *rows)]
    done = subprocess.run(
        [str(folder / "host"), str(program), str(MS_PER_ROW)],
        input="\n".join(lines) + "\n",
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    descriptor, lit = b"", dict[int, set[int]]()
    changes: Changes = []
    for line in done.stdout.splitlines():
        kind, row, raw = [*line.split(), "", ""][:3]
        if kind == "descriptor":
            descriptor = bytes.fromhex(raw)
        elif kind == "lit":
            lit[int(row)] = {at for at, digit in enumerate(raw) if digit == "1"}
        elif kind == "report":
            assert raw.startswith("01"), "the report id"
            changes.append((int(row), int.from_bytes(bytes.fromhex(raw[2:]), "little")))
    return descriptor, changes, lit


def name_light(device: Device, led: Led) -> str:
    """An LED in the words of the simulated box."""
    ports, matrix = packaged_boards()["atmega32u4"].pins, device.wiring.leds
    if led.crossing and matrix:
        row, column = led.crossing
        return f"{ports[matrix.rows[row - 1]]}/{ports[matrix.columns[column - 1]]}"
    return ports[led.pin or ""] + ("-" if led.lit == "low" else "")


def name_bank(bank: Bank, ports: Mapping[str, str]) -> str:
    """A bank in the words of the simulated box. Resistors are off by their tolerance."""
    places = ",".join(map(str, bank.places))
    match bank.part:
        case ShiftRegisterChain() as one:
            pins = [ports[pin] for pin in (one.latch, one.clock, one.data)]
            words = ["chain", *pins, one.length, int(one.active == "high")]
        case Expander() as one:
            pulls = {"mcp23017": 0x0C, "mcp23008": 0x06}.get(one.chip, -1)
            interrupt = ports[one.interrupt] if one.interrupt else ""
            size = 2 if one.chip in ("mcp23017", "pcf8575") else 1
            words = ["expander", one.address, size, pulls, places, interrupt]
        case Multiplexer() as one:
            words = ["multiplexer", ports[one.pin], ",".join(ports[p] for p in one.select), places]
            words += [CHANNELS[ports[one.pin]]] if bank.measured else []
        case Ladder() as one:
            off = 1 - one.tolerance / 100
            sums = [sum(one.steps[:at]) * off for at in range(len(one.steps) + 1)]
            readings = [5000 * total / (total + one.pull_up / off) for total in sums]
            places = ",".join(str(round(reading)) for reading in [*readings, 5000])
            words = ["ladder", CHANNELS[ports[one.pin]], places]
    return ":".join(map(str, words))


@pytest.mark.parametrize("make", BOXES.values(), ids=BOXES)
def test_the_computer_gets_what_the_model_says(make: Callable[[], Device], folder: Path) -> None:
    device = make()
    wires = Wires(device, plan_firmware(device))
    for seed in range(4):
        sequence = Sequence(wires, random.Random(f"chip {device.id} {seed}"), steps=5)

        descriptor, changes = run_chip(device, wires, sequence, folder)

        assert descriptor == plan_firmware(device).descriptor
        assert check_reports(changes, sequence) == []


def test_crossed_wires_would_be_noticed(folder: Path) -> None:
    device = make_mixed_box()
    wires = Wires(device, plan_firmware(device))
    sequence = Sequence(wires, random.Random("crossed"), steps=8)

    _, changes = run_chip(device, wires, sequence, folder, swap=True)

    assert check_reports(changes, sequence) != []
