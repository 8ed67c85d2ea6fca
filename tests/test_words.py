"""One word per idea: what people read uses the words of the glossary, and none that they replace.

The glossary is data, `words.toml` beside this file. Judged are the pages of findings, every finding
of the bundled libraries, and the sentences that the rooms in `SETTLED` write; names in backticks
apart: those are the user's own.
"""

import ast
import re
import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from profiles.checks.codes import read_pages
from profiles.checks.registry import run_checks
from profiles.files.library import load_library
from profiles.model import Finding, Page
from tests.conftest import EXAMPLES, ROOT

REPLACED = tomllib.loads(Path(__file__).with_name("words.toml").read_text("utf-8"))["replaced"]

SETTLED = (
    "cli",
    "checks",
    "drawing",
    "facts",
    "files",
    "firmware",
    "host",
    "lettering",
    "live",
    "model",
    "plan",
    "plate",
    "report",
    "sheets",
    "text",
    "tui",
    "wiring",
    "work",
)
"""Rooms whose sentences hold none of the replaced words."""


def find_replaced(words: str) -> list[str]:
    """Words of a text that the glossary replaces, each with what it says instead."""
    own = re.sub(r"`[^`]*`", "``", words)
    return [
        f"{match.group()}: {entry['use']}"
        for entry in REPLACED
        for match in re.finditer(entry["word"], own, re.IGNORECASE)
    ]


@cache
def all_findings() -> tuple[Finding, ...]:
    """Every finding of the bundled libraries; together they show every code."""
    found: list[Finding] = []
    for name in ("faulty", "broken", "harbour"):
        loaded = load_library(EXAMPLES / name)
        found += [*loaded.problems, *run_checks(loaded.library).findings]
    return tuple(found)


def texts_of(finding: Finding) -> Iterator[str]:
    yield from (finding.message, finding.remedy)
    yield from (related.message for related in finding.related)


def test_replaced_words_are_found_where_they_are() -> None:
    assert find_replaced("Mend the lamps, which turn 12 detents a second.") == [
        "lamps: LED",
        "Mend: fix",
        "detents a second: detents/s",
    ]
    assert find_replaced("Fix the LEDs of `lamp`, which turn 12 detents/s.") == []


@pytest.mark.parametrize("page", [pytest.param(one, id=one.code) for one in read_pages().values()])
def test_no_page_uses_a_replaced_word(page: Page) -> None:
    """In none of its texts; the example is a file of its owner, who names things freely."""
    for text in (page.title, page.what, page.why, page.remedy, page.source):
        assert find_replaced(text) == []


def test_no_code_uses_a_replaced_word() -> None:
    assert {code: found for code in read_pages() if (found := find_replaced(code))} == {}


def test_no_finding_uses_a_replaced_word() -> None:
    found = {text: find_replaced(text) for one in all_findings() for text in texts_of(one)}

    assert len(found) > 100
    assert {text: words for text, words in found.items() if words} == {}


def find_sentences(source: str) -> Iterator[str]:
    """Texts of a module with a space in them, those that explain the code and markup apart."""
    tree = ast.parse(source)
    silent = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            text = node.value
            if id(node) not in silent and " " in text and not re.search(r"[<{]", text):
                yield text


def test_sentences_are_those_that_a_module_writes() -> None:
    source = '''"""About lamps."""\nX = "lamp"\nY = f"the lamp of {X}"\nZ = "<body class=x>"'''
    assert list(find_sentences(source)) == ["the lamp of "]


@pytest.mark.parametrize("room", SETTLED)
def test_no_sentence_of_a_settled_room_uses_a_replaced_word(room: str) -> None:
    found = {
        f"{path.name}: {text}": words
        for path in sorted((ROOT / "profiles" / room).glob("**/*.py"))
        for text in find_sentences(path.read_text("utf-8"))
        if (words := find_replaced(text))
    }
    assert found == {}
