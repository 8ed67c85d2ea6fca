"""Files for boards that run a Python interpreter with USB HID."""

import ast
import runpy
import sys
from itertools import pairwise
from pathlib import Path
from types import ModuleType
from typing import Any

import hidtools.hid
import pytest

from profiles.firmware import interpreter_files, plan_firmware
from profiles.firmware.plan import usb_strings
from profiles.model import Device, Expander, Ladder, Multiplexer, ShiftRegisterChain
from profiles.wiring.banks import Bank
from profiles.wiring.boards import packaged_boards
from tests.firmware.boxes import (
    make_banks_box,
    make_bare_box,
    make_chain_box,
    make_chains_box,
    make_device,
    make_diode_box,
)
from tests.firmware.simulation import find_low
from tests.hostile import NAUGHTY

NAMES = ["boot.py", "code.py", "box_core.py", "box_config.py"]


class PowerError(Exception):
    """The simulated board is unplugged."""


class Board:
    """Stands in for the interpreter's modules, with a matrix behind the pins."""

    def __init__(self, device: Device, closed: list[tuple[int, int]]) -> None:
        self.plan = plan_firmware(device)
        self.closed = closed
        self.pins: dict[str, Any] = {}
        self.reports: list[tuple[bytes, int]] = []
        self.enabled: list[Any] = []
        self.identity: dict[str, Any] = {}
        self.ticks: float = (1 << 29) - 20
        self.left = 60
        self.listens = 50
        self.told: list[tuple[float, bytes]] = []
        self.closes: dict[str, float] = {}
        self.ms_per_bit = 0.0
        self.begun = self.ticks
        self.delays: list[int] = []
        self.bits: dict[int, bytes] = {}
        self.shifted: dict[int, int] = {}
        self.places: set[str] = set()
        self.seen: dict[int, list[int]] = {}
        self.written: list[tuple[int, bytes]] = []
        self.failures = 0
        self.low: set[str] = set()
        self.watched: dict[tuple[str, str], str] = {}
        self.lit: set[str] = set()
        self.voltages: dict[int, int] = {}

    def install(self, monkeypatch: pytest.MonkeyPatch) -> None:
        board = self

        class DigitalInOut:
            def __init__(self, name: str) -> None:
                assert name not in board.pins, f"{name} is in use"
                board.pins[name] = self
                self.name = name
                self.out = True

            def switch_to_input(self, pull: str) -> None:
                assert pull == "up"

            def switch_to_output(self, value: bool, drive_mode: str = "push-pull") -> None:
                self.out = value
                self.drive_mode = drive_mode

            @property
            def value(self) -> bool:
                return not board.is_low(self.name)

            @value.setter
            def value(self, out: bool) -> None:
                board.shift_chains(self.name, self.out, out)
                self.out = out
                board.see_lights()

        class UsbDevice:
            def __init__(self, **words: Any) -> None:
                self.words = words
                self.usage_page = words["usage_page"]
                self.usage = words["usage"]

            def send_report(self, report: bytes, report_id: int) -> None:
                if board.left > board.listens:
                    raise OSError("the host sleeps")
                board.told.append((board.now, bytes(report)))
                board.reports.append((bytes(report), report_id))

        names = {name: name for name in self.plan.pins}
        self.module(monkeypatch, "board", **{self.print_name(name): name for name in names})
        self.module(
            monkeypatch,
            "digitalio",
            DigitalInOut=DigitalInOut,
            Pull=type("Pull", (), {"UP": "up"}),
            DriveMode=type("DriveMode", (), {"OPEN_DRAIN": "open-drain"}),
        )

        self.install_banks(monkeypatch)
        pins = type("Pins", (), {"GPIO7": "7"})
        self.module(monkeypatch, "microcontroller", delay_us=self.delays.append, pin=pins)
        self.module(
            monkeypatch,
            "supervisor",
            ticks_ms=self.describe_time,
            set_usb_identification=lambda **words: self.identity.update(words),
        )
        hid = self.module(monkeypatch, "usb_hid", Device=UsbDevice, devices=())

        def enable(devices: tuple[Any, ...]) -> None:
            hid.devices = devices  # type: ignore[attr-defined]
            self.enabled.extend(devices)

        hid.enable = enable  # type: ignore[attr-defined]

    def install_banks(self, monkeypatch: pytest.MonkeyPatch) -> None:
        board = self

        class Bus:
            def __init__(self, scl: str, sda: str, frequency: int) -> None:
                assert (scl, sda, frequency) == ("3", "2", 400000)

            def try_lock(self) -> bool:
                return True

            def writeto(self, address: int, words: bytes) -> None:
                board.written.append((address, words))

            def writeto_then_readfrom(self, address: int, out: bytes, levels: bytearray) -> None:
                assert out == b"\x12"
                board.read_expander(address, levels)

            def readfrom_into(self, address: int, levels: bytearray) -> None:
                board.read_expander(address, levels)

        class AnalogIn:
            def __init__(self, name: str) -> None:
                assert name not in board.pins, f"{name} is in use"
                self.name = board.pins[name] = name

            @property
            def value(self) -> int:
                return board.measure(self.name)

        self.module(monkeypatch, "busio", I2C=Bus)
        self.module(monkeypatch, "analogio", AnalogIn=AnalogIn)

    @staticmethod
    def print_name(pin: str) -> str:
        """Boards print a letter before bare numbers."""
        return f"D{pin}" if pin.isdigit() else pin

    @staticmethod
    def module(monkeypatch: pytest.MonkeyPatch, name: str, **members: Any) -> ModuleType:
        module = ModuleType(name)
        for member, value in members.items():
            setattr(module, member, value)
        monkeypatch.setitem(sys.modules, name, module)
        return module

    def describe_time(self) -> int:
        self.left -= 1
        if self.left < 0:
            raise PowerError
        self.ticks += 1
        return int(self.ticks) % (1 << 29)

    @property
    def now(self) -> float:
        """Time since power-up, ms."""
        return self.ticks - self.begun

    def see_lights(self) -> None:
        """LEDs of the matrix that are lit now: row high, column low."""
        for (row, column), name in self.watched.items():
            if {row, column} <= self.pins.keys() and self.pins[row].out:
                self.lit |= set() if self.pins[column].out else {name}

    def place_of(self, part: Multiplexer) -> int:
        """The place that a multiplexer's pins choose, from 0."""
        return sum(self.pins[pin].out << n for n, pin in enumerate(part.select))

    def contacts_of(self, bank: Bank) -> list[int]:
        """Places of a bank whose contacts are closed, from 0."""
        names = (place.rpartition(".") for place in sorted(self.places))
        return [int(place) - 1 for name, _, place in names if name == bank.name]

    def read_expander(self, address: int, levels: bytearray) -> None:
        """The contacts of the expander of this address: low where closed."""
        if self.failures:
            self.failures -= 1
            raise OSError("no answer")
        for bank in self.plan.banks:
            if isinstance(bank.part, Expander) and bank.part.address == address:
                self.seen[address] = self.contacts_of(bank)
                pressed = sum(1 << place for place in self.seen[address])
                levels[:] = (~pressed & (256 ** len(levels) - 1)).to_bytes(len(levels), "little")

    def measure(self, pin: str) -> int:
        """Of a ladder's pin: the divider of its resistors (Ohm's law), in 65536 parts."""
        for bank in self.plan.banks:
            if isinstance(bank.part, Multiplexer) and bank.part.pin == pin:
                return self.voltages[self.place_of(bank.part)]
            if isinstance(bank.part, Ladder) and bank.part.pin == pin:
                closed = self.contacts_of(bank)
                through = sum(bank.part.steps[: min(closed)]) if closed else 1e12
                return int(0xFFFF * through / (through + bank.part.pull_up))
        raise AssertionError(pin)

    def shift_chains(self, name: str, before: bool, after: bool) -> None:
        """A low latch loads a chain; each rise of its clock brings the next bit."""
        for at, chain in self.list_chains():
            if name == chain.latch and not after:
                self.shifted[at] = 0
            elif name == chain.clock and after and not before:
                self.shifted[at] += 1
                self.ticks += self.ms_per_bit

    def list_chains(self) -> list[tuple[int, ShiftRegisterChain]]:
        parts = enumerate(bank.part for bank in self.plan.banks)
        return [(at, part) for at, part in parts if isinstance(part, ShiftRegisterChain)]

    def is_low(self, name: str) -> bool:
        """Whether a sensed pin is pulled low by a driven one through closed crossings."""
        if name in self.low or self.now >= self.closes.get(name, float("inf")):
            return True
        for at, chain in self.list_chains():
            if name == chain.data:
                bits = self.bits[at] + bytes([0])
                closed = bits[min(self.shifted[at], chain.length)]
                return bool(closed) == (chain.active == "low")
        for bank in self.plan.banks:
            if isinstance(bank.part, Multiplexer) and bank.part.pin == name:
                return f"{bank.name}.{self.place_of(bank.part) + 1}" in self.places
            if isinstance(bank.part, Expander) and bank.part.interrupt == name:
                return self.contacts_of(bank) != self.seen.get(bank.part.address)
        driven, sensed = self.plan.driven, self.plan.sensed
        if name not in sensed:
            return False
        marks = bytearray(len(driven) * len(sensed))
        for line, column in self.closed:
            marks[line * len(sensed) + column] = 1
        low = [line for line, pin in enumerate(driven) if not self.pins[pin].out]
        return any(
            sensed.index(name) in find_low(bytes(marks), bytes(len(marks)), line, len(sensed))
            for line in low
        )


