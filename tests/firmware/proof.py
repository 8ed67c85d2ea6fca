"""Proves that what is plugged in is what is described.

    python -m tests.firmware.proof HOW MANY [FIRST [avr | python]]

Random boxes run with both firmwares: the compiled sketch on a simulated ATmega32U4, the
interpreter's files in a small Python interpreter. What the computer learns is compared with what
`check`, `wiring` and `press` say: numbers, names, serial number, power, report descriptor, time
between scans, worst wait for a press, and what a program sees that opens the box late.
"""

import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from statistics import median

from profiles.facts.device import DeviceFacts
from profiles.facts.pace import Pace, pace_of
from profiles.firmware import FirmwarePlan, plan_firmware
from profiles.host.device_view import describe_device
from profiles.live.events import FoundBox, grade_box
from profiles.model import Device, Expander, Multiplexer, ShiftRegisterChain
from profiles.wiring.boards import packaged_boards
from profiles.wiring.power import asked_current
from profiles.wiring.timing import debounce_scans
from tests.firmware.avr import FLAGS
from tests.firmware.chip_host import plug_in
from tests.firmware.random_boxes import make_random_box
from tests.firmware.small import run_box
from tests.firmware.test_chip import build_host
from tests.firmware.timing import find_open, list_times

FIGURES = ("numbers", "names", "serial", "power", "descriptor", "interval", "press", "late")
PHASES = 12
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
    paces: dict[str, Pace]
    point: int
    button: int

    def is_down(self, report: bytes) -> bool:
        """Whether the contact shows in a report, whose first byte is its id."""
        return bool(report[1 + self.button // 8] >> self.button % 8 & 1)


def find_pin(plan: FirmwarePlan, point: int) -> tuple[str | int, int] | None:
    """What closes a point in the interpreter's stand-ins: a pin and its level, or an expander."""
    crossings = len(plan.driven) * len(plan.sensed)
    if point < crossings:
        return plan.sensed[point % len(plan.sensed)], 0
    if point < crossings + len(plan.own):
        return plan.own[point - crossings], 0
    at = point - crossings - len(plan.own)
    for bank in plan.banks:
        if at < len(bank.places):
            match bank.part:
                case ShiftRegisterChain() as one:
                    return one.data, int(one.active == "high")
                case Multiplexer() as one:
                    return one.pin, 0
                case Expander() as one if bank.places[at] < 8:
                    return one.address, 0
            return None
        at -= len(bank.places)
    return None


def make_box(seed: int) -> Box:
    """A random box, and its first plain contact that both simulations can close."""
    device = make_random_box(seed)
    plan = plan_firmware(device)
    paces = {name: pace_of(DeviceFacts(device, board)) for name, board in BOARDS.items()}
    for rule in plan.rules.follows:
        is_plain = len(rule.when.closed) == 1 and not rule.when.opened
        if is_plain and rule.button < plan.shape.buttons and find_pin(plan, rule.when.closed[0]):
            return Box(device, plan, paces, rule.when.closed[0], rule.button)
    raise ValueError(f"box {seed} has no plain contact")


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

    What is told allows for a scan more where the debounce time nearly ends at one; few presses meet
    that, so it may be missing here.
    """
    good = {"interval"} if abs(interval / pace.interval - 1) <= NEAR else set()
    worst, step = max(presses, default=0.0), pace.interval / PHASES
    fewest = debounce_scans(debounce, pace.busy_interval * (1 + NEAR))
    least = pace.slowest_press - (pace.scans - fewest) * pace.busy_interval
    is_held = worst <= pace.slowest_press
    is_near = worst >= (1 - NEAR) * least - step - pace.pause - 1
    return good | ({"press"} if len(presses) == PHASES and is_held and is_near else set())


def prove_chip(box: Box, folder: Path) -> tuple[set[str], float, float]:
    """Figures of the sketch that are as told, and measured by told: interval, worst press."""
    pace, points = box.paces["avr"], box.plan.points
    closed = "".join("1" if at == box.point else "0" for at in range(points))
    opened, rest = "0" * points, int(pace.slowest_press) + 3
    rows = [closed, *[opened] * 3]
    for phase in range(PHASES):
        rows += [f"{closed} +{int(phase * pace.interval * 16000 / PHASES)}", opened]
    seen = plug_in(box.device, rows, folder, ms_per_row=rest, late=600)
    numbers = tuple(int.from_bytes(seen.device[at : at + 2], "little") for at in (8, 10))
    texts = (seen.strings.get(14, ""), seen.strings.get(15, ""), seen.strings.get(16, ""))
    good = compare_identity(box, numbers, texts)
    if seen.power == asked_current(box.device.wiring.usb_current, "avr"):
        good.add("power")
    if seen.descriptor == told_descriptor(box):
        good.add("descriptor")
    presses = []
    for row in range(4, len(rows), 2):
        presses += [one.after for one in seen.reports if one.row == row and box.is_down(one.raw)][
            :1
        ]
    interval = seen.scans[2].interval
    good |= judge_times(pace, box.device.wiring.debounce, interval, presses)
    late = [one for one in seen.reports if one.row == 0]
    if late and box.is_down(late[-1].raw) and not box.is_down(seen.asked):
        good.add("late")
    good |= {"serial", "names"} & good
    return good, interval / pace.interval, max(presses, default=0) / pace.slowest_press


def prove_interpreter(box: Box) -> tuple[set[str], float, float]:
    """The same of the interpreter. Its power and its serial number are not in its files' hands."""
    pace, found = box.paces["python"], find_pin(box.plan, box.point)
    assert found is not None
    (who, level), rest = found, 2 * pace.slowest_press
    open_level = 255 if isinstance(who, int) else 1 - level
    begin, schedule = 300.0, []
    for phase in range(PHASES):
        at = begin + 2 * phase * rest + phase * pace.interval / PHASES
        schedule += [(at, who, level), (at + rest, who, open_level)]
    last = schedule[-1][0] + rest
    schedule.append((last, who, level))
    run = run_box(box.device, find_open(box.plan), tuple(schedule), end=last + rest + 700)
    usb, words = box.device.device.usb, run.identity
    numbers = (words.get("vid", BOARD_NUMBERS[0]), words.get("pid", BOARD_NUMBERS[1]))
    serial = (usb.serial if usb else None) or ""
    texts = (words.get("manufacturer", ""), words.get("product", ""), serial)
    good = compare_identity(box, numbers, texts)
    good = good | {"power"} if "serial" not in words else good - {"serial"}
    if run.descriptor == told_descriptor(box):
        good.add("descriptor")
    reports = [(at, report) for at, report in run.reports if report is not None]
    presses = []
    for at, _, wanted in schedule[:-1]:
        if wanted == level:
            told = (when - at for when, report in reports if when > at and box.is_down(report))
            presses += [one + 1 for one in (next(told, None),) if one is not None]
    times = list_times([at for at in run.ticks if at < begin - 5])
    interval = median(times)
    good |= judge_times(pace, box.device.wiring.debounce, interval, presses)
    late = [report for at, report in reports if at > last + rest + 100]
    if len(late) >= 2 and all(map(box.is_down, late)):
        good.add("late")
    return good, interval / pace.interval, max(presses, default=0) / pace.slowest_press


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
    ratios: dict[str, list[tuple[float, float]]] = {
        firmware: [] for firmware in ("avr", "python") if only in ("", firmware)
    }
    refused = admitted = shown = strange = 0
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "boxes"
        folder.mkdir()
        build_host(folder)
        for seed in range(first, first + many):
            box = make_box(seed)
            for firmware in ratios:
                done = prove_chip(box, folder) if firmware == "avr" else prove_interpreter(box)
                good, *both = done
                ratios[firmware].append((both[0], both[1]))
                bad = [figure for figure in FIGURES if figure not in good]
                wrong.update(f"{firmware} {figure}" for figure in bad)
                if bad:
                    print(seed, firmware, bad, [round(one, 3) for one in both], flush=True)
            usb = box.device.device.usb
            grades = [grade_box(one, usb) for one in list_realistic(box)]
            refused, shown = refused + grades.count(0), shown + len(grades)
            grades = [grade_box(one, usb) for one in list_strangers(box)]
            admitted, strange = admitted + sum(map(bool, grades)), strange + len(grades)
    print(f"{many} boxes, figures that differ: {dict(wrong) or 'none'}")
    for firmware, pairs in ratios.items():
        for at, what in enumerate(("interval", "worst press")):
            measured = sorted(pair[at] for pair in pairs)
            print(f"{firmware}: {what}, measured by told: {measured[0]:.3f} to {measured[-1]:.3f}")
    print(f"identities refused: {refused} of {shown}; strangers admitted: {admitted} of {strange}")
    return wrong.total() + refused + admitted


if __name__ == "__main__":
    many, first, only = (*sys.argv[1:], *("200", "0", "")[len(sys.argv) - 1 :])
    sys.exit(bool(main(int(many), int(first), only)))
