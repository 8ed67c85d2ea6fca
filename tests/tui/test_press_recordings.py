"""The Press view: recordings replayed, reports written, and what a pressed control does."""

from pathlib import Path

import pytest
from textual.widgets import Input

from profiles.tui.dialogs import Decide
from tests.live.conftest import FakeClock
from tests.live.virtual import VirtualBox
from tests.tui.desks import (
    LARGE,
    copy_example,
    flat,
    opened,
    press,
    said,
    seen,
    write_desk,
)
from tests.tui.pressing import IDLE, RECORDING, SIZES, clock, pane_of, put_path

__all__ = ["clock"]


# Records and reports


@SIZES
async def test_a_record_replays_without_a_box(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, size: tuple[int, int]
) -> None:
    monkeypatch.chdir(tmp_path)
    async with opened(copy_example("harbour", tmp_path / "library"), size) as (app, pilot):
        await press(app, pilot, "7", "r")
        assert "helm-desk-press.jsonl" in flat(seen(app))
        await press(app, pilot, "enter")
        page = said(app, "#press-page")
        assert page.startswith("Helm desk: 60 of 60 steps done ")
        assert (
            " What explains it best over 99 %: Column 2 (pin 8) and column 4 (pin 10) are swapped "
            "at the board; and BELL bounces for longer than the debounce time. "
        ) in page
        assert "What explains it best" in flat(seen(app))
        await press(app, pilot, "e", "e", "e")
        assert "[x]" in seen(app)
        assert not list(tmp_path.glob("*.jsonl"))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (
            '{"format": 1, "recording": "quiz", "device": "desk", "description": "a", '
            '"program": "0.1.0"}\n',
            "is a recording of a quiz, not of a press-test. Choose another recording.",
        ),
        (
            '{"format": 1, "recording": "press-test", "device": "other", "description": "a", '
            '"program": "0.1.0"}\n',
            "odd.jsonl: the recording is of other, not of desk. Choose the device other.",
        ),
    ],
)
async def test_a_record_of_something_else_is_refused(tmp_path: Path, text: str, words: str) -> None:
    path = tmp_path / "odd.jsonl"
    path.write_text(text, encoding="utf-8")
    async with opened(write_desk(tmp_path / "library")) as (app, pilot):
        await press(app, pilot, "7", "r")
        put_path(app, path)
        await press(app, pilot, "enter")
        assert said(app, "#press-asked").endswith(words)


async def test_recordings_are_chosen_from_a_list_the_last_first(tmp_path: Path) -> None:
    """Those of this box, wherever the library has them; another file can be typed too."""
    folder = copy_example("harbour", tmp_path / "library")
    first, *rest = RECORDING.read_text("utf-8").splitlines(keepends=True)
    newer = first.replace("2031-05-04", "2032-01-01")
    (folder / "later.jsonl").write_text("".join([newer, *rest]), "utf-8")
    (folder / "recordings" / "other.jsonl").write_text(first.replace("helm-desk", "x"), "utf-8")
    async with opened(folder, LARGE) as (app, pilot):
        await press(app, pilot, "7", "r")
        text = seen(app)
        assert text.index("2032-01-01") < text.index("2031-05-04") < text.index("another file")
        assert "other.jsonl" not in text
        await press(app, pilot, "up", "end", "pagedown", "enter")
        assert app.screen.query_one("#field-0", Input).value == f"{folder / 'recordings'}/"


async def test_a_file_that_is_not_there_is_said_in_the_question(tmp_path: Path) -> None:
    async with opened(write_desk(tmp_path / "library")) as (app, pilot):
        await press(app, pilot, "7", "r")
        put_path(app, tmp_path / "none.jsonl")
        await press(app, pilot, "enter", "enter")
        assert said(app, "#hint") == "There is no such file; write the path of a .jsonl recording."


