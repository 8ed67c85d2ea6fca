"""How fast the screen is, against an empty screen of the same toolkit in the same run.

The ratios are asserted; both sides are measured turn by turn in one run, and of several turns the
best counts, so that neighbours on the machine count for little. Keys are held to clock time, as
hands and eyes have it, with the processor's share told beside; a start, in which nothing waits,
to the processor's time, of all threads, with the clock's told beside.
"""

import asyncio
import os
import statistics
import subprocess
import sys
import time
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Any

import pytest
from textual import events
from textual.app import App

from profiles.files.convert import convert_file
from profiles.files.walk import find_files
from profiles.plate.order import Direction
from profiles.tui.app import PlatebookApp
from profiles.tui.frame import Line
from profiles.tui.panel import name_facts
from tests.benchmarks.screens import EmptyApp, write_wide_desk
from tests.tui.desks import copy_example, settled

ROOT = Path(__file__).resolve().parents[2]
PRESSES = 60
TURNS = 3
MOST_KEY, MOST_START = 3.0, 1.6
"""Key to paint, and start to first paint, against an empty screen.

Measured 1.0 to 1.2, and 1.3 to 1.5, on two busy cores.
"""

MOST_WORDS, MOST_BUSY = 2.0, 5.0
"""Key to words while nothing and while checks go on, against key to paint of an empty screen.

Measured 1.0, and 2.9 to 3.3, on two cores: an empty screen takes 6 ms there, an eighth of 50 ms.
"""


async def measure_keys(
    app: App[int], settle: Callable[[Any, Any], Awaitable[None]]
) -> tuple[float, float]:
    """Seconds from a key to the paint that it changes: the median by clock, and of processor."""
    times, spent = [], []
    async with app.run_test(size=(120, 40)) as pilot:
        await settle(app, pilot)
        ours = isinstance(app, PlatebookApp)
        painted = asyncio.Event()
        paint = app._display

        def display(*given: Any) -> None:
            paint(*given)
            painted.set()

        app._display = display  # type: ignore[method-assign, assignment]
        for number in range(PRESSES):
            key = events.Key("left" if number % 2 and ours else "right", None)
            key.set_sender(app)
            painted.clear()
            started, before = time.perf_counter(), time.process_time()
            assert app._driver is not None
            app._driver.send_message(key)
            await asyncio.wait_for(painted.wait(), 5)
            times.append(time.perf_counter() - started)
            spent.append(time.process_time() - before)
            await asyncio.sleep(0.01)
    return statistics.median(times), statistics.median(spent)


async def measure_words(app: PlatebookApp, *, is_busy: bool) -> float:
    """The median from a key to the paint of the words of the control that it leads to, s.

    With `is_busy` while checks go on, one after the other.
    """
    times: list[float] = []
    async with app.run_test(size=(120, 40)) as pilot:
        while not (app._loaded and app.pane):
            await pilot.pause()
        if not is_busy:
            await settled(app, pilot)
        painted, paint, wanted = asyncio.Event(), app._display, ""

        def display(*given: Any) -> None:
            paint(*given)
            panel = app.screen.query_one("#plate-panel", Line)
            if wanted and panel.said.split("\n")[0] == wanted:
                painted.set()

        app._display = display  # type: ignore[method-assign, assignment]
        for number in range(PRESSES):
            if is_busy and not any(work.is_running for work in app.workers):
                app._check()  # the one before is over
            way: Direction = "left" if number % 2 else "right"
            following = app.session.view.moves[app.session.control][way]
            wanted = name_facts(app.session, app.session.view.facts[following])
            key = events.Key(way, None)
            key.set_sender(app)
            painted.clear()
            started = time.perf_counter()
            assert app._driver is not None
            app._driver.send_message(key)
            await asyncio.wait_for(painted.wait(), 10)
            times.append(time.perf_counter() - started)
            await asyncio.sleep(0.01)
    return statistics.median(times)


def test_key_to_words_of_128_controls_and_40_profiles(benchmark: Any, tmp_path: Path) -> None:
    """A move and the words beside the plate: at most 50 ms at the median, also during a check."""
    library = write_wide_desk(tmp_path / "wide")
    text = (library / "profile.toml").read_text("utf-8")
    for number in range(39):
        (library / f"p{number}.toml").write_text(text.replace('"all"', f'"all-{number}"'), "utf-8")

    def measure() -> tuple[float, float, float]:
        empty, _ = asyncio.run(measure_keys(EmptyApp(), wait_empty))
        idle, busy = (
            asyncio.run(measure_words(PlatebookApp(library, watch=False), is_busy=is_busy))
            for is_busy in (False, True)
        )
        return empty, idle, busy

    turns = [measure() for _ in range(TURNS - 1)]
    turns.append(benchmark.pedantic(measure, rounds=1))
    empty, idle, busy = (min(turn[at] for turn in turns) for at in range(3))
    benchmark.extra_info["idle_ms"], benchmark.extra_info["busy_ms"] = idle * 1000, busy * 1000
    benchmark.extra_info["busy_ratio"], benchmark.extra_info["ratio"] = busy / empty, idle / empty
    print(f"key to words: {idle * 1000:.1f} ms, during a check {busy * 1000:.1f} ms")
    assert idle / empty <= MOST_WORDS
    assert busy / empty <= MOST_BUSY