def write_files(files: dict[str, str], folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name, text in files.items():
        (folder / name).write_text(text)
    monkeypatch.syspath_prepend(str(folder))
    for name in ("box_core", "box_config"):
        monkeypatch.delitem(sys.modules, name, raising=False)


def run_board(device: Device, board: Board, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    board.install(monkeypatch)
    write_files(interpreter_files(device), folder, monkeypatch)
    runpy.run_path(str(folder / "boot.py"))
    with pytest.raises(PowerError):
        runpy.run_path(str(folder / "code.py"))
    for name in ("box_core", "box_config"):
        monkeypatch.delitem(sys.modules, name)


def test_the_board_reports_what_is_held(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """boot.py and code.py run here against stand-ins for the interpreter's modules."""
    device = make_bare_box()
    board = Board(device, closed=[(0, 1), (2, 0)])

    run_board(device, board, tmp_path, monkeypatch)

    assert board.reports == [((1 << 1 | 1 << 8).to_bytes(3, "little"), 1)]
    assert set(board.delays) == {5}
    assert [board.pins[pin].drive_mode for pin in board.plan.driven] == ["open-drain"] * 4
    assert all(board.pins[pin].out for pin in board.plan.driven)


def test_a_program_that_opens_the_box_late_sees_how_its_toggle_stands(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whether the computer took reports from the start, or slept for three seconds."""
    for listens in (60_000, 1500):
        device = make_device("late", {}, {"gear": {"kind": "latching", "pin": "5", "input": 1}})
        board = Board(device, closed=[])
        board.low, board.left, board.listens = {"5"}, 9000, listens

        run_board(device, board, tmp_path, monkeypatch)

        late = [(at, report) for at, report in board.told if at >= 3000]
        assert late[0][0] <= 3000 + 300 or listens == 1500
        assert {report for _, report in late} == {b"\x01"}
        assert all(after - at <= 260 for (at, _), (after, _) in pairwise(late)), "told again"


def test_a_pulse_keeps_its_length_on_a_long_chain(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """240 bits of half a millisecond: a scan takes 120 ms, a pulse 30 ms and at most a pause
    more."""
    device = make_device(
        "long",
        {"chain": {"latch": "2", "clock": "3", "data": "4", "length": 240}, "pulse": 30.0},
        {
            "gear": {"kind": "latching", "reports": "edges", "pin": "5", "input": 1},
            "last": {"kind": "momentary", "bit": 240, "input": 2},
        },
    )
    board = Board(device, closed=[])
    board.bits = {0: bytes(240)}
    board.ms_per_bit, board.left, board.listens, board.closes = 0.5, 200, 1000, {"5": 400.0}

    run_board(device, board, tmp_path, monkeypatch)

    begin = next(at for at, report in board.told if report == b"\x01")
    end = next(at for at, report in board.told if at > begin and report == b"\x00")
    assert 30 <= end - begin <= 30 + 32 * 0.5 + 3


def test_the_board_reads_several_chains(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two share latch and clock, one of them is high; bits 4, 5 and 15 are closed."""
    device = make_chains_box()
    board = Board(device, closed=[])
    board.bits = {0: bytes([0, 0, 0, 1]), 1: bytes([1, 0, 0, 0, 0, 0, 0, 0]), 2: bytes([0, 0, 1])}

    run_board(device, board, tmp_path, monkeypatch)

    assert board.reports == [((1 << 3 | 1 << 4 | 1 << 14).to_bytes(3, "little"), 1)]


def test_the_board_reads_expanders_multiplexers_and_ladders(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The first answer of an expander fails: it is set up again. Of a ladder the first counts."""
    device = make_banks_box()
    board = Board(device, closed=[])
    board.places = {"deck.1", "deck.9", "rail.7", "fan.8", "fan.1", "knobs.3", "knobs.4", "rungs.2"}
    board.failures = 1

    run_board(device, board, tmp_path, monkeypatch)

    down = [1, 3, 5, 7, 9, 13]
    assert board.reports[-1] == (sum(1 << n - 1 for n in down).to_bytes(4, "little"), 1)
    setup = [(0x21, b"\x0c\xff\xff"), (0x21, b"\x0a\x44"), (0x21, b"\x04\xff\xff")]
    assert board.written == [*setup, (0x38, b"\xff"), *setup]


def test_axes_behind_a_multiplexer_are_measured_one_by_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    axes = {
        name: {"kind": "axis", "axis": name, "pin": f"fan.{place}"}
        for place, name in enumerate(("x", "y", "z"), 2)
    }
    fan = {"kind": "multiplexer", "select": ["A3", "A4"], "pin": "A0"}
    board = Board(make_device("fan", {"banks": {"fan": fan}}, axes), closed=[])
    board.voltages = {1: 0, 2: 0xFFFF, 3: 0x8000}

    run_board(board.plan.device, board, tmp_path, monkeypatch)

    values = [
        int.from_bytes(board.reports[-1][0][at : at + 2], "little", signed=True) for at in (0, 2, 4)
    ]
    assert values == [-32767, 32767, pytest.approx(0, abs=1)]


def test_the_board_tells_the_host_what_it_is(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    usb = {"vendor": "1209", "product": "00af", "name": "Brücke"}
    device = make_device(
        "box",
        {},
        {"horn": {"kind": "momentary", "pin": "2", "input": 9}},
        usb=usb,
        report={"collection": "game-pad", "hats": 1, "axes": 2},
    )
    board = Board(device, closed=[])

    run_board(device, board, tmp_path, monkeypatch)

    words = board.enabled[0].words
    report = hidtools.hid.ReportDescriptor.from_bytes(list(words["report_descriptor"]))
    assert board.identity == {"product": "Brücke", "vid": 0x1209, "pid": 0x00AF}
    assert report.input_reports[1].bitsize == 8 * (words["in_report_lengths"][0] + 1)
    assert (words["usage_page"], words["usage"], words["report_ids"]) == (0x01, 0x05, (1,))
    assert words["out_report_lengths"] == (0,)


def test_a_pin_the_board_lacks_is_named_at_start(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    device = make_diode_box()
    board = Board(device, closed=[])
    board.install(monkeypatch)
    del sys.modules["board"].D7
    write_files(interpreter_files(device), tmp_path, monkeypatch)
    runpy.run_path(str(tmp_path / "boot.py"))

    with pytest.raises(ValueError, match=r"^this board has no pin 7$"):
        runpy.run_path(str(tmp_path / "code.py"))


def test_a_pin_is_found_by_the_chips_name_where_the_boards_file_has_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    device = make_diode_box()
    board = Board(device, closed=[])
    board.install(monkeypatch)
    del sys.modules["board"].D7
    mine = packaged_boards()["rp2040"].model_copy(update={"pins": {"7": "GPIO7"}})
    write_files(interpreter_files(device, mine), tmp_path, monkeypatch)
    runpy.run_path(str(tmp_path / "boot.py"))

    with pytest.raises(PowerError):
        runpy.run_path(str(tmp_path / "code.py"))
    assert "7" in board.pins


def test_files_import_documented_modules_only() -> None:
    known = {"analogio", "board", "busio", "digitalio", "microcontroller", "supervisor", "usb_hid"}
    own = {"box_core", "box_config"}
    imported = set()
    for text in interpreter_files(make_chain_box()).values():
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.Import):
                imported |= {name.name for name in node.names}
            elif isinstance(node, ast.ImportFrom):
                imported.add(node.module or "")

    assert imported == known | own


NAMES_TO_FEAR = [
    "helm\nimport os",
    'helm""" + __import__("os").getcwd() + """',
    "helm' + chr(0) + '",
    "helm \\",
    "\ud800",
    "\u202eksed",
]


def test_names_from_files_stay_words() -> None:
    usual = interpreter_files(device := make_bare_box())
    stripped = {path: strip_product(text) for path, text in usual.items()}
    assert list(stripped) == NAMES
    for name in [*NAMES_TO_FEAR, *NAUGHTY]:
        header = device.device.model_copy(update={"name": name})
        named = device.model_copy(update={"device": header})
        for path, text in interpreter_files(named).items():
            assert text.isascii()
            assert text == usual[path] or strip_product(text) == stripped[path]


def strip_product(text: str) -> str:
    """The program without comments and without the one string that holds the name."""
    tree = ast.parse(text)
    for node in tree.body:
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "IDENTITY":
            node.value = ast.Constant("")
    return ast.dump(tree)


@pytest.mark.parametrize(("letter", "kept"), [("x", 126), ("\u017c", 63), ("\U0001f6a2", 31)])
def test_a_name_too_long_for_usb_is_cut_and_said(letter: str, kept: int) -> None:
    """The interpreter takes 126 bytes of UTF-8. Unverified."""
    device = make_bare_box()
    fits = device.device.model_copy(update={"name": letter * kept})
    long = device.device.model_copy(update={"name": letter * (kept + 1)})
    warning = f"USB cannot carry the whole name; the host shows its first {kept} letters."

    assert usb_strings(device.model_copy(update={"device": fits}), 126)["name"] == letter * kept
    assert usb_strings(device.model_copy(update={"device": long}), 126)["name"] == letter * kept
    assert warning not in join_header(device.model_copy(update={"device": fits}))
    assert warning in join_header(device.model_copy(update={"device": long}))


def join_header(device: Device) -> str:
    text = interpreter_files(device)["code.py"]
    lines = (line.removeprefix("#").strip() for line in text.splitlines())
    return " ".join(line for line in lines if line)
