"""The mouse alone: buttons, clicks beside a box, drags, the right button, rows clicked twice."""

import asyncio
from pathlib import Path

import pytest
from textual import events
from textual.pilot import Pilot
from textual.widget import Widget
from textual.widgets import Button, Input

from profiles.tui.app import PlatebookApp
from profiles.tui.dialogs import Ask, Choice, Choose, Decide, Dialog, Read
from profiles.tui.frame import VIEWS, Listing
from profiles.tui.key_bar import KeyBar
from profiles.tui.plate_canvas import PlateCanvas
from profiles.tui.tables import Table
from tests.tui.desks import flat, opened, press, seen, send_mouse, settled


async def point(
    app: PlatebookApp, pilot: Pilot[int], widget: Widget, kind: type[events.MouseEvent],
    spot: tuple[int, int],
) -> None:  # fmt: skip
    """A move, press or release of the left button over a cell of a widget."""
    send_mouse(app, kind, widget.region.offset + spot)
    await pilot.pause()


async def drag(
    app: PlatebookApp,
    pilot: Pilot[int],
    widget: Widget,
    start: tuple[int, int],
    end: tuple[int, int],
) -> None:
    """Press the left button, move in two steps, let go."""
    middle = (start[0] + end[0]) // 2, (start[1] + end[1]) // 2
    await point(app, pilot, widget, events.MouseDown, start)
    await point(app, pilot, widget, events.MouseMove, middle)
    await point(app, pilot, widget, events.MouseMove, end)
    await point(app, pilot, widget, events.MouseUp, end)
    await settled(app, pilot)


async def click_bar(app: PlatebookApp, pilot: Pilot[int], words: str) -> None:
    """Click words on the last line."""
    at = seen(app).splitlines()[-1].index(words)
    await pilot.click(KeyBar, offset=(at + 1, 0))
    await settled(app, pilot)


async def test_save_undo_find_and_help_are_on_the_last_line_at_any_width(folder: Path) -> None:
    for width in (60, 80, 120):
        async with opened(folder, (width, 24)) as (app, pilot):
            for view in "1234567":
                await press(app, pilot, view)
                last = seen(app).splitlines()[-1]
                assert last.endswith("^S Save  u Undo  : Find  F1 Help"), last


async def test_the_keys_on_the_last_line_act_when_they_are_clicked(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        await click_bar(app, pilot, "Unbind")
        assert app.session.copy.past[-1].words == "Unbind `horn`"
        await click_bar(app, pilot, "Undo")
        assert app.session.copy.past == []
        await click_bar(app, pilot, "Unbind")
        await click_bar(app, pilot, "Save")
        assert "Saved Harbour on the desk" in seen(app)
        await click_bar(app, pilot, "Find")
        assert isinstance(app.screen, Choose)
        await pilot.click(offset=(0, 0))
        await settled(app, pilot)
        await click_bar(app, pilot, "Help")
        assert isinstance(app.screen, Read)


async def test_a_click_beside_a_box_closes_it_and_one_in_it_does_not(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        for keys, kind in ((("l",), Ask), (("b",), Choose), (("6", "x"), Decide), (("f1",), Read)):
            await press(app, pilot, *keys)
            assert isinstance(app.screen, kind)
            await pilot.click("#hint")
            assert isinstance(app.screen, kind)
            await pilot.click(offset=(0, 12))
            await settled(app, pilot)
            assert len(app.screen_stack) == 1
            assert app.session.copy.past == []


@pytest.mark.parametrize("steps", range(4))
async def test_a_box_that_is_left_while_it_is_put_together_is_closed(
    folder: Path, steps: int
) -> None:
    async with opened(folder) as (app, pilot):
        left: list[object] = []
        app.push_screen(Choose("Which one?", [Choice("horn", ("Horn",), "Horn")]), left.append)
        for _ in range(steps):
            await asyncio.sleep(0)
        box = app.screen
        assert isinstance(box, Dialog)
        box.action_leave()
        await pilot.pause()
        assert left == [None]
        assert len(app.screen_stack) == 1


async def test_a_row_shows_its_effect_first_and_is_chosen_by_a_second_click(folder: Path) -> None:
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "right", "right", "b")
        rows = app.screen.query_one("#list", Listing)
        await pilot.click(rows, offset=(4, 2))
        await settled(app, pilot)
        assert rows.highlighted == 2
        assert isinstance(app.screen, Choose), "one click only shows what it would bring"
        assert "Then: Bind SPARE" in flat(seen(app))
        await pilot.click(rows, offset=(4, 2))
        await settled(app, pilot)
        assert len(app.screen_stack) == 1
        assert app.session.copy.past[-1].words.startswith("Bind `spare`")


async def test_the_buttons_of_a_box_do_what_its_keys_do(folder: Path) -> None:
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "l")
        app.screen.query_one(Input).value = "TOOT"
        await pilot.click(next(b for b in app.screen.query(Button) if b.name == "submit"))
        await settled(app, pilot)
        assert "TOOT" in app.session.copy.text("harbour-desk")
        await press(app, pilot, "b")
        names = [button.name for button in app.screen.query(Button)]
        assert names == ["pick", "pick_beside", "leave"]
        await pilot.click(app.screen.query(Button).last())
        await settled(app, pilot)
        assert len(app.screen_stack) == 1


