"""Proves that what is plugged in is what is described.

    python -m tests.firmware.proof HOW MANY [FIRST [avr | python]]

Random boxes run with both firmwares: the compiled sketch on a simulated ATmega32U4, the
interpreter's files in a small Python interpreter. What the computer learns is compared with what
`check`, `wiring` and `press` say: numbers, names, serial number, power, report descriptor, time
between scans, worst wait for a press, what a program sees that opens the box late, and what a
knob brings at its fastest turn, and how late. A line for each box tells the figures that differ,
then interval, worst press and a knob's lag, measured by told.
"""

import random
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil
from pathlib import Path
from statistics import median
from typing import NamedTuple

from profiles.facts.device import DeviceFacts
from profiles.facts.pace import Pace, pace_of, rotary_paces
from profiles.facts.scan import read_costs, time_points
from profiles.firmware import FirmwarePlan, plan_firmware
from profiles.host.device_view import describe_device
from profiles.live.events import FoundBox, grade_box
from profiles.model import Device, Firmware
from profiles.wiring.boards import packaged_boards
from profiles.wiring.power import asked_current
from profiles.wiring.timing import TICKS, USB_FRAME, debounce_scans
from tests.firmware.avr import FLAGS
from tests.firmware.chip_host import CYCLES_PER_MS, build_box, hold_axes, run_program
from tests.firmware.contacts import find_open, find_pin, find_plain, mark_points
from tests.firmware.random_boxes import make_random_box
from tests.firmware.small import run_box
from tests.firmware.test_chip import build_host
from tests.firmware.timing import list_times
from tests.firmware.turning import BEGIN, Knob, find_turn, is_set, turn_chip, turn_interpreter

FIGURES = ("numbers", "names", "serial", "power", "descriptor", "interval", "press", "late", "turn")
PRESSES = 40
NEAR = 0.10
"""How far a measured time may be from the one that is told."""

BOARDS = {"avr": packaged_boards()["atmega32u4"], "python": packaged_boards()["rp2040"]}
BOARD_NUMBERS = tuple(
    int(flag.partition("=")[2], 16) for flag in FLAGS if flag.startswith(("-DUSB_VID", "-DUSB_PID"))
)


@dataclass
class Box:
    """A box, what is told of it, and a contact whose button follows it."""

    device: Device
    plan: FirmwarePlan
    facts: dict[str, DeviceFacts]
    paces: dict[str, Pace]
    point: int
    button: int

    def is_down(self, report: bytes) -> bool:
        """Whether the contact shows in a report, whose first byte is its id."""
        return is_set(report, self.button)

    def draw_moments(self, pace: Pace) -> list[float]:
        """Waits before presses, ms, so that they come at any place of a step of the clock."""
        rng = random.Random(f"presses of {self.device.id}")
        return [8 * pace.interval * rng.random() for _ in range(PRESSES)]


class Proof(NamedTuple):
    """Figures that are as told, and measured by told: interval, worst press, and the lag of a knob
    where the box has one that can be turned."""

    good: set[str]
    interval: float
    press: float
    lag: float | None


def make_box(seed: int) -> Box:
    """A random box, and the plain contact that is read first."""
    device = make_random_box(seed)
    plan = plan_firmware(device)
    facts = {name: DeviceFacts(device, board) for name, board in BOARDS.items()}
    paces = {name: pace_of(one) for name, one in facts.items()}
    return Box(device, plan, facts, paces, *find_plain(plan))


def compare_identity(box: Box, numbers: tuple[int, ...], names: tuple[str, str, str]) -> set[str]:
    """Which of numbers, names and serial number are as described."""
    usb, device = box.device.device.usb, box.device
    wanted = (int(usb.vendor, 16), int(usb.product, 16)) if usb else BOARD_NUMBERS
    good = {"numbers"} if numbers == wanted else set()
    if usb is None:
        return good | {"names", "serial"}
    maker, name, serial = names
    good |= {"names"} if (maker, name) == (usb.maker or "", usb.name or device.name) else set()
    return good | ({"serial"} if serial == (usb.serial or "") else set())


def judge_times(pace: Pace, debounce: float, interval: float, presses: list[float]) -> set[str]:
    """Whether scans come as told, and no press takes longer than told, nor ever much less.

    Where the debounce time ends with a scan, give or take the error of its cost, the scan more that
    is told may be missing here.
    """
    good = {"interval"} if abs(interval / pace.interval - 1) <= NEAR else set()
    error, tick = read_costs(pace.firmware).error, TICKS[pace.firmware]
    few, many = (
        debounce_scans(ceil(debounce) * tick, max(pace.busy * share, tick))
        for share in (1 + error, 1 - error)
    )
    least = pace.slowest_press - (pace.busy_interval if few < many else 0.0)
    is_held = max(presses, default=0.0) <= pace.slowest_press
    is_near = max(presses, default=0.0) >= (1 - NEAR) * least
    return good | ({"press"} if len(presses) == PRESSES and is_held and is_near else set())


