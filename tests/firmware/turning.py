"""Knobs of random boxes, turned in both simulations."""

from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from profiles.facts.box_model import Turn
from profiles.firmware import FirmwarePlan
from profiles.model import Ladder, ShiftRegisterChain
from tests.firmware.chip_host import CYCLES_PER_MS, Seen, hold_axes, run_program
from tests.firmware.contacts import find_open, find_pin, find_place, mark_points
from tests.firmware.presses import GRAY
from tests.firmware.small import SmallRun, Where, run_box

DETENTS = 10
"""So many detents of a knob; of one that moves an axis at most as many as it takes."""

BEGIN = 300.0
"""When the interpreter's knob turns, ms."""


@dataclass
class Knob:
    """A rotary, and the time from one step of its Gray code to the next, ms."""

    plan: FirmwarePlan
    turn: Turn
    step: float

    @property
    def detents(self) -> int:
        """How many detents it is turned."""
        return min(DETENTS, 32767 // self.turn.step) if self.turn.axis else DETENTS

    def list_codes(self) -> list[tuple[int, int]]:
        """Channels A and B after each step."""
        return [GRAY[at % 4] for at in range(1, self.detents * self.turn.steps + 1)]

    def judge(self, told: list[tuple[float, bytes]]) -> float | None:
        """When the last detent was over, ms after the last step; None where one was lost.

        `told`: reports, and when they came.
        """
        if self.turn.axis:
            name = self.turn.name
            place = 1 + next(at for dial, at, _ in self.plan.dials if dial == name)
            wanted = self.detents * self.turn.step
            values = [int.from_bytes(raw[place : place + 2], "little") for _, raw in told]
            if wanted not in values or values[-1] != wanted:
                return None
            return told[values.index(wanted)][0]
        there, back = self.plan.rules.pulsers[self.turn.pulser].buttons
        states = [is_set(raw, there) for _, raw in told]
        begun = sum(now and not was for was, now in pairwise([False, *states]))
        if begun != self.detents or states[-1] or any(is_set(raw, back) for _, raw in told):
            return None
        return next(told[at][0] for at in range(len(told) - 1, 0, -1) if states[at - 1])


def is_set(report: bytes, button: int) -> bool:
    """Whether a button, from 0, is down in a report, whose first byte is its id."""
    return bool(report[1 + button // 8] >> button % 8 & 1)


def find_turn(plan: FirmwarePlan, firmware: str) -> Turn | None:
    """A rotary that can be turned in the simulation of a firmware: none on a ladder, which tells
    one contact at a time; of the interpreter none on a chain, whose bits cannot be told apart."""
    unable = (Ladder, ShiftRegisterChain) if firmware == "python" else (Ladder,)
    for turn in plan.rules.turns:
        points = (turn.a, turn.b)
        if any(isinstance(find_place(plan, point)[0], unable) for point in points):
            continue
        if firmware == "avr" or all(find_pin(plan, point) for point in points):
            return turn
    return None


def turn_chip(
    knob: Knob, program: Path, folder: Path, rest: float
) -> tuple[Seen, list[tuple[float, bytes]]]:
    """Turn a knob of the sketch, and read for so many ms more; reports by ms after the last step.

    Rows last a millisecond, and the rest of a step passes before each.
    """
    wait = f" +{round((knob.step - 1) * CYCLES_PER_MS)}"
    rows = [mark_points(knob.plan, ())] * 3
    for a, b in knob.list_codes():
        closed = [at for at, is_closed in ((knob.turn.a, a), (knob.turn.b, b)) if is_closed]
        rows.append(mark_points(knob.plan, closed) + wait)
    last = len(rows) - 1
    rows.append(f"{rows[last].split()[0]} +{round(rest * CYCLES_PER_MS)}")
    device = knob.plan.device
    seen = run_program(device, program, hold_axes(device, rows), folder, ms_per_row=1)
    return seen, [((one.row - last) * knob.step + one.after, one.raw) for one in seen.reports]


def turn_interpreter(knob: Knob, rest: float) -> SmallRun:
    """Turn a knob of the interpreter's box from `BEGIN` on, and read for so many ms more."""
    channels = [find_pin(knob.plan, point) for point in (knob.turn.a, knob.turn.b)]
    opened = {who: 255 if isinstance(who, int) else 1 for who, _ in filter(None, channels)}
    levels: dict[Where, int] = opened
    schedule, when = [], BEGIN
    for codes in knob.list_codes():
        now = dict(opened)
        for found, is_closed in zip(channels, codes, strict=True):
            if found and is_closed:
                now[found[0]] &= found[1]
        schedule += [(when, who, level) for who, level in now.items() if levels[who] != level]
        levels, when = now, when + knob.step
    end = when - knob.step + rest
    return run_box(knob.plan.device, find_open(knob.plan), tuple(schedule), end=end)
