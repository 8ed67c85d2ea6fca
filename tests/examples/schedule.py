"""Blocks of a box pressed one after another, on whatever runs its firmware.

A schedule is a list of moments: which contacts are closed and where levers stand, for so many ms.
Whoever runs it answers with reports and when they came; they are read block by block.
"""

import re
from collections.abc import Iterable, Mapping, Set
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

import pytest

from profiles.firmware.plan import FirmwarePlan
from profiles.model import Contact, Device, Multiplexer
from tests.firmware.chip_host import plug_in
from tests.firmware.presses import Wires
from tests.firmware.test_fields import Bench
from tests.firmware.test_interpreter import Board, run_board

ROW_MS, FRAME_MS, CALM_MS = 5, 60, 400
"""A row of a run, a set of contacts, and what follows a block: seven pulses and rests of 30 ms."""


class Block(NamedTuple):
    """Controls of a block, contacts closed one set after another, and inputs seen down beside those
    at rest; `fields` are hats and axes by usage (HID Usage Tables 1.12, tables 6 and 7) and `lit`
    LEDs by control at the end."""

    controls: tuple[str, ...]
    frames: tuple[str, ...] = ()
    seen: frozenset[int] = frozenset()
    fields: tuple[tuple[str, int], ...] = ()
    percent: tuple[tuple[str, float], ...] = ()
    lit: Set[str] = frozenset()


class Moment(NamedTuple):
    """Contacts closed, levers in percent of the supply, and for how many ms."""

    closed: frozenset[Contact]
    percent: Mapping[str, float]
    ms: int


class Window(NamedTuple):
    """When a block begins, its last frame ends, and the next block begins, ms."""

    begin: int
    end: int
    over: int


Told = list[tuple[float, int]]
"""Reports as numbers, and the ms at which they came."""


@dataclass
class Schedule:
    """All blocks of a box, each from rest and back."""

    moments: list[Moment]
    windows: dict[str, Window] = field(default_factory=dict)

    @classmethod
    def of(cls, blocks: Mapping[str, Block]) -> "Schedule":
        made = cls([Moment(frozenset(), {}, CALM_MS)])
        for name, block in blocks.items():
            begin, percent = made.length, dict(block.percent)
            frames = [
                frozenset(Contact(*one.split(".")) for one in frame.split())
                for frame in block.frames or ("",)
            ]
            made.moments += [Moment(closed, percent, FRAME_MS) for closed in frames]
            end = made.length
            made.moments.append(Moment(frozenset(), {}, CALM_MS))
            made.windows[name] = Window(begin, end, made.length)
        return made

    @property
    def length(self) -> int:
        return sum(moment.ms for moment in self.moments)

    def list_rows(self) -> list[Moment]:
        """A moment for each row."""
        return [moment for moment in self.moments for _ in range(moment.ms // ROW_MS)]


class Found(NamedTuple):
    """Inputs seen down during a block, and hats and axes at its end."""

    seen: frozenset[int]
    fields: Mapping[str, list[int]]


def read_blocks(schedule: Schedule, told: Told, bench: Bench) -> dict[str, Found]:
    """What was reported during each block."""
    found = {}
    for name, window in schedule.windows.items():
        before = [raw for at, raw in told if at < window.begin]
        during = [raw for at, raw in told if window.begin <= at < window.over]
        at_end = [raw for at, raw in told if at < window.end]
        seen = {
            number
            for raw in [*before[-1:], *during]
            for number in bench.reader.read(raw)["buttons"]
        }
        found[name] = Found(frozenset(seen), bench.reader.read(at_end[-1]))
    return found


def run_cores(bench: Bench, schedule: Schedule) -> list[Told]:
    """What each of the two cores tells."""
    rows = [
        bench.row({*one.closed}, {name: round(655.35 * x) for name, x in one.percent.items()})
        for one in schedule.list_rows()
    ]
    diodes = Wires(bench.plan.device, bench.plan).diodes
    every = [core.run(rows, [ROW_MS] * len(rows), diodes) for core in bench.cores]
    return [[(ROW_MS * row, raw) for row, raw in changes] for changes in every]


def run_chip(
    device: Device,
    plan: FirmwarePlan,
    schedule: Schedule,
    folder: Path,
    channels: Mapping[str, int],
) -> tuple[Told, dict[int, set[str]]]:
    """What the computer hears of the simulated chip; and the LEDs lit in each row. `channels` are
    those of its converter, by axis."""
    points, rows = plan.model.points, []
    for moment in schedule.list_rows():
        digits = ["0"] * plan.points
        for contact in moment.closed:
            digits[points[contact]] = "1"
        volts = [f"{channels[one]}={50 * moment.percent.get(one, 50.0):.0f}" for one in channels]
        rows.append(" ".join(["".join(digits), *volts]))
    seen = plug_in(device, rows, folder, ROW_MS)
    told = [
        (ROW_MS * one.row + one.after, int.from_bytes(one.raw[1:], "little"))
        for one in seen.reports
    ]
    names = [light.control for light in plan.lights]
    lit = {row: {names[at] for at in found} for row, found in seen.lit.items()}
    return told, lit


class ScriptedBoard(Board):
    """Stands in for the interpreter's modules while contacts and levers move."""

    def __init__(self, device: Device, schedule: Schedule) -> None:
        super().__init__(device, closed=[])
        self.device = device
        self.script = list(schedule.moments)
        self.next, self.percent = 0.0, dict[str, float]()
        self.left = self.listens = schedule.length
        self.set(frozenset())

    def set(self, closed: Iterable[Contact]) -> None:
        """Close these contacts and no others."""
        self.closed, self.low, self.places = [], set(), set()
        bits = bytearray(self.device.wiring.chain_bits)
        for name, contact in closed:
            control = self.device.controls[name]
            pin = control.pin_by_contact.get(contact, "")
            if contact in control.crossing_by_contact:
                row, column = control.crossing_by_contact[contact]
                by_row = self.device.wiring.driven == "rows"
                line, sensed = (row, column) if by_row else (column, row)
                self.closed.append((line - 1, sensed - 1))
            elif contact in control.bit_by_contact:
                bits[control.bit_by_contact[contact] - 1] = 1
            elif re.fullmatch(r"[\w-]+\.\d+", pin):
                self.places.add(pin)
            else:
                self.low.add(pin)
        for at, chain in enumerate(self.device.wiring.all_chains):
            self.bits[at], bits = bytes(bits[: chain.length]), bits[chain.length :]

    def describe_time(self) -> int:
        if self.script and self.now >= self.next:
            moment = self.script.pop(0)
            self.next += moment.ms
            self.percent = dict(moment.percent)
            self.set(moment.closed)
        return super().describe_time()

    def measure(self, pin: str) -> int:
        """Where the lever of this pin stands, or that of the place which a multiplexer chooses."""
        pins = {pin}
        for name, bank in self.device.wiring.banks.items():
            if isinstance(bank, Multiplexer) and bank.pin == pin:
                pins = {f"{name}.{self.place_of(bank) + 1}"}
        for name, control in self.device.controls.items():
            if control.pin_by_contact.get("axis") in pins:
                return round(655.35 * self.percent.get(name, 50.0))
        return super().measure(pin)


def run_interpreter(
    device: Device, schedule: Schedule, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> Told:
    """What the interpreter's files tell, on a board that is stood in for."""
    board = ScriptedBoard(device, schedule)
    run_board(device, board, folder, monkeypatch)
    return [(at, int.from_bytes(raw, "little")) for at, raw in board.told]