async def wait_empty(_app: Any, pilot: Any) -> None:
    await pilot.pause()


def test_key_to_painted_change(benchmark: Any, tmp_path: Path) -> None:
    """A move between 128 controls: at most 50 ms at the median, 3 times an empty screen."""
    library = write_wide_desk(tmp_path / "wide")

    def measure() -> tuple[tuple[float, float], tuple[float, float]]:
        empty = asyncio.run(measure_keys(EmptyApp(), wait_empty))
        app = PlatebookApp(library, watch=False)
        return asyncio.run(measure_keys(app, settled)), empty

    turns = [measure() for _ in range(TURNS - 1)]
    turns.append(benchmark.pedantic(measure, rounds=1))

    ours, empty = ([min(turn[way][at] for turn in turns) for at in (0, 1)] for way in (0, 1))
    ratio = ours[0] / empty[0]
    benchmark.extra_info["median_ms"] = ours[0] * 1000
    benchmark.extra_info["empty_ms"] = empty[0] * 1000
    benchmark.extra_info["ratio"] = ratio
    benchmark.extra_info["processor_ratio"] = ours[1] / empty[1]
    print(f"key to paint: {benchmark.extra_info['median_ms']:.1f} ms, ratio {ratio:.2f}")
    assert ratio <= MOST_KEY


def first_paint(folder: Path, what: str, *more: str) -> tuple[float, float]:
    """Seconds by clock and of processor from the start to the first paint, or to the plate's.

    In `folder` modules are compiled beforehand, as an installation does.
    """
    settings = {key: one for key, one in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    settings["PYTHONPYCACHEPREFIX"] = str(folder / "compiled")
    done = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.screens", what, str(time.time()), *more],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
        env=settings,
    )
    clock, processor = done.stdout.strip().splitlines()[-1].split()
    return float(clock), float(processor)


def test_start_to_first_paint(benchmark: Any, tmp_path: Path) -> None:
    """From the start to a plate with words: at most 1.6 times the first paint of an empty screen.

    The plate is that of the files, read plainly (2.5 to 2.7 by the model): of TOML, of YAML, and of
    holes, controls and parts of every kind. Measured 1.4 to 1.5, first paint included.
    """
    harbour, boatyard = (
        str(copy_example(name, tmp_path / name)) for name in ("harbour", "boatyard")
    )
    yaml = copy_example("harbour", tmp_path / "yaml")
    for path in find_files(yaml):
        if path.name != "platebook.toml":
            text = convert_file(path, "yaml").text
            path.unlink()
            path.with_suffix(".yaml").write_text(text, "utf-8")

    def measure() -> list[tuple[float, float]]:
        return [
            first_paint(tmp_path, "empty"),
            first_paint(tmp_path, harbour, "plate"),
            first_paint(tmp_path, str(yaml), "plate"),
            first_paint(tmp_path, boatyard, "plate"),
        ]

    measure()
    turns = [measure() for _ in range(8)]
    turns.append(benchmark.pedantic(measure, rounds=1))
    clock, processor = ([min(turn[of][way] for turn in turns) for of in range(4)] for way in (0, 1))
    benchmark.extra_info["empty_s"], benchmark.extra_info["ours_s"] = clock[:2]
    for at, name in enumerate(("plate", "plate from YAML", "plate of every kind"), 1):
        ratio, by_clock = processor[at] / processor[0], clock[at] / clock[0]
        benchmark.extra_info[f"{name} ratio"] = ratio
        print(f"{name}: ratio {ratio:.2f}, by the clock {by_clock:.2f}")
        assert ratio <= MOST_START


@pytest.mark.filterwarnings("default")
def test_both_screens_paint(tmp_path: Path) -> None:
    """What is measured happens: both screens reach a paint."""
    assert min(first_paint(tmp_path, "empty")) > 0
    assert min(first_paint(tmp_path, str(copy_example("harbour", tmp_path / "harbour")))) > 0
