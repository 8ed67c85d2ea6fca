"""`platebook rename` and `delete`: shown first, done with `--write`."""

import json
from pathlib import Path

import pytest

from tests.conftest import Run
from tests.work.libraries import write_desk


@pytest.fixture
def library(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A small library in the current folder."""
    folder = write_desk(tmp_path / "library")
    monkeypatch.chdir(folder)
    return folder


def codes_of(platebook: Run) -> list[str]:
    """What a check finds."""
    return sorted(one["code"] for one in json.loads(platebook("check", "--json").out)["findings"])


def test_a_rename_is_shown_and_nothing_written(platebook: Run, library: Path) -> None:
    before = {path: path.read_bytes() for path in library.iterdir()}
    ran = platebook("rename", "desk", "bench")

    assert (ran.code, ran.err) == (0, "note: nothing is written; --write changes the file\n")
    assert "  `harbour-desk` names it by its new id\n" in ran.out
    assert '  +device = "bench"\n' in ran.out
    assert {path: path.read_bytes() for path in library.iterdir()} == before


def test_a_rename_is_written_with_all_that_names_it(platebook: Run, library: Path) -> None:
    before = codes_of(platebook)
    ran = platebook("rename", "desk", "bench", "--write", "--json")

    assert ran.code == 0
    assert json.loads(ran.out)["written"] is True
    assert codes_of(platebook) == before
    assert not (library / "desk.toml").exists()
    assert 'id = "bench"' in (library / "bench.toml").read_text("utf-8")


def test_a_deletion_tells_what_leads_nowhere(platebook: Run, library: Path) -> None:
    ran = platebook("delete", "harbour")
    assert ran.code == 0
    assert "  `harbour-desk` names `harbour`, which then leads nowhere\n" in ran.out
    assert platebook("delete", "harbour", "--write").code == 0
    assert "name-unknown" in codes_of(platebook)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("rename", "desk", "harbour"), "id `harbour` is taken in this library; choose another"),
        (("rename", "dosk", "x"), "the library has no document `dosk`\n  Did you mean `desk`?"),
        (("delete", "dosk"), "the library has no document `dosk`\n  Did you mean `desk`?"),
    ],
)
def test_what_cannot_be_done_is_told(
    platebook: Run, library: Path, words: tuple[str, ...], told: str
) -> None:
    ran = platebook(*words)
    assert (ran.code, ran.out, ran.err) == (2, "", f"platebook: {told}\n")