def prepare_knob(box: Box, firmware: Firmware) -> tuple[Knob, float] | None:
    """A knob at the fastest turn that is told, and when it is told to be over."""
    turn = find_turn(box.plan, firmware)
    for pace in rotary_paces(box.facts[firmware]):
        if turn is not None and pace.control == turn.name:
            step = 1000 / pace.safe.detents_per_second / turn.steps
            return Knob(box.plan, turn, step), pace.lag
    return None


def prove_turn(over: float | None, lag: float) -> tuple[set[str], float | None]:
    """Whether a knob lost nothing and ended in time, and measured by told."""
    if over is None:
        return set(), None
    return {"turn"} if over <= lag else set(), over / lag


def prove_chip(box: Box, folder: Path) -> Proof:
    """Figures of the sketch."""
    pace = box.paces["avr"]
    closed, opened = mark_points(box.plan, [box.point]), mark_points(box.plan, ())
    rows, rest = [closed, *[opened] * 3], int(pace.slowest_press) + 3
    # Each press just misses a scan: it comes when its point has been read.
    missed = time_points(box.plan.model, "avr")[box.point] * (1 + read_costs("avr").error)
    for moment in box.draw_moments(pace):
        wait, place = (int(one * CYCLES_PER_MS) for one in (moment, missed))
        rows += [f"{closed} +{wait} @{place}", opened]
    program = build_box(box.device, folder)
    rows = hold_axes(box.device, rows)
    seen = run_program(box.device, program, rows, folder, ms_per_row=rest, late=600)
    numbers = tuple(int.from_bytes(seen.device[at : at + 2], "little") for at in (8, 10))
    texts = (seen.strings.get(14, ""), seen.strings.get(15, ""), seen.strings.get(16, ""))
    good = compare_identity(box, numbers, texts)
    if seen.power == asked_current(box.device.wiring.usb_current, "avr"):
        good.add("power")
    if seen.descriptor == told_descriptor(box):
        good.add("descriptor")
    presses = []
    for row in range(4, len(rows), 2):
        down = (one.after for one in seen.reports if one.row == row and box.is_down(one.raw))
        # A report is met when it is asked for, 32 times a ms.
        presses += [one - 1 / 32 + USB_FRAME for one in (next(down, None),) if one is not None]
    interval = seen.scans[2].interval
    good |= judge_times(pace, box.device.wiring.debounce, interval, presses)
    late = [one for one in seen.reports if one.row == 0]
    if late and box.is_down(late[-1].raw) and not box.is_down(seen.asked):
        good.add("late")
    turned: tuple[set[str], float | None] = {"turn"}, None
    if prepared := prepare_knob(box, "avr"):
        knob, lag = prepared
        turned = prove_turn(knob.judge(turn_chip(knob, program, folder, lag + 100)[1]), lag)
    worst = max(presses, default=0) / pace.slowest_press
    return Proof(good | turned[0], interval / pace.interval, worst, turned[1])


