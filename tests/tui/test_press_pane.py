"""The Press view: a box tested, right or faulty, with keys and mouse."""

import sys
from pathlib import Path

import pytest
from textual.widgets import OptionList

from profiles.live.lines import Answer
from profiles.live.recording import read_recording
from tests.live.conftest import FakeClock
from tests.live.test_recording import Disk
from tests.live.virtual import VirtualBox
from tests.tui.desks import (
    LARGE,
    copy_example,
    flat,
    opened,
    press,
    said,
    seen,
    settled,
    write_desk,
)
from tests.tui.pressing import IDLE, SIZES, SWAPPED, Person, begin, bench, clock, pane_of, virtual

__all__ = ["bench", "clock", "virtual"]


# Without a box


HEARD = Path("recordings", "bench-press.jsonl")
"""Where the first test of the bench is recorded, in its library."""


@SIZES
async def test_the_view_says_what_can_be_done(tmp_path: Path, size: tuple[int, int]) -> None:
    async with opened(write_desk(tmp_path / "library"), size) as (app, pilot):
        await press(app, pilot, "7", "7")
        assert said(app, "#press-asked") == f"Desk: {IDLE}"
        assert "[7 Press]" in seen(app)
        assert not pane_of(app).is_polling


@SIZES
async def test_no_box_is_said_in_the_view(
    tmp_path: Path, clock: FakeClock, size: tuple[int, int]
) -> None:
    async with opened(copy_example("harbour", tmp_path / "library"), size) as (app, pilot):
        await press(app, pilot, "7", "t", "s", "t", "s")
        assert flat(seen(app)).count("No box that is plugged in is `helm-desk`") == 1
        assert said(app, "#press-asked") == (
            "No box that is plugged in is `helm-desk` (USB 1209:0001, serial HD-01). Plug it in. "
            "Nothing that reports as a game controller can be read here; on Linux you also need "
            "permission to read /dev/input."
        )
        assert not pane_of(app).is_polling
        assert not list(tmp_path.glob("*.jsonl"))
        await press(app, pilot, "d", "down", "enter")
        assert said(app, "#press-asked") == f"Lookout box: {IDLE}"


async def test_another_box_is_named_and_its_name_is_inert(tmp_path: Path, clock: FakeClock) -> None:
    with VirtualBox(8, name="\x1b[31m[b]Evil[/b]", product=0x0077):
        async with opened(copy_example("harbour", tmp_path / "library")) as (app, pilot):
            await press(app, pilot, "7", "t", "f")
            words = said(app, "#press-asked")
            assert "this computer shows" in words
            assert "[b]Evil[/b], 1209:0077" in words
            assert "\x1b" not in words


@pytest.mark.parametrize("keys", [("t", "s"), ("c",)])
async def test_without_sdl_the_view_says_how_to_get_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, keys: tuple[str, ...]
) -> None:
    monkeypatch.chdir(tmp_path)

    monkeypatch.setitem(sys.modules, "sdl2", None)
    async with opened(write_desk(tmp_path / "library")) as (app, pilot):
        await press(app, pilot, "7", *keys)
        assert said(app, "#press-asked") == (
            "Reading a box needs SDL, which is not installed. "
            f"Install it: {sys.executable} -m pip install pysdl2 pysdl2-dll"
        )
        assert not pane_of(app).is_polling


async def test_answers_without_a_question_are_answered(tmp_path: Path) -> None:
    async with opened(write_desk(tmp_path / "library")) as (app, pilot):
        await press(app, pilot, "7")
        for key, words in {
            "enter": " Nothing is asked now; t tests the box.",
            "s": " Nothing is asked now; t tests the box.",
            "b": " Nothing is asked now; t tests the box.",
            "a": " Nothing is asked now; t tests the box.",
            "x": " Nothing is running that could be stopped.",
            "e": " Nothing is explained yet: t tests the box, r replays a recording.",
            "w": " Nothing to report yet: t tests the box, r replays a recording.",
        }.items():
            await press(app, pilot, key, key)
            assert app.query_one("#note").said == words  # type: ignore[attr-defined]


# The test


