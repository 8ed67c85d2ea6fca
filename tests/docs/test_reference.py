"""The reference in docs/reference is made from the code's own data, and holds all of it."""

import re
import tomllib

import pytest

from profiles.checks.codes import read_pages
from profiles.checks.glossary import read_glossary
from profiles.cli.group import walk_commands
from profiles.cli.reference import RENEW, render_reference
from profiles.files.keys import list_keys
from profiles.files.validate import KINDS
from profiles.model import Settings
from profiles.plan.layout import stock_parts
from profiles.tui.frame import VIEWS
from profiles.wiring.boards import packaged_boards
from tests.conftest import ROOT

FOLDER = ROOT / "docs" / "reference"
PAGES = render_reference()


def read(name: str) -> str:
    return (FOLDER / name).read_text(encoding="utf-8")


@pytest.mark.parametrize("name", PAGES)
def test_each_page_in_the_tree_is_as_the_code_makes_it(name: str) -> None:
    assert read(name) == PAGES[name], f"docs/reference/{name} is out of date; run: {RENEW}"


def test_no_other_page_is_there() -> None:
    assert {path.name for path in FOLDER.iterdir()} == set(PAGES)


def test_every_command_and_every_option_has_its_line() -> None:
    text = read("commands.md")
    for path, context in walk_commands():
        (section,) = re.findall(rf"^#+ platebook {path}\n(.*?)(?=^#|\Z)", text, re.M | re.S)
        shown = re.findall(r"^- `(-[^`]*)`: .+", section, re.M)
        records = [one.get_help_record(context) for one in context.command.params]
        assert shown == [words for words, about in filter(None, records) if about], path


def test_every_key_has_its_line_in_the_page_of_its_kind() -> None:
    for key in list_keys():
        table, _, name = key.path.rpartition(".")
        heading = re.escape(f"`{table}`" if table else "Top of the file")
        (section,) = re.findall(
            rf"^## {heading}\n(.*?)(?=^## |\Z)", read(f"{key.kind}.md"), re.M | re.S
        )
        assert len(re.findall(rf"^- `{name}`: .+", section, re.M)) == 1, key


@pytest.mark.parametrize(
    ("page", "names"),
    [
        ("findings.md", read_pages()),
        ("glossary.md", read_glossary()),
        ("boards.md", packaged_boards()),
    ],
)
def test_every_code_word_and_board_has_a_heading(page: str, names: dict[str, object]) -> None:
    headings = re.findall(r"^#{2,3} ([a-z0-9-]+)$", read(page), re.M)
    assert headings == list(names)


def test_every_part_that_a_layout_may_name_has_its_line() -> None:
    assert re.findall(r"^- `([\w-]+)`: ", read("parts.md"), re.M) == list(stock_parts())


@pytest.mark.parametrize("kind", dict.fromkeys(key.kind for key in list_keys()))
def test_every_example_of_a_file_can_be_used(kind: str) -> None:
    (text,) = re.findall(r"^```toml\n(.*?)^```$", read(f"{kind}.md"), re.M | re.S)
    model = Settings if kind == "settings" else KINDS[kind]
    assert model.model_validate(tomllib.loads(text))


def test_every_view_of_the_screen_has_its_keys() -> None:
    headings = re.findall(r"^## (.+)$", read("screen.md"), re.M)
    assert headings == [*VIEWS.values(), "Every drawing of a plate", "Everywhere"]


def test_every_setting_from_the_environment_is_named() -> None:
    sources = (path.read_text(encoding="utf-8") for path in (ROOT / "profiles").rglob("*.py"))
    names = {name for text in sources for name in re.findall(r"\bPLATEBOOK_[A-Z]+\b", text)}
    assert len(names) > 2
    assert {name for name in names if f"`{name}" not in read("commands.md")} == set()


def test_what_an_option_takes_and_its_default_are_in_brackets_of_their_own() -> None:
    lines = [line for line in read("commands.md").splitlines() if line.startswith("- `--")]
    about = [line.split("`: ", 1)[1] for line in lines]

    assert "- `--report-id N`: Report id. (default: none) (1<=x<=255)" in lines
    assert [words for words in about if "[" in words or "]" in words] == []


def test_nothing_of_this_machine_is_in_it() -> None:
    assert all(
        "python -m pip install" in line
        for line in PAGES["commands.md"].splitlines()
        if " pip " in line
    )
    assert not re.search(r"\S/bin/", "".join(PAGES.values()))
