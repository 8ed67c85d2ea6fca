"""Every page of the manual works as it stands: commands, files, links, names and words."""

import os
import re
import shutil
import tomllib
from collections.abc import Iterator
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import click
import pytest
from markdown_it import MarkdownIt

from profiles.cli.group import walk_commands
from profiles.files.keys import list_keys
from tests.conftest import EXAMPLES
from tests.docs.pages import DOCS, PAGES, SPAN, check_span, follow, read_steps, understand

IN_EXAMPLE = [page for page in PAGES if page.name not in ("index.md", "tutorial.md", "limits.md")]
EVERY = sorted(DOCS.rglob("*.md"))
KEYS = {key.path for key in list_keys()}


def name(page: Path) -> str:
    return page.relative_to(DOCS).as_posix()


@pytest.mark.skipif(os.name == "nt", reason="run in a POSIX shell")
@pytest.mark.parametrize("page", IN_EXAMPLE, ids=name)
def test_every_command_of_a_page_works_and_prints_what_is_shown(page: Path, tmp_path: Path) -> None:
    """In a copy of the example library, where `how-to/index.md` leads."""
    for library in ("harbour", "boatyard"):
        shutil.copytree(EXAMPLES / library, tmp_path / library)
    steps = read_steps(page.read_text(encoding="utf-8"))
    assert steps
    wrong = list(follow(steps, tmp_path / "harbour"))
    assert not wrong, "\n\n".join(wrong)


@pytest.mark.skipif(os.name == "nt", reason="run in a POSIX shell")
def test_the_way_to_the_example_library_leads_there(tmp_path: Path) -> None:
    steps = read_steps((DOCS / "how-to" / "index.md").read_text(encoding="utf-8"))
    assert list(follow(steps, tmp_path)) == []
    first = read_steps((DOCS / "index.md").read_text(encoding="utf-8"))
    assert [step.text.splitlines()[0] for step in (*first, *steps)] == ["platebook demo"] * 2
    made = tmp_path / steps[-1].text.splitlines()[-1].removeprefix("cd ")
    for path in (EXAMPLES / "harbour").rglob("*.toml"):
        assert (made / path.relative_to(EXAMPLES / "harbour")).read_bytes() == path.read_bytes()


def find_paths(content: Any, above: str = "") -> Iterator[str]:
    """The path of each key of a part of a file; a dot within a name is none of the path."""
    for table in content if isinstance(content, list) else [content]:
        if isinstance(table, dict):
            for key, value in table.items():
                named = key.replace(".", "_")
                yield f"{above}{named}"
                yield from find_paths(value, f"{above}{named}.")


PARTS = [
    pytest.param(step.text, id=f"{name(page)}-{number}")
    for page in PAGES
    for number, step in enumerate(read_steps(page.read_text(encoding="utf-8")), 1)
    if step.kind == "part"
]


@pytest.mark.parametrize("part", PARTS)
def test_every_part_of_a_file_has_keys_that_exist(part: str) -> None:
    """`*` in a known path stands for a name of the user's, as all names in a table without keys."""
    owned = {
        f"{key.path}.*"
        for key in list_keys()
        if "table" in key.takes
        and not any(re.match(rf"{re.escape(key.path)}\.\w", one) for one in KEYS)
    }
    known = [re.compile(re.escape(path).replace(r"\*", "[^.]+")) for path in {*KEYS, *owned}]
    paths = list(find_paths(tomllib.loads(part)))
    assert paths
    assert [one for one in paths if not any(it.fullmatch(one) for it in known)] == []


@pytest.mark.parametrize("page", EVERY, ids=name)
def test_every_command_is_written_as_every_shell_takes_it(page: Path) -> None:
    """cmd takes `'` and `#` for letters, and the PowerShell of Windows has no `&&`; bash and zsh
    would look for files at a bare `*`."""
    tokens = MarkdownIt("commonmark").parse(page.read_text(encoding="utf-8"))
    blocks = [token.content for token in tokens if token.type == "fence" and token.info != "toml"]
    lines = [
        line for block in blocks for line in block.splitlines() if line.startswith("platebook ")
    ]
    bare = [re.sub(r'"[^"]*"', "", line) for line in lines]
    assert [
        line for line in bare if re.search(r"['#&$*;|<>`\\]|\[", line.partition("[OPTIONS]")[0])
    ] == []


