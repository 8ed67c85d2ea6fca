"""Measures what scans cost, and writes the table that `profiles.facts.scan` reads.

    python -m tests.firmware.timing [HOW MANY BOXES]

Random boxes are built and run: the sketch on a simulated ATmega32U4, the interpreter's files in a
small Python interpreter. The cost of each thing a scan does is fitted to the times by least
squares, relative errors alike. Needs what the tests of the firmware need.
"""

import sys
import tempfile
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from itertools import pairwise
from math import ceil
from pathlib import Path
from statistics import median
from typing import NamedTuple

import numpy as np

from profiles.facts.scan import count_seldom, count_waits, count_work
from profiles.firmware import plan_firmware
from profiles.model import Device
from tests.firmware.chip_host import hold_axes, plug_in
from tests.firmware.contacts import find_open, find_pin, find_plain
from tests.firmware.random_boxes import make_random_box
from tests.firmware.small import run_box
from tests.firmware.test_chip import build_host
from tests.firmware.turning import BEGIN, Knob, find_turn, turn_interpreter

FIRST = 1000
"""Boxes from this number on are measured; the proof judges those before."""

MORE = {
    "busy": ("scan", "point"),
    "change": ("scan", "edge", "report_byte"),
    "turn": ("scan", "line", "follow", "report_byte", "pulser"),
}
"""What a scan does more while a contact differs, what besides where one changes, and then while a
knob's pulses play, at the longest. The sketch does nothing more for those."""

HELD = 100.0
"""Debounce time of a measured box, ms: that long a contact differs before it counts."""

TABLE = Path(__file__).parents[2] / "profiles/facts/scan_costs.toml"

HEAD = """\
# What a scan costs, in microseconds of each thing, by the firmware of the board.
# Written by `python -m tests.firmware.timing`; `profiles/facts/scan.py` says what is counted.
"""

SOURCES = {
    "avr": (
        "measured on the simulated ATmega32U4 at 16 MHz (simavr), {boxes} boxes, {date}; "
        "least squares, {error:.1f} % off at most 9 times of 10, {most:.1f} % at most"
    ),
    "python": (
        "measured in MicroPython 1.27 by counting instructions, {boxes} boxes, {date} (least "
        "squares, {error:.1f} % off at most 9 times of 10, {most:.1f} % at most), and scaled to an "
        "RP2040 at 125 MHz by published benchmarks; other chips differ: Unverified"
    ),
}


class Measured(NamedTuple):
    """Times of scans of a box, ms: a quiet and a busy one, that which tells a change, and by how
    much the longest busy one is longer than most; the longest while a knob turns, where measured.
    """

    quiet: float
    busy: float
    change: float
    pause: float
    turn: float | None = None


def hold_busy(device: Device) -> Device:
    """The same box with a long debounce time."""
    wiring = device.wiring.model_copy(update={"debounce": HELD})
    return device.model_copy(update={"wiring": wiring})


def measure_chip(device: Device, folder: Path) -> Measured:
    """Measure the sketch: five rows, of which the last one has the change."""
    plan = plan_firmware(device)
    point, _ = find_plain(plan)
    quiet = "0" * plan.points
    busy = quiet[:point] + "1" + quiet[point + 1 :]
    rows = [quiet, quiet, busy, busy, busy]
    held = hold_busy(device)
    seen = plug_in(held, hold_axes(held, rows), folder, ms_per_row=int(0.4 * HELD))
    calm, rush, change = seen.scans[1], seen.scans[3], seen.scans[4]
    return Measured(calm.time, rush.time, change.longest, rush.longest - rush.time)


def measure_interpreter(device: Device) -> Measured:
    """Measure the interpreter: a contact closes after 300 ms."""
    plan, begin = plan_firmware(device), 300.0
    who, level = find_pin(plan, find_plain(plan)[0]) or ("", 0)
    run = run_box(hold_busy(device), find_open(plan), ((begin, who, level),), begin + 2 * HELD)
    after = [at - begin for at in run.ticks]
    calm = list_times([at for at in after if at < -5.0])
    rush = list_times([at for at in after if 20.0 < at < HELD - 10.0])
    change = list_times([at for at in after if HELD - 10.0 <= at < HELD + 60.0])
    turn, turned = find_turn(plan, "python"), None
    if turn is not None and not turn.axis:
        knob = Knob(plan, turn, 3 * median(rush))
        turned = max(list_times([at for at in turn_interpreter(knob, 0.0).ticks if at > BEGIN]))
    pause = max(rush) - median(rush)
    return Measured(median(calm), median(rush), max(change), pause, turned)


