"""`platebook demo`: a folder with the examples, checked and printed, and what to try next."""

import os
import shlex
from pathlib import Path

import pytest

from profiles.cli.main import run
from profiles.sheets.requests import SHEETS
from tests.cli.conftest import Run


@pytest.fixture
def shown(platebook: Run) -> str:
    ran = platebook("demo", "my box", "--no-date")
    assert ran.code == 0
    return ran.out


def test_every_kind_of_sheet_is_printed_and_named(shown: str, tmp_path: Path) -> None:
    printed = sorted((tmp_path / "my box" / "sheets").iterdir())
    assert all(path.stat().st_size > 500 for path in printed)
    assert all(f"  {Path('my box', 'sheets', path.name)}\n" in shown for path in printed)
    for kind in SHEETS:
        assert any(path.stem.endswith(kind) for path in printed)
    assert "Nothing found.\n" in shown


@pytest.mark.skipif(os.name == "nt", reason="quotes as POSIX shells take them")
def test_what_it_advises_works_as_it_stands(shown: str, capsys: pytest.CaptureFixture[str]) -> None:
    lines = shown[shown.index("Then try:") :].splitlines()[1:]
    ends = []
    for line in lines:
        words = shlex.split(line)
        at = next(n for n, word in enumerate(words) if word in ("check", "explain", "print", "new"))
        ends.append(run(words[at:]))
    assert ends == [0, 1, 0, 0, 0], capsys.readouterr().err


def test_a_folder_with_something_in_it_is_left_alone(platebook: Run, tmp_path: Path) -> None:
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "note.txt").write_text("x", encoding="utf-8")
    ran = platebook("demo", "mine")
    assert (ran.code, ran.out) == (2, "")
    assert ran.err == (
        "platebook: mine is there already and not empty\n"
        "  Name another folder: `platebook demo FOLDER`.\n"
    )
    assert [path.name for path in (tmp_path / "mine").iterdir()] == ["note.txt"]


def test_a_place_that_takes_no_folder_is_named(platebook: Run, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x", encoding="utf-8")
    ran = platebook("demo", "file/demo")
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.startswith(f"platebook: cannot copy to {Path('file', 'demo')}: ")


def test_a_demo_does_not_become_part_of_a_library(platebook: Run, tmp_path: Path) -> None:
    assert platebook("new", "device", "helm").code == 0
    ran = platebook("demo")
    assert (ran.code, ran.out) == (2, "")
    assert ran.err == (
        f"platebook: {tmp_path.as_posix()} is a library, and the demo would become part of it\n"
        "  Name a folder elsewhere: `platebook demo FOLDER`.\n"
    )
    assert not Path("platebook-demo").exists()
