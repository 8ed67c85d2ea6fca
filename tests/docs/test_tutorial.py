"""The tutorial, word for word: files saved, commands run and the box tested as it says.

`python -m tests.docs.test_tutorial docs/pictures/tutorial` makes its pictures again.
"""

import sys
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from profiles.api import load
from tests.cli.pressing import Stage, damaged, stage
from tests.conftest import Run
from tests.docs.pages import DOCS, follow, is_shown, needs_a_box_or_screen, read_steps, run_line
from tests.live.virtual import VirtualBox

__all__ = ["stage"]

STEPS = read_steps((DOCS / "tutorial.md").read_text(encoding="utf-8"))
PICTURES = {
    "legend": "legend --profile evening",
    "drill": "drill --device pocket",
    "wiring": "wiring --device pocket",
}


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


def test_a_line_of_dots_stands_for_any_lines_and_nothing_else_does() -> None:
    assert is_shown("a\n...\nd\n", "a\nb\nc\nd\n")
    assert is_shown("...\nd\n", "d\n")
    assert not is_shown("a\nd\n", "a\nb\nd\n")
    assert not is_shown("a\n...\nd\n", "a\nb\nc\n")


def make_pictures(folder: Path) -> None:
    """Do the tutorial and keep its sheets as SVG."""
    alone = [step for step in STEPS if not needs_a_box_or_screen(step.text)]
    with TemporaryDirectory() as name:
        assert list(follow(alone, Path(name))) == []
        for picture, words in PICTURES.items():
            line = f"platebook print {words} --format svg --no-date -o {picture}.svg"
            assert run_line(line, Path(name, "boxes"))[0] == 0
            text = Path(name, "boxes", f"{picture}.svg").read_text(encoding="utf-8")
            (folder / f"{picture}.svg").write_text(text, encoding="utf-8")


if __name__ == "__main__":
    make_pictures(Path(sys.argv[1]))
