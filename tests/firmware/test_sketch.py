"""The sketch for 8-bit AVR boards: pins, texts, and whether it compiles."""

import re
import tomllib
from pathlib import Path

import pytest

from profiles.firmware import CannotBuildError, plan_firmware, sketch_files
from profiles.firmware.plan import estimate_memory
from profiles.firmware.sketch import PIN_NUMBERS, find_pin
from profiles.model import Device
from profiles.wiring.boards import packaged_boards
from tests.firmware.avr import VARIANT, build_sketch, find_missing, measure_sections
from tests.firmware.boxes import (
    make_banks_box,
    make_bare_box,
    make_chain_box,
    make_chains_box,
    make_device,
    make_diode_box,
    make_mixed_box,
)
from tests.hostile import NAUGHTY
from tests.needs import skip_unless

EXAMPLES = Path(__file__).parents[2] / "example_profiles"
HEADER = VARIANT / "pins_arduino.h"
MISSING = find_missing()

needs_avr = skip_unless(not MISSING, MISSING)


@pytest.fixture(scope="session")
def core(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("core")


def read_examples() -> list[Device]:
    paths = sorted(EXAMPLES.glob("harbour/devices/*.toml"))
    return [Device.model_validate(tomllib.loads(path.read_text("utf-8"))) for path in paths]


@skip_unless(HEADER.exists(), "no AVR board core (arduino-core-avr)")
@pytest.mark.parametrize("board_id", ["atmega32u4", "atmega32u4-small"])
def test_pin_numbers_reach_the_port_bits_of_the_board_file(board_id: str) -> None:
    """Board core, pins_arduino.h: two arrays give port and bit by number."""
    text = HEADER.read_text()
    ports = re.search(r"digital_pin_to_port_PGM\[\] = \{(.*?)\};", text, re.S)
    bits = re.search(r"digital_pin_to_bit_mask_PGM\[\] = \{(.*?)\};", text, re.S)
    assert ports is not None
    assert bits is not None
    names = re.findall(r"^\s*(P[B-F]),", ports.group(1), re.M)
    places = re.findall(r"_BV\((\d)\)", bits.group(1))
    board = packaged_boards()[board_id]

    found = {pin: find_pin(pin) for pin in board.pins}

    assert None not in found.values()
    assert {pin: names[n] + places[n] for pin, n in found.items() if n is not None} == dict(
        board.pins
    )


@skip_unless(HEADER.exists(), "no AVR board core (arduino-core-avr)")
def test_named_pins_equal_the_board_core_s() -> None:
    """PIN_A0, PIN_SPI_MISO, PIN_WIRE_SDA and so on in the same file."""
    defined = dict(
        re.findall(r"#define PIN_(?:SPI_|WIRE_)?(\w+)\s+\(?(\d+)\)?", HEADER.read_text())
    )
    plain = {name: number for name, number in defined.items() if name in PIN_NUMBERS}
    aliases = {"A6", "A7", "A8", "A9", "A10", "A11"}

    assert len(plain) >= 16
    assert {name: find_pin(name) for name in plain if name not in aliases} == {
        name: int(number) for name, number in plain.items() if name not in aliases
    }


@pytest.mark.parametrize(("name", "number"), [("D7", 7), ("d13", 13), ("sda", 2), ("A6", 4)])
def test_pins_are_found_as_printed(name: str, number: int) -> None:
    assert find_pin(name) == number


@pytest.mark.parametrize("name", ["GND", "A12", "D31", "GP4", "31"])
def test_pins_the_board_lacks_are_not_found(name: str) -> None:
    assert find_pin(name) is None


def describe_problems(device: Device) -> list[str]:
    with pytest.raises(CannotBuildError) as caught:
        sketch_files(device)
    return list(caught.value.problems)


def test_a_pin_the_board_lacks_is_named() -> None:
    controls = {
        "one": {"kind": "momentary", "pin": "GP4", "input": 1},
        "two": {"kind": "momentary", "pin": "X9", "input": 2},
    }

    assert describe_problems(make_device("box", {}, controls)) == [
        "the ATmega32U4 board core knows no pin GP4 or X9"
    ]


def test_one_pin_under_two_names_is_named() -> None:
    controls = {
        "one": {"kind": "momentary", "pin": "A6", "input": 1},
        "two": {"kind": "momentary", "pin": "4", "input": 2},
    }

    assert describe_problems(make_device("box", {}, controls)) == [
        "pins A6 and 4 are one pin of the board"
    ]


@pytest.mark.parametrize("pin", ["SS", "17", "TXLED", "30"])
def test_lights_of_the_board_core_are_no_inputs(pin: str) -> None:
    """USBCore.cpp switches RXLED0 and TXLED0, which pins_arduino.h defines as PB0 and PD5."""
    controls = {"one": {"kind": "momentary", "pin": pin, "input": 1}}

    assert describe_problems(make_device("box", {}, controls)) == [
        f"pin {pin} is a light that the board core switches itself"
    ]


def test_an_input_on_the_pin_with_a_light_is_warned_of() -> None:
    texts = [
        sketch_files(
            make_device("box", {}, {"one": {"kind": "momentary", "pin": pin, "input": 1}})
        )["box/box.ino"]
        for pin in ("12", "13")
    ]

    assert ["Many boards have a light on pin 13." in text for text in texts] == [False, True]


def test_ids_that_windows_keeps_for_devices_get_another_folder() -> None:
    device = make_device("con", {}, {"one": {"kind": "momentary", "pin": "2", "input": 1}})

    assert next(iter(sketch_files(device))) == "_con/_con.ino"


def test_a_box_too_large_for_the_chip_is_refused() -> None:
    chain = {"latch": "2", "clock": "3", "data": "4", "length": 256}
    controls = {
        f"knob-{at}": {
            "kind": "latching",
            "reports": "edges",
            "bit": at,
            "inputs": {"on": 2 * at - 1, "off": 2 * at},
        }
        for at in range(1, 101)
    }

    assert describe_problems(make_device("box", {"chain": chain}, controls)) == [
        "the box needs 2760 bytes of memory; the chip has 1900 for it"
    ]


def test_files_stand_in_a_folder_of_the_sketch_s_name() -> None:
    """The board core's builder wants the folder to be named like the sketch."""
    assert list(sketch_files(make_bare_box())) == [
        "bare/bare.ino",
        "bare/box_config.h",
        "bare/box_core.h",
        "bare/box_usb.h",
        "bare/Makefile",
    ]


def test_the_sketch_needs_the_board_core_alone() -> None:
    texts = "".join(sketch_files(make_bare_box()).values())

    assert sorted(set(re.findall(r"#include [<\"](\S+)[>\"]", texts))) == [
        "Arduino.h",
        "HID.h",
        "PluggableUSB.h",
        "USBCore.h",
        "avr/pgmspace.h",
        "box_config.h",
        "box_core.h",
        "box_usb.h",
        "stdint.h",
        "string.h",
    ]


def test_the_header_says_what_made_it_and_what_to_mind() -> None:
    device = make_device(
        "box",
        {},
        {
            "horn": {
                "kind": "momentary",
                "pin": "2",
                "input": 1,
                "led": {"forward_voltage": 2.0, "current": 5.0, "pin": "3"},
            },
            "bell": {"kind": "momentary", "pin": "4"},
        },
    )
    text = sketch_files(device)["box/box.ino"]
    words = " ".join(line.removeprefix("//").strip() for line in text.splitlines())

    assert text.startswith(
        "// Box box (box): firmware for an 8-bit AVR board with native USB (ATmega32U4).\n"
        "// Written by Platebook from the device's file. Change that file and write this again;\n"
    )
    assert "Unplug the box before you solder" in words
    assert "LEDs light as long as the box has power. Their pins: 3." in words
    assert "bell.press is wired but has no input number" in words


NAMES_TO_FEAR = [
    "helm\n#error out of the comment",
    "helm */ int main(void) { return 1; } /*",
    "helm \\",
    "helm ??/",
    "\u202eksed mleh",
    "\x1b]52;c;aGVsbG8=\x07",
]


def test_names_from_files_stay_inside_comments() -> None:
    device = make_bare_box()
    usual = {path: strip_comments(text) for path, text in sketch_files(device).items()}
    for name in [*NAMES_TO_FEAR, *NAUGHTY]:
        header = device.device.model_copy(update={"name": name})
        files = sketch_files(device.model_copy(update={"device": header}))
        for path, text in files.items():
            assert text.isascii()
            assert strip_comments(text) == usual[path]


def strip_comments(text: str) -> str:
    """The code left when comments are gone, a backslash at a line's end joining lines first."""
    joined = text.replace("??/", "\\").replace("\\\n", "")
    return re.sub(r"//[^\n]*|/\*.*?\*/", "", joined, flags=re.S).strip()


@needs_avr
@pytest.mark.parametrize(
    "make",
    [
        make_bare_box,
        make_diode_box,
        make_mixed_box,
        make_chain_box,
        make_chains_box,
        make_banks_box,
    ],
    ids=lambda f: f.__name__,
)
def test_the_sketch_compiles_without_a_warning(make: object, tmp_path: Path, core: Path) -> None:
    """avr-gcc with warnings as errors, linked with the board core that Debian packages."""
    assert callable(make)
    program = build_sketch(sketch_files(make()), tmp_path, core)

    flash, memory = measure_sections(program)

    assert flash < 28_672  # what the loader leaves of 32 KiB (board core, boards.txt)
    assert memory < 2_560 - 512


@needs_avr
def test_the_examples_compile(tmp_path: Path, core: Path) -> None:
    for device in read_examples():
        build_sketch(sketch_files(device), tmp_path / device.id, core)


@needs_avr
def test_the_memory_estimate_is_what_the_linker_adds(tmp_path: Path, core: Path) -> None:
    """Two boxes differ by what the estimate says, within the linker's rounding."""
    small, large = make_chain_box(), make_bare_box()
    measured = [
        measure_sections(build_sketch(sketch_files(box), tmp_path / box.id, core))[1]
        for box in (small, large)
    ]
    estimated = [estimate_memory(plan_firmware(box)) for box in (small, large)]

    assert abs((measured[1] - measured[0]) - (estimated[1] - estimated[0])) <= 16
