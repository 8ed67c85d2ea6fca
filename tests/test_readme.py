"""All that README.md shows works as it stands.

Commands are run, section by section, in a folder such as the section speaks of: an empty one where
it makes a folder or files of its own, the demo's where it names `platebook-demo`, else a copy of
the harbour library. Those that need a box plugged in or a screen are taken apart by the command
line and not carried out. The set-up commands are run by `.ci/run`, word for word. TOML is read as a
part of the file it belongs to, Python is run.
"""

import os
import re
import shlex
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any

import click
import pytest

from profiles.cli.group import platebook as main
from profiles.files.validate import KINDS
from profiles.model import Settings
from tests.conftest import EXAMPLES, ROOT, Run
from tests.readme import Block, find_spans, read_blocks

README = (ROOT / "README.md").read_text(encoding="utf-8")
BLOCKS = read_blocks(README)
SETUP = [line for block in BLOCKS for line in block.lines if ".venv" in line]
SHOWN = {
    section: [
        line
        for block in BLOCKS
        if (block.section, block.kind) == (section, "shell")
        for line in block.lines
        if ".venv" not in line
    ]
    for section in dict.fromkeys(block.section for block in BLOCKS)
}
SECTIONS = [section for section, lines in SHOWN.items() if lines]
EMPTY = ("mkdir ", "platebook new ", "platebook demo")

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


def needs_a_box_or_screen(line: str) -> bool:
    return line.startswith("platebook open") or (
        line.startswith("platebook press") and "--from" not in line
    )


def prepare_folder(lines: list[str], folder: Path) -> None:
    """Put into the folder what the section takes for granted."""
    if any("platebook-demo" in line for line in lines) and not lines[0].startswith(EMPTY):
        shutil.copytree(EXAMPLES, folder / "platebook-demo" / "example_profiles")
    elif not lines[0].startswith(EMPTY):
        shutil.copytree(EXAMPLES / "harbour", folder, dirs_exist_ok=True)


@pytest.mark.skipif(os.name == "nt", reason="README shows how POSIX shells take them")
@pytest.mark.parametrize("section", SECTIONS)
def test_every_command_shown_works(section: str, tmp_path: Path) -> None:
    """In one shell a section, so that `cd` holds for the lines after it."""
    tools, folder, ends = (tmp_path / name for name in ("tools", "folder", "ends"))
    tools.mkdir()
    folder.mkdir()
    (tools / "platebook").write_text(f'#!/bin/sh\nexec {sys.executable} -m profiles "$@"\n')
    (tools / "platebook").chmod(0o755)
    lines = [
        line
        for line in SHOWN[section]
        if not needs_a_box_or_screen(line) and not line.startswith("pip ")
    ]
    prepare_folder(SHOWN[section], folder)
    script = "".join(f'{line}\necho $? >> "{ends}"\n' for line in lines)
    settings = {
        name: value for name, value in os.environ.items() if not name.startswith("PLATEBOOK_")
    }
    settings |= {"PATH": f"{tools}{os.pathsep}{os.environ['PATH']}", "PYTHONPATH": str(ROOT)}
    done = subprocess.run(
        ["sh", "-c", script], cwd=folder, env=settings, capture_output=True, text=True, check=False
    )
    codes = ends.read_text().split() if lines else []
    wanted = [(line, "1" if "# ends with 1" in line else "0") for line in lines]
    assert list(zip(lines, codes, strict=True)) == wanted, done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize(
    "line", [line for lines in SHOWN.values() for line in lines if needs_a_box_or_screen(line)]
)
def test_every_command_for_a_box_or_a_screen_is_understood(
    line: str, platebook: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    """All its words are accepted; then nothing is carried out."""
    prepare_folder([line], Path.cwd())
    monkeypatch.setattr(click.Command, "invoke", lambda _command, _context: 0)
    ran = platebook(*shlex.split(line, comments=True)[1:])
    assert ran.code == 0, ran.err


@pytest.mark.parametrize("span", sorted(set(find_spans(README))))
def test_every_command_in_a_sentence_exists(span: str) -> None:
    """As far as its words are names of commands; options it names are its own."""
    context, words = click.Context(main), span.split()[1:]
    command: click.Command = main
    while isinstance(command, click.Group) and words and words[0].islower():
        if words[0].startswith("-"):
            break
        found = command.get_command(context, words.pop(0))
        assert found is not None, span
        command = found
    known = {name for one in command.params for name in (*one.opts, *one.secondary_opts)}
    assert {word for word in words if word.startswith("--")} <= known | {"--help", "--version"}


def test_the_set_up_commands_are_run_word_for_word_in_ci() -> None:
    """In brackets there, so that a failure anywhere in the line is one."""
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()
    posix = [line for line in SETUP if "\\" not in line]
    assert len(posix) == 2
    assert posix[0].endswith("platebook demo")
    for line in posix:
        assert f"({line})" in script


def test_the_set_up_commands_for_windows_say_the_same() -> None:
    """Programs of a virtual environment: venv, "Creating virtual environments" (Python docs)."""
    posix = [line for line in SETUP if "\\" not in line]
    windows = [
        line.replace("python3", "py").replace(".venv/bin/", ".venv\\Scripts\\") for line in posix
    ]
    assert [line for line in SETUP if "\\" in line] == windows


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


@pytest.mark.parametrize("block", [one for one in BLOCKS if one.kind == "python"])
def test_every_piece_of_python_runs(block: Block, tmp_path: Path) -> None:
    """Where each folder that it loads holds the harbour library."""
    for name in re.findall(r'load\("([\w-]+)"\)', block.text):
        shutil.copytree(EXAMPLES / "harbour", tmp_path / name)
    done = subprocess.run(
        [sys.executable, "-c", block.text],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")


def test_every_file_linked_to_or_named_is_there() -> None:
    links = re.findall(r"\]\(([\w./-]+)\)", README)
    named = re.findall(r"`((?:example_profiles|profiles|schemas|tests)/[\w./-]+)`", README)
    paths = [*links, *named]
    assert [path for path in paths if not (ROOT / path).exists()] == []
    assert paths
