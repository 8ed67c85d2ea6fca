"""Keys that come faster than a view opens are for that view, not for what was there before."""

from pathlib import Path

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
