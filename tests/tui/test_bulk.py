"""Several controls marked on the screen and changed together, shown before it is made."""

from pathlib import Path

from profiles.tui.plate_canvas import PlateCanvas
from tests.tui.desks import DEVICE, flat, opened, press, said, seen, settled, type_words
from tests.tui.test_mouse import drag


async def test_marked_controls_move_together_by_the_arrows(folder: Path) -> None:
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "6", "space", "down", "space", "m", "right", "shift+up", "enter")
        controls = app.session.library.devices["desk"].controls
        assert controls["horn"].position == (31.0, 75.0)
        assert controls["lamp"].position == (31.0, 35.0)
        assert "Move 2 controls by 1, 10" in said(app, "#note")
        assert "2 controls marked:" in said(app, "#device-panel")
        await press(app, pilot, "ctrl+z", "space")
        assert app.session.copy.dirty == ()
        assert "1 control marked:" in said(app, "#device-panel")


async def test_a_row_is_aligned_after_its_change_is_shown(folder: Path) -> None:
    path = folder / "desk.toml"
    path.write_text(DEVICE.replace("position = [80.0, 65.0]", "position = [80.0, 66.0]"), "utf-8")
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "6", "R", "o", "enter", "down", "enter", "ctrl+s")
        text = flat(seen(app))
        assert "Arrange 3 controls of Desk?" in text
        assert "-position = [80.0, 66.0]" in text
        assert app.session.copy.dirty == ()
        await press(app, pilot, "y")
        controls = app.session.library.devices["desk"].controls
        assert len({controls[key].position[1] for key in ("horn", "bell", "spare")}) == 1


async def test_rows_are_added_copied_numbered_and_wired(folder: Path) -> None:
    """The planner finds a place for each; undo takes all of it back."""
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "6", "A")
        await type_words(app, pilot, "2x1")
        await press(app, pilot, "tab", "tab", "tab")
        await type_words(app, pilot, "80,45")
        await press(app, pilot, "enter")
        assert "Add 2 controls?" in flat(seen(app))
        await press(app, pilot, "y")
        assert len(app.session.library.devices["desk"].controls) == 8

        await press(app, pilot, "D", "enter")
        assert "Add 1 copy?" in flat(seen(app))
        await press(app, pilot, "y", "N", "tab", "tab")
        await type_words(app, pilot, "21")
        await press(app, pilot, "enter")
        assert "Number 9 controls from 21 to " in flat(seen(app))
        await press(app, pilot, "y")
        await press(app, pilot, "ctrl+z", "ctrl+z", "ctrl+z")
        assert app.session.copy.dirty == ()


async def test_numbers_that_the_wiring_gives_are_kept_and_that_is_said(folder: Path) -> None:
    path = folder / "desk.toml"
    path.write_text(DEVICE.replace("[wiring]", '[wiring]\nnumbering = "along-rows"'), "utf-8")
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "6", "space", "N", "tab", "tab")
        await type_words(app, pilot, "50")
        await press(app, pilot, "enter")
        words = "Nothing to change: Desk keeps input 1 for HORN: its wiring gives it."
        assert said(app, "#note") == words


async def test_what_cannot_be_typed_is_said_and_can_be_put_right(folder: Path) -> None:
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "6", "D")
        await type_words(app, pilot, "many")
        await press(app, pilot, "enter")
        assert said(app, "#fault") == (
            "`many` is no grid of 1 to 512 controls. Write controls in a row, then rows, such as "
            "5x4."
        )
        await press(app, pilot, "escape", "asterisk", "o", "ctrl+s")
        assert said(app, "#fault").startswith("Nothing is to be done. ")


async def test_wiring_is_planned_one_key_away(folder: Path) -> None:
    path = folder / "desk.toml"
    text = DEVICE.replace("[wiring]", '[wiring]\nboard = "atmega32u4"')
    path.write_text(text.replace("crossing = [2, 2]\ninput = 4\n", ""), "utf-8")
    async with opened(folder, (120, 40)) as (app, pilot):
        assert app.session.library.devices["desk"].controls["spare"].crossing is None
        await press(app, pilot, "6", "W", "f")
        assert "Plan the wiring of Desk?" in flat(seen(app))
        await press(app, pilot, "y")
        spare = app.session.library.devices["desk"].controls["spare"]
        assert spare.wired_contacts == {"press"}
        await press(app, pilot, "ctrl+z")
        assert app.session.copy.dirty == ()


async def test_the_mouse_marks_one_more_and_all_in_a_frame(folder: Path) -> None:
    """Ctrl and a click mark one more or one less; a drag from an empty place, all inside."""
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "6")
        canvas = app.screen.query_one("#device PlateCanvas", PlateCanvas)
        spots = canvas.canvas.badges
        for key in ("bell", "trim", "bell"):
            await pilot.click(canvas, offset=spots[key], control=True)
        await settled(app, pilot)
        assert "1 control marked: TRIM" in said(app, "#device-panel")
        start = (2, spots["horn"][1] - 5)
        await drag(app, pilot, canvas, start, (spots["bell"][0] + 2, spots["bell"][1] + 2))
        assert "2 controls marked: HORN BELL" in said(app, "#device-panel")
        assert app.session.copy.dirty == ()
        await drag(app, pilot, canvas, spots["horn"], (spots["horn"][0] + 4, spots["horn"][1]))
        assert app.session.copy.past[-1].words.startswith("Move 2 controls")
        await press(app, pilot, "ctrl+z")
        await drag(app, pilot, canvas, start, (3, start[1] + 1))
        assert "marked" not in said(app, "#device-panel")


async def test_a_second_click_on_a_control_edits_it(folder: Path) -> None:
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "6")
        canvas = app.screen.query_one("#device PlateCanvas", PlateCanvas)
        await pilot.double_click(canvas, offset=canvas.canvas.badges["bell"])
        await settled(app, pilot)
        assert "BELL: sizes in mm" in flat(seen(app))


async def test_the_right_button_beside_every_control_lists_what_can_be_done(folder: Path) -> None:
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "6")
        canvas = app.screen.query_one("#device PlateCanvas", PlateCanvas)
        await pilot.click(canvas, offset=(2, 2), button=3)
        await settled(app, pilot)
        assert app.session.control == "horn"
        assert "Device: what can be done" in flat(seen(app))
