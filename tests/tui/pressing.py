"""A box on the screen's bench: SDL's virtual joysticks, and a person who presses what is asked.

Faulty boxes are simulated wire by wire. The clock stands still until it is told, and the box is
looked at by calling `pump`, so nothing waits.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from profiles.files.write import write_content
from profiles.live import reader as reader_room
from profiles.live.faults import Fault
from profiles.live.reader import SdlReader, load_sdl
from profiles.tui.app import PlatebookApp
from profiles.tui.press_pane import PressPane
from tests.live.conftest import FakeClock, think_at_once
from tests.live.simulated import SimulatedBox, make_box
from tests.live.virtual import VirtualBox
from tests.tui.desks import (
    EXAMPLES,
    LARGE,
    SMALL,
    press,
)

START = 1000.0
SIZES = pytest.mark.parametrize("size", [SMALL, LARGE])
RECORDING = EXAMPLES / "harbour" / "recordings" / "helm-desk-press.jsonl"
SWAPPED = Fault("swapped", (0, 1))
IDLE = "t tests it, r replays a recording, c shows what its controls do."


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[FakeClock]:
    """SDL started with a clock that stands still; recordings go into the test's own folder."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    monkeypatch.chdir(tmp_path)
    sdl, real, clock = load_sdl(), SdlReader, FakeClock()
    sdl.SDL_SetHint(b"SDL_JOYSTICK_ALLOW_BACKGROUND_EVENTS", b"1")
    assert sdl.SDL_InitSubSystem(sdl.SDL_INIT_JOYSTICK | sdl.SDL_INIT_EVENTS) == 0
    monkeypatch.setattr(reader_room, "SdlReader", lambda start=0.0: real(clock, start=start))
    think_at_once(monkeypatch)
    yield clock
    sdl.SDL_QuitSubSystem(sdl.SDL_INIT_JOYSTICK | sdl.SDL_INIT_EVENTS)


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    """A library of one box: 3 rows, 4 columns, a latching control and a rotary among them."""
    folder = tmp_path / "boxes"
    folder.mkdir()
    text = write_content(make_box(3, 4, diodes=True).plain(), "toml")
    (folder / "bench.toml").write_text(text, encoding="utf-8")
    return folder


@pytest.fixture
def virtual(clock: FakeClock) -> Iterator[VirtualBox]:
    with VirtualBox(20) as plugged:
        yield plugged


def pane_of(app: PlatebookApp) -> PressPane:
    pane = app.pane
    assert isinstance(pane, PressPane)
    return pane


class Person:
    """Who presses what the view asks for, on a box that may be faulty."""

    def __init__(
        self, app: PlatebookApp, virtual: VirtualBox, clock: FakeClock, *faults: Fault
    ) -> None:
        self.app, self.virtual, self.clock = app, virtual, clock
        self.box = SimulatedBox(make_box(3, 4, diodes=True), faults)
        self.box.down = self.box.levels(())

    def do_steps(self, most: int = 1000) -> None:
        """Do what is asked, and say that it was all where the step does not end by itself."""
        pane = pane_of(self.app)
        for _ in range(most):
            assert pane.test is not None
            step = pane.test.session.step
            if step is None or not pane.test.is_live:
                return
            for event in self.box.perform(step):
                self.clock.time = START + event.time
                self.virtual.set(event.number, event.kind == "down")
                pane.pump()
            self.clock.time = START + self.box.time
            pane.pump()
            if pane.test.session.step is step:
                pane.action_answer("next")


async def begin(app: PlatebookApp, pilot: Pilot[int], way: str = "s") -> PressPane:
    """Open the view and begin a test."""
    await press(app, pilot, "7", "t", way)
    pane = pane_of(app)
    assert pane.is_polling
    return pane


def put_path(app: PlatebookApp, path: Path, field: str = "#field-0") -> None:
    """Write into a field of the dialog, as pasting does."""
    app.screen.query_one(field, Input).value = str(path)
