"""The screen tells what to do on the screen, never an option of a command."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import profiles
from profiles.tui.ways import PLAN, say_here
from tests.tui.desks import flat, opened, press, seen


@pytest.mark.parametrize(
    ("words", "here"),
    [
        (
            "a common is split, as wired: --rewire plans every crossing again",
            "a common is split, as wired: `r` when you plan (W) plans every crossing again",
        ),
        ("--renumber lets it", "`n` when you plan (W) lets it"),
        ("Give a pitch: --pitch MM.", "Give a pitch: `pitch` MM."),
        ("`up--down` stays", "`up--down` stays"),
    ],
)
def test_an_option_is_what_does_the_same_here(words: str, here: str) -> None:
    assert say_here(words, PLAN) == here


async def test_a_plan_that_cannot_be_made_names_a_way_of_the_screen(folder: Path) -> None:
    desk = folder / "desk.toml"
    text = desk.read_text("utf-8").replace("crossing = [1, 2]", "crossing = [1, 1]")
    text = text.replace("[wiring]", '[wiring]\nboard = "atmega32u4"')
    desk.write_text(text, "utf-8")
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "5", "W", "f")
        said = flat(seen(app))
        assert (
            "the Findings view (2) names them. Or plan it all again: `r` when you plan (W)" in said
        )


def list_sentences() -> Iterator[str]:
    """Every text of the rooms below that has an option or a command, a sign for what is put in."""
    for path in sorted(Path(profiles.__file__).parent.rglob("*.py")):
        if path.relative_to(Path(profiles.__file__).parent).parts[0] in ("cli", "tui", "api.py"):
            continue
        nodes = list(ast.walk(ast.parse(path.read_text("utf-8"))))
        inner = {id(part) for one in nodes if isinstance(one, ast.JoinedStr) for part in one.values}
        for node in nodes:
            if id(node) in inner:
                continue
            parts = node.values if isinstance(node, ast.JoinedStr) else [node]
            text = "".join(
                str(one.value) if isinstance(one, ast.Constant) else "…" for one in parts
            )
            if isinstance(node, ast.JoinedStr | ast.Constant) and re.search(
                r"(?<!\S)--[a-z]|`platebook ", text
            ):
                yield text


def test_no_option_and_no_command_is_told_that_a_key_of_the_screen_does() -> None:
    """Whatever the rooms below say, also what no test of the screen leads to."""
    sentences = [one for one in list_sentences() if "\n\n" not in one]  # no docstrings
    assert len(sentences) > 20
    for sentence in sentences:
        here = say_here(sentence, PLAN)
        assert not re.search(r"(?<![\w`-])--[a-z]", here), here
        assert not re.search(r"`platebook (check|new|firmware|press test|open)", here), here
