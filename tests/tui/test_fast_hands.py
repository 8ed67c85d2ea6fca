"""Keys that come faster than a view or box opens are for that, not for what was there before."""

from pathlib import Path

from textual.pilot import Pilot

from profiles.tui.app import PlatebookApp
from profiles.tui.early_keys import SOON
from profiles.tui.fields import Fields
from tests.tui.desks import SMALL, opened, send, settled


async def test_keys_behind_that_of_a_view_are_for_that_view(folder: Path) -> None:
    """In the Device view the control moves; the plate before it binds nothing."""
    async with opened(folder, SMALL) as (app, pilot):
        for key in ("6", "m", "right", "right", "enter"):
            send(app, key)
        await settled(app, pilot)
        assert len(app.screen_stack) == 1
        assert app.session.control == "horn"
        assert app.session.library.devices["desk"].controls["horn"].position == (32.0, 65.0)
        for key in ("1", "x"):
            send(app, key)
        await settled(app, pilot)
        assert "horn" in app.session.library.devices["desk"].controls
        assert app.session.copy.past[-1].words == "Unbind `horn`"


async def test_letters_behind_the_key_of_a_box_are_typed_into_it(folder: Path) -> None:
    """Also where a key of that box opens another; all in their order."""
    async with opened(folder, SMALL) as (app, pilot):
        for key in ("colon", *"bell", "enter"):
            send(app, key)
        await _handed_on(app, pilot)
        assert len(app.screen_stack) == 1
        assert app.session.control == "bell"
        for key in ("ctrl+n", "a", *"Quarry"):
            send(app, key)
        await _handed_on(app, pilot)
        assert isinstance(app.screen, Fields)
        assert app.screen.answers["name"] == "Quarry"
        assert app.session.copy.past == []


async def _handed_on(app: PlatebookApp, pilot: Pilot[int]) -> None:
    """Wait until no key is held any more."""
    while True:
        await settled(app, pilot)
        if not app._late:
            break
        await pilot.pause(SOON)
    await settled(app, pilot)
