"""Parts described once: filled into controls, and each fault told where the file has it."""

import json
from pathlib import Path

import pytest
import yaml

from profiles.files.convert import convert_file
from profiles.files.documents import parse_text, read_document
from profiles.files.library import load_library
from profiles.files.places import Format
from profiles.files.validate import validate_content
from profiles.model import Device
from profiles.work.controls import change_fields, fields_of
from profiles.work.copy import WorkingCopy
from tests.conftest import EXAMPLES

BOX = """
format = 1
[device]
id = "box"
name = "Box"
[plate]
width = 120.0
height = 80.0
[parts.push]
name = "Push-button"
kind = "momentary"
hole = 16.2
front = 18.0
unit_price = 2.40
led = { forward_voltage = 2.1, current = 8.0 }
[controls.horn]
part = "push"
label = "HORN"
position = [30.0, 40.0]
"""
KNOB = """
format = 1
[part]
id = "knob"
name = "Knob"
kind = "rotary"
hole = 7.0
detents = 20
"""
TRIM = """
[controls.trim]
part = "knob"
label = "TRIM"
position = [80.0, 40.0]
"""


def read(folder: Path, **texts: str) -> tuple[list[str], Device | None]:
    """What is wrong with the files of a library, and its box."""
    for name, text in texts.items():
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")
    loaded = load_library(folder)
    told = []
    for finding in loaded.problems:
        assert finding.place is not None
        name = Path(finding.place.file).name
        told.append(f"{name}:{finding.place.line} {finding.message} -> {finding.remedy}")
    return told, loaded.library.devices.get("box")


def test_a_control_needs_no_more_than_part_label_and_position(tmp_path: Path) -> None:
    told, box = read(tmp_path, box=BOX)

    assert told == []
    assert box is not None
    horn = box.controls["horn"]
    assert (horn.kind, horn.hole, horn.front, horn.unit_price) == ("momentary", 16.2, 18.0, "2.4")


def test_what_a_control_gives_itself_comes_first(tmp_path: Path) -> None:
    _, box = read(tmp_path, box=f'{BOX}front = 22.0\nled = {{ pin = "A1" }}\n')

    assert box is not None
    horn = box.controls["horn"]
    assert (horn.hole, horn.front) == (16.2, 22.0)
    assert horn.led is not None
    assert (horn.led.pin, horn.led.current) == ("A1", 8.0)


@pytest.mark.parametrize("name", ["a-knob", "zz-knob"])
def test_a_part_of_the_library_serves_every_device(tmp_path: Path, name: str) -> None:
    told, box = read(tmp_path, box=BOX + TRIM, **{name: KNOB})

    assert told == []
    assert box is not None
    assert (box.controls["trim"].kind, box.parts["knob"].name) == ("rotary", "Knob")


def test_a_part_of_the_device_stands_before_one_of_the_library(tmp_path: Path) -> None:
    other = KNOB.replace('"knob"', '"push"')
    _, box = read(tmp_path, box=BOX, other=other)

    assert box is not None
    assert box.controls["horn"].kind == "momentary"


def test_an_unknown_part_is_told_at_its_line_with_a_close_spelling(tmp_path: Path) -> None:
    told, _ = read(tmp_path, box=BOX.replace('part = "push"', 'part = "pish"'))

    assert told == ["box.toml:17 `controls.horn` names no part `pish` -> Write `push`"]


def test_an_unknown_part_that_is_like_no_other_is_to_be_described(tmp_path: Path) -> None:
    told, _ = read(tmp_path, box=BOX + TRIM)

    assert told == [
        "box.toml:22 `controls.trim` names no part `knob` -> Describe it as `parts.knob`"
    ]


def test_a_part_whose_own_file_is_faulty_is_not_called_unknown(tmp_path: Path) -> None:
    told, _ = read(tmp_path, box=BOX + TRIM, knob=KNOB.replace("7.0", "-7.0"))

    assert told == [
        "knob.toml:7 `part.hole` must be a number above 0 -> "
        "Write a number above 0: Hole in the plate, mm: diameter, [width, height], "
        "or a table for other shapes",
        "box.toml:22 `controls.trim` names part `knob`, whose file cannot be used -> "
        "Correct that file first",
    ]


def test_a_wrong_value_of_a_part_is_told_once_at_its_own_line(tmp_path: Path) -> None:
    bell = '[controls.bell]\npart = "push"\nlabel = "BELL"\nposition = [70.0, 40.0]\n'
    told, _ = read(tmp_path, box=BOX.replace("hole = 16.2", "hole = -1.0") + bell)

    assert told == [
        "box.toml:12 `parts.push.hole` must be a number above 0 -> "
        "Write a number above 0: Hole in the plate, mm: diameter, [width, height], "
        "or a table for other shapes"
    ]


