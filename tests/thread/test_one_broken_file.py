"""One broken file brings its own errors and no others.

What cannot be used stays known by its id: a profile of a broken device is not told that the device
is missing, and nothing is concluded from what a broken file may hold.
"""

import shutil
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from profiles.api import check, load
from profiles.files.documents import FORMATS, parse_text
from profiles.files.validate import KINDS
from profiles.files.write import write_content
from tests.conftest import EXAMPLES, Run, edit

FILES = [
    path.relative_to(EXAMPLES)
    for name in ("harbour", "faulty")
    for path in sorted((EXAMPLES / name).rglob("*.*"))
    if path.suffix in FORMATS and path.name != "platebook.toml"
]

Content = dict[str, Any]


def rewritten(change: Callable[[Content, Content], object]) -> Callable[[bytes, str], bytes]:
    """Change a file's content, of which the header is given as well."""

    def rewrite(data: bytes, suffix: str) -> bytes:
        content = parse_text(data.decode(), FORMATS[suffix])
        change(content, next(content[kind] for kind in KINDS if kind in content))
        return write_content(content, FORMATS[suffix]).encode()

    return rewrite


BREAKINGS: dict[str, Callable[[bytes, str], bytes]] = {
    "an unknown key": rewritten(lambda content, header: header.update(nmae="x")),
    "no name": rewritten(lambda content, header: content.update(format=[])),
    "no id": rewritten(lambda content, header: (header.pop("id", None), header.update(name=[]))),
    "an id that is a list": rewritten(lambda content, header: header.update(id=["x"])),
    "a newer format": rewritten(lambda content, header: content.update(format=2)),
    "a last quote too many": lambda data, suffix: data + b'\n"',
    "an end cut off": lambda data, suffix: data[: len(data) // 2] + b"\n = [",
    "a letter that is no UTF-8": lambda data, suffix: data + b"\xff",
    "a NUL byte": lambda data, suffix: data + b"\x00",
    "nothing left": lambda data, suffix: b"\x00",
}


@cache
def sound_findings(example: str) -> set[tuple[str, str]]:
    return {(one.code, one.subject) for one in check(load(EXAMPLES / example)).findings}


@pytest.mark.parametrize(
    ("path", "how"),
    [
        (path, how)
        for path in FILES
        for how in BREAKINGS
        if path.parts[0] == "harbour" or how in {"no id", "an end cut off", "nothing left"}
    ],
    ids=str,
)
def test_a_broken_file_brings_its_own_errors_alone(path: Path, how: str, tmp_path: Path) -> None:
    folder = tmp_path / "library"
    shutil.copytree(EXAMPLES / path.parts[0], folder)
    broken = folder.joinpath(*path.parts[1:])
    broken.write_bytes(BREAKINGS[how](broken.read_bytes(), broken.suffix))

    checked = check(load(folder))

    assert not checked.usable
    own = [one for one in checked.findings if one.place and one.place.file == broken.as_posix()]
    assert checked.findings[: len(own)] == tuple(own)
    others = {(one.code, one.subject) for one in checked.findings[len(own) :]}
    assert others - sound_findings(path.parts[0]) == set()


def test_a_typo_in_the_settings_voids_nothing_beside_it(tmp_path: Path) -> None:
    folder = tmp_path / "library"
    shutil.copytree(EXAMPLES / "harbour", folder)
    path = folder / "platebook.toml"
    before = check(load(folder))
    text = path.read_text("utf-8").replace("format = 1\n", "format = 1\ntypo = 1\n", 1)
    path.write_text(text + '\n[severity]\nnumber-gap = "worse"\ncontact-idle = "off"\n', "utf-8")

    checked = check(load(folder))

    own = [one for one in checked.findings if one.place and one.place.file == path.as_posix()]
    assert [one.message for one in own] == [
        "unknown key `typo`",
        "`severity.number-gap` is `worse`, not `error`, `warning`, `note` or `off`",
    ]
    assert checked.accepted == before.accepted != ()
    assert checked.findings[len(own) :] == before.findings
    assert load(folder).library.settings.severity == {"contact-idle": "off"}


def test_settings_that_cannot_be_read_are_one_error_and_the_rest_is_checked(tmp_path: Path) -> None:
    folder = tmp_path / "library"
    shutil.copytree(EXAMPLES / "harbour", folder)
    path = folder / "platebook.toml"
    path.unlink()
    by_default = check(load(folder))
    path.write_text('format = 1\n[severity\nnumber-gap = "error"\n', "utf-8")

    checked = check(load(folder))

    assert [one.code for one in checked.findings[:1]] == ["broken-syntax"]
    assert checked.findings[1:] == by_default.findings
    assert checked.notes == (
        f"{path.as_posix()}: cannot be read, so default severities hold and nothing is accepted",
    )


def test_the_true_error_is_printed_first(platebook: Run, library: Path) -> None:
    edit(library / "harbour.toml", "name =", "nmae =")
    edit(library / "desk.toml", "[controls.horn]", '[wiring]\nboard = "none"\n\n[controls.horn]')
    ran = platebook("check", library)
    files = [line for line in ran.out.splitlines() if line.startswith("/")]
    assert files[0] == (library / "harbour.toml").as_posix()
    assert (library / "desk.toml").as_posix() in files[1:]
