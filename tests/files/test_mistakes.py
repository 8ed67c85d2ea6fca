"""What people write by mistake is told where it is, with one remedy that is right."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from profiles.api import check, load
from profiles.files.verify import verify_library

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


def test_the_published_schemas_refuse_in_the_same_words(tmp_path: Path) -> None:
    """An independent reader of the schemas, jsonschema, and the model, told alike."""
    refused = 0
    for mistake in MISTAKES:
        wrong = FILES[mistake["file"]].replace(mistake["right"], mistake["wrong"], 1)
        tell(tmp_path, {**FILES, mistake["file"]: wrong})
        told = [
            f"{place.line or ''}:{place.column or ''} {message} -> {remedy}".removeprefix(": ")
            for place, message, remedy in verify_library(load(tmp_path))
            if not message.startswith("`check` alone")
        ]
        refused += bool(told)
        assert told in ([], mistake["told"])
    assert refused >= 28


@pytest.mark.parametrize(
    ("file", "right", "wrong", "told"),
    [
        ("profile", 'device = "desk"\n', "", "`profile` needs either `device` or `devices`"),
        ("device", 'name = "Desk"', 'name = " "', "`device.name` must hold at least one letter"),
        ("device", "[30.0, 90.0]", "[30.0]", "`controls.horn.position` is a list of 1, too short"),
        ("device", "front = 18.0", "front = -1", "`controls.horn.front` must be a number above 0"),
        (
            "device",
            "crossing = [1, 1]",
            "inputs = { off = 1 }",
            "key `off` in `controls.horn.inputs`",
        ),
        ("device", "crossing = [1, 1]", "input = 1\ninputs = { press = 1 }", "`controls.horn`"),
        ("device", 'kind = "momentary"\n', "", "`controls.horn` has no `kind`"),
        ("profile", "\nhorn =", '\n"horn+" =', "key `horn+` in `bindings` is no contact such as"),
    ],
)
def test_what_a_schema_refuses_is_told_by_key(
    tmp_path: Path, file: str, right: str, wrong: str, told: str
) -> None:
    assert right in FILES[file]
    tell(tmp_path, {**FILES, file: FILES[file].replace(right, wrong, 1)})
    (refusal,) = verify_library(load(tmp_path))
    assert refusal.message.startswith(told)
    assert Path(refusal.place.file).name == f"{file}.toml"
    assert refusal.place.line
