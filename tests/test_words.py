"""One word per idea: what people read uses the words of the glossary, and none that they replace.

The glossary is data, `words.toml` beside this file. Judged are the sentences that every room
writes, the data files that people read, every finding of the bundled libraries, the help of every
command, and the documents; names in backticks and examples apart: those are the user's own.
"""

import ast
import re
import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from profiles.checks.codes import read_pages
from profiles.checks.registry import run_checks
from profiles.cli.group import platebook as main
from profiles.cli.group import walk_commands
from profiles.files.library import load_library
from profiles.model import Finding, Page
from tests.conftest import EXAMPLES, ROOT

REPLACED = tomllib.loads(Path(__file__).with_name("words.toml").read_text("utf-8"))["replaced"]

PACKAGE = ROOT / "profiles"
ROOMS = sorted(path.name for path in PACKAGE.iterdir() if (path / "__init__.py").exists())
DOCUMENTS = [
    ROOT / "README.md",
    ROOT / "DEVELOPERS.md",
    *sorted((ROOT / "docs").glob("**/*.md")),
]


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


@pytest.mark.parametrize("room", ROOMS)
def test_no_sentence_of_a_room_uses_a_replaced_word(room: str) -> None:
    found = {
        f"{path.name}: {text}": words
        for path in sorted((PACKAGE / room).glob("**/*.py"))
        for text in find_sentences(path.read_text("utf-8"))
        if (words := find_replaced(text))
    }
    assert found == {}


DATA = [path for path in PACKAGE.glob("**/*.toml") if path.parent.name not in ("pages", "starters")]
STARTERS = sorted((PACKAGE / "files" / "starters").glob("*.toml"))


def find_texts(content: Any) -> Iterator[str]:
    """Texts of a data file, without the other words by which a maker may ask for one."""
    if isinstance(content, str):
        yield content
    elif isinstance(content, list):
        for inner in content:
            yield from find_texts(inner)
    elif isinstance(content, dict):
        for key, inner in content.items():
            if key != "also":
                yield from find_texts(inner)


@pytest.mark.parametrize("path", sorted(DATA), ids=lambda path: path.name)
def test_no_data_file_uses_a_replaced_word(path: Path) -> None:
    texts = [*find_texts(tomllib.loads(path.read_text("utf-8")))]

    assert {one: words for one in texts if (words := find_replaced(one))} == {}


@pytest.mark.parametrize("path", [*DATA, *STARTERS], ids=lambda path: path.name)
def test_no_comment_of_a_data_file_uses_a_replaced_word(path: Path) -> None:
    """What is commented out is an example, whose names are free."""
    lines = re.findall(r"#(.*)", path.read_text("utf-8"))
    comments = " ".join(" ".join(line for line in lines if " = " not in line).split())

    assert find_replaced(comments) == []


def test_no_help_uses_a_replaced_word() -> None:
    """Wide enough that no sentence is broken."""
    shown = {
        path: CliRunner().invoke(
            main, [*path.split(), "--help"], terminal_width=1000, max_content_width=1000
        )
        for path, _ in walk_commands()
    }
    assert len(shown) > 40
    assert {
        name: found for name, one in shown.items() if (found := find_replaced(one.output))
    } == {}


def read_prose(document: str) -> str:
    """A document in Markdown without its code, links' targets, comments and others' words."""
    document = re.sub(r"^Also called: .*$", "", document, flags=re.MULTILINE)
    document = re.sub(r"^```.*?^```$", "", document, flags=re.MULTILINE | re.DOTALL)
    document = re.sub(r"<!--.*?-->", "", document, flags=re.DOTALL)
    document = re.sub(r"\]\([^)]*\)", "]", document)
    return re.sub(r"(?<=\n\n)(    .*\n)+", "", document)


def test_prose_is_a_document_without_its_code() -> None:
    document = "A [lamp](lamp.md).\n\n    lamp\n\n    lamp\n\n```sh\nlamp\n```\n<!-- lamp -->End.\n"
    assert read_prose(document) == "A [lamp].\n\n\n\n\nEnd.\n"


@pytest.mark.parametrize("path", DOCUMENTS, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_document_uses_a_replaced_word(path: Path) -> None:
    prose = read_prose(path.read_text("utf-8"))

    assert len(prose) > 100
    assert find_replaced(re.sub(r"\s+", " ", prose)) == []
