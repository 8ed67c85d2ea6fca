"""`platebook wiring`: what it shows, and what it changes."""

import json
import tomllib
from pathlib import Path

import pytest

from profiles.files.library import load_library
from tests.conftest import DEVICE, EXAMPLES, Run, edit

HARBOUR = EXAMPLES / "harbour"
WIRED = """
[wiring]
rows = ["2", "3"]
columns = ["4", "5"]
numbering = "along-rows"  # as soldered
"""


@pytest.fixture
def wired(library: Path) -> Path:
    """The library with both buttons at crossings of a matrix of four; numbers from it alone."""
    text = DEVICE.replace("input = 1\n", "crossing = [1, 2]\n").replace(
        "input = 2\n", "crossing = [2, 1]\ninput = 3\n"
    )
    (library / "desk.toml").write_text(text.replace("[controls.horn]", WIRED + "\n[controls.horn]"))
    return library


AXES = ("X", "Y", "Z", "Rx", "Ry", "Rz", "Slider")


def test_show_draws_the_matrix_and_tells_what_is_spare(platebook: Run, wired: Path) -> None:
    ran = platebook("wiring", "show", "--library", wired)

    assert ran.code == 0
    assert ran.out.startswith(
        "Desk (desk)\n\n"
        "Matrix\n\n"
        "           column 1 (4)  column 2 (5)\n"
        "---------  ------------  ------------\n"
        "row 1 (2)  -             horn.press 2\n"
        "row 2 (3)  bell.press 3  -\n\n"
        "A number is the input, a * a diode.\n"
        "2 contacts, 2 spare crossings. 3 pins would do for these contacts.\n"
    )
    assert "All 2 contacts may be pressed at the same time: no ghosting, no masking.\n" in ran.out


def test_show_lists_ghosting_and_the_diodes_that_cure_it(platebook: Run, wired: Path) -> None:
    """Keyboard Matrix Help, 2000: three corners of a rectangle read as the fourth."""
    more = "\n".join(
        f'[controls.{name}]\nkind = "latching"\nlabel = "X"\nposition = [{x}, 20.0]\n'
        f"hole = 6.0\ncrossing = [{row}, {column}]\n"
        for name, x, row, column in (("mains", 20.0, 1, 1), ("pump", 60.0, 2, 2))
    )
    edit(wired / "desk.toml", "[controls.bell]", more + "\n[controls.bell]")
    out = platebook("wiring", "show", "--library", wired).out

    assert (
        "Any 2 contacts may be pressed at the same time; "
        "beyond that some combinations show ghosting or masking.\n"
    ) in out
    assert "Profile harbour-desk: 2 combinations fail:\n" in out
    assert "also read as bell.press: from row 2" in out
    assert "Adding 2 diodes would cure all: " in out


def test_show_as_json_is_what_the_text_tells(platebook: Run) -> None:
    ran = platebook("wiring", "show", "helm-desk", "--library", HARBOUR, "--json")
    document = json.loads(ran.out)

    assert document["safe_any"] == document["contacts"] == 25
    assert document["fewest_pins"] == 10
    assert [led["resistor"]["value"] for led in document["leds"]] == [390.0, 390.0]
    assert document["diodes"] == {"add": [], "at_least": 0}
    assert {one["profile"] for one in document["profiles"]} == {
        "brackwater-bridge",
        "cobblegate-on-helm-desk",
        "ninefold-on-helm-desk",
    }


TINY = """
format = 1
[board]
id = "tiny"
name = "Tiny"
supply = 3.3
[limits]
pin = 4.0
board = 50.0
source = "its data sheet"
[pins]
2 = "P2"
3 = "P3"
4 = "P4"
6 = "P6"
[notes]
6 = "a light"
"""


