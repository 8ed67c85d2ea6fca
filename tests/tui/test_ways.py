"""The screen tells what to do on the screen, never an option of a command."""

from pathlib import Path

import pytest

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
