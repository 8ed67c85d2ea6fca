"""A person at a box for tests of `platebook press`: presses SDL's virtual joystick and answers.

The commands ask for keys again and again; here each asking lets the person do one thing more, at
the time that the thing takes on a clock of its own. Nothing waits.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest

from profiles.files.write import write_content
from profiles.live import reader as reader_room
from profiles.live.faults import Fault
from profiles.live.reader import SdlReader, load_sdl
from profiles.model import Device
from profiles.work.press import LiveRun, LiveTest, run_press_test
from tests.live.conftest import FakeClock, think_at_once
from tests.live.simulated import SimulatedBox
from tests.live.virtual import VirtualBox

START = 1000.0
Deed = str | None
"""What the person types after an act, None for nothing."""


class Person:
    """Keys that a script types; `script` does one act at each step and yields what is typed."""

    by_line = True

    def __init__(self, script: Iterator[Deed]) -> None:
        self._script = script
        self.closed = False

    def next(self, timeout: float) -> str | None:
        """Do one thing more; at the end of the script the input has ended."""
        return next(self._script, "end")

    def close(self) -> None:
        """Note that the terminal was given back."""
        self.closed = True


class Stage:
    """What a test needs to put a person at a box: clock, keys, the test as it goes."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.clock = FakeClock()
        self.test: LiveTest | None = None
        self._monkeypatch = monkeypatch
        real = SdlReader
        monkeypatch.setattr(
            reader_room, "SdlReader", lambda start=0.0: real(self.clock, start=start)
        )
        self._watch_tests()
        think_at_once(monkeypatch)

    def _watch_tests(self) -> None:
        from profiles.cli import press_running

        real = run_press_test

        def run(running: LiveRun, *rest: object) -> None:
            self.test = running if isinstance(running, LiveTest) else None
            real(running, *rest)  # type: ignore[arg-type]

        self._monkeypatch.setattr(press_running, "run_press_test", run)

    def put(self, script: Iterator[Deed]) -> Person:
        """Let this person type."""
        from profiles.cli import press_running

        person = Person(script)
        self._monkeypatch.setattr(press_running, "open_keys", lambda lines=False: person)
        return person

    def wait(self, ms: float) -> None:
        """Let time pass."""
        self.clock.time += ms

    def press(self, virtual: VirtualBox, number: int, ms: float = 80.0) -> Iterator[Deed]:
        """Press a button for so long."""
        virtual.set(number, True)
        yield None
        self.wait(ms)
        virtual.set(number, False)
        yield None

    def do_steps(self, virtual: VirtualBox, box: SimulatedBox, most: int = 1000) -> Iterator[Deed]:
        """A patient person, who says `next` where a step does not end by itself."""
        for _ in range(most):
            assert self.test is not None
            step = self.test.session.step
            if step is None:
                return
            for event in box.perform(step):
                self.clock.time = START + event.time
                virtual.set(event.number, event.kind == "down")
                yield None
            self.clock.time = START + box.time
            yield None
            if self.test.session.step is step:
                yield "next"


@pytest.fixture
def stage(monkeypatch: pytest.MonkeyPatch) -> Iterator[Stage]:
    """SDL started, with a clock that stands still until it is told."""
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    sdl = load_sdl()
    sdl.SDL_SetHint(b"SDL_JOYSTICK_ALLOW_BACKGROUND_EVENTS", b"1")
    assert sdl.SDL_InitSubSystem(sdl.SDL_INIT_JOYSTICK | sdl.SDL_INIT_EVENTS) == 0
    yield Stage(monkeypatch)
    sdl.SDL_QuitSubSystem(sdl.SDL_INIT_JOYSTICK | sdl.SDL_INIT_EVENTS)


def write_device(folder: Path, device: Device) -> Path:
    """A library with this device alone."""
    folder.mkdir(exist_ok=True)
    path = folder / f"{device.id}.toml"
    path.write_text(write_content(device.plain(), "toml"), encoding="utf-8")
    return path


def damaged(device: Device, *faults: Fault, virtual: VirtualBox) -> SimulatedBox:
    """A simulated box with what it reports at rest already heard by the computer."""
    box = SimulatedBox(device, faults)
    box.down = box.levels(())
    for number in box.down:
        virtual.set(number, True)
    return box
