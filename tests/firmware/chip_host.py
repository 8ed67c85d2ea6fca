"""Plugs a box with its compiled sketch into the simulated computer, and reads all it tells."""

import subprocess
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

from profiles.firmware import plan_firmware, sketch_files
from profiles.model import Device
from profiles.wiring.boards import packaged_boards
from tests.firmware.avr import build_sketch
from tests.firmware.presses import Wires
from tests.firmware.small import AXES_AT
from tests.firmware.test_chip import CHANNELS, name_bank, name_light

CYCLES_PER_MS = 16000


class Scans(NamedTuple):
    """Scans of one row: how many, their mean and longest time, and from one to the next, ms."""

    many: int
    time: float
    longest: float
    interval: float


class Told(NamedTuple):
    """A report: the row in which it came, its bytes with the id, and ms since the row began."""

    row: int
    raw: bytes
    after: float


@dataclass
class Seen:
    """What the computer learns of a box; `lit` are its LEDs, by their place, in each row."""

    device: bytes = b""
    configuration: bytes = b""
    descriptor: bytes = b""
    asked: bytes = b""
    strings: dict[int, str] = field(default_factory=dict)
    reports: list[Told] = field(default_factory=list)
    scans: dict[int, Scans] = field(default_factory=dict)
    lit: dict[int, set[int]] = field(default_factory=dict)

    @property
    def power(self) -> int:
        """What it asks of the port, mA: bMaxPower counts 2 mA (USB 2.0, 9.6.3)."""
        return 2 * self.configuration[8]


def write_box(device: Device) -> list[str]:
    """The wires of a box in the words of the simulated one, diodes last."""
    plan, ports = plan_firmware(device), packaged_boards()["atmega32u4"].pins
    lines = [
        " ".join(["pins", *(ports[pin] for pin in pins)])
        for pins in (plan.driven, plan.sensed, plan.own)
    ]
    lines.append(" ".join(["banks", *(name_bank(bank, ports) for bank in plan.banks)]))
    lines.append(" ".join(["lights", *(name_light(device, light.led) for light in plan.lights)]))
    return [*lines, "".join(map(str, Wires(device, plan).diodes))]


def hold_axes(device: Device, rows: Iterable[str]) -> list[str]:
    """Rows of which the first sets every axis to `AXES_AT`, of the chip's 5 V."""
    plan, ports = plan_firmware(device), packaged_boards()["atmega32u4"].pins
    pins = sorted({plan.lead_to(axis)[0] for axis in plan.axes})
    volts = [f"{CHANNELS[ports[pin]]}={5000 * AXES_AT // 65535}" for pin in pins]
    first, *others = rows
    return [" ".join([first, *volts]), *others]


def build_box(device: Device, folder: Path) -> Path:
    """Build the sketch; the program."""
    return build_sketch(sketch_files(device), folder / device.id, folder.parent / "avr-core")


def plug_in(device: Device, rows: Iterable[str], folder: Path, ms_per_row: int = 5) -> Seen:
    """Build the sketch, plug it in, and read it."""
    return run_program(device, build_box(device, folder), rows, folder, ms_per_row)


def run_program(
    device: Device,
    program: Path,
    rows: Iterable[str],
    folder: Path,
    ms_per_row: int = 5,
    late: int = 0,
) -> Seen:
    """Plug a built box in and read it; each row lasts so long, the first one 20 ms more.

    `late`: how many ms pass before anyone reads a report.
    """
    done = subprocess.run(
        [str(folder / "host"), str(program), str(ms_per_row), str(late), *find_addresses(program)],
        input="\n".join([*write_box(device), *rows]) + "\n",
        capture_output=True,
        text=True,
        timeout=600,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    seen = Seen()
    for line in done.stdout.splitlines():
        kind, row, raw, *more = [*line.split(), "", ""]
        match kind:
            case "string":
                seen.strings[int(row)] = bytes.fromhex(raw)[2:].decode("utf-16-le")
            case "report":
                seen.reports.append(Told(int(row), bytes.fromhex(raw), int(more[0]) / 1000))
            case "lit":
                seen.lit[int(row)] = {at for at, digit in enumerate(raw) if digit == "1"}
            case "scans":
                times = (float(one) / CYCLES_PER_MS for one in more[:3])
                seen.scans[int(row)] = Scans(int(raw), *times)
            case "device" | "configuration" | "descriptor" | "asked":
                setattr(seen, kind, bytes.fromhex(raw))
    return seen


def find_addresses(program: Path) -> tuple[str, str, str]:
    """Where in flash `loop` is, in memory the time of its last scan, and in flash what reads the
    points, in hexadecimal."""
    done = subprocess.run(["avr-nm", str(program)], capture_output=True, text=True, check=True)
    places = {words[2]: words[0] for words in map(str.split, done.stdout.splitlines()) if words[2:]}
    last_time = next(name for name in places if name.endswith("box_last_time"))
    read_points = next(name for name in places if "box_read_points" in name)
    return places["loop"], places[last_time], places[read_points]
