"""The tutorial, word for word: files saved, commands run and the box tested as it says.

Its pictures are made again by `python -m tests.docs.pictures docs/pictures`.
"""

import re
from collections.abc import Iterator
from pathlib import Path
from xml.etree import ElementTree

import pytest

from profiles.api import load
from profiles.live.faults import Fault
from tests.cli.pressing import Stage, damaged, stage
from tests.conftest import Run
from tests.docs.pages import DOCS, follow, is_shown, read_steps
from tests.docs.pictures import RENEW, make_pictures
from tests.live.virtual import VirtualBox

__all__ = ["stage"]

SVG = "{http://www.w3.org/2000/svg}"
PAGE = (DOCS / "tutorial.md").read_text(encoding="utf-8")
STEPS = read_steps(PAGE)


@pytest.fixture
def virtual(stage: Stage) -> Iterator[VirtualBox]:
    with VirtualBox(8) as plugged:
        yield plugged


def test_the_tutorial_works_word_for_word(
    tmp_path: Path,
    platebook: Run,
    stage: Stage,
    virtual: VirtualBox,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The box of step 9 is soldered as the sheet says; somebody presses what is asked."""

    def press(line: str, folder: Path) -> str:
        monkeypatch.chdir(folder)
        device = load(folder).library.devices["pocket"]
        stage.put(stage.do_steps(virtual, damaged(device, virtual=virtual)))
        return platebook(*line.split()[1:]).out

    wrong = list(follow(STEPS, tmp_path, press))
    assert not wrong, "\n\n".join(wrong)


def test_a_wire_that_is_wrong_is_named_as_the_tutorial_says(
    tmp_path: Path, platebook: Run, stage: Stage, virtual: VirtualBox
) -> None:
    """On the same box with the wires of two columns exchanged at the board."""
    (said,) = re.findall(r'names it: "([^"]+)"', PAGE)
    before = STEPS.index(next(step for step in STEPS if "press test" in step.text))
    alone = [step for step in STEPS[:before] if "print" not in step.text]
    assert list(follow(alone, tmp_path)) == []
    device = load(tmp_path / "boxes").library.devices["pocket"]
    swapped = Fault("swapped", (3, 4))
    stage.put(stage.do_steps(virtual, damaged(device, swapped, virtual=virtual)))
    ran = platebook("press", "test", "pocket", "--library", tmp_path / "boxes")
    assert ran.code == 1
    assert " ".join(said.split()) in " ".join(ran.out.split())


def test_a_line_of_dots_stands_for_any_lines_and_nothing_else_does() -> None:
    assert is_shown("a\n...\nd\n", "a\nb\nc\nd\n")
    assert is_shown("...\nd\n", "d\n")
    assert not is_shown("a\nd\n", "a\nb\nd\n")
    assert not is_shown("a\n...\nd\n", "a\nb\nc\n")


def read_picture(text: str) -> tuple[str | None, list[str]]:
    """The size of a drawing and its words, in alphabetical order."""
    root = ElementTree.fromstring(text)
    words = ("".join(one.itertext()).strip() for one in root.iter(f"{SVG}text"))
    return root.get("viewBox"), sorted(words)


def test_the_pictures_of_sheets_show_what_the_program_prints() -> None:
    for name, text in make_pictures().items():
        kept = (DOCS / "pictures" / f"{name}.svg").read_text(encoding="utf-8")
        assert read_picture(text)[1]
        assert read_picture(kept) == read_picture(text), f"{name} is out of date; run: {RENEW}"
