"""`platebook press learn`: numbers by pressing, the difference first, comments kept."""

import json
from collections.abc import Iterator
from pathlib import Path
from shutil import copytree

import pytest

from profiles.api import load
from tests.cli.conftest import Run, edit
from tests.cli.pressing import Deed, Stage, stage
from tests.live.virtual import VirtualBox

__all__ = ["stage"]

DESK_DIFFERENCE = """\
2 numbers to change, 0 right already, 0 left open

--- {path}
+++ {path}, learnt
@@ -15,5 +15,5 @@
 hole = 16.2
 front = 18.0
-input = 1
+input = 7 # the loud one
{blank}
 [controls.bell]
@@ -23,3 +23,3 @@
 hole = 16.2
 front = 18.0
-input = 2
+input = 1
"""


@pytest.fixture
def virtual(stage: Stage) -> Iterator[VirtualBox]:
    with VirtualBox(8) as plugged:
        yield plugged


def press_in_turn(stage: Stage, virtual: VirtualBox, *numbers: int) -> Iterator[Deed]:
    """Hands off, then one button a step; the quiet after each ends it."""
    yield "next"
    for number in numbers:
        yield from stage.press(virtual, number)
        stage.wait(1000.0)
        yield None


def test_the_difference_is_shown_and_nothing_written(
    platebook: Run, library: Path, stage: Stage, virtual: VirtualBox
) -> None:
    path = library / "desk.toml"
    edit(path, "input = 1", "input = 1 # the loud one")
    before = path.read_bytes()
    stage.put(press_in_turn(stage, virtual, 7, 1))
    ran = platebook("press", "learn", "desk", "--library", library)
    wanted = DESK_DIFFERENCE.replace("-input = 1\n", "-input = 1 # the loud one\n")
    assert ran.out == wanted.format(path=path, blank=" ")
    assert ran.err.endswith("note: nothing is written yet; --write puts it into the file\n")
    assert (ran.code, path.read_bytes()) == (0, before)


def test_a_record_is_learnt_from_and_written_with_comments_kept(
    platebook: Run, library: Path, stage: Stage, virtual: VirtualBox
) -> None:
    path = library / "desk.toml"
    edit(path, "input = 1", "input = 1 # the loud one")
    stage.put(press_in_turn(stage, virtual, 7, 1))
    platebook("press", "learn", "desk", "--library", library)
    words = ("press", "learn", "desk", "--library", library, "--from", "desk-learn.jsonl")
    ran = platebook(*words, "--write")
    assert (ran.code, ran.err) == (0, f"written: {path}\n")
    text = path.read_text(encoding="utf-8")
    assert "input = 7 # the loud one\n" in text
    controls = load(library).library.devices["desk"].controls
    assert [controls[name].input_by_contact["press"] for name in ("horn", "bell")] == [7, 1]
    again = platebook(*words)
    assert again.out == "0 numbers to change, 2 right already, 0 left open\n"


def test_contacts_without_a_number_are_asked_too(
    platebook: Run, library: Path, stage: Stage, virtual: VirtualBox
) -> None:
    edit(library / "desk.toml", "input = 2\n", "")
    stage.put(press_in_turn(stage, virtual, 1, 2))
    ran = platebook("press", "learn", "desk", "--library", library, "--json")
    assert json.loads(ran.out) == {
        "format": 1,
        "device": "desk",
        "changes": [
            {
                "contact": "bell.press",
                "old": None,
                "new": 2,
                "path": ["controls", "bell", "input"],
            }
        ],
        "right": ["horn.press"],
        "open": [],
        "clashes": [],
    }


def test_what_stays_open_and_what_clashes_is_said_and_fails(
    platebook: Run, library: Path, stage: Stage, virtual: VirtualBox
) -> None:
    def script() -> Iterator[Deed]:
        yield from press_in_turn(stage, virtual, 2)
        yield "next"

    stage.put(script())
    ran = platebook("press", "learn", "desk", "--library", library)
    assert ran.code == 1
    assert ran.out.splitlines()[:3] == [
        "1 number to change, 0 right already, 1 left open",
        "open: bell.press: nothing was heard",
        "clash: input 2 would be that of horn.press and bell.press",
    ]


def test_numbers_against_the_numbering_of_the_file_are_warned_of(platebook: Run) -> None:
    from tests.cli.test_press_test import EXAMPLE, HARBOUR

    ran = platebook("press", "learn", "helm-desk", "--from", EXAMPLE, "--library", HARBOUR)
    assert ran.err.splitlines()[0] == (
        "warning: 9 numbers would contradict `numbering` in the file; "
        "`platebook press test helm-desk` tells whether a wire is wrong instead"
    )
    assert "--write" not in ran.err


def test_numbers_against_the_numbering_of_the_file_are_never_written(
    platebook: Run, tmp_path: Path
) -> None:
    from tests.cli.test_press_test import EXAMPLE, HARBOUR

    library = tmp_path / "copy"
    copytree(HARBOUR, library)
    device = library / "devices" / "helm-desk.toml"
    before = device.read_bytes()
    ran = platebook(
        "press", "learn", "helm-desk", "--from", EXAMPLE, "--write", "--library", library
    )
    assert ran.code == 2
    assert ran.err == (
        "platebook: 9 numbers would contradict `numbering` in the file; "
        "`platebook press test helm-desk` tells whether a wire is wrong instead\n"
        "  Nothing is written; remove `numbering` to number by hand.\n"
    )
    assert device.read_bytes() == before


def test_numbers_are_written_into_yaml_too(
    platebook: Run, library: Path, stage: Stage, virtual: VirtualBox
) -> None:
    path = library / "desk.yaml"
    platebook("convert", library / "desk.toml", "--to", "yaml", "-o", path)
    (library / "desk.toml").unlink()
    before = path.read_text("utf-8")
    stage.put(press_in_turn(stage, virtual, 7, 2))
    ran = platebook("press", "learn", "desk", "--library", library, "--write")
    assert (ran.code, ran.err.endswith(f"written: {path}\n")) == (0, True)
    assert path.read_text("utf-8") == before.replace("input: 1\n", "input: 7\n")
