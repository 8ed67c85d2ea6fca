"""The same box made by the mouse alone: clicks, and words pasted with its middle button."""

from pathlib import Path

from textual.pilot import Pilot
from textual.widgets import Button

from profiles.checks.registry import run_checks
from profiles.files.library import load_library
from profiles.tui.app import PlatebookApp
from profiles.tui.fields import Fields
from profiles.tui.frame import Listing
from tests.tui.desks import flat, opened, said, seen, settled
from tests.tui.test_making import LABELS, NIGHT, QUARRY, Hands, words_of


class Mouse:
    """Clicks on what is seen, and pastes."""

    def __init__(self, app: PlatebookApp, pilot: Pilot[int]) -> None:
        self.app, self.pilot, self.hands = app, pilot, Hands(app, pilot)

    async def click(self, words: str) -> None:
        """Click words wherever they stand on the screen, the last of them."""
        lines = seen(self.app).splitlines()
        row = max(number for number, line in enumerate(lines) if words in line)
        await self.pilot.click(offset=(lines[row].rindex(words) + 1, row))
        await settled(self.app, self.pilot)

    async def press(self, action: str) -> None:
        """Click the button of a box."""
        buttons = [one for one in self.app.screen.query(Button) if one.name == action]
        await self.pilot.click(buttons[0])
        await settled(self.app, self.pilot)

    async def fill(self, answers: dict[str, str]) -> None:
        """Click into the answers of a form by the names of their questions, and paste."""
        form = self.app.screen
        assert isinstance(form, Fields)
        names = [question.name for question in form._questions]
        for name, words in answers.items():
            spot = f"#answer-{names.index(name)}"
            form.query_one(spot).scroll_visible(animate=False)
            await settled(self.app, self.pilot)
            await self.pilot.click(spot)
            await self.hands.paste(words)
        await self.press("submit")

    async def find(self, words: str) -> None:
        """Find something by its name and go there: the line that is marked, clicked twice."""
        await self.click(": Find")
        await self.hands.paste(words)
        rows = self.app.screen.query_one("#list", Listing)
        for _ in range(2):
            await self.pilot.click(rows, offset=(3, 1))
        await settled(self.app, self.pilot)


async def test_the_mouse_alone_makes_a_box_of_twenty_buttons_for_two_titles(
    tmp_path: Path,
) -> None:
    folder = tmp_path / "library"
    folder.mkdir()
    async with opened(folder, (120, 40)) as (app, pilot):
        mouse = Mouse(app, pilot)
        await mouse.press("take")
        await mouse.fill({"name": "Bridge box", "labels": "\n".join(LABELS)})
        for title, actions in (("Night harbour", NIGHT), ("Quarry", QUARRY)):
            if "Start an application" not in flat(seen(app)):
                await mouse.find("New")
                await pilot.click(app.screen.query_one("#list", Listing), offset=(3, 1))
                await mouse.press("take")
            await mouse.fill({"name": title, "actions": actions})
            await mouse.press("submit")
            await mouse.click("Suggest")
            await mouse.press("take")
            assert "Bind 20 actions of" in said(app, "#note")
        await mouse.click("^S Save")
        for profile in ("", "Night harbour"):
            if profile:
                await mouse.find(profile)
            await mouse.click("4 Sheets")
            await mouse.click("w Write file")
            await mouse.press("submit")
            assert "Written to" in said(app, "#note")
        assert (app.is_running, app.session.copy.dirty) == (True, ())

    loaded = load_library(folder)
    assert loaded.problems == ()
    (device,) = loaded.library.devices.values()
    assert [control.label for control in device.controls.values()] == LABELS
    assert len(loaded.library.profiles) == 2
    errors = [one for one in run_checks(loaded.library).findings if one.severity == "error"]
    assert errors == []
    printed = [words_of(path) for path in folder.rglob("*.pdf")]
    assert len(printed) == 2
    assert any("FOG HORN" in words.upper() for words in printed)
