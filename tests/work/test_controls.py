"""What edits of a control mean for profiles, told before they are made."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from profiles.files.edit import FileEditor
from profiles.model import Application, Device, Library, Profile
from profiles.work.controls import (
    add,
    change_fields,
    check_fields,
    fields_of,
    renumber,
    starting_fields,
)
from profiles.work.open_files import OpenFiles

BOX: dict[str, Any] = {
    "format": 1,
    "device": {"id": "desk", "name": "Desk"},
    "plate": {"width": 100.0, "height": 100.0},
    "wiring": {"rows": ["2"], "columns": ["3", "4"], "numbering": "along-rows"},
    "controls": {
        "horn": {"kind": "momentary", "crossing": [1, 1]},
        "bell": {"kind": "momentary", "crossing": [1, 2]},
        "lone": {"kind": "momentary", "pin": "5", "input": 9},
    },
}


def opened(editor: FileEditor) -> OpenFiles:
    """Files of which one is open already."""
    files = OpenFiles(lambda _: (editor.path, editor.data))
    files.editors["desk"] = editor
    return files


@pytest.fixture
def library() -> Library:
    box = {**BOX, "controls": {**BOX["controls"]}}
    for name, control in box["controls"].items():
        place = {"label": name, "position": [50.0, 50.0], "hole": 10.0}
        box["controls"][name] = {**place, **control}
    application = {
        "format": 1,
        "application": {"id": "tram", "name": "Tram"},
        "actions": {"go": {"name": "Go"}, "stop": {"name": "Stop"}},
    }
    profile = {
        "format": 1,
        "profile": {"application": "tram", "device": "desk", "id": "ride"},
        "bindings": {"horn": "go", "lone + bell": "stop"},
    }
    return Library.of(
        [
            Device.model_validate(box),
            Application.model_validate(application),
            Profile.model_validate(profile),
        ]
    )


@pytest.mark.parametrize(("control", "number"), [("horn", 1), ("bell", 2), ("lone", 9)])
def test_renumbering_with_the_same_number_means_nothing_for_any_profile(
    library: Library, control: str, number: int
) -> None:
    """Whether the number is declared or comes from the wiring."""
    assert renumber(library, "desk", control, {"press": number}).effects == ()


def test_another_number_of_a_held_contact_is_bound_anew_too(library: Library) -> None:
    assert renumber(library, "desk", "lone", {"press": 8}).effects == (
        "`ride`: bind 1 action again in the application: `stop`",
    )


def test_a_number_that_the_wiring_gives_is_said_to_stay(library: Library) -> None:
    assert renumber(library, "desk", "horn", {"press": 8}).effects == (
        "`desk` keeps input 1 for `horn.press`: its wiring gives it",
    )


HEAD = """\
format = 1
[device]
id = "desk"
name = "Desk"
[plate]
width = 100.0
height = 100.0
[controls.lamp]
kind = "latching"
label = "LAMP"
position = [50.0, 50.0]
hole = 12.2
"""


@pytest.mark.parametrize(
    ("before", "numbers", "after"),
    [
        ("input = 1  # red wire", {"on": 7}, "input = 7  # red wire"),
        ("inputs = { on = 1 }  # red", {"on": 7}, "inputs = { on = 7 }  # red"),
        ("inputs.on = 1  # red\ninputs.off = 2  # blue", {"on": 7}, "inputs.on = 7  # red"),
        (
            "[controls.lamp.inputs]\non = 1  # red\n# spare\noff = 2  # blue",
            {"on": 1, "off": 8},
            "[controls.lamp.inputs]\non = 1  # red\n# spare\noff = 8  # blue",
        ),
        (
            "input = 1  # red\ninputs = { off = 2 }  # blue",
            {"on": 7, "off": 8},
            "input = 7  # red\ninputs = { off = 8 }  # blue",
        ),
        ("input = 1  # red\ninputs.off = 2  # blue", {"off": 3}, "inputs.off = 3  # blue"),
        ("input = 1  # red wire", {"on": 1, "off": 2}, "inputs = { on = 1, off = 2 }  # red wire"),
        ("input = 1  # red wire", {"off": 2}, "inputs = { off = 2 }  # red wire"),
        ("inputs = { on = 1 }  # red", {"off": 2}, "inputs = { off = 2 }  # red"),
        ("note = ''  # red", {"on": 3}, "note = ''  # red\ninput = 3"),
        ("note = ''  # red\ninputs = { on = 3 }", {}, "note = ''  # red"),
        ("note = ''  # red\ninput = 3", {}, "note = ''  # red"),
    ],
)
def test_renumbering_keeps_the_form_and_the_comments(
    before: str, numbers: Mapping[str, int], after: str
) -> None:
    editor = FileEditor(Path("desk.toml"), f"{HEAD}{before}\n".encode())
    desk = editor.validate()
    assert isinstance(desk, Device)

    renumber(Library.of([desk]), "desk", "lamp", numbers).change(opened(editor))

    assert editor.text == f"{HEAD}{after}\n"
    then = editor.validate()
    assert isinstance(then, Device)
    assert then.controls["lamp"].input_by_contact == numbers


def test_a_number_against_the_wiring_is_not_written(library: Library) -> None:
    desk = library.devices["desk"]
    editor = FileEditor(Path("desk.toml"), HEAD.encode())
    editor.set(("wiring",), desk.plain()["wiring"])
    editor.set_control("horn", desk.plain()["controls"]["horn"])
    before = editor.text

    renumber(library, "desk", "horn", {"press": 8}).change(opened(editor))

    assert editor.text == before


SLOTTED = HEAD.replace("hole = 12.2", "hole = { diameter = 12.2, across_flats = 11.0 }  # D")


@pytest.mark.parametrize(
    ("typed", "written"),
    [
        ({"label": "BULB"}, "hole = { diameter = 12.2, across_flats = 11.0 }  # D"),
        ({"hole": "16.2"}, "hole = 16.2  # D"),
        ({"hole": "19 x 13"}, "hole = [19.0, 13.0]  # D"),
    ],
)
def test_a_hole_that_is_a_table_stays_unless_a_size_is_typed(
    typed: dict[str, str], written: str
) -> None:
    editor = FileEditor(Path("desk.toml"), SLOTTED.encode())
    desk = editor.validate()
    assert isinstance(desk, Device)
    fields = {**fields_of(desk, "lamp"), **typed}

    assert check_fields(desk, "lamp", fields) is None
    change_fields(Library.of([desk]), "desk", "lamp", fields).change(opened(editor))
    assert written in editor.text
    assert editor.validate() is not None


def test_a_new_control_has_the_hole_of_the_first_of_its_kind_whatever_its_shape() -> None:
    editor = FileEditor(Path("desk.toml"), SLOTTED.encode())
    desk = editor.validate()
    assert isinstance(desk, Device)

    fields = starting_fields(desk, "latching", "NEW", 10.0, 10.0)
    add("desk", "new", fields).change(opened(editor))
    then = editor.validate()
    assert isinstance(then, Device)
    assert then.controls["new"].hole == desk.controls["lamp"].hole