def test_show_reads_board_files_of_the_library(platebook: Run, wired: Path) -> None:
    (wired / "tiny.toml").write_text(TINY)
    edit(wired / "desk.toml", "[wiring]\n", '[wiring]\nboard = "tiny"\n')
    ran = platebook("wiring", "show", "--library", wired)

    assert ran.code == 0
    assert "Tiny: 4 mA per pin, 50 mA in all, no pull-ups known (its data sheet)." in ran.out
    assert "5    not on this board  column 2\n" in ran.out
    assert "Free: 6 (a light)." in ran.out


def test_show_lists_register_bits_and_what_the_file_cannot_wire(
    platebook: Run, wired: Path
) -> None:
    chain = '[wiring.chain]\nlatch = "7"\nclock = "8"\ndata = "9"\nlength = 4\n\n[controls.horn]'
    edit(wired / "desk.toml", "[controls.horn]", chain)
    edit(wired / "desk.toml", "crossing = [1, 2]", "bit = 2")
    edit(wired / "desk.toml", "[plate]", "[device.report]\naxes = 2\nhats = 1\n\n[plate]")
    out = platebook("wiring", "show", "--library", wired).out

    assert (
        "Shift-register chain\n\nbit  contact\n---  -------------------\n"
        "2    horn.press, input 6\n\n"
        "4 bits, 3 of them spare.\n"
    ) in out
    assert (
        "The report has 2 axes and 1 hat, whose wires a device's file does not hold: "
        "the firmware leaves them at rest."
    ) in out


def test_show_lists_each_of_several_chains(platebook: Run, wired: Path) -> None:
    chain = '[[wiring.chains]]\nlatch = "7"\nclock = "8"\ndata = "{}"\nlength = 4\n'
    chains = chain.format(9) + 'active = "high"\n' + chain.format(10)
    edit(wired / "desk.toml", "[controls.horn]", f"{chains}\n[controls.horn]")
    edit(wired / "desk.toml", "crossing = [1, 2]", "bit = 2")
    out = platebook("wiring", "show", "--library", wired).out

    assert "Shift-register chains\n" in out
    assert (
        "Register 1, bits 1 to 4: 4 bits, 3 of them spare. A closed contact is high: contacts "
        "switch to the supply.\n\nRegister 2, bits 5 to 8: 4 bits, 4 of them spare.\n"
    ) in out


def test_show_takes_resistors_of_the_series_asked_for(platebook: Run) -> None:
    """362.5 ohm: E12 and E24 both have 390 next; 387.5 likewise (IEC 60063)."""
    run = ("wiring", "show", "helm-desk", "--library", HARBOUR)

    assert "computed      E24  current" in platebook(*run).out
    assert "computed      E12  current" in platebook(*run, "--series", "E12").out


def test_show_refuses_a_board_file_with_faults(platebook: Run, wired: Path) -> None:
    (wired / "tiny.toml").write_text(TINY.replace("supply = 3.3\n", ""))
    ran = platebook("wiring", "show", "--library", wired)

    assert ran.code == 2
    assert "`board` has no `supply`" in ran.err


def test_an_unknown_device_gets_one_suggestion(platebook: Run, wired: Path) -> None:
    ran = platebook("wiring", "show", "dask", "--library", wired)
    assert (ran.code, ran.err) == (
        2,
        "platebook: the library has no device `dask`\n  Did you mean `desk`?\n",
    )


def test_host_names_what_is_dropped_where(platebook: Run) -> None:
    """JOYINFOEX carries 32 buttons (learn.microsoft.com, joystickapi JOYINFOEX)."""
    out = platebook("wiring", "host", "helm-desk", "--library", HARBOUR).out

    lines = [line for line in out.splitlines() if "JOYINFOEX" in line]
    assert "33 to 34" in lines[-1]
    assert "0x2c0 BTN_TRIGGER_HAPPY1" in out
    row = next(line for line in out.splitlines() if line.startswith("13 "))
    assert row.split()[:4] == ["13", "view.press", "13", "0x12c"]


