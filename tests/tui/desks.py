"""Libraries to work on, and the screen driven as a person would."""

import asyncio
import shutil
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

from textual import events
from textual.pilot import Pilot

from profiles.tui.app import PlatebookApp
from profiles.tui.frame import Line

EXAMPLES = Path(__file__).resolve().parents[2] / "example_profiles"
SMALL = (80, 24)
LARGE = (200, 60)

DEVICE = """\
# A small desk.
format = 1

[device]
id = "desk"
name = "Desk"

[plate]
width = 160.0
height = 90.0

[wiring]
rows = ["A0", "A1"]
columns = ["2", "3"]

[controls.horn]     # top left
kind = "momentary"
label = "HORN"
position = [30.0, 65.0]
hole = 16.2
front = 18.0
crossing = [1, 1]
input = 1

[controls.bell]
kind = "momentary"
label = "BELL"
position = [80.0, 65.0]
hole = 16.2
front = 18.0
crossing = [1, 2]
input = 2

[controls.lamp]
kind = "latching"
label = "LAMP"
position = [30.0, 25.0]
hole = 12.2
front = 15.0
crossing = [2, 1]
input = 3

[controls.trim]
kind = "rotary"
label = "TRIM"
position = [80.0, 25.0]
hole = 7.2
front = 14.0
inputs = { clockwise = 5, anticlockwise = 6, press = 7 }

[controls.mode]
kind = "selector"
positions = 3
label = "MODE"
position = [130.0, 25.0]
hole = 9.7
front = 14.0
inputs = { position-1 = 8, position-2 = 9, position-3 = 10 }

[controls.spare]
kind = "momentary"
label = "SPARE"
position = [130.0, 65.0]
hole = 16.2
front = 18.0
crossing = [2, 2]
input = 4
"""

APPLICATION = """\
format = 1

[application]
id = "harbour"
name = "Harbour"
contexts = ["quay", "sea"]

[actions.sound-horn]
name = "Sound the horn"
legend = "HORN"
group = "signals"
need = "must"

[actions.ring-bell]
name = "Ring the bell"
legend = "BELL"
group = "signals"

[actions.take-job]
name = "Take the job"
legend = "JOB"
contexts = ["quay"]

[actions.drop-anchor]
name = "Drop the anchor"
legend = "ANCHOR"
contexts = ["sea"]
need = "must"

[actions.deck-light]
name = "Deck light"
legend = "LIGHT"
behaviour = "follows"
group = "lights"
need = "want"
"""

OTHER_APPLICATION = """\
format = 1

[application]
id = "tramway"
name = "Tramway"

[actions.ring-bell]
name = "Ring the gong"
legend = "GONG"
group = "signals"

[actions.whistle]
name = "Blow the whistle"
legend = "WHISTLE"
group = "signals"
"""

PROFILE = """\
# What the desk does in the harbour.
format = 1

[profile]
id = "harbour-desk"
name = "Harbour on the desk"
application = "harbour"
device = "desk"

[bindings]
horn = "sound-horn"   # the big one
bell = "ring-bell"
lamp = "deck-light"
"""

OTHER_PROFILE = """\
format = 1

[profile]
id = "tramway-desk"
name = "Tramway on the desk"
application = "tramway"
device = "desk"

[bindings]
bell = "whistle"
"""

FILES = {
    "desk": DEVICE,
    "harbour": APPLICATION,
    "tramway": OTHER_APPLICATION,
    "bindings": PROFILE,
    "tram-bindings": OTHER_PROFILE,
}


def write_desk(folder: Path) -> Path:
    """A library of one desk and two titles."""
    folder.mkdir(parents=True)
    for name, text in FILES.items():
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")
    return folder


def copy_example(name: str, folder: Path) -> Path:
    """A copy of a bundled library."""
    return Path(shutil.copytree(EXAMPLES / name, folder))


@asynccontextmanager
async def opened(
    folder: Path, size: tuple[int, int] = SMALL, *, watch: bool = False
) -> AsyncIterator[tuple[PlatebookApp, Pilot[int]]]:
    """The screen on a library, read and checked."""
    app = PlatebookApp(folder, watch=watch)
    async with app.run_test(size=size) as pilot:
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


def send(app: PlatebookApp, key: str) -> None:
    """Press a key without waiting for anything, as fast hands do."""
    letter = LETTERS.get(key, key if len(key) == 1 else None)
    event = events.Key(key, letter)
    event.set_sender(app)
    assert app._driver is not None
    app._driver.send_message(event)


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