def test_a_key_that_does_not_exist_is_noticed() -> None:
    for part in (
        "[controls.horn]\nlabl = 1",
        "[plate]\nwidht = 1",
        "[bindings]\na = { actoin = 1 }",
    ):
        with pytest.raises(AssertionError):
            test_every_part_of_a_file_has_keys_that_exist(part)


def find_examples() -> list[str]:
    """The commands that help shows as examples: they name files that a reader may not have."""
    text = (DOCS / "reference" / "commands.md").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if line.startswith("platebook ")]
    return [line for line in lines if "[OPTIONS]" not in line]


@pytest.mark.parametrize("line", find_examples())
def test_every_example_in_the_help_is_understood(
    line: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the files and folders that it names are there."""
    library = tmp_path / "library"
    library.mkdir()
    monkeypatch.chdir(library)
    for word in line.split():
        if re.fullmatch(r"[\w-]+\.\w+", word):
            Path(word).touch()
        elif word.startswith("../"):
            Path(word).mkdir()
    understand(line)


@pytest.mark.parametrize("page", EVERY, ids=name)
def test_every_command_in_a_sentence_exists(page: Path) -> None:
    for span in set(SPAN.findall(page.read_text(encoding="utf-8"))):
        check_span(" ".join(span.split()))


@cache
def list_anchors(page: Path) -> set[str]:
    """Anchors of a page's headings, as hosts of Markdown and the site make them."""
    tokens = MarkdownIt("commonmark").parse(page.read_text(encoding="utf-8"))
    titles = [after.content for token, after in pairwise(tokens) if token.type == "heading_open"]
    return {re.sub(r"[^\w\- ]", "", title.lower()).replace(" ", "-") for title in titles}


def test_every_command_has_its_place_in_a_page_that_people_wrote() -> None:
    text = " ".join(word for page in PAGES for word in page.read_text(encoding="utf-8").split())
    commands = {
        path for path, context in walk_commands() if not isinstance(context.command, click.Group)
    }
    assert {path for path in commands if f"platebook {path}" not in text} == set()


@pytest.mark.parametrize("page", EVERY, ids=name)
def test_every_link_leads_to_a_file_and_a_heading_of_the_manual(page: Path) -> None:
    for target in re.findall(r"\]\(([^)]+)\)", page.read_text(encoding="utf-8")):
        path, _, anchor = target.partition("#")
        found = (page.parent / path).resolve() if path else page
        assert found.is_relative_to(DOCS), target
        assert found.is_file(), target
        assert not anchor or anchor in list_anchors(found), target


@pytest.mark.parametrize("page", PAGES, ids=name)
def test_every_picture_says_what_it_shows(page: Path) -> None:
    for words, target in re.findall(r"!\[([^\]]*)\]\(([^)]+)\)", page.read_text(encoding="utf-8")):
        assert len(words.split()) > 5, target


def test_every_page_says_how_to_stay_unhurt_where_work_can_hurt() -> None:
    cautious = {name(page) for page in PAGES if "> **Caution.**" in page.read_text("utf-8")}
    assert cautious >= {
        "tutorial.md",
        *(f"how-to/{one}.md" for one in ("wire", "print-and-cut", "engrave", "3d-print")),
        *(f"how-to/{one}.md" for one in ("test-and-fix", "load-the-firmware")),
    }


def test_the_index_leads_to_every_page() -> None:
    text = "".join((DOCS / path).read_text("utf-8") for path in ("index.md", "how-to/index.md"))
    names = {Path(target).name for target in re.findall(r"\]\(([^)#]+\.md)\)", text)}
    assert {page.name for page in EVERY} == names
