"""A matrix on the pins that a small AVR board brings out passes every door."""

import json
from pathlib import Path

from tests.conftest import Run

ROWS, COLUMNS = ("10", "16", "14", "15"), ("4", "5", "6", "7", "9")


def write_box(folder: Path) -> Path:
    """A box with a button and a diode at each of 20 crossings."""
    controls = "".join(
        f"[controls.key-{row}-{column}]\n"
        f'kind = "momentary"\nlabel = "K{row}{column}"\n'
        f"position = [{35 * column}.0, {35 * row}.0]\nhole = 16.2\nfront = 18.0\n"
        f"crossing = [{row}, {column}]\n"
        for row in range(1, len(ROWS) + 1)
        for column in range(1, len(COLUMNS) + 1)
    )
    path = folder / "box.toml"
    path.write_text(
        'format = 1\n[device]\nid = "box"\nname = "Box"\n'
        "[plate]\nwidth = 210.0\nheight = 175.0\n"
        f'[wiring]\nboard = "atmega32u4-small"\nrows = {json.dumps(ROWS)}\n'
        f'columns = {json.dumps(COLUMNS)}\ndiodes = "every"\n'
        f'numbering = "along-rows"\n{controls}',
        encoding="utf-8",
    )
    return path


def test_a_matrix_on_pins_10_16_14_15_by_4_to_7_and_9_passes(
    tmp_path: Path, platebook: Run
) -> None:
    library = tmp_path / "library"
    library.mkdir()
    write_box(library)

    checked = platebook("check", "--library", str(library), "--json")
    assert (checked.code, json.loads(checked.out)["findings"]) == (0, [])

    shown = platebook("wiring", "show", "box", "--library", str(library), "--json")
    assert shown.code == 0
    assert json.loads(shown.out)["free_pins"] == ["0", "1", "2", "3", "8", "A0", "A1", "A2", "A3"]

    out = tmp_path / "out"
    made = platebook(
        "firmware", "box", "--for", "avr", "--library", str(library), "--output", str(out)
    )
    assert (made.code, "note" in made.err) == (0, False), made.err
    (config,) = out.rglob("box_config.h")
    assert "10, 16, 14, 15" in config.read_text("utf-8")
    assert "4, 5, 6, 7, 9" in config.read_text("utf-8")