@pytest.mark.parametrize("key", ["label", "position"])
def test_a_key_of_the_control_alone_is_missed_there_and_not_in_its_part(
    tmp_path: Path, key: str
) -> None:
    lines = BOX.splitlines(keepends=True)
    line = 1 + lines.index("[controls.horn]\n")
    told, _ = read(tmp_path, box="".join(one for one in lines if not one.startswith(f"{key} =")))
    about = {
        "label": "The words engraved or printed for the control itself",
        "position": "Centre, mm from the plate's lower left corner",
    }[key]
    assert told == [f"box.toml:{line} `controls.horn` has no `{key}` -> Add `{key}`: {about}"]


def test_a_contact_that_the_kind_lacks_is_told_at_the_part(tmp_path: Path) -> None:
    faulty = BOX.replace("unit_price = 2.40", 'labels = { on = "ON" }')
    told, _ = read(tmp_path, box=faulty)

    assert told == ["box.toml:14 `parts.push.labels` names no contact `on` -> Write `press`"]


@pytest.mark.parametrize("key", ["position = [1.0, 2.0]", "input = 3", "bit = 2"])
def test_what_belongs_to_one_control_is_no_key_of_a_part(tmp_path: Path, key: str) -> None:
    told, _ = read(tmp_path, box=BOX.replace("unit_price = 2.40", key))

    word = key.partition(" ")[0]
    assert len(told) == 1
    assert told[0].startswith(f"box.toml:14 unknown key `{word}` in `parts.push` -> Remove it;")


def test_the_three_formats_give_the_same_part_and_survive_conversion(tmp_path: Path) -> None:
    (tmp_path / "knob.toml").write_text(KNOB, encoding="utf-8")
    content = read_document(tmp_path / "knob.toml").content
    part = validate_content(content)
    for form, text in (("json", json.dumps(content)), ("yaml", yaml.safe_dump(content))):
        assert validate_content(parse_text(text, "json" if form == "json" else "yaml")) == part
    forms: tuple[Format, ...] = ("json", "yaml")
    for form in forms:
        there = tmp_path / f"knob.{form}"
        there.write_text(convert_file(tmp_path / "knob.toml", form).text, encoding="utf-8")
        assert parse_text(convert_file(there, "toml").text, "toml") == content


def test_a_typed_front_goes_to_the_control_and_leaves_the_part(tmp_path: Path) -> None:
    read(tmp_path, box=BOX + TRIM, knob=KNOB)
    copy = WorkingCopy(load_library(tmp_path))
    box = copy.library.devices["box"]
    typed = {**fields_of(box, "trim"), "front": "24"}

    assert change_fields(copy.library, "box", "trim", typed).apply(copy)

    box = copy.library.devices["box"]
    assert (box.controls["trim"].front, box.controls["trim"].hole) == (24.0, 7.0)
    assert copy.text("box").startswith(BOX + TRIM)
    assert box.parts["knob"].stands_for.__name__ == "Rotary"


def test_the_harbour_describes_each_part_of_the_helm_desk_once() -> None:
    content = read_document(EXAMPLES / "harbour" / "devices" / "helm-desk.toml").content

    assert {key for one in content["controls"].values() for key in one} & {"kind", "hole"} == set()


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ('kind = "button"', "`parts.push.kind` is no kind of control -> Write `momentary`"),
        ('kindd = "momentary"', "unknown key `kindd` in `parts.push` -> Write `kind`"),
    ],
)
def test_a_part_without_a_sound_kind_is_told_once_and_not_at_each_control(
    tmp_path: Path, wrong: str, told: str
) -> None:
    text = BOX.replace('kind = "momentary"', wrong) + TRIM.replace("knob", "push")

    faults, _ = read(tmp_path, box=text)

    assert [fault.partition(" ")[2] for fault in faults] == [told]


def test_a_control_with_a_wrong_kind_of_its_own_is_still_told(tmp_path: Path) -> None:
    text = BOX.replace('kind = "momentary"', 'kind = "button"') + TRIM.replace("knob", "push")

    faults, _ = read(tmp_path, box=f'{text}kind = "wheel"\n')

    assert [fault.partition(" ")[2] for fault in faults] == [
        "`parts.push.kind` is no kind of control -> Write `momentary`",
        "`controls.trim.kind` is no kind of control -> Write `rotary`",
    ]
