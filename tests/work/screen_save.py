"""The screen's save as a run with an exit code, to be killed, refused and raced like a command.

`save_on_screen` opens the screen on a library as a person would, presses keys that change it, saves
and leaves. Unsaved work that a killed screen left is taken up instead.
"""

import asyncio
import sys
from collections.abc import Sequence
from pathlib import Path

from profiles.tui.dialogs import Decide
from tests.tui.desks import opened, settled


def save_on_screen(folder: Path, keys: Sequence[str]) -> int:
    """Change a library by keys of the Plate view and save: 0, or 2 where that was refused.

    What the screen says of a refusal is on stderr, as a command says it. Leaves without saving
    then; until it does, the work stays unsaved and whole.
    """
    return asyncio.run(_save(folder, keys))


async def _save(folder: Path, keys: Sequence[str]) -> int:
    async with opened(folder) as (app, pilot):
        found = isinstance(app.screen, Decide)
        await pilot.press(*("t" if found else keys))
        await settled(app, pilot)
        meant = app.session.copy.unsaved()
        await pilot.press("ctrl+s")
        await settled(app, pilot)
        refused = app.session.copy.dirty
        if refused:
            assert app.session.copy.unsaved() == meant, "what is not saved is still there"
            print(f"platebook: {app.notes[-1]}", file=sys.stderr)
        await pilot.press("q", *("w" if refused else ""))
        await settled(app, pilot)
    return 2 if refused else 0
