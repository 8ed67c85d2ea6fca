"""Numbers learnt by pressing, put into the device file."""

from pathlib import Path

import pytest

from profiles.files.edit import FileEditor
from profiles.live.learn import Lesson, learn_inputs
from profiles.model import Device
from profiles.work.press_learn import change_inputs
from tests.live.test_learn import observe

LATCH = """\
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
position = [10.0, 10.0]
hole = 10.0
reports = "edges"
"""


@pytest.mark.parametrize(
    ("given", "heard", "written"),
    [
        ("input = 1 # mine", {"on": 5}, "input = 5 # mine"),
        ("input = 1", {"off": 6}, "inputs = { off = 6, on = 1 }"),
        ("input = 1 # mine", {"off": 6}, "inputs = { off = 6, on = 1 } # mine"),
        ("input = 1", {"on": 5, "off": 6}, "inputs = { on = 5, off = 6 }"),
        ("input = 1 # mine", {"on": 5, "off": 6}, "inputs = { on = 5, off = 6 } # mine"),
        ("inputs = { off = 2 }", {"on": 5}, "inputs = { off = 2, on = 5 }"),
    ],
)
def test_a_control_keeps_input_or_inputs_never_both(
    tmp_path: Path, given: str, heard: dict[str, int], written: str
) -> None:
    path = tmp_path / "desk.toml"
    path.write_text(f"{LATCH}{given}\n", encoding="utf-8")
    editor = FileEditor.open(path)
    device = Device.model_validate(editor.content)
    lesson: Lesson = learn_inputs(
        device, [observe(device, f"put-{name} lamp.{name}", n) for name, n in heard.items()]
    )
    change_inputs(editor, device, lesson)
    editor.save()
    assert path.read_text(encoding="utf-8") == f"{LATCH}{written}\n"