def prove_interpreter(box: Box) -> Proof:
    """The same of the interpreter. Its power and its serial number are not in its files' hands."""
    pace, found = box.paces["python"], find_pin(box.plan, box.point)
    assert found is not None
    (who, level), rest = found, 2 * pace.slowest_press
    open_level = 255 if isinstance(who, int) else 1 - level
    begin, schedule, last = 300.0, [], 300.0
    for moment in box.draw_moments(pace):
        at = last + moment
        schedule += [(at, who, level), (at + rest, who, open_level)]
        last = at + 2 * rest
    schedule.append((last, who, level))
    end = last + rest + 700
    run = run_box(box.device, find_open(box.plan), tuple(schedule), end, misses=True)
    usb, words = box.device.device.usb, run.identity
    numbers = (words.get("vid", BOARD_NUMBERS[0]), words.get("pid", BOARD_NUMBERS[1]))
    serial = (usb.serial if usb else None) or ""
    texts = (words.get("manufacturer", ""), words.get("product", ""), serial)
    good = compare_identity(box, numbers, texts)
    good = good | {"power"} if "serial" not in words else good - {"serial"}
    if run.descriptor == told_descriptor(box):
        good.add("descriptor")
    sent = [(at, report) for at, report in run.reports if report is not None]
    moments = [at for at, report in run.reports if report is None]
    presses = []
    for at in moments[:-1:2]:
        told = (when - at for when, report in sent if when > at and box.is_down(report))
        presses += [one + USB_FRAME for one in (next(told, None),) if one is not None]
    times = list_times([at for at in run.ticks if at < begin - 5])
    interval = median(times)
    good |= judge_times(pace, box.device.wiring.debounce, interval, presses)
    late = [report for at, report in sent if at > last + rest + 100]
    if len(late) >= 2 and all(map(box.is_down, late)):
        good.add("late")
    turned: tuple[set[str], float | None] = {"turn"}, None
    if prepared := prepare_knob(box, "python"):
        knob, lag = prepared
        ended = BEGIN + (len(knob.list_codes()) - 1) * knob.step - USB_FRAME
        reports = turn_interpreter(knob, lag + 100).reports
        turned = prove_turn(knob.judge([(at - ended, raw) for at, raw in reports if raw]), lag)
    worst = max(presses, default=0) / pace.slowest_press
    return Proof(good | turned[0], interval / pace.interval, worst, turned[1])


def told_descriptor(box: Box) -> bytes:
    """The report descriptor that `platebook wiring descriptor` writes, with the report id."""
    return describe_device(box.device, DeviceFacts(box.device).reported.values(), 1)


def list_realistic(box: Box) -> Iterator[FoundBox]:
    """How hosts may show the box: with or without the maker, a serial number, or a name."""
    usb = box.device.device.usb
    if usb is None:
        return
    name, maker = usb.name or box.device.name, usb.maker or ""
    whole = f"{maker} {name}".strip().encode()[:127].decode(errors="ignore")
    for shown in (name, whole, ""):
        for serial in (usb.serial or "", "", "E6614C311B462A31"):
            yield FoundBox(1, shown, usb.vendor, usb.product, serial)


def list_strangers(box: Box) -> Iterator[FoundBox]:
    """Boxes of other numbers, and of the same numbers with another name."""
    usb = box.device.device.usb
    if usb is None:
        return
    name = usb.name or box.device.name
    yield FoundBox(1, name, "16c0", usb.product)
    yield FoundBox(1, name, usb.vendor, f"{int(usb.product, 16) ^ 1:04x}", "Helm")
    if usb.name:
        yield FoundBox(1, "Stranger", usb.vendor, usb.product)
        yield FoundBox(1, "Someone Stranger", usb.vendor, usb.product, "X")


def main(many: int, first: int = 0, only: str = "") -> int:
    """Prove so many boxes from a number on, with one or both firmwares; how many figures differ."""
    wrong: Counter[str] = Counter()
    proofs: dict[str, list[Proof]] = {
        firmware: [] for firmware in ("avr", "python") if only in ("", firmware)
    }
    refused = admitted = shown = strange = 0
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "boxes"
        folder.mkdir()
        build_host(folder)
        for seed in range(first, first + many):
            box = make_box(seed)
            for firmware, done in proofs.items():
                done.append(
                    prove_chip(box, folder) if firmware == "avr" else prove_interpreter(box)
                )
                good, *ratios = done[-1]
                bad = [figure for figure in FIGURES if figure not in good]
                wrong.update(f"{firmware} {figure}" for figure in bad)
                told = [one and round(one, 3) for one in ratios]
                print(seed, firmware, bad or "as told", told, flush=True)
            usb = box.device.device.usb
            grades = [grade_box(one, usb) for one in list_realistic(box)]
            refused, shown = refused + grades.count(0), shown + len(grades)
            grades = [grade_box(one, usb) for one in list_strangers(box)]
            admitted, strange = admitted + sum(map(bool, grades)), strange + len(grades)
    print(f"{many} boxes, figures that differ: {dict(wrong) or 'none'}")
    for firmware, done in proofs.items():
        for what in ("interval", "press", "lag"):
            measured = sorted(one for one in (getattr(each, what) for each in done) if one)
            if measured:
                span = f"{measured[0]:.3f} to {measured[-1]:.3f}"
                print(f"{firmware}: {what} of {len(measured)}, measured by told: {span}")
    print(f"identities refused: {refused} of {shown}; strangers admitted: {admitted} of {strange}")
    return wrong.total() + refused + admitted


if __name__ == "__main__":
    many, first, only = (*sys.argv[1:], *("200", "0", "")[len(sys.argv) - 1 :])
    sys.exit(bool(main(int(many), int(first), only)))