def list_times(ticks: Sequence[float]) -> list[float]:
    """Times from each scan to the next."""
    return [after - at for at, after in pairwise(ticks)]


def fit_costs(
    counts: Sequence[dict[str, float]], times: Sequence[float], scale: Sequence[float] | None = None
) -> dict[str, float]:
    """Cost of each thing, never below zero, that explains the times best: errors count by their
    share of the scale, or of the times."""
    names = sorted({name for one in counts for name in one})
    while names and times:
        rows = np.array([[one.get(name, 0) for name in names] for one in counts], dtype=float)
        weights = 1 / np.array(scale or times)
        found, *_ = np.linalg.lstsq(rows * weights[:, None], np.array(times) * weights, rcond=None)
        worst = int(np.argmin(found))
        if found[worst] >= 0:
            return {name: round(float(one), 3) for name, one in zip(names, found, strict=True)}
        names.pop(worst)
    return {}


def sum_costs(costs: dict[str, float], work: dict[str, float]) -> float:
    """What so much work costs, microseconds."""
    return sum(many * costs.get(name, 0.0) for name, many in work.items())


def fit_tables(
    devices: Sequence[Device], times: Sequence[Measured]
) -> tuple[dict[str, dict[str, float]], list[float]]:
    """Costs of a firmware by kind of scan, and by which share of its time each box is off, least
    first. Where an interrupt may come, the longest scan says nothing of what a change costs."""
    models = [plan_firmware(device).model for device in devices]
    counts, waits = [count_work(one) for one in models], [count_waits(one) for one in models]
    quiet = [1000 * one.quiet - wait for one, wait in zip(times, waits, strict=True)]
    tables = {"quiet": fit_costs(counts, quiet)}
    steady = [at for at, one in enumerate(models) if not count_seldom(one)["expander"]]
    more: dict[str, list[float | None]] = {
        "busy": [1000 * (one.busy - one.quiet) for one in times],
        "change": [1000 * (one.change - one.busy) for one in times],
        "turn": [1000 * (one.turn - one.change) if one.turn else None for one in times],
    }
    for key, names in MORE.items():
        those = [at for at in steady if more[key][at] is not None]
        tables[key] = fit_costs(
            [{name: counts[at][name] for name in names if name in counts[at]} for at in those],
            [more[key][at] or 0.0 for at in those],
            [quiet[at] for at in those],
        )
    if tables["turn"]:
        tables["turn"]["scan"] += max(
            (one.turn - one.change) * 1000 - sum_costs(tables["turn"], work)
            for one, work in zip(times, counts, strict=True)
            if one.turn is not None
        )
    errors = (
        abs((wait + sum_costs(tables["quiet"], one)) / 1000 / time.quiet - 1)
        for one, wait, time in zip(counts, waits, times, strict=True)
    )
    return tables, sorted(errors)


def write_table(devices: Sequence[Device], measured: Mapping[str, Sequence[Measured]]) -> None:
    """Fit, and write the table."""
    lines, boxes = [HEAD], len(devices)
    for firmware, times in measured.items():
        tables, errors = fit_tables(devices, times)
        share, most = errors[int(0.9 * boxes)], errors[-1]
        error = ceil(100 * most) / 100
        date = datetime.now(UTC).date().isoformat()
        source = SOURCES[firmware].format(
            boxes=boxes, date=date, error=100 * share, most=100 * most
        )
        pause = max(
            time.pause
            for device, time in zip(devices, times, strict=True)
            if not count_seldom(plan_firmware(device).model)["expander"]
        )
        lines += [
            f'\n[{firmware}]\nsource = "{source}"',
            f"pause = {max(pause, 0.0):.3f} # ms by which one scan may be longer",
            f"error = {error} # share by which a scan may differ from what it costs",
        ]
        for key, table in tables.items():
            lines.append(f"\n[{firmware}.{key}]")
            lines += [f"{name} = {round(cost, 3)}" for name, cost in table.items()]
    TABLE.write_text("\n".join(lines) + "\n", encoding="utf-8")


def main(boxes: int) -> None:
    """Measure, fit and write."""
    devices = [make_random_box(seed) for seed in range(FIRST, FIRST + boxes)]
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "boxes"
        folder.mkdir()
        build_host(folder)
        chips = [measure_chip(device, folder) for device in devices]
    write_table(devices, {"avr": chips, "python": [measure_interpreter(one) for one in devices]})


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 160)
