"""A box that has no file, learnt on the screen by the run that a terminal has."""

from pathlib import Path

from textual.pilot import Pilot
from textual.widgets import Input

from profiles.api import load
from profiles.checks.registry import run_checks
from profiles.tui.app import PlatebookApp
from profiles.tui.learning import LearnBox
from tests.live.conftest import FakeClock
from tests.live.virtual import VirtualBox
from tests.tui.desks import flat, opened, press, said, seen, type_words, write_desk
from tests.tui.pressing import SIZES, clock

__all__ = ["clock"]


def learner(app: PlatebookApp) -> LearnBox:
    screen = app.screen
    assert isinstance(screen, LearnBox)
    return screen


def hold(app: PlatebookApp, box: VirtualBox, clock: FakeClock, number: int, ms: float) -> None:
    """Hold a button for so long, and be quiet until it is told what it is."""
    for is_down, time in ((True, ms), (False, 800.0)):
        box.set(number, is_down)
        learner(app).pump()
        clock.time += time
    learner(app).pump()


async def enter(app: PlatebookApp, pilot: Pilot[int], words: str) -> None:
    learner(app).query_one(Input).value = words
    await press(app, pilot, "enter")


@SIZES
async def test_a_box_is_learnt_from_an_empty_library_and_its_file_passes_check(
    tmp_path: Path, clock: FakeClock, size: tuple[int, int]
) -> None:
    folder = tmp_path / "library"
    folder.mkdir()
    (folder / "platebook.toml").write_text("format = 1\n", encoding="utf-8")
    with VirtualBox(2, name="Front box", product=0x0077) as box:
        async with opened(folder, size) as (app, pilot):
            assert "l a box that is plugged in and has no file" in flat(seen(app))
            await press(app, pilot, "l")
            await type_words(app, pilot, "front")
            await press(app, pilot, "enter")
            assert "[buttons 0 of 2] Work a control, then type its name." in said(
                app, "#learn-asked"
            )
            hold(app, box, clock, 1, 90.0)
            assert "Heard: input 1 springs back: a momentary." in said(app, "#learn-said")
            await enter(app, pilot, "Fog horn")
            assert "Where is it? Type row,column from the top left" in said(app, "#learn-asked")
            await enter(app, pilot, "")
            hold(app, box, clock, 2, 2000.0)
            await enter(app, pilot, "Deck lights @ 1,2")
            await enter(app, pilot, "done")
            assert app.session.device_id == "front"
            assert not (folder / "front.toml").exists()
            await press(app, pilot, "ctrl+s")
    device = load(folder).library.devices["front"]
    assert {name: one.kind for name, one in device.controls.items()} == {
        "fog-horn": "momentary",
        "deck-lights": "latching",
    }
    assert (device.name, device.device.usb and device.device.usb.product) == ("Front box", "0077")
    found = run_checks(load(folder).library).findings
    assert [one for one in found if one.severity == "error"] == []


async def test_what_was_named_is_resumed_and_the_palette_finds_the_way(
    tmp_path: Path, clock: FakeClock
) -> None:
    folder = write_desk(tmp_path / "library")
    with VirtualBox(2, name="Front box", product=0x0077) as box:
        async with opened(folder) as (app, pilot):
            await press(app, pilot, "colon")
            await type_words(app, pilot, "learn a box")
            await press(app, pilot, "enter")
            await type_words(app, pilot, "front")
            await press(app, pilot, "enter")
            hold(app, box, clock, 1, 90.0)
            await enter(app, pilot, "Fog horn @ 1,1")
            await press(app, pilot, "escape")
            note = "Stopped; learning front again resumes it."
            assert note in app.notes
            await press(app, pilot, "f9")
            await type_words(app, pilot, "front")
            await press(app, pilot, "enter")
            assert "1 control named already" in said(app, "#learn-said")
            assert "[buttons 1 of 2]" in said(app, "#learn-asked")
            await press(app, pilot, "escape")


async def test_an_id_that_is_taken_is_refused_and_no_box_is_told(
    tmp_path: Path, clock: FakeClock
) -> None:
    async with opened(write_desk(tmp_path / "library")) as (app, pilot):
        await press(app, pilot, "f9")
        await type_words(app, pilot, "desk")
        await press(app, pilot, "enter")
        assert said(app, "#fault-0") == "Id `desk` is taken in this library; choose another."
        await type_words(app, pilot, "two")
        await press(app, pilot, "enter")
        assert app.notes[-1].startswith("No box is plugged in. Plug it in. ")
