"""A simulated box around each of the two cores: the same contacts in, the reports out."""

import ctypes
import subprocess
from collections.abc import Mapping, Sequence
from functools import lru_cache
from pathlib import Path

from profiles.firmware.cores.box_core import BoxScanner, Pins, Tables
from profiles.firmware.plan import FirmwarePlan

HARNESS = Path(__file__).parent / "harness.cpp"

Changes = list[tuple[int, int]]
"""(row, report as a number, button 1 in bit 0) for each row at which the report changed."""


class SketchCore:
    """The C++ core of a sketch, compiled for this machine."""

    def __init__(self, files: Mapping[str, str], plan: FirmwarePlan, folder: Path) -> None:
        for name, text in files.items():
            if name.endswith(".h"):
                (folder / Path(name).name).write_text(text)
        library = folder / f"{plan.device.id}.so"
        command = ["g++", "-std=gnu++11", "-O2", "-Wall", "-Wextra", "-Werror"]
        command += ["-Wno-type-limits", "-Wno-unused-variable", "-shared", "-fPIC"]
        command += [f"-I{folder}", str(HARNESS), "-o", str(library)]
        done = subprocess.run(command, capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stderr
        self.library = ctypes.CDLL(str(library))
        self.report_bytes = plan.report_bytes
        assert self.library.sim_points() == plan.points

    def run(self, rows: Sequence[bytes], elapsed: Sequence[int], diodes: bytes) -> Changes:
        """The changes of the report while the contacts go through the rows."""
        when = (ctypes.c_int * len(rows))()
        reports = ctypes.create_string_buffer(len(rows) * self.report_bytes)
        count = self.library.sim_run(
            len(rows), b"".join(rows), bytes(elapsed), diodes, when, reports
        )
        size = self.report_bytes
        return [
            (when[at], int.from_bytes(reports.raw[at * size : (at + 1) * size], "little"))
            for at in range(count)
        ]

    @property
    def lost(self) -> int:
        """Pulses that found their queue full in the last run."""
        return int(self.library.sim_lost())

    def list_lit(self, count: int) -> set[int]:
        """Which of so many LEDs are lit at the end of the last run."""
        return {at for at in range(count) if self.library.sim_is_lit(at)}


class InterpreterCore:
    """The Python core, with the tables that go out to the board."""

    def __init__(self, files: Mapping[str, str]) -> None:
        config = files["box_config.py"].replace("from box_core import Tables", "")
        found: dict[str, object] = {"Tables": Tables}
        exec(compile(config, "box_config.py", "exec"), found)
        tables = found["TABLES"]
        assert isinstance(tables, Tables)
        self.pins = SimulatedPins(tables)
        self.box = BoxScanner(tables, self.pins)

    def run(self, rows: Sequence[bytes], elapsed: Sequence[int], diodes: bytes) -> Changes:
        """The changes of the report while the contacts go through the rows."""
        self.pins.diodes = diodes
        self.pins.closed = rows[0]
        self.box.begin()
        changes = [(0, int.from_bytes(self.box.report, "little"))]
        for at in range(1, len(rows)):
            self.pins.closed = rows[at]
            if self.box.tick(elapsed[at]):
                changes.append((at, int.from_bytes(self.box.report, "little")))
        return changes

    @property
    def lost(self) -> int:
        """Pulses that found their queue full in the last run."""
        return self.box.lost

    def list_lit(self, count: int) -> set[int]:
        """Which of so many LEDs are lit at the end of the last run."""
        assert len(self.pins.lit) == count
        return {at for at, is_lit in enumerate(self.pins.lit) if is_lit}


class SimulatedPins(Pins):
    """Pins of a box whose contacts are given as one byte a point."""

    def __init__(self, tables: Tables) -> None:
        self.tables = tables
        self.crossings = tables.driven_count * tables.sensed_count
        self.closed = b""
        self.diodes = b""
        self.low: frozenset[int] = frozenset()
        self.bit = 0
        self.lit: list[bool] = []

    def drive(self, line: int) -> None:
        matrix = self.closed[: self.crossings]
        self.low = find_low(matrix, self.diodes, line, self.tables.sensed_count)

    def release(self, line: int) -> None:
        self.low = frozenset()

    def sense(self, line: int) -> int:
        return int(line in self.low)

    def own(self, place: int) -> int:
        return self.closed[self.crossings + place]

    def show(self, lit: list[bool]) -> None:
        self.lit = lit

    def measure(self, axis: int) -> int:
        at = len(self.closed) - 2 * (len(self.tables.axes) - axis)
        return self.closed[at] << 8 | self.closed[at + 1]

    def load(self, bank: int) -> None:
        if bank == 0:
            self.bit = self.crossings + self.tables.own_count

    def next(self, bank: int, place: int) -> int:
        self.bit += 1
        return self.closed[self.bit - 1]


@lru_cache(maxsize=100_000)
def find_low(closed: bytes, diodes: bytes, line: int, sensed_count: int) -> frozenset[int]:
    """Sensed lines that go low with one driven line: a walk from line to line."""
    driven, sensed, waiting = {line}, set[int](), [line]
    while waiting:
        here = waiting.pop()
        for there in range(sensed_count):
            if there in sensed or not closed[here * sensed_count + there]:
                continue
            sensed.add(there)
            for back in range(len(closed) // sensed_count):
                at = back * sensed_count + there
                if back not in driven and closed[at] and not diodes[at]:
                    driven.add(back)
                    waiting.append(back)
    return frozenset(sensed)
