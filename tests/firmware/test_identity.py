"""What is plugged in is what is described: identity, power, and the state a late host sees.

The compiled sketch runs on a simulated ATmega32U4; the descriptors are read as USB 2.0, 9.6 lays
them out. The interpreter's boot file runs against stand-ins for its modules.
"""

import os
import shutil
import subprocess
from pathlib import Path
from typing import NamedTuple

import pytest

from profiles.firmware import next_steps, plan_firmware, sketch_files
from profiles.host.identity import MOST_UNITS, fit_string
from profiles.model import Device
from profiles.wiring.boards import packaged_boards
from tests.firmware.avr import CORE, build_sketch
from tests.firmware.boxes import make_device
from tests.firmware.test_chip import HOST, REASON
from tests.firmware.test_interpreter import Board, run_board
from tests.needs import skip_unless

USB = {
    "vendor": "1209",
    "product": "00af",
    "serial": "LB-07",
    "maker": "Möwe & Söhne",
    "name": "Łódź",
}


def make_box(buttons: int = 1, **header: object) -> Device:
    """A toggle, and more buttons, on pins of their own."""
    pins = ["5", "7", "A0", "A1", "A2"]
    controls: dict[str, dict[str, object]] = {
        "gear": {"kind": "latching", "pin": pins[0], "input": 1}
    }
    for place in range(1, buttons):
        controls[f"key-{place}"] = {"kind": "momentary", "pin": pins[place], "input": place + 1}
    return make_device("box", {}, controls, **header)


class Enumerated(NamedTuple):
    """What the computer learns of a box, and the reports it gets."""

    device: bytes
    strings: dict[int, str]
    power: int
    reports: list[tuple[int, bytes]]
    asked: bytes


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("identity")
    command = ["gcc", "-O2", "-Wall", "-Wextra", "-Werror", str(HOST), "-o", str(folder / "host")]
    subprocess.run([*command, "-lsimavr"], check=True)
    return folder


def enumerate_box(device: Device, folder: Path, rows: list[str], late: int = 0) -> Enumerated:
    """Build the sketch, plug it in, and read it; each row lasts 5 ms."""
    program = build_sketch(sketch_files(device), folder / device.id, folder.parent / "avr-core")
    return enumerate_program(program, device, folder, rows, late)


def enumerate_program(
    program: Path, device: Device, folder: Path, rows: list[str], late: int = 0
) -> Enumerated:
    """Plug a built box in, and read it."""
    ports = packaged_boards()["atmega32u4"].pins
    own = " ".join(["own", *(ports[pin] for pin in plan_firmware(device).own)])
    done = subprocess.run(
        [str(folder / "host"), str(program), "5", str(late)],
        input="\n".join(["driven", "sensed", own, "banks", "lights", "", *rows]) + "\n",
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
    )
    found: dict[str, bytes] = {}
    strings, reports = {}, []
    for line in done.stdout.splitlines():
        kind, row, raw = [*line.split(), "", ""][:3]
        if kind == "string":
            strings[int(row)] = bytes.fromhex(raw)[2:].decode("utf-16-le")
        elif kind == "report":
            reports.append((int(row), bytes.fromhex(raw)))
        elif kind in ("device", "configuration", "asked"):
            found[kind] = bytes.fromhex(raw)
    power = 2 * found["configuration"][8]  # bMaxPower counts 2 mA (USB 2.0, 9.6.3)
    return Enumerated(found["device"], strings, power, reports, found["asked"])


needs_chip = skip_unless(not REASON, REASON)


@needs_chip
def test_the_box_enumerates_as_it_is_described(folder: Path) -> None:
    """idVendor and idProduct at 8 and 10, indices of the strings from 14 on (USB 2.0, 9.6.1)."""
    box = enumerate_box(make_box(usb=USB), folder, ["0"])

    assert box.device[8:12] == bytes.fromhex("0912af00")
    assert box.strings == {14: "Möwe & Söhne", 15: "Łódź", 16: "LB-07"}
    assert box.power == 100


@needs_chip
def test_what_the_file_does_not_give_is_not_there(folder: Path) -> None:
    box = enumerate_box(make_box(usb={"vendor": "1209", "product": "0001"}), folder, ["0"])

    assert (box.device[14], box.device[16]) == (0, 0)
    assert box.strings == {15: "Box box"}


@needs_chip
def test_the_serial_number_stays_when_buttons_are_added(folder: Path) -> None:
    """With an identity of its own and with that of the board."""
    for usb in ({"usb": USB}, {}):
        one = enumerate_box(make_box(1, **usb), folder, ["0"])
        more = enumerate_box(make_box(5, **usb), folder, ["00000"])

        assert one.strings[16] == more.strings[16]
        assert one.device == more.device