def test_host_says_that_some_linux_hosts_take_only_boxes_with_axes(
    platebook: Run, wired: Path
) -> None:
    """Linux, drivers/input/joydev.c: joydev_ids lists axes, and in newer kernels buttons too; SDL
    without udev asks for ABS_X and ABS_Y (SDL_EVDEV_GuessDeviceClass)."""
    bare = platebook("wiring", "host", "--library", wired).out
    assert "The box has no axes X and Y." in bare
    edit(wired / "desk.toml", "[plate]", "[device.report]\naxes = 2\n\n[plate]")
    assert "no axes X and Y" not in platebook("wiring", "host", "--library", wired).out


def test_host_says_when_inputs_arrive_as_show_does(platebook: Run) -> None:
    """Worst wait for a press, positions that wait, and each knob's lag at its fastest turn."""
    shown, host = (
        platebook("wiring", view, "helm-desk", "--library", HARBOUR).out
        for view in ("show", "host")
    )
    for words in ("A press is reported after", "Up to the speed of the table", "trim   "):
        (line,) = (one for one in host.splitlines() if one.startswith(words))
        assert line in shown.splitlines()
    assert "last detent over after" in host

    shown, host = (
        json.loads(platebook("wiring", view, "helm-desk", "--library", HARBOUR, "--json").out)
        for view in ("show", "host")
    )
    assert host["rotaries"] == shown["rotaries"] != []
    assert host["slowest_press"] == shown["timing"]["slowest_press"]


def test_host_lists_hats_and_axes_and_who_drops_them(platebook: Run, wired: Path) -> None:
    """DIJOYSTATE2 carries 8 axes and 4 hats, JOYINFOEX 6 and 1 (learn.microsoft.com)."""
    edit(wired / "desk.toml", "[plate]", "[device.report]\naxes = 7\nhats = 2\n\n[plate]")
    ran = platebook("wiring", "host", "--library", wired, "--json")
    fields = {one["field"]: one["indices"] for one in json.loads(ran.out)["fields"]}

    assert list(fields) == ["hat 1", "hat 2", *(f"axis {axis}" for axis in AXES)]
    assert fields["axis Slider"]["linux-evdev"] == {
        "number": 6,
        "label": "ABS_THROTTLE",
        "reason": "",
    }
    assert fields["axis Slider"]["windows-joyinfoex"]["reason"] == "carries 6 axes"
    assert fields["hat 2"]["windows-joyinfoex"]["reason"] == "carries 1 hat"
    assert fields["hat 2"]["windows-dijoystate2"]["label"] == "1"


def test_host_shows_what_an_application_writes(platebook: Run, wired: Path) -> None:
    edit(
        wired / "harbour.toml",
        'name = "Harbour"\n',
        'name = "Harbour"\nfirst_number = 0\nnumber_format = "Knob {n}"\n',
    )
    ran = platebook("wiring", "host", "--library", wired, "--json")
    inputs = json.loads(ran.out)["inputs"]

    assert [one["applications"]["harbour"]["text"] for one in inputs] == ["Knob 1", "Knob 2"]
    assert inputs[0]["indices"]["linux-evdev"] == {
        "number": 0x121,
        "label": "BTN_THUMB",
        "reason": "",
    }


def test_renumber_shows_what_changes_and_writes_nothing(platebook: Run, wired: Path) -> None:
    before = (wired / "desk.toml").read_bytes()
    ran = platebook("wiring", "renumber", "--library", wired, "--along", "columns")

    assert ran.code == 0
    assert ran.out == (
        "contact     now  then\n"
        "----------  ---  ----\n"
        "horn.press  2    3\n"
        "bell.press  3    2\n\n"
        "profile harbour-desk changes meaning in its application: `horn`, `bell`\n"
    )
    assert ran.err == "note: nothing is written; --write changes the file\n"
    assert (wired / "desk.toml").read_bytes() == before


