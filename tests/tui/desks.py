"""Libraries to work on, and the screen driven as a person would."""

import asyncio
import time
from collections.abc import AsyncIterator, Sized
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
from textual import events
from textual.pilot import Pilot

from profiles.tui.app import PlatebookApp
from profiles.tui.frame import Line
from profiles.tui.plate_rows import FirstPlate
from tests.work.libraries import (
    APPLICATION,
    DEVICE,
    EXAMPLES,
    PROFILE,
    copy_example,
    write_desk,
)

__all__ = ["APPLICATION", "DEVICE", "EXAMPLES", "PROFILE", "copy_example", "write_desk"]

SMALL = (80, 24)
LARGE = (200, 60)


class Hand(Pilot[int]):
    """Works the screen, and goes on as soon as nothing is left to do.

    The toolkit's own waits until the processor was idle for 20 ms, however little there is to do.
    """

    async def pause(self, delay: float | None = None) -> None:
        """Wait until every event is dealt with and all is painted; for long work, a second."""
        await super().pause(delay or 0)
        end = time.monotonic() + MOST_SECONDS
        while delay is None and not self.app._exit:
            self.app.animator()  # scrolls to its end at once, as nothing moves slowly here
            is_soon = time.monotonic() < end
            busy = [one.wait() for one in self.app.workers if is_soon and one.is_running]
            if busy:
                await asyncio.wait(map(asyncio.ensure_future, busy), timeout=MOST_SECONDS)
            elif not self._has_more():
                break
            await super().pause(0)

    def _has_more(self) -> bool:
        """Whether any task could go on now, or painting is due."""
        waiting: Sized = getattr(asyncio.get_running_loop(), "_ready")  # noqa: B009 - not public
        return len(waiting) > 0 or self.app.screen._update_timer._active.is_set()


MOST_SECONDS = 1.0
"""How long work off the screen's thread is waited for; the toolkit's own figure."""


@asynccontextmanager
async def opened(
    folder: Path, size: tuple[int, int] = SMALL, *, watch: bool = False
) -> AsyncIterator[tuple[PlatebookApp, Pilot[int]]]:
    """The screen on a library, read and checked."""
    app = PlatebookApp(folder, watch=watch)
    async with app.run_test(size=size):
        pilot = Hand(app)
        await settled(app, pilot)
        yield app, pilot


async def settled(app: PlatebookApp, pilot: Pilot[int]) -> None:
    """Wait until no work goes on and everything is painted."""
    for _ in range(100):
        await pilot.pause()
        busy = [one for one in app.workers if one.is_running]
        if not busy and app._loaded:
            break
        await asyncio.gather(*(one.wait() for one in busy), return_exceptions=True)
    await pilot.pause()


LETTERS = {
    "slash": "/",
    "minus": "-",
    "plus": "+",
    "space": " ",
    "full_stop": ".",
    "comma": ",",
    "left_square_bracket": "[",
    "right_square_bracket": "]",
}
"""What a key of a name writes."""


def deliver(app: PlatebookApp, event: events.Event) -> None:
    """Let the terminal report something, without waiting for what it sets off."""
    event.set_sender(app)
    assert app._driver is not None
    app._driver.send_message(event)


def send(app: PlatebookApp, key: str) -> None:
    """Press a key without waiting for anything, as fast hands do."""
    letter = LETTERS.get(key, key if len(key) == 1 else None)
    deliver(app, events.Key(key, letter))


def send_mouse(
    app: PlatebookApp, kind: type[events.MouseEvent], spot: tuple[int, int], button: int = 1
) -> None:
    """Move, press, release or turn the mouse over a cell of the screen, without waiting."""
    x, y = spot
    deliver(app, kind(None, x, y, 0, 0, button, False, False, False, x, y))


async def press(app: PlatebookApp, pilot: Pilot[int], *keys: str) -> None:
    """Press keys, and wait for what they set off."""
    for key in keys:
        send(app, key)
        await pilot.pause()
    await settled(app, pilot)


async def type_words(app: PlatebookApp, pilot: Pilot[int], words: str) -> None:
    """Type letters."""
    names = {letter: name for name, letter in LETTERS.items()}
    for letter in words:
        send(app, names.get(letter, letter))
    await settled(app, pilot)


def flat(text: str) -> str:
    """The words of a screen on one line, without the lines between its parts."""
    return " ".join(text.replace("│", " ").split())


def said(app: PlatebookApp, part: str) -> str:
    """The words of one part of the screen on one line, also those scrolled out of sight."""
    return " ".join(app.screen.query_one(part, Line).said.split())


def seen(app: PlatebookApp) -> str:
    """The whole screen as text, line by line."""
    strips = app.screen._compositor.render_strips()
    return "\n".join("".join(part.text for part in strip).rstrip() for strip in strips)


async def see_first_plate(folder: Path, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What is shown until the library is read, line by line, whatever is pressed meanwhile."""
    monkeypatch.setattr(PlatebookApp, "_read_library", lambda _self: None)
    app = PlatebookApp(folder, watch=False)
    async with app.run_test(size=SMALL) as pilot:
        await pilot.pause()
        first = seen(app).splitlines()
        await pilot.press("b", "right", "2", "ctrl+s", "ctrl+n")
        assert app.screen.query(FirstPlate)
    return first