async def test_the_right_button_lists_what_can_be_done_there(folder: Path) -> None:
    async with opened(folder, (120, 40)) as (app, pilot):
        canvas = app.screen.query_one(PlateCanvas)
        await pilot.click(canvas, offset=canvas.canvas.badges["bell"], button=3)
        await settled(app, pilot)
        assert app.session.control == "bell"
        assert isinstance(app.screen, Choose)
        text = flat(seen(app))
        assert "Plate: what can be done" in text
        assert "Unbind (x, Delete)" in text
        assert "Redo" not in text, "only what belongs to this view"


async def test_the_right_button_lists_what_can_be_done_wherever_it_is_in_a_view(
    folder: Path,
) -> None:
    async with opened(folder, (120, 40)) as (app, pilot):
        for number, title in enumerate(VIEWS.values(), 1):
            await press(app, pilot, str(number))
            assert app.pane is not None
            for part in (app.pane, *app.pane.query("*")):
                x, y, width, height = part.region
                middle = x + width // 2, y + height // 2
                if part.region and app.screen.get_widget_at(*middle)[0] is part:
                    await pilot.click(offset=middle, button=3)
                    await settled(app, pilot)
                    assert f"{title}: what can be done" in flat(seen(app)), part
                    await press(app, pilot, "escape")
                    assert app.screen_stack[1:] == []


async def test_the_right_button_on_a_cell_marks_it_and_does_nothing_yet(folder: Path) -> None:
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "3")
        table = app.screen.query_one(Table)
        for _ in range(2):
            await pilot.click(table, offset=(20, 3), button=3)
            await settled(app, pilot)
            assert table.marked == (2, 0)
            assert "Compare: what can be done" in flat(seen(app))
            await press(app, pilot, "escape")


async def test_a_control_dragged_onto_another_exchanges_what_they_do(folder: Path) -> None:
    async with opened(folder, (120, 40)) as (app, pilot):
        canvas = app.screen.query_one(PlateCanvas)
        spots = canvas.canvas.badges
        before = app.session.copy.text("harbour-desk")
        await drag(app, pilot, canvas, spots["horn"], (spots["horn"][0] + 8, spots["horn"][1] + 4))
        assert app.session.copy.text("harbour-desk") == before
        await drag(app, pilot, canvas, spots["horn"], spots["spare"])
        assert app.session.copy.past[-1].words == "Swap `horn` and `spare`"


async def test_a_control_dragged_in_the_device_view_moves_by_whole_steps(folder: Path) -> None:
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "6")
        canvas = app.screen.query_one("#device PlateCanvas", PlateCanvas)
        column, row = canvas.canvas.badges["spare"]
        await drag(app, pilot, canvas, (column, row), (column - 6, row + 2))
        x, y = app.session.library.devices["desk"].controls["spare"].position
        assert app.session.copy.past[-1].words.startswith("Move `spare`")
        assert (x, y) == (round(130 - 6 * canvas.window.mm), round(65 - 2 * canvas.window.tall))
        await press(app, pilot, "u")
        assert app.session.library.devices["desk"].controls["spare"].position == (130.0, 65.0)


async def test_the_first_click_on_a_way_marks_it_and_the_second_takes_it(tmp_path: Path) -> None:
    """Wherever in the box the pointer is; only a click beside the box closes it."""
    folder = tmp_path / "empty"
    folder.mkdir()
    async with opened(folder) as (app, pilot):
        assert "click twice" in seen(app)
        lines = seen(app).splitlines()
        row = next(at for at, line in enumerate(lines) if "a  an application" in line)
        for is_open in (True, False):
            await pilot.click(offset=(lines[row].index("an app"), row))
            await settled(app, pilot)
            assert ("Start something new" in seen(app)) is is_open
        assert "Start an application" in seen(app)
        await pilot.click(offset=(1, 12))
        await settled(app, pilot)
        assert "Start an application" not in seen(app)


async def test_what_is_just_going_away_is_no_text_to_select(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        for keys, part in (((), "#plate-panel"), (("f1",), "#hint")):
            await press(app, pilot, *keys)
            line = app.screen.query_one(part)
            (x, y), holder = line.region.offset, line._parent
            assert app.screen.get_widget_and_offset_at(x + 1, y)[0] is line
            line._parent = None  # as while it is taken away
            assert app.screen.get_widget_and_offset_at(x + 1, y) == (None, None)
            line._parent = holder