def test_renumber_changes_the_file_in_place_and_keeps_its_comments(
    platebook: Run, wired: Path
) -> None:
    before = (wired / "desk.toml").read_text()
    ran = platebook("wiring", "renumber", "--library", wired, "--along", "columns", "--write")

    assert ran.code == 0
    assert ran.out.startswith("contact     now  then\n")
    assert ran.err == f"changed {wired / 'desk.toml'}\n"
    assert (wired / "desk.toml").read_text() == before.replace(
        'numbering = "along-rows"  # as soldered', 'numbering = "along-columns"  # as soldered'
    ).replace("input = 3", "input = 2")
    again = platebook("wiring", "renumber", "--library", wired, "--along", "columns")
    assert again.out == "No input number changes.\n"


def test_renumber_into_a_shared_number_is_refused(platebook: Run, wired: Path) -> None:
    text = (wired / "desk.toml").read_text()
    (wired / "desk.toml").write_text(
        text + '[controls.lone]\nkind = "momentary"\nlabel = "LONE"\nposition = [60.0, 20.0]\n'
        'hole = 6.0\npin = "9"\ninput = 8\n'
    )
    before = (wired / "desk.toml").read_bytes()
    ran = platebook("wiring", "renumber", "--library", wired, "--first", "6", "--write")

    assert ran.code == 1
    assert "input 8 would be shared by bell.press and lone.press\n" in ran.out
    assert (wired / "desk.toml").read_bytes() == before


def test_renumber_as_json_names_profiles_and_keys(platebook: Run, wired: Path) -> None:
    ran = platebook("wiring", "renumber", "--library", wired, "--first", "10", "--json")
    document = json.loads(ran.out)

    assert document["changes"][0] == {"contact": "horn.press", "now": 2, "then": 11}
    assert document["profiles"] == {"harbour-desk": ["horn", "bell"]}
    assert document["clashes"] == []


def test_inputs_given_one_by_one_ask_for_a_way(platebook: Run, library: Path) -> None:
    ran = platebook("wiring", "renumber", "--library", library, "--first", "3")
    assert (ran.code, ran.err) == (
        2,
        "platebook: the inputs of `desk` are given one by one\n"
        "  Say which way to number them: --along rows or --along columns.\n",
    )


def test_a_yaml_device_is_changed_in_place(platebook: Run, wired: Path) -> None:
    text = platebook("convert", wired / "desk.toml", "--to", "yaml").out
    toml = platebook("wiring", "renumber", "--library", wired, "--along", "columns", "--write")
    changed = load_library(wired).library.devices["desk"]
    (wired / "desk.toml").unlink()
    (wired / "desk.yaml").write_text(text)
    ran = platebook("wiring", "renumber", "--library", wired, "--along", "columns", "--write")

    assert (ran.code, toml.code) == (0, 0)
    assert load_library(wired).library.devices["desk"] == changed


def test_the_descriptor_comes_in_three_forms_of_the_same_bytes(platebook: Run) -> None:
    """HID 1.11, 6.2.2: it begins with the usage page Generic Desktop and ends a collection."""
    words = ("wiring", "descriptor", "helm-desk", "--library", HARBOUR)
    data = bytes.fromhex(platebook(*words, "--as", "hex").out)

    assert data[:2] == bytes.fromhex("05 01")
    assert data[-1:] == bytes.fromhex("c0")
    listing = platebook(*words).out
    assert "Usage (Joystick)" in listing
    array = platebook(*words, "--as", "c").out
    digits = [word for word in array.replace(",", " ").split() if word.startswith("0x")]
    assert bytes(int(word, 16) for word in digits) == data
    numbered = bytes.fromhex(platebook(*words, "--as", "hex", "--report-id", "7").out)
    assert bytes.fromhex("85 07") in numbered


def test_the_example_reads_as_its_file_says(platebook: Run) -> None:
    """The five by five matrix of the helm desk, pins as in its file."""
    file = HARBOUR / "devices" / "helm-desk.toml"
    wiring = tomllib.loads(file.read_text(encoding="utf-8"))["wiring"]
    out = platebook("wiring", "show", "helm-desk", "--library", HARBOUR).out

    for number, pin in enumerate(wiring["rows"], 1):
        assert f"row {number} ({pin})" in out
    for number, pin in enumerate(wiring["columns"], 1):
        assert f"column {number} ({pin})" in out


