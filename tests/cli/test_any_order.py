"""What a command says hangs on its files alone, not on what the process was asked before."""

import shutil
from pathlib import Path

import pytest

from tests.cli.conftest import EXAMPLES, Ran, Run

HARBOUR = ("--library", "harbour")
RECORDING = "harbour/recordings/helm-desk-press.jsonl"
PLAIN = ("--no-date", "--replace", "-o")
ASKED = (
    ("check", "faulty", "--each"),
    ("check", "faulty", "--json"),
    ("check", "harbour", "--fix"),
    ("wiring", "plan", "lookout-box", *HARBOUR, "--rewire"),
    ("wiring", "show", "helm-desk", *HARBOUR),
    ("arrange", "lookout-box", *HARBOUR, "--align", "rows", "--spread", "rows"),
    ("suggest", "brackwater-bridge", *HARBOUR, "--may"),
    ("press", "test", "helm-desk", *HARBOUR, "--from", RECORDING),
    ("print", "card", "--profile", "brackwater-bridge", *HARBOUR, *PLAIN, "card.txt"),
    ("print", "legend", "--device", "lookout-box", *HARBOUR, *PLAIN, "legend.svg"),
)
"""Commands that change no file of the libraries."""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name in ("faulty", "harbour"):
        shutil.copytree(EXAMPLES / name, tmp_path / name)
    return tmp_path


def test_every_command_says_the_same_whatever_was_asked_before(
    platebook: Run, folder: Path
) -> None:
    said: dict[tuple[str, ...], tuple[Ran, str]] = {}
    for order in (ASKED, ASKED[::-1], ASKED[1::2] + ASKED[::2], ASKED[:2] * 10):
        for words in order:
            ran = platebook(*words)
            assert ran.code in (0, 1), words
            sheet = (folder / words[-1]).read_text("utf-8") if words[0] == "print" else ""
            assert (ran, sheet) == said.setdefault(words, (ran, sheet))
