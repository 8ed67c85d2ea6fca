"""The boards that a device may name, and their pins."""

import json
from pathlib import Path

from tests.conftest import Run, edit


def test_boards_and_free_pins_are_listed(library: Path, platebook: Run) -> None:
    edit(library / "desk.toml", "input = 1", 'input = 1\npin = "14"')
    where = ("--library", str(library), "--json")

    listed = json.loads(platebook("boards", *where).out)["boards"]
    assert {"atmega32u4-small", "rp2040", "samd21"} <= {one["id"] for one in listed}

    shown = json.loads(platebook("boards", "atmega32u4-small", "--device", "desk", *where).out)
    pins = {one["pin"]: one for one in shown["pins"]}
    assert [(pins[pin]["uses"], pins[pin]["free"]) for pin in ("14", "15")] == [
        ("horn.press", False),
        ("free", True),
    ]
    assert shown["firmware"] == "avr"
    assert pins["14"]["can"] == ["input", "output", "pull-up", "miso of spi"]
    assert pins["A0"]["can"] == ["input", "output", "pull-up", "analog"]
    assert platebook("boards", "rp2041", *where).code == 2