def test_hostile_names_are_harmless_on_the_terminal(platebook: Run, wired: Path) -> None:
    edit(wired / "desk.toml", 'name = "Desk"', 'name = "\\u001b[31mDesk\\u202e"')
    edit(wired / "harbour.toml", 'name = "Harbour"', 'name = "\\u001b]0;x\\u0007"')
    for words in (("show",), ("show", "--json"), ("host",), ("host", "--json"), ("renumber",)):
        ran = platebook("wiring", *words, "--library", wired)
        assert not any(letter in ran.out + ran.err for letter in "\x1b\x07\u202e")


def test_renumber_tells_of_inputs_beyond_the_declared_buttons(platebook: Run, wired: Path) -> None:
    edit(wired / "desk.toml", "[plate]", "[device.report]\nbuttons = 4\n\n[plate]")
    ran = platebook("wiring", "renumber", "--first", "7", "--library", wired)

    assert ran.code == 0
    assert (
        "note: desk declares 4 buttons, the highest input would be 9; "
        "set device.report.buttons too\n"
    ) in ran.err


def test_plan_gives_a_new_button_its_crossing_and_shows_that_first(
    platebook: Run, wired: Path
) -> None:
    edit(wired / "desk.toml", "[wiring]\n", '[wiring]\nboard = "atmega32u4"\n')
    button = (
        '[controls.ring]\nkind = "momentary"\nlabel = "RING"\nposition = [60.0, 20.0]\nhole = 6.0\n'
    )
    edit(wired / "desk.toml", "[controls.bell]", button + "\n[controls.bell]")
    before = (wired / "desk.toml").read_text()
    ran = platebook("wiring", "plan", "--library", wired)

    assert (ran.code, ran.err) == (0, "note: nothing is written; --write changes the file\n")
    assert (
        ran.out
        == (
            "contact     place            input\n"
            "----------  ---------------  -----\n"
            "ring.press  row 1, column 1  1\n\n"
            "2 rows and 2 columns, 0 diodes, 0.4 m of wire\n\n"
            "Plan the wiring of desk\n"
            "  --- desk.toml\n"
            "  +++ desk.toml\n"
        )
        + ran.out[ran.out.index("  @@") :]
    )
    assert "  +crossing = [1, 1]\n" in ran.out
    assert (wired / "desk.toml").read_text() == before

    ran = platebook("wiring", "plan", "--library", wired, "--write")
    assert (ran.code, ran.err) == (0, "changed desk.toml\n")
    assert (wired / "desk.toml").read_text() == before.replace(
        "[60.0, 20.0]\nhole = 6.0\n", "[60.0, 20.0]\nhole = 6.0\ncrossing = [1, 1]\n"
    )


def test_plan_says_in_json_what_it_takes_and_changes(platebook: Run, wired: Path) -> None:
    edit(wired / "desk.toml", "[wiring]\n", '[wiring]\nboard = "atmega32u4"\n')
    document = json.loads(platebook("wiring", "plan", "--library", wired, "--json").out)

    assert document | {"wire": 0, "wire_before": 0} == {
        "format": 1,
        "device": "desk",
        "rows": 2,
        "columns": 2,
        "diodes": 0,
        "wire": 0,
        "wire_before": 0,
        "lacks": [],
        "notes": [],
        "contacts": [],
        "files": [],
        "written": False,
    }


def test_plan_needs_a_board(platebook: Run, wired: Path) -> None:
    ran = platebook("wiring", "plan", "--library", wired)

    assert (ran.code, ran.err) == (
        2,
        "platebook: no board is known for `desk`, so there are no pins to choose from\n"
        "  Name one as `board` in its wiring; `platebook boards` lists them.\n",
    )