@SIZES
async def test_a_sound_box_is_tested_to_the_end(
    bench: Path, virtual: VirtualBox, clock: FakeClock, size: tuple[int, int], tmp_path: Path
) -> None:
    async with opened(bench, size) as (app, pilot):
        pane = await begin(app, pilot)
        Person(app, virtual, clock).do_steps()
        await settled(app, pilot)
        assert not pane.is_polling
        assert said(app, "#press-page") == (
            "Bench box: 16 of 16 steps done 16 right What explains it best "
            f"over 99 %: The box is as described. Recording: {bench / HEARD}"
        )
        assert flat(seen(app)).count("What explains it best") == 1
        await press(app, pilot, "e")
        assert pane.canvas.marks is not None
        assert {mark.badge[1] for mark in pane.canvas.marks.values()} == {"o"}
        assert set(seen(app).split()) >= {"B11", "B12", "TRIM"}
        assert app.focused is pane.canvas


async def test_a_swapped_wire_shows_on_the_plate_and_is_named_with_its_pins(
    bench: Path, virtual: VirtualBox, clock: FakeClock
) -> None:
    async with opened(bench, LARGE) as (app, pilot):
        pane = await begin(app, pilot, "f")
        Person(app, virtual, clock, SWAPPED).do_steps()
        await settled(app, pilot)
        page = said(app, "#press-page")
        assert "over 99 %: Row 1 (pin A0) and row 2 (pin A1) are swapped at the board." in page
        assert "Exchange the yellow wire at pin A0 and the yellow wire at pin A1." in page
        assert "Unplug the box before you open it" in page
        marks = pane.canvas.marks
        assert marks is not None
        told = {key: mark.badge for key, mark in marks.items()}
        assert (told["b11"], told["b12"], told["b24"]) == ("[x]", "(x)", "(x)")
        assert (told["b31"], told["b33"], told["trim"]) == ("(o)", "(o)", "<o>")
        assert "x wrong B12: heard input 6 instead of input 2" in flat(seen(app))


@SIZES
async def test_what_is_asked_is_marked_on_the_plate_and_told_with_its_keys(
    bench: Path, virtual: VirtualBox, clock: FakeClock, size: tuple[int, int]
) -> None:
    async with opened(bench, size) as (app, pilot):
        pane = await begin(app, pilot)
        Person(app, virtual, clock).do_steps(3)
        await pilot.pause()
        assert said(app, "#press-asked") == (
            "[4/16] Press and release B12 "
            "Enter that was all s skip b back a again x stop, resume later"
        )
        assert app.session.control == "b12"
        assert pane.canvas.marks is not None
        assert pane.canvas.marks["b12"].badge == "(?)"
        assert "▸(?)◂" in seen(app)
        virtual.set(7, True)
        pane.pump()
        assert said(app, "#press-asked").startswith("[4/16] Press and release B12 heard 7 ")
        assert said(app, "#press-counts").startswith("3 right, 13 not yet")
        assert "o right B11 on:" in flat(seen(app))


async def test_skip_back_again_and_leaving_off_by_keys_and_going_on_later(
    bench: Path, virtual: VirtualBox, clock: FakeClock, tmp_path: Path
) -> None:
    async with opened(bench) as (app, pilot):
        pane = await begin(app, pilot)
        person = Person(app, virtual, clock)
        person.do_steps(2)
        assert pane.test is not None
        session = pane.test.session
        clock.time += 1000.0
        await press(app, pilot, "s", "s")
        assert session.position == 4
        await press(app, pilot, "b", "backspace")
        assert session.position == 2
        await press(app, pilot, "a", "a", "x", "x")
        assert (session.position, session.phase, pane.is_polling) == (2, "stopped", False)
        assert said(app, "#note") == "Nothing is running that could be stopped."
        first = read_recording(bench / HEARD)
        assert [one.kind for one in first.entries if isinstance(one, Answer)][-7:] == [
            *("skip", "skip", "back", "back", "again", "again", "stop")
        ]
        await press(app, pilot, "t")
        assert "g resume bench-press.jsonl, 4 steps done" in flat(seen(app))
        await press(app, pilot, "g")
        person.do_steps()
        await settled(app, pilot)
        assert "16 of 16 steps done 16 right" in said(app, "#press-page")
        again = read_recording(bench / HEARD).entries
        assert again[: len(first.entries)] == first.entries
        await press(app, pilot, "t")
        assert "resume" not in flat(seen(app))
        await press(app, pilot, "s", "x")
        assert (bench / "recordings" / "bench-press-2.jsonl").exists()


