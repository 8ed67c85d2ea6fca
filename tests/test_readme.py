"""All that README.md shows works as it stands.

Its commands are typed from top to bottom into one bare shell, in a copy of the tree: no program of
ours is on the path but what they put there themselves. What a block of text shows is what the
command before it prints. The command that runs the tests is run by `.ci/run`, word for word. TOML
is read as a part of the file it belongs to, Python is run in the same shell.
"""

import os
import re
import shlex
import shutil
import subprocess
import sys
import tomllib
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from profiles.files.validate import KINDS
from profiles.model import Settings
from tests.conftest import ROOT
from tests.docs.pages import check_span
from tests.needs import REQUIRE_ALL
from tests.readme import Block, find_spans, read_blocks

README = (ROOT / "README.md").read_text(encoding="utf-8")
BLOCKS = read_blocks(README)
SHELL = [
    line
    for block in BLOCKS
    for line in {
        "shell": block.lines,
        "python": [f"python -c {shlex.quote(block.text)}"],
    }.get(block.kind, [])
]
SETUP = [line for line in SHELL if "-m venv" in line]

AROUND: dict[str, dict[str, Any]] = {
    "controls": {
        "format": 1,
        "device": {"id": "desk", "name": "Desk"},
        "plate": {"width": 400.0, "height": 300.0},
        "wiring": {"rows": ["4", "5"], "columns": ["6", "7"], "numbering": "along-rows"},
    },
    "actions": {"format": 1, "application": {"id": "title", "name": "Title"}},
    "bindings": {
        "format": 1,
        "profile": {"id": "mine", "application": "title", "device": "desk"},
    },
}
"""What a file has beside the table that README shows of it."""


@dataclass(frozen=True)
class Typed:
    """A line typed into the shell, the code it ended with, and what it printed."""

    line: str
    code: str
    out: str
    err: str


def copy_tree(tree: Path) -> None:
    """What a copy of the repository holds, changes not yet committed included."""
    listed = subprocess.run(
        ["git", "ls-files", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    ).stdout.splitlines()
    paths = [ROOT / name for name in listed] or [
        path for path in ROOT.rglob("*") if ".venv" not in path.parts
    ]
    for path in paths:
        if path.is_file():
            place = tree / path.relative_to(ROOT)
            place.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(path, place)


def type_all(lines: list[str], tree: Path, kept: Path) -> list[Typed]:
    """Type lines into one shell; Python itself is on its path, and what every system has."""
    script = "".join(
        f"{{\n{line}\n}} >{kept}/{at}.out 2>{kept}/{at}.err\necho $? >{kept}/{at}.code\n"
        for at, line in enumerate(lines)
    )
    path = os.pathsep.join((str(Path(sys.base_prefix) / "bin"), "/usr/bin", "/bin"))
    settings = {name: value for name, value in os.environ.items() if name.startswith("PIP_")}
    settings["PIP_NO_COMPILE"] = "1"  # modules are compiled when they are used, few of them are
    subprocess.run(
        ["sh", "-c", script],
        cwd=tree,
        env={**settings, "PATH": path, "HOME": str(kept), "LANG": "C.UTF-8"},
        check=False,
    )
    return [
        Typed(line, *((kept / f"{at}.{end}").read_text() for end in ("code", "out", "err")))
        for at, line in enumerate(lines)
    ]


@pytest.mark.long
@pytest.mark.skipif(os.name == "nt", reason="README shows how POSIX shells take them")
def test_every_command_works_in_a_bare_shell_and_prints_what_is_shown(tmp_path: Path) -> None:
    """All but those for Windows and the one that runs the tests; packages come from the index."""
    tree, kept = tmp_path / "platebook", tmp_path / "kept"
    kept.mkdir()
    copy_tree(tree)
    lines = [line for line in SHELL if not line.startswith("cmd ") and "pytest" not in line]
    typed = type_all(lines, tree, kept)
    if "No matching distribution" in typed[0].err and not REQUIRE_ALL:
        pytest.skip("needs an index of packages")
    ends = [(one.line, one.code.strip()) for one in typed]
    printed = {one.line: one.out.rstrip("\n") for one in typed}
    shown = [
        (before.lines[-1], block.text) for before, block in pairwise(BLOCKS) if block.kind == "text"
    ]

    assert len(typed) > 10
    assert ends == [(line, "1" if "# ends with 1" in line else "0") for line in lines], "\n".join(
        one.err for one in typed
    )
    assert [one.err for one in typed if "Traceback" in one.err] == []
    assert shown
    assert [(line, printed[line]) for line, _ in shown] == shown


@pytest.mark.parametrize("span", sorted(set(find_spans(README))))
def test_every_command_in_a_sentence_exists(span: str) -> None:
    """As far as its words are names of commands; options it names are its own."""
    check_span(span)


def test_the_set_up_commands_are_run_word_for_word_in_ci() -> None:
    """In brackets there, so that a failure anywhere in the line is one."""
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()
    posix = [line for line in SETUP if not line.startswith("cmd ")]
    assert len(posix) == 2
    assert posix[0].endswith("platebook demo")
    for line in posix:
        assert f"({line})" in script


def test_the_set_up_commands_for_windows_say_the_same() -> None:
    """Programs of a virtual environment: venv, "Creating virtual environments" (Python docs).

    By `cmd`, since PowerShell 5.1, which comes with Windows, has no `&&` (PowerShell's page
    about_Pipeline_Chain_Operators: from 7 on); it takes brackets without quotes.
    """
    posix = [line for line in SETUP if not line.startswith("cmd ")]
    words = [
        line.replace("python3", "py").replace(".venv/bin/", ".venv\\Scripts\\").replace('"', "")
        for line in posix
    ]
    assert [line for line in SETUP if line.startswith("cmd ")] == [
        f'cmd /c "{one}"' for one in words
    ]


def test_every_extra_that_is_installed_exists() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    named = re.findall(r"pip install [^\n`]*\[([\w,]+)\]", README)
    assert named
    assert {one for names in named for one in names.split(",")} <= set(
        project["optional-dependencies"]
    )


@pytest.mark.parametrize("block", [one for one in BLOCKS if one.kind == "toml"])
def test_every_part_of_a_file_is_valid(block: Block) -> None:
    content = tomllib.loads(block.text)
    assert content
    around = next((AROUND[name] for name in AROUND if name in content), {})
    whole = {**around, **content}
    kinds = [KINDS[name] for name in KINDS if name in whole]
    if not kinds and set(content) & set(Settings.model_fields):
        Settings.model_validate({"format": 1, **content})
    for kind in kinds:
        kind.model_validate(whole)


def test_every_file_linked_to_or_named_is_there() -> None:
    links = re.findall(r"\]\(([\w./-]+)\)", README)
    named = re.findall(r"`((?:example_profiles|profiles|schemas|tests)/[\w./-]+)`", README)
    paths = [*links, *named]
    assert [path for path in paths if not (ROOT / path).exists()] == []
    assert paths
