"""Whatever a box is made of: no door fails, and those that refuse say why.

`devices` are wired in any way, sound or not; `contents` hold every building block, on boards.
"""

from contextlib import suppress
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
from hypothesis import given, settings

from profiles.api import load, print_all
from profiles.cli.main import run
from profiles.files.write import write_content
from profiles.firmware import CannotBuildError, interpreter_files, sketch_files
from profiles.live.diagnosis import diagnose
from profiles.live.session import Session
from profiles.live.words import ask_step
from profiles.model import Device, Library
from profiles.report.data import render_json
from profiles.sheets.bill import list_needs
from profiles.sheets.wiring_report import report_wiring
from profiles.wiring.box import harness_of
from profiles.wiring.circuit import pins_used_twice
from tests.any_box import contents
from tests.checks.test_any_library import devices, words
from tests.live.test_examples import hear_all

BOARDS = (None, "atmega32u4", "atmega32u4-small", "rp2040", "samd21", "esp32-s2", "esp32-s3")
DOORS = [
    ("check", "--json"),
    ("wiring", "show", "random"),
    ("wiring", "host", "random"),
    ("wiring", "descriptor", "random"),
    ("boards", "atmega32u4"),
    ("firmware", "random", "--for", "avr", "-o", "avr"),
    ("firmware", "random", "--for", "python", "-o", "python"),
    ("arrange", "random", "--mirror", "left-right", "--write"),
    ("changes", "."),
    ("compare", "--json"),
    ("suggest", "bound"),
]


@settings(max_examples=150, deadline=None)
@given(devices("box"))
def test_no_door_of_the_wiring_fails(device: Device) -> None:
    pins_used_twice(device)
    harness_of(device)
    list_needs(device)
    render_json(report_wiring(Library.of([device]), device))
    for write in (sketch_files, interpreter_files):
        with suppress(CannotBuildError):
            assert write(device)


def write_library(folder: Path, content: dict[str, Any]) -> None:
    """A box, an application of an action for each contact that the host meets, and its profile."""
    device = Device.model_validate(content)
    names = [f"{key}.{one}" for key, control in device.controls.items() for one in control.contacts]
    actions = {
        f"action-{at}": {"name": name, "legend": content["device"]["name"]}
        for at, name in enumerate(names)
    }
    files = {
        "box": content,
        "play": {"application": {"id": "play", "name": "Play"}, "actions": actions},
        "bound": {
            "profile": {"id": "bound", "application": "play", "device": "random"},
            "bindings": {name: f"action-{at}" for at, name in enumerate(names)},
        },
    }
    for stem, one in files.items():
        text = write_content({"format": 1, **one}, "toml")
        (folder / f"{stem}.toml").write_text(text, encoding="utf-8")


@pytest.mark.long
@pytest.mark.parametrize("part", range(2))
def test_no_door_fails_on_any_box(part: int, capsys: Any, monkeypatch: Any) -> None:
    """Commands end with 0, 1 or 2, every sheet is printed, a press test knows its own box."""
    monkeypatch.delenv("PLATEBOOK_LIBRARY", raising=False)

    @settings(max_examples=6, deadline=None)
    @given(contents(boards=BOARDS[part::2], words=words))
    def try_doors(content: dict[str, Any]) -> None:
        with TemporaryDirectory() as place, monkeypatch.context() as inside:
            folder = Path(place)
            inside.chdir(folder)
            write_library(folder, content)
            loaded = load(folder)
            assert loaded.problems == ()
            (device,) = loaded.library.devices.values()
            for door in DOORS:
                code = run(list(door))
                told = capsys.readouterr()
                assert code in (0, 1, 2), (door, told.err)
                assert "Traceback" not in told.err
            assert [one.problem for one in print_all(loaded, folder / "out") if one.problem] == []
            session = Session(device, "full")
            assert all(ask_step(session.model, step) for step in session.steps)
            assert diagnose(session.model, hear_all(session, ())).is_sound

    try_doors()