async def test_leaving_the_view_leaves_off_and_coming_back_shows_it(
    bench: Path, virtual: VirtualBox, clock: FakeClock, tmp_path: Path
) -> None:
    async with opened(bench) as (app, pilot):
        pane = await begin(app, pilot)
        Person(app, virtual, clock).do_steps(5)
        await press(app, pilot, "1")
        pane.pump()
        assert not pane.is_polling
        assert read_recording(bench / HEARD).entries[-1].kind == "stop"
        assert said(app, "#note") == (
            f"The press test is stopped; t resumes it. Recording: {bench / HEARD}"
        )
        await press(app, pilot, "7")
        assert "5 of 16 steps done" in said(app, "#press-page")


async def test_quitting_in_the_middle_loses_nothing(
    bench: Path, virtual: VirtualBox, clock: FakeClock, tmp_path: Path
) -> None:
    async with opened(bench) as (app, pilot):
        pane = await begin(app, pilot)
        Person(app, virtual, clock).do_steps(4)
        virtual.set(2, True)
        pane.pump()
        await pilot.press("q")
    entries = read_recording(bench / HEARD).entries
    assert [one.kind for one in entries[-2:]] == ["down", "stop"]


async def test_an_unplugged_box_is_asked_again_when_it_is_back(
    bench: Path, clock: FakeClock
) -> None:
    first, second = VirtualBox(20), VirtualBox(20)
    async with opened(bench) as (app, pilot):
        with first:
            pane = await begin(app, pilot)
            Person(app, first, clock).do_steps(3)
        pane.pump()
        assert said(app, "#press-asked").startswith(
            "[4/16] The box is unplugged. Plug it in again: this step is asked once more."
        )
        with second:
            pane.pump()
            assert said(app, "#press-asked").startswith("[4/16] Press and release B12 Enter")
            Person(app, second, clock).do_steps()
            await settled(app, pilot)
            assert "16 of 16 steps done 16 right" in said(app, "#press-page")


async def test_of_two_boxes_one_is_chosen(bench: Path, clock: FakeClock) -> None:
    with VirtualBox(20, name="Left"), VirtualBox(20, name="Right") as right:
        async with opened(bench) as (app, pilot):
            await press(app, pilot, "7", "t", "s")
            assert "2 boxes may be Bench box. Which one?" in flat(seen(app))
            await press(app, pilot, "escape", "t", "s", "R", "i", "enter")
            pane = pane_of(app)
            assert pane.test is not None
            assert pane.test.session.instance == right.instance


async def test_a_full_disk_is_said_and_lines_wait_until_there_is_room(
    bench: Path, virtual: VirtualBox, clock: FakeClock
) -> None:
    async with opened(bench) as (app, pilot):
        pane = await begin(app, pilot)
        assert pane.test is not None
        assert pane.test.recorder is not None
        disk = Disk(0)
        pane.test.recorder._sink = disk
        Person(app, virtual, clock).do_steps(2)
        assert "No space left on device; everything before is safe" in said(app, "#press-asked")
        await press(app, pilot, "x", "x")
        assert pane.is_polling
        assert pane.test.is_live
        disk.room = 10**6
        pane.pump()
        assert not pane.is_polling
        kinds = [line for line in disk.synced.decode().splitlines() if '"answer"' in line]
        assert len(kinds) == 3
        assert '"stop"' in kinds[-1]


async def test_a_device_changed_meanwhile_ends_its_test(
    bench: Path, virtual: VirtualBox, clock: FakeClock, tmp_path: Path
) -> None:
    async with opened(bench) as (app, pilot):
        pane = await begin(app, pilot)
        Person(app, virtual, clock).do_steps(4)
        await press(app, pilot, "6", "x", "enter", "7")
        assert pane.test is None
        assert pane.canvas.marks is None
        assert said(app, "#press-asked") == f"Bench box: {IDLE}"
        assert read_recording(bench / HEARD).entries[-1].kind == "stop"


async def test_two_clicks_on_a_verdict_go_to_its_control(
    bench: Path, virtual: VirtualBox, clock: FakeClock
) -> None:
    async with opened(bench, LARGE) as (app, pilot):
        pane = await begin(app, pilot)
        Person(app, virtual, clock).do_steps()
        await settled(app, pilot)
        listed = pane.query_one("#press-verdicts", OptionList)
        listed.scroll_home(animate=False)
        await pilot.pause()
        await pilot.click(listed, offset=(3, 5), times=2)
        await settled(app, pilot)
        assert app.session.control == "b14"
        assert pane.canvas.display
        await pilot.click(pane.canvas, offset=pane.canvas.canvas.badges["b31"])
        assert app.session.control == "b31"
        listed.focus()
        await press(app, pilot, "home", "down", "enter", "enter")
        assert app.session.control == "b11"
