"""A box made on the screen alone: from an empty folder to printed legends, by keys only."""

from pathlib import Path

import pypdfium2
import pytest
from textual import events
from textual.pilot import Pilot

from profiles.checks.registry import run_checks
from profiles.files.library import load_library
from profiles.tui.app import PlatebookApp
from tests.tui.desks import (
    SMALL,
    deliver,
    flat,
    opened,
    press,
    said,
    seen,
    send,
    settled,
    type_words,
)

LABELS = [f"{word} {side}" for word in ["FORE", "AFT", "PORT", "STAR", "KEEL"] for side in "1234"]

NIGHT = """\
Engines:
- Start engine
- Stop engine
- Trim up
- Trim down
- Fuel pump
- Coolant valve
Deck:
- Deck lights
- Work lights
- Anchor winch
- Gangway
- Cargo hook
- Hatch cover
Bridge:
- Fog horn
- Ship bell
- Radar range
- Chart scale
- Autopilot
- Log entry
- Wipers
- Searchlight
"""

QUARRY = """\
# Loader
Bucket up
Bucket down
Boom up
Boom down
Dump
Shift gear
Parking brake
Hazard lights
# Site
Call truck
Open gate
Siren
Blast clear
Weigh load
Water spray
Conveyor on
Conveyor off
Crusher on
Crusher off
Radio
Camera
"""


class Hands:
    """Keys pressed, one after another, and how many."""

    def __init__(self, app: PlatebookApp, pilot: Pilot[int]) -> None:
        self.app, self.pilot, self.strokes = app, pilot, 0

    async def press(self, *keys: str) -> None:
        for key in keys:
            self.strokes += 1
            send(self.app, key)
            await self.pilot.pause()
        await settled(self.app, self.pilot)

    async def type(self, words: str) -> None:
        self.strokes += len(words)
        await type_words(self.app, self.pilot, words)

    async def paste(self, text: str) -> None:
        """Paste from the system: one key of the terminal."""
        self.strokes += 1
        deliver(self.app, events.Paste(text))
        await settled(self.app, self.pilot)


def words_of(path: Path) -> str:
    """All words of a PDF, read by another program."""
    with pypdfium2.PdfDocument(path) as document:
        return " ".join(" ".join(page.get_textpage().get_text_range().split()) for page in document)


@pytest.mark.parametrize("size", [SMALL, (120, 40)])
async def test_keys_alone_make_a_box_of_twenty_buttons_for_two_titles(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    """From an empty folder to two legends, without leaving, in fewer than 400 keystrokes."""
    folder = tmp_path / "library"
    folder.mkdir()
    async with opened(folder, size) as (app, pilot):
        hands = Hands(app, pilot)
        assert "No box yet: lay one out" in flat(seen(app))
        await hands.press("enter")
        await hands.type("Bridge box")
        await hands.press(*["tab"] * 6)
        await hands.paste("\n".join(LABELS))
        await hands.press("ctrl+s")
        for title, actions in (("Night harbour", NIGHT), ("Quarry", QUARRY)):
            if "Start an application" not in flat(seen(app)):
                await hands.press("ctrl+n", "a")
            await hands.type(title)
            await hands.press("tab", "tab")
            await hands.paste(actions)
            await hands.press("ctrl+s")
            assert f"application {title} ▼" in flat(
                seen(app)
            )  # the profile's application, chosen already
            await hands.press("enter", "S", "y")
            assert "Bind 20 actions of" in said(app, "#note")
        await hands.press("ctrl+s", "4")
        for choose in ((), ("p", "enter")):
            await hands.press(*choose, "w", "enter")
            assert "Written to" in said(app, "#note")
        assert (app.is_running, app.session.copy.dirty) == (True, ())
        assert hands.strokes < 400

    loaded = load_library(folder)
    assert loaded.problems == ()
    library = loaded.library
    (device,) = library.devices.values()
    assert [control.label for control in device.controls.values()] == LABELS
    assert len(library.applications) == len(library.profiles) == 2
    assert [one for one in run_checks(library).findings if one.severity == "error"] == []
    for profile in library.profiles:
        link = library.link(profile)
        assert len({bound.acting for bound in link.bound}) == 20
        (sheet,) = folder.glob(f"sheets/*{profile}*.pdf")
        words = words_of(sheet)
        assert [bound.legend for bound in link.bound if bound.legend not in words] == []


async def test_a_list_pasted_into_a_line_goes_where_lists_are_asked_for(tmp_path: Path) -> None:
    """A name of one line stays where it is pasted."""
    async with opened(tmp_path, SMALL) as (app, pilot):
        hands = Hands(app, pilot)
        await hands.press("a")
        await hands.paste("Quarry")
        await hands.paste(QUARRY)
        await hands.press("ctrl+s")
        (application,) = app.session.library.applications.values()
        assert application.name == "Quarry"
        assert len(application.actions) == 20


async def test_an_answer_that_cannot_be_used_is_told_beside_its_question(tmp_path: Path) -> None:
    async with opened(tmp_path, SMALL) as (app, pilot):
        hands = Hands(app, pilot)
        await hands.press("b")
        await hands.type("Box")
        await hands.press("tab")
        await hands.type("a b")
        await hands.press("enter")
        lines = seen(app).splitlines()
        at = next(at for at, line in enumerate(lines) if "is no id" in line)
        assert "a b" in lines[at - 1]
        assert list(tmp_path.iterdir()) == []
        await hands.press("ctrl+u")
        await hands.press("enter")
        assert [*app.session.library.devices] == ["box"]


PARTS = {
    "1": "#plate-panel", "2": "#finding-page", "3": "#compare-said", "4": "#sheet-preview",
    "5": "#wiring-said", "6": "#device-panel", "7": "#press-asked",
}  # fmt: skip
"""What tells in each view that it has nothing to show."""


@pytest.mark.parametrize(
    ("left", "views", "words"),
    [
        ((), "1234567", "No box yet: lay one out, from a grid or rows of parts."),
        (("desk",), "13", "No application yet: paste the list of what it can do."),
        (("desk", "harbour"), "13", "No profile binds this box yet: choose its application."),
    ],
)
async def test_every_view_without_anything_to_show_offers_the_next_step(
    folder: Path, left: tuple[str, ...], views: str, words: str
) -> None:
    for path in folder.glob("*.toml"):
        if path.stem not in left:
            path.unlink()
    async with opened(folder) as (app, pilot):
        await pilot.press("escape")
        for view in views:
            await pilot.press(view)
            await settled(app, pilot)
            assert f"{words} Ctrl+N starts it." in said(app, PARTS[view]), view


async def test_every_choice_of_a_question_is_shown_when_it_opens(folder: Path) -> None:
    """Also for a mouse, in the smallest window."""
    async with opened(folder, SMALL) as (app, pilot):
        await press(app, pilot, "ctrl+n", "p", "tab", "tab", "enter")
        lines = seen(app).splitlines()
        at = next(number for number, line in enumerate(lines) if "▲" in line)
        names = [one.name for one in app.session.library.applications.values()]
        assert len(names) > 1
        for line, name in zip(lines[at + 1 :], names, strict=False):
            assert f" {name} " in line