@pytest.mark.parametrize(
    ("name", "begins"), [("box.pdf", b"%PDF-"), ("box.html", b"<!DOCTYPE html>")]
)
async def test_the_report_is_written_and_where_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, begins: bytes
) -> None:
    monkeypatch.chdir(tmp_path)
    async with opened(copy_example("harbour", tmp_path / "library"), LARGE) as (app, pilot):
        await press(app, pilot, "7", "r")
        assert "helm-desk-press.jsonl" in flat(seen(app))
        await press(app, pilot, "enter")
        await press(app, pilot, "w")
        assert app.screen.query_one("#field-0", Input).value == str(
            tmp_path / "library" / "sheets" / "helm-desk-press.pdf"
        )
        await press(app, pilot, "w")
        put_path(app, Path("box.doc"))
        await press(app, pilot, "enter")
        assert said(app, "#hint") == "End the name with .pdf, .html or .csv."
        put_path(app, tmp_path / name)
        put_path(app, Path("Mira"), "#field-1")
        await press(app, pilot, "enter")
        assert said(app, "#note") == f"Written to {tmp_path / name}"
        data = (tmp_path / name).read_bytes()
        assert data.startswith(begins)
        assert name.endswith(".pdf") or b"Mira" in data
        await press(app, pilot, "w")
        put_path(app, tmp_path / name)
        await press(app, pilot, "enter")
        assert said(app, "#note") == f"Replaced {tmp_path / name}"


async def test_a_report_asks_before_it_replaces_what_platebook_did_not_make(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    mine = tmp_path / "box.csv"
    async with opened(copy_example("harbour", tmp_path / "library"), LARGE) as (app, pilot):
        await press(app, pilot, "7", "r")
        assert "helm-desk-press.jsonl" in flat(seen(app))
        await press(app, pilot, "enter")
        for answer, is_mine in (("k", True), ("r", False)):
            mine.write_bytes(b"mine")
            await press(app, pilot, "w")
            put_path(app, mine)
            await press(app, pilot, "enter")
            await app.workers.wait_for_complete()
            await press(app, pilot)
            assert isinstance(app.screen, Decide)
            assert "is there already with other content." in flat(seen(app))
            await press(app, pilot, answer)
            await app.workers.wait_for_complete()
            await press(app, pilot)
            assert (mine.read_bytes() == b"mine") is is_mine
        assert said(app, "#note") == f"Replaced {mine}"


# What controls do


@SIZES
async def test_a_pressed_control_is_jumped_to_and_shown_large(
    tmp_path: Path, clock: FakeClock, size: tuple[int, int]
) -> None:
    """Block letters stand at the top; under them the label, the action, and the title."""
    async with opened(write_desk(tmp_path / "library"), size) as (app, pilot):
        with VirtualBox(12) as virtual:
            await press(app, pilot, "7", "c", "c")
            pane = pane_of(app)
            assert pane.is_polling
            assert said(app, "#press-asked") == (
                "Harbour: Press a control to see what it does. x ends it."
            )
            virtual.set(2, True)
            pane.pump()
            assert app.session.control == "bell"
            top = app.query_one("#press-asked").said  # type: ignore[attr-defined]
            assert "BELL: Ring the bell\nHarbour   x ends it." in top
            assert "█" in top
            assert top.count("\n") >= 5
            assert pane.canvas.size.width == size[0]
            virtual.set(2, False)
            virtual.set(4, True)
            pane.pump()
            assert app.session.control == "spare"
            assert "SPARE is not bound" in said(app, "#press-asked")
            await press(app, pilot, "x", "x")
            assert not pane.is_polling
            assert said(app, "#press-asked") == f"Desk: {IDLE}"


async def test_a_box_may_come_and_go_while_controls_are_shown(
    tmp_path: Path, clock: FakeClock
) -> None:
    async with opened(write_desk(tmp_path / "library"), LARGE) as (app, pilot):
        await press(app, pilot, "7", "c")
        pane = pane_of(app)
        waits = "No box of this profile is plugged in; plug it in to see what its controls do."
        assert said(app, "#press-asked") == f"Harbour: {waits} x ends it."
        with VirtualBox(12) as virtual:
            pane.pump()
            virtual.set(1, True)
            pane.pump()
            assert "HORN: Sound the horn" in said(app, "#press-asked")
        pane.pump()
        assert waits in said(app, "#press-asked")
        await press(app, pilot, "2")
        pane.pump()
        assert not pane.is_polling


async def test_another_profile_shows_what_controls_do_there(
    tmp_path: Path, clock: FakeClock
) -> None:
    with VirtualBox(12) as virtual:
        async with opened(write_desk(tmp_path / "library"), LARGE) as (app, pilot):
            await press(app, pilot, "7", "c", "p", "t", "r", "a", "m", "enter")
            pane = pane_of(app)
            assert said(app, "#press-asked").startswith("Tramway: Press a control")
            virtual.set(2, True)
            pane.pump()
            assert "BELL: Blow the whistle" in said(app, "#press-asked")
