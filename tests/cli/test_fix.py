"""`platebook check --fix`: shown first, asked for on a terminal, made only when wanted."""

import json
import os
import pty
import select
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.conftest import ROOT, Run, edit

SHOWN = """\
Fix 1: Write `horn` for `hrn`
  error: `hrn` is no control of `desk` [name-unknown]
  --- bindings.toml
  +++ bindings.toml
"""


@pytest.fixture
def faulty(library: Path) -> Path:
    """A library with a control misspelt, in a line with a comment."""
    edit(library / "bindings.toml", 'horn = "sound-horn"', 'hrn = "sound-horn"   # the big one')
    return library


def test_without_a_terminal_and_without_yes_fixes_are_only_shown(
    platebook: Run, faulty: Path
) -> None:
    before = (faulty / "bindings.toml").read_bytes()
    ran = platebook("check", "--fix", faulty)
    assert ran.code == 1
    assert ran.out.startswith(SHOWN)
    assert (
        '  -hrn = "sound-horn"   # the big one\n  +horn = "sound-horn"   # the big one\n' in ran.out
    )
    assert "[name-unknown]\n     9 | hrn" in ran.out, "the finding is still there"
    assert ran.err == "note: 1 fix shown, none made; --fix --yes makes all\n"
    assert (faulty / "bindings.toml").read_bytes() == before


def test_yes_makes_every_fix_and_tells_what_is_left(platebook: Run, faulty: Path) -> None:
    text = (faulty / "bindings.toml").read_text("utf-8")
    ran = platebook("check", "--fix", "--yes", faulty)
    assert (ran.code, ran.err) == (0, "note: 1 fix made in 1 file; comments and layout kept\n")
    assert ran.out.startswith(SHOWN)
    assert ran.out.endswith("\nNothing found.\n")
    assert (faulty / "bindings.toml").read_text("utf-8") == text.replace("hrn", "horn")


def test_json_lists_the_fixes_and_whether_they_were_made(platebook: Run, faulty: Path) -> None:
    for words, made in (((), False), (("--yes",), True)):
        ran = platebook("check", "--fix", "--json", faulty, *words)
        document = json.loads(ran.out)
        (fix,) = document["fixes"]
        assert fix | {"files": []} == {
            "code": "name-unknown",
            "subject": fix["subject"],
            "fix": "Write `horn` for `hrn`",
            "made": made,
            "files": [],
        }
        (file,) = fix["files"]
        assert file["file"] == "bindings.toml"
        assert '-hrn = "sound-horn"   # the big one\n+horn = "sound-horn"' in file["difference"]
        assert ("name-unknown" in {one["code"] for one in document["findings"]}) != made
        assert ran.code == (0 if made else 1)


def test_without_a_fix_that_is_said(platebook: Run, library: Path) -> None:
    ran = platebook("check", "--fix", library)
    assert (ran.code, ran.out) == (0, "Nothing found.\n")
    assert ran.err == "note: no automatic fix; see the remedy of each finding\n"


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["--yes"], "--yes goes with --fix"),
        (["--fix", "--sarif"], "--fix lists its fixes as text or with --json, not with --sarif"),
    ],
)
def test_what_does_not_go_together_is_refused(
    platebook: Run, library: Path, words: list[str], message: str
) -> None:
    ran = platebook("check", library, *words)
    assert (ran.code, ran.out) == (2, "")
    assert message in ran.err


def test_a_key_misspelt_in_a_file_that_cannot_be_used_is_put_right(
    platebook: Run, library: Path
) -> None:
    sound = (library / "desk.toml").read_bytes()
    edit(library / "desk.toml", "label =", "lable =")
    assert platebook("check", library).code == 2
    assert platebook("check", "--fix", "--yes", library).code == 0
    assert (library / "desk.toml").read_bytes() == sound


class Asked:
    """The command on a terminal of its own, answered as a person would."""

    def __init__(self, folder: Path) -> None:
        self.own, other = pty.openpty()
        command = [sys.executable, "-m", "profiles", "check", "--fix", str(folder)]
        self.process = subprocess.Popen(
            command,
            stdin=other,
            stdout=other,
            stderr=other,
            cwd=ROOT,
            env={**os.environ, "TERM": "dumb"},
        )
        os.close(other)
        self.text = ""

    def wait(self, words: str, times: int = 1) -> None:
        """Read until words were shown so often, or the command has ended."""
        while self.text.count(words) < times:
            ready, _, _ = select.select([self.own], [], [], 60)
            assert ready, self.text
            try:
                self.text += os.read(self.own, 4096).decode()
            except OSError:
                break

    def answer(self, word: str) -> None:
        os.write(self.own, word.encode() + b"\n")

    def end(self) -> int:
        self.wait("\0")
        os.close(self.own)
        return self.process.wait(60)


QUESTION = "Make this fix?"


@pytest.fixture
def twice(faulty: Path) -> Path:
    """A library with two misspelt names, of which each can be put right alone."""
    edit(faulty / "bindings.toml", 'bell = "ring-bell"', 'bell = "rng-bell"')
    return faulty


@pytest.mark.parametrize(
    ("answers", "left"),
    [
        (["n", "y"], ["rng-bell"]),
        (["y", "n"], ["hrn"]),
        (["a"], []),
        (["y", "q"], ["hrn"]),
        (["q"], ["hrn", "rng-bell"]),
        (["", "y"], ["rng-bell"]),
    ],
)
def test_on_a_terminal_each_fix_is_asked_for(
    twice: Path, answers: list[str], left: list[str]
) -> None:
    asked = Asked(twice)
    for number, answer in enumerate(answers, 1):
        asked.wait(QUESTION, number)
        asked.answer(answer)
    assert asked.end() == (1 if left else 0)
    text = (twice / "bindings.toml").read_text("utf-8")
    assert [word for word in ("hrn", "rng-bell") if word in text] == left
    assert "# the big one" in text


def test_a_key_that_somebody_changes_while_asked_is_not_overwritten(faulty: Path) -> None:
    asked = Asked(faulty)
    asked.wait(QUESTION)
    edit(faulty / "bindings.toml", 'hrn = "sound-horn"', 'hrn = "ring-bell"')
    theirs = (faulty / "bindings.toml").read_bytes()
    asked.answer("y")
    assert asked.end() == 2
    assert "bindings.toml was changed meanwhile: " in asked.text
    assert (faulty / "bindings.toml").read_bytes() == theirs