@needs_chip
def test_the_longest_names_arrive_whole(folder: Path) -> None:
    name = "\U0001f6a2" * (MOST_UNITS // 2)
    box = enumerate_box(make_box(usb=USB | {"name": name, "serial": "S" * 126}), folder, ["0"])

    assert box.strings[15] == name
    assert box.strings[16] == "S" * 126


@needs_chip
def test_a_host_that_opens_the_box_late_sees_how_its_toggle_stands(folder: Path) -> None:
    """The toggle goes on before anyone reads; three seconds later the first reports come."""
    box = enumerate_box(make_box(usb=USB), folder, ["1"] * 100, late=3000)

    assert box.reports[-1][1] == b"\x01\x01"
    assert 3 <= len(box.reports) <= 8, "some are told again, and none too often"
    assert box.asked == b"\x01\x01"


@needs_chip
def test_after_a_reconnect_the_state_is_told_again(folder: Path) -> None:
    """The toggle stands still while the box leaves the bus and comes back with power of its own."""
    box = enumerate_box(make_box(usb=USB), folder, ["1"] * 4 + ["1 replug"] + ["1"] * 60)

    assert {report for row, report in box.reports if row >= 4} == {b"\x01\x01"}


def test_what_changes_while_the_computer_sleeps_is_told_when_it_wakes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Sleeping(Board):
        def describe_time(self) -> int:
            self.listens = -1 if 200 <= self.now < 800 else self.left
            return super().describe_time()

    device = make_device("sleep", {}, {"gear": {"kind": "latching", "pin": "5", "input": 1}})
    board = Sleeping(device, closed=[])
    board.left, board.closes = 3000, {"5": 400.0}

    run_board(device, board, tmp_path, monkeypatch)

    woken = [(at, report) for at, report in board.told if at >= 200]
    assert 800 <= woken[0][0] <= 805
    assert {report for _, report in woken} == {b"\x01"}


@needs_chip
def test_a_request_for_the_report_is_answered_with_the_last_one(folder: Path) -> None:
    """GET_REPORT: USB HID 1.11, 7.2.1."""
    assert enumerate_box(make_box(usb=USB), folder, ["1"] * 20 + ["0"] * 20).asked == b"\x01\x00"


@needs_chip
def test_the_makefile_builds_what_runs(folder: Path) -> None:
    """With the board core that Debian packages, and the power of the file in the program."""
    if shutil.which("make") is None:
        pytest.skip("needs make")
    device = make_box(usb=USB)
    place = folder / "made"
    for name, text in sketch_files(device).items():
        (place / name).parent.mkdir(parents=True, exist_ok=True)
        (place / name).write_text(text)
    command = ["make", "-C", str(place / "box"), f"CORE={CORE}", "-j2"]
    done = subprocess.run(command, capture_output=True, text=True, check=False, env={**os.environ})

    assert done.returncode == 0, done.stderr
    assert "-DUSB_CONFIG_POWER=100" in done.stdout
    first = (place / "box" / "box.hex").read_text().splitlines()[0]
    assert first.startswith(":1000000"), "Intel HEX, from address 0"
    box = enumerate_program(place / "box" / "build" / "box.elf", device, folder, ["1"])
    assert box.device[8:12] == bytes.fromhex("0912af00")
    assert box.strings == {14: "Möwe & Söhne", 15: "Łódź", 16: "LB-07"}
    assert (box.power, box.reports[-1][1]) == (100, b"\x01\x01")


@needs_chip
@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["CORE=/nowhere"], "no board core for the ATmega32U4 in /nowhere: install"),
        (["upload"], "no avrdude here: install it"),
        (["upload", "PORT=/dev/none"], "no /dev/none here: plug the board in"),
    ],
)
def test_the_makefile_says_what_is_missing(words: list[str], told: str, tmp_path: Path) -> None:
    if shutil.which("make") is None:
        pytest.skip("needs make")
    for name, text in sketch_files(make_box(usb=USB)).items():
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text(text)
    uploader = tmp_path / "bin" / "avrdude"
    if "PORT=/dev/none" in words:
        uploader.parent.mkdir()
        uploader.write_text("#!/bin/sh\n")
        uploader.chmod(0o755)
    elif words == ["upload"] and shutil.which("avrdude"):
        pytest.skip("avrdude is here")
    path = f"{uploader.parent}{os.pathsep}{os.environ['PATH']}"
    done = subprocess.run(
        ["make", "-C", str(tmp_path / "box"), f"CORE={CORE}", "-j2", *words],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PATH": path},
    )

    assert done.returncode == 2
    assert told in done.stdout


@pytest.mark.parametrize(("letter", "kept"), [("x", 126), ("ż", 126), ("\U0001f6a2", 63)])
def test_a_string_holds_126_units(letter: str, kept: int) -> None:
    """A descriptor is at most 255 bytes, two of them its head (USB 2.0, 9.6.7)."""
    assert fit_string(letter * kept) == letter * kept
    assert fit_string(letter * (kept + 1)) == letter * kept


@pytest.mark.parametrize(
    ("current", "told"), [(100, True), (498, True), (500, False), (900, False)]
)
def test_steps_tell_of_another_current_only_where_the_editor_asks_for_one(
    current: int, told: bool
) -> None:
    """The core's USBCore.h: USB_CONFIG_POWER is 500 where nothing defines it."""
    controls = {"horn": {"kind": "momentary", "pin": "2", "input": 1}}
    steps = next_steps(make_device("desk", {"usb_current": current}, controls), "avr")
    assert any("asks the port for 500 mA instead of" in step for step in steps) == told
