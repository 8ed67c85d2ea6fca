"""Builds a sketch with the AVR compiler and the board core that Debian packages."""

import shutil
import subprocess
from collections.abc import Mapping
from functools import cache
from pathlib import Path

CORE = Path("/usr/share/arduino/hardware/arduino/avr")


def find_variant() -> Path:
    """The core's plain variant of the ATmega32U4: 31 pins, those of the SPI port from 14 on."""
    for path in sorted(CORE.glob("variants/*/pins_arduino.h")):
        text = path.read_text(errors="replace")
        if "NUM_DIGITAL_PINS  31" in text and "PIN_SPI_MISO  (14)" in text:
            return path.parent
    return CORE / "variants"


VARIANT = find_variant()
FLAGS = (
    "-mmcu=atmega32u4",
    "-Os",
    "-ffunction-sections",
    "-fdata-sections",
    "-DF_CPU=16000000L",
    "-DARDUINO=10819",
    "-DARDUINO_ARCH_AVR",
    "-DUSB_VID=0x1209",
    "-DUSB_PID=0x0001",
    "-DUSB_CONFIG_POWER=100",
    "-DDECIMAL_DIG=__DECIMAL_DIG__",
    f"-I{CORE / 'cores/arduino'}",
    f"-I{VARIANT}",
    f"-I{CORE / 'libraries/HID/src'}",
)
STRICT = ("-Wall", "-Wextra", "-Werror", "-Wno-type-limits")


def find_missing() -> str:
    """What the build lacks on this machine; empty where nothing is missing."""
    if shutil.which("avr-g++") is None:
        return "no AVR compiler (gcc-avr, avr-libc)"
    if not (CORE / "cores/arduino/USBCore.cpp").exists():
        return "no AVR board core (arduino-core-avr)"
    return ""


def compile_source(source: Path, target: Path, *extra: str) -> None:
    """Compile one C, C++ or assembler source; fails with the compiler's words."""
    language = {".c": ["-std=gnu11"], ".S": ["-x", "assembler-with-cpp"]}
    words = language.get(
        source.suffix, ["-std=gnu++11", "-fno-exceptions", "-fno-threadsafe-statics"]
    )
    compiler = "avr-g++" if source.suffix in (".cpp", ".ino") else "avr-gcc"
    if source.suffix == ".ino":
        words += ["-x", "c++"]
    command = [compiler, *FLAGS, *extra, *words, "-c", str(source), "-o", str(target)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


@cache
def build_core(folder: Path, power: str) -> tuple[Path, ...]:
    """Object files of the board core and its HID part, built once into a folder. The core decides
    what the box asks of the port: so many mA."""
    sources = [
        path
        for where in (CORE / "cores/arduino", CORE / "libraries/HID/src")
        for path in sorted(where.iterdir())
        if path.suffix in (".c", ".cpp", ".S")
    ]
    folder.mkdir(parents=True, exist_ok=True)
    objects = []
    for source in sources:
        objects.append(folder / f"{source.name}.o")
        compile_source(source, objects[-1], "-w", *ask_power(power))
    return tuple(objects)


def ask_power(power: str) -> tuple[str, str]:
    """Flags for a box that asks for so many mA."""
    return "-UUSB_CONFIG_POWER", f"-DUSB_CONFIG_POWER={power}"


def build_sketch(files: Mapping[str, str], folder: Path, core: Path) -> Path:
    """Write and compile a sketch with warnings as errors; the linked program."""
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text)
    sketch = next(folder / name for name in files if name.endswith(".ino"))
    config = next(text for name, text in files.items() if name.endswith("box_config.h"))
    power = config.partition("#define BOX_POWER ")[2].split()[0]
    compile_source(sketch, folder / "sketch.o", *STRICT, *ask_power(power))
    program = folder / "sketch.elf"
    objects = [str(path) for path in build_core(core / power, power)]
    command = ["avr-gcc", "-mmcu=atmega32u4", "-Os", "-Wl,--gc-sections", "-o", str(program)]
    done = subprocess.run(
        [*command, str(folder / "sketch.o"), *objects, "-lm"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return program


def measure_sections(program: Path) -> tuple[int, int]:
    """Bytes of flash and of working memory that a program takes, as avr-size counts them."""
    done = subprocess.run(["avr-size", str(program)], capture_output=True, text=True, check=True)
    text, data, bss = (int(word) for word in done.stdout.splitlines()[1].split()[:3])
    return text + data, data + bss
