"""Measures what scans cost, and writes the table that `profiles.facts.scan` reads.

    python -m tests.firmware.timing [HOW MANY BOXES]

Random boxes are built and run: the sketch on a simulated ATmega32U4, the interpreter's files in a
small Python interpreter. The cost of each thing a scan does is fitted to the times by least
squares, relative errors alike. Needs what the tests of the firmware need.
"""

import random
import sys
import tempfile
from collections.abc import Sequence
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path
from statistics import median

import numpy as np

from profiles.facts.scan import count_waits, count_work
from profiles.firmware import FirmwarePlan, plan_firmware
from profiles.model import Device, ShiftRegisterChain
from tests.firmware.chip_host import plug_in
from tests.firmware.random_boxes import make_random_box
from tests.firmware.small import run_box
from tests.firmware.test_chip import build_host

FIRST = 1000
"""Boxes from this number on are measured; the proof judges those before."""

BUSY = ("scan", "point", "edge")
"""What a scan does more while a contact differs."""

TABLE = Path(__file__).parents[2] / "profiles/facts/scan_costs.toml"

HEAD = """\
# What a scan costs, in microseconds of each thing, by the firmware of the board.
# Written by `python -m tests.firmware.timing`; `profiles/facts/scan.py` says what is counted.
"""

SOURCES = {
    "avr": (
        "measured on the simulated ATmega32U4 at 16 MHz (simavr), {boxes} boxes, {date}; "
        "least squares, {error:.1f} % off at most 9 times of 10"
    ),
    "python": (
        "measured in MicroPython 1.27 by counting instructions, {boxes} boxes, {date}, and scaled "
        "to an RP2040 at 125 MHz by published benchmarks; other chips differ: Unverified"
    ),
}


def hold_busy(device: Device) -> Device:
    """The same box with a debounce time that never ends."""
    wiring = device.wiring.model_copy(update={"debounce": 10_000.0})
    return device.model_copy(update={"wiring": wiring})


def measure_chip(device: Device, folder: Path) -> tuple[float, float, float]:
    """Time of a quiet and of a busy scan, ms, and by how much the longest is longer."""
    points = plan_firmware(device).points
    quiet, busy = "0" * points, "1" + "0" * (points - 1)
    seen = plug_in(hold_busy(device), [quiet, quiet, busy, busy], folder, ms_per_row=40)
    calm, rush = seen.scans[1], seen.scans[3]
    return calm.time, rush.time, rush.longest - rush.time


def find_open(plan: FirmwarePlan) -> tuple[str, ...]:
    """Pins that are low while every contact is open."""
    chains = [bank.part for bank in plan.banks if isinstance(bank.part, ShiftRegisterChain)]
    return tuple(one.data for one in chains if one.active == "high")


def find_press(plan: FirmwarePlan) -> tuple[str | int, int]:
    """What to do to a pin, or to an expander by its address, so that some contact differs."""
    for pin in (*plan.own, *plan.sensed):
        return pin, 0
    for bank in plan.banks:
        if isinstance(bank.part, ShiftRegisterChain):
            return bank.part.data, int(bank.part.active == "high")
    for bank in plan.banks:
        for wire, pin, _, _ in bank.wires:
            if wire == "pin":
                return pin, 0
    for bank in plan.banks:
        return getattr(bank.part, "address", 0), 0
    raise ValueError("no contact")


COLLECTION = 1.2
"""Time in which an interpreter tidies up its memory, ms: 6 ms for the megabyte of the one that is
measured, scaled to the 200 kB of an RP2040. Unverified."""


def measure_interpreter(device: Device) -> tuple[float, float, float]:
    """The same in the interpreter."""
    plan = plan_firmware(device)
    who, level = find_press(plan)
    run = run_box(hold_busy(device), find_open(plan), ((300.0, who, level),), end=600.0)
    calm = list_times([at for at in run.ticks if at < 295.0])
    rush = list_times([at for at in run.ticks if at > 320.0])
    return median(calm), median(rush), COLLECTION + sorted(rush)[-2] - median(rush)


def list_times(ticks: Sequence[float]) -> list[float]:
    """Times from each scan to the next."""
    return [after - at for at, after in pairwise(ticks)]


def fit_costs(
    counts: Sequence[dict[str, float]], times: Sequence[float], scale: Sequence[float] | None = None
) -> dict[str, float]:
    """Cost of each thing, never below zero, that explains the times best: errors count by their
    share of the scale, or of the times."""
    names = sorted({name for one in counts for name in one})
    while True:
        rows = np.array([[one.get(name, 0) for name in names] for one in counts], dtype=float)
        weights = 1 / np.array(scale or times)
        found, *_ = np.linalg.lstsq(rows * weights[:, None], np.array(times) * weights, rcond=None)
        worst = int(np.argmin(found))
        if found[worst] >= 0:
            return {name: round(float(one), 3) for name, one in zip(names, found, strict=True)}
        names.pop(worst)


def sum_costs(costs: dict[str, float], work: dict[str, float]) -> float:
    """What so much work costs, microseconds."""
    return sum(many * costs.get(name, 0.0) for name, many in work.items())


def main(boxes: int) -> None:
    """Measure, fit and write."""
    seeds = range(FIRST, FIRST + boxes)
    devices = [make_random_box(seed) for seed in seeds]
    models = [plan_firmware(device).model for device in devices]
    counts, waits = [count_work(one) for one in models], [count_waits(one) for one in models]
    lines = [HEAD]
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "boxes"
        folder.mkdir()
        build_host(folder)
        measured = {
            "avr": [measure_chip(device, folder) for device in devices],
            "python": [measure_interpreter(device) for device in devices],
        }
    for firmware, times in measured.items():
        quiet = [1000 * calm - wait for (calm, _, _), wait in zip(times, waits, strict=True)]
        more = [1000 * (rush - calm) for calm, rush, _ in times]
        busy_counts = [{name: one[name] for name in BUSY if name in one} for one in counts]
        first = fit_costs(counts, quiet)
        # A box in which the interpreter looks for memory for long tells nothing of the others.
        usual = [
            at
            for at, time in enumerate(quiet)
            if abs(sum_costs(first, counts[at]) / time - 1) < 0.3
        ]
        costs = fit_costs([counts[at] for at in usual], [quiet[at] for at in usual])
        tables = {"quiet": costs, "busy": fit_costs(busy_counts, more, quiet)}
        errors = []
        for one, wait, (calm, _, _) in zip(counts, waits, times, strict=True):
            said = wait + sum_costs(costs, one)
            errors.append(abs(said / 1000 / calm - 1))
        errors.sort()
        pause = max(longer for _, _, longer in times)
        print(firmware, "error of 9 in 10", errors[int(0.9 * boxes)], "most", errors[-1])
        print(firmware, "longest pause", pause)
        date = datetime.now(UTC).date().isoformat()
        source = SOURCES[firmware].format(
            boxes=boxes, date=date, error=100 * errors[int(0.9 * boxes)]
        )
        lines += [f"\n[{firmware}]", f'source = "{source}"']
        lines.append(f"pause = {pause:.3f} # ms by which one scan may be longer")
        share = errors[int(0.98 * boxes)]
        lines.append(f"error = {share:.2f} # share by which a scan may differ from what it costs")
        for key, table in tables.items():
            lines.append(f"\n[{firmware}.{key}]")
            lines += [f"{name} = {cost}" for name, cost in table.items()]
    TABLE.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    random.seed(0)
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 80)
