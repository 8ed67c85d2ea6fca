"""What people write by mistake is told where it is, with one remedy that is right."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from profiles.api import check, load

DATA = tomllib.loads(Path(__file__).with_name("mistakes.toml").read_text("utf-8"))
FILES: dict[str, str] = DATA["files"]
MISTAKES: list[dict[str, Any]] = DATA["mistakes"]


def tell(folder: Path, files: dict[str, str]) -> list[str]:
    """Return the errors of a library of these files, with line and column."""
    for name, text in files.items():
        (folder / f"{name}.toml").write_text(text, "utf-8")
    told = []
    for one in check(load(folder)).findings:
        place = ":".join(str(at) for at in (one.place or ())[1:3] if at)
        if one.severity == "error":
            told.append(f"{place} {one.message} -> {one.remedy}".strip())
    return told


def test_the_files_without_a_mistake_are_fine(tmp_path: Path) -> None:
    assert tell(tmp_path, FILES) == []


@pytest.mark.parametrize("mistake", MISTAKES, ids=lambda mistake: mistake["wrong"])
def test_each_mistake_is_told_where_it_is_with_its_remedy(
    tmp_path: Path, mistake: dict[str, Any]
) -> None:
    right = FILES[mistake["file"]]
    assert mistake["right"] in right
    wrong = right.replace(mistake["right"], mistake["wrong"], 1)
    assert tell(tmp_path, {**FILES, mistake["file"]: wrong}) == mistake["told"]


def test_nearly_every_mistake_is_told_once() -> None:
    """At least 43 in 45: one finding, one remedy."""
    once = sum(len(mistake["told"]) == 1 for mistake in MISTAKES)
    assert len(MISTAKES) >= 45
    assert once / len(MISTAKES) >= 43 / 45
