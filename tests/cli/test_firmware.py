"""`platebook firmware`: files written, never over an owner's changes, reasons all at once."""

import ast
import json
from pathlib import Path

from tests.conftest import EXAMPLES, Run, edit

HARBOUR = EXAMPLES / "harbour"


def test_a_sketch_is_written_below_the_folder(platebook: Run, tmp_path: Path) -> None:
    words = ("firmware", "helm-desk", "--library", HARBOUR, "--for", "avr", "-o", "out")
    ran = platebook(*words)

    assert ran.code == 0
    assert ran.out.splitlines() == [
        "out/helm-desk/helm-desk.ino",
        "out/helm-desk/box_config.h",
        "out/helm-desk/box_core.h",
        "out/helm-desk/box_usb.h",
        "out/helm-desk/Makefile",
    ]
    assert ran.err.splitlines()[-6:] == [
        "Next:",
        "  In the folder out/helm-desk: `make`, then `make upload PORT=/dev/ttyACM0` with the"
        " board's own port.",
        "  Both need the general compiler and uploader of the chip, and the board core; on Debian:"
        " `apt install make gcc-avr avr-libc arduino-core-avr avrdude`.",
        "  Or in the editor of the board's maker: open helm-desk.ino, choose an ATmega32U4 board"
        " and upload.",
        "  There the box asks the port for 500 mA instead of 100, unless platform.local.txt beside"
        " the core's platform.txt has `compiler.cpp.extra_flags=-DUSB_CONFIG_POWER=100`.",
        "  Then try the box: `platebook press test helm-desk`.",
    ]
    assert platebook(*words).code == 0, "its own files may be written again"
    assert "uint8_t" in (tmp_path / "out/helm-desk/box_config.h").read_text()


def wire_desk(library: Path, board: str, pin: str) -> None:
    """Give the desk a board, and its horn a pin."""
    edit(library / "desk.toml", "input = 1\n", f'input = 1\npin = "{pin}"\n')
    wiring = f'[wiring]\nboard = "{board}"\n\n[controls.horn]'
    edit(library / "desk.toml", "[controls.horn]", wiring)


def test_the_files_for_an_interpreter_are_python(
    platebook: Run, library: Path, tmp_path: Path
) -> None:
    wire_desk(library, "rp2040", "GP5")
    ran = platebook("firmware", "desk", "--library", library, "-o", "out", "--json")

    document = json.loads(ran.out)
    assert document["device"] == "desk"
    for file in document["files"]:
        ast.parse((tmp_path / file).read_text())


def test_a_board_gets_only_the_firmware_that_it_runs(platebook: Run, library: Path) -> None:
    wire_desk(library, "rp2040", "GP5")
    ran = platebook("firmware", "desk", "--library", library, "--for", "avr")
    assert (ran.code, ran.err) == (
        2,
        "platebook: no firmware can be written for `desk`\n"
        "  RP2040 board runs the firmware of --for python, not avr\n",
    )


def test_a_pin_that_cannot_do_it_gets_no_firmware(platebook: Run, library: Path) -> None:
    wire_desk(library, "esp32-s2", "IO46")
    ran = platebook("firmware", "desk", "--library", library)
    assert (ran.code, ran.err.splitlines()[1]) == (
        2,
        "  pin IO46 for horn.press has no pull-up on this board",
    )


def test_files_that_differ_are_kept_unless_told_to_replace(
    platebook: Run, library: Path, tmp_path: Path
) -> None:
    wire_desk(library, "rp2040", "GP5")
    words = ("firmware", "desk", "--library", library, "--for", "python", "-o", "out")
    assert platebook(*words).code == 0
    assert platebook(*words).code == 0  # the same again does no harm
    mine = tmp_path / "out" / "code.py"
    text = mine.read_text()
    mine.write_text("# mine\n")

    ran = platebook(*words)
    assert (ran.code, ran.err) == (
        2,
        "platebook: `out/code.py` is there already, and was not made by Platebook\n"
        "  Choose another name, or delete that file first. Or add --replace.\n",
    )
    assert mine.read_text() == "# mine\n"
    assert platebook(*words, "--replace").code == 0
    assert mine.read_text() == text


def test_what_cannot_be_built_is_told_all_at_once(platebook: Run, library: Path) -> None:
    edit(library / "desk.toml", "input = 1\n", 'input = 1\npin = "Z98"\n')
    edit(library / "desk.toml", "input = 2\n", 'input = 2\npin = "Z99"\n')
    ran = platebook("firmware", "--library", library, "--for", "avr")

    assert ran.code == 2
    assert ran.err.startswith("platebook: no firmware can be written for `desk`\n")
    assert "Z98" in ran.err
    assert "Z99" in ran.err


def test_the_kind_of_board_must_be_said(platebook: Run, library: Path) -> None:
    ran = platebook("firmware", "--library", library)
    assert ran.code == 2
    assert "--for" in ran.err


def test_a_board_of_the_library_gives_the_chips_names(
    platebook: Run, library: Path, tmp_path: Path
) -> None:
    (library / "mine.toml").write_text(
        'format = 1\n[board]\nid = "mine"\nname = "Mine"\nsupply = 5.0\n'
        '[limits]\npin = 20.0\nboard = 100.0\nsource = "its sheet"\n'
        '[pins]\nleft = "PB7"\nright = "PD4"\n'
    )
    edit(library / "desk.toml", "input = 1\n", 'input = 1\npin = "left"\n')
    edit(library / "desk.toml", "input = 2\n", 'input = 2\npin = "3"\n')
    edit(library / "desk.toml", "[controls.horn]", '[wiring]\nboard = "mine"\n\n[controls.horn]')
    ran = platebook("firmware", "--library", library, "--for", "avr", "-o", "out")

    assert ran.code == 0
    text = (tmp_path / "out/desk/box_config.h").read_text()
    assert "BOX_FLASH = {11, 3}; /* left 3 */" in text
    assert "note: pin 3 for bell.press is not in the board's file\n" in ran.err
