"""Any keys and clicks in any order, at any size: no crash, and nothing is lost or invented.

Afterwards undo leads back to the files as they were at the start, redo to where the keys had led,
and a save writes exactly what the screen shows.
"""

import random
from contextlib import suppress
from pathlib import Path

import pytest
from textual import events
from textual.errors import NoWidget
from textual.pilot import OutOfBounds

from profiles.tui.app import PlatebookApp
from profiles.work.copy import WorkingCopy
from tests.tui.desks import (
    LARGE,
    SMALL,
    copy_example,
    opened,
    send,
    send_mouse,
    settled,
    write_desk,
)

EVENTS, CHUNKS = 10_000, 20

KEYS = (
    *("left", "right", "up", "down", "enter", "escape", "tab", "shift+tab", "space", "backspace"),
    *("home", "end", "pageup", "pagedown", "delete", "shift+left", "shift+up", "ctrl+b"),
    *(
        "ctrl+z",
        "ctrl+y",
        "ctrl+s",
        "ctrl+p",
        "ctrl+n",
        "ctrl+e",
        "S",
        *("W", "D", "A", "N", "R", "C", "asterisk"),
        "f1",
        "f2",
        "f3",
        "u",
        "U",
        "p",
        "d",
        "question_mark",
        "colon",
        "f4",
        "f6",
        "f7",
        "f5",
        "f8",
        "f10",
        "ctrl+n",
        "ctrl+e",
    ),
    *("slash", "left_square_bracket", "right_square_bracket", "plus", "minus", "full_stop", "0"),
    *"1234567abceflmnoqrstvwxyzghik",
)
SIZES = (SMALL, (120, 40), LARGE, (30, 8), (5, 3))


@pytest.mark.long
@pytest.mark.parametrize("chunk", range(CHUNKS))
async def test_any_keys_in_any_order(
    tmp_path: Path, chunk: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)  # where records and reports would go
    chance = random.Random(chunk)
    monkeypatch.chdir(tmp_path)  # sheets may be written to any name
    folder = tmp_path / "library"
    if chunk % 4:
        write_desk(folder)
    else:
        copy_example("harbour", folder)
    async with opened(folder, chance.choice(SIZES[:3])) as (app, pilot):
        monkeypatch.setattr(app, "end", lambda: None)  # leaving would end the test too soon
        start = texts(app.session.copy)
        for number in range(EVENTS // CHUNKS):
            what = chance.random()
            if what < 0.02:
                await pilot.resize_terminal(*chance.choice(SIZES))
            elif what < 0.06:
                await pilot.pause(0)
                width, height = app.size
                spot = chance.randrange(width), chance.randrange(height)
                with suppress(OutOfBounds, NoWidget):  # the window became smaller meanwhile
                    if what < 0.05:
                        button, is_held = chance.choice((1, 1, 3)), chance.random() < 0.2
                        await pilot.click(offset=spot, button=button, control=is_held)
                    else:
                        drag(app, spot, (chance.randrange(width), chance.randrange(height)))
            else:
                send(app, chance.choice(KEYS))
            if number % 10 == 9:
                await pilot.pause(0)
            assert app._exception is None
        await settled(app, pilot)
        await check(app, start)


def drag(app: PlatebookApp, start: tuple[int, int], end: tuple[int, int]) -> None:
    """Press the left button, move, and let go somewhere else, as fast hands do."""
    kinds = (events.MouseDown, events.MouseMove, events.MouseUp)
    for kind, spot in zip(kinds, (start, end, end), strict=True):
        send_mouse(app, kind, spot)


async def check(app: PlatebookApp, start: dict[str, str]) -> None:
    """What must hold after whatever was done."""
    copy = app.session.copy
    end = texts(copy)
    steps = 0
    while copy.undo():
        steps += 1
    assert {name: texts(copy)[name] for name in start} == start
    for _ in range(steps):
        copy.redo()
    assert texts(copy) == end
    saved = copy.save()
    assert (saved.clashes, saved.failures, copy.dirty) == ((), (), ())
    for name, text in end.items():
        path = copy.path(name)
        if path.exists():
            assert path.read_text("utf-8") == text


def texts(copy: WorkingCopy) -> dict[str, str]:
    """Every document's text as the screen has it."""
    return {name: copy.text(name) for name in sorted({*copy.loaded.sources, *copy.dirty})}
