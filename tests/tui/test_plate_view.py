"""The Plate view driven as a person would: see, move, bind, swap, chord, legend, undo, save."""

from pathlib import Path

import pytest
from textual.events import MouseEvent, MouseScrollDown, MouseScrollUp
from textual.pilot import Pilot

from profiles.tui.app import PlatebookApp
from profiles.tui.dialogs import Choose
from profiles.tui.plate_canvas import PlateCanvas
from tests.tui.desks import (
    LARGE,
    PROFILE,
    SMALL,
    copy_example,
    opened,
    press,
    said,
    seen,
    send_mouse,
    settled,
    type_words,
)

SIZES = pytest.mark.parametrize("size", [SMALL, (120, 40), LARGE], ids=lambda size: str(size[0]))


@SIZES
async def test_the_plate_shows_every_control_with_kind_state_and_words(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    """To see: 24 badges in five rows with their words, the chosen one between two pointers.

    The plate's own words are there where the names of the controls leave room.
    """
    async with opened(copy_example("harbour", tmp_path / "harbour"), size) as (app, _):
        text = seen(app)
        assert sum(text.count(badge) for badge in ("(#)", "[#]", "<#>", "{#}")) == 24
        assert text.count("(.)") == 0, "`shift` is held by chords, so it is not free"
        assert "▸[#]◂" in text
        assert ("HELM DESK" in text) == (size != SMALL)
        assert "MAINS" in text
        first = text.splitlines()[0]
        own = "0 E, 0 w, 0 n" if size == SMALL else "0 errors, 0 warnings, 0 notes"
        assert first.startswith(f" saved · {own} · Brackwater Towage, whole ")
        assert {len(line) <= size[0] for line in text.splitlines()} == {True}


@SIZES
async def test_arrows_go_where_the_eye_expects(folder: Path, size: tuple[int, int]) -> None:
    async with opened(folder, size) as (app, pilot):
        visited = [app.session.control]
        for key in ("right", "right", "down", "left", "left", "up", "up"):
            await press(app, pilot, key)
            visited.append(app.session.control)
        assert visited == ["horn", "bell", "spare", "mode", "trim", "lamp", "horn", "horn"]
        assert said(app, "#plate-panel").startswith("HORN ( ) momentary")


@SIZES
async def test_a_click_chooses_the_control_under_it(folder: Path, size: tuple[int, int]) -> None:
    async with opened(folder, size) as (app, pilot):
        canvas = app.screen.query_one(PlateCanvas)
        for control, spot in canvas.canvas.badges.items():
            await pilot.click(canvas, offset=spot)
            await settled(app, pilot)
            assert app.session.control == control


async def test_two_clicks_open_the_actions(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        canvas = app.screen.query_one(PlateCanvas)
        await pilot.click(canvas, offset=canvas.canvas.badges["spare"], times=2)
        await settled(app, pilot)
        assert isinstance(app.screen, Choose)
        assert "Bind SPARE" in seen(app)


async def test_typing_a_label_jumps_to_it(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "slash")
        await type_words(app, pilot, "mode")
        await press(app, pilot, "enter")
        assert app.session.control == "mode"


async def test_zoom_and_pan_keep_the_chosen_control_in_sight(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        canvas = app.screen.query_one(PlateCanvas)
        whole = canvas.window
        await press(app, pilot, "plus", "plus", "plus")
        assert canvas.window.mm == pytest.approx(whole.mm / 3)
        for key in ("right", "right", "down"):
            await press(app, pilot, key)
            column, row = canvas.canvas.badges[app.session.control]
            assert 0 <= column < canvas.window.columns
            assert 0 <= row < canvas.window.rows
        before = canvas.window
        await press(app, pilot, "shift+left")
        assert canvas.window.left < before.left
        await press(app, pilot, "0")
        assert canvas.window == whole


async def test_the_mouse_wheel_zooms(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        canvas = app.screen.query_one(PlateCanvas)
        whole = canvas.window
        await turn_wheel(app, pilot, MouseScrollUp, canvas)
        nearer = canvas.window
        assert nearer.mm < whole.mm
        await turn_wheel(app, pilot, MouseScrollDown, canvas)
        assert nearer.mm < canvas.window.mm <= whole.mm


async def turn_wheel(
    app: PlatebookApp, pilot: Pilot[int], way: type[MouseEvent], over: PlateCanvas
) -> None:
    """One detent of the mouse wheel, as the terminal reports it."""
    x, y = over.region.offset
    send_mouse(app, way, (x + 5, y + 5), button=0)
    await settled(app, pilot)


async def test_a_control_taken_up_for_a_swap_may_go_meanwhile(folder: Path) -> None:
    """Deleted in the Device view, it is forgotten: w takes up the one that is chosen now."""
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "w", "6", "x", "y", "1", "w")
        assert "horn" not in app.session.view.facts
        assert "Swap BELL with which?" in seen(app)
        await press(app, pilot, "escape")
        assert "nothing is swapped" in seen(app)


async def test_binding_shows_what_comes_and_goes_before_and_after(folder: Path) -> None:
    """Type, see the verdict, bind: the `must` action is no longer missing."""
    async with opened(folder, (120, 40)) as (app, pilot):
        assert app.session.tally.error == 1
        await press(app, pilot, "right", "right", "enter")
        await type_words(app, pilot, "anch")
        text = seen(app)
        assert "Now: nothing bound here." in text
        assert "Then: Bind SPARE to Drop the anchor." in text
        assert "- error: Drop the anchor is unbound" in text
        await press(app, pilot, "enter")
        assert app.session.tally.error == 0
        assert "1 unsaved · 0 errors" in seen(app)
        assert "Drop the anchor" in seen(app)


async def test_a_clash_shows_before_it_is_made(folder: Path) -> None:
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "enter")
        await type_words(app, pilot, "deck")
        text = " ".join(seen(app).split())
        assert "+ error: Sound the horn is unbound" in text
        await press(app, pilot, "escape")
        assert app.session.copy.dirty == ()


async def test_the_list_of_actions_takes_two_clicks(folder: Path) -> None:
    """The first shows what the action would bring, the second binds it."""
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "enter")
        for steps in (0, 1):
            await pilot.click("#list", offset=(3, 2))
            await settled(app, pilot)
            assert len(app.session.copy.past) == steps


async def test_unbinding_and_undo_to_the_start_and_redo(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "x", "right", "x", "left", "down", "delete")
        assert app.session.view.link is not None
        assert app.session.view.link.bound == ()
        await press(app, pilot, "ctrl+z", "ctrl+z", "ctrl+z", "ctrl+z")
        assert app.session.copy.dirty == ()
        assert "Nothing to take back." in seen(app)
        await press(app, pilot, "ctrl+y", "ctrl+y", "ctrl+y", "ctrl+y")
        assert app.session.view.link.bound == ()
        assert "Nothing to do again." in seen(app)


async def test_swapping_two_controls(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "w")
        assert "Swap HORN with which?" in seen(app)
        await press(app, pilot, "right", "w")
        text = app.session.copy.text("harbour-desk")
        assert 'horn = "ring-bell"   # the big one' in text
        assert 'bell = "sound-horn"' in text


async def test_a_swap_can_be_put_down_again(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "w", "escape", "right", "w", "w")
        assert app.session.copy.past == []
        assert "Put down again" in seen(app)


async def test_undo_names_the_file_where_it_is_not_looked_at(folder: Path) -> None:
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "x", "p")
        await type_words(app, pilot, "tramway")
        await press(app, pilot, "enter", "ctrl+z")
        assert "Taken back: Unbind HORN, in Harbour on the desk" in seen(app)
        await press(app, pilot, "ctrl+y", "p")
        await type_words(app, pilot, "harbour")
        await press(app, pilot, "enter", "ctrl+z")
        assert "Taken back: Unbind HORN" in seen(app)
        assert ", in " not in said(app, "#note")


async def test_a_chord_asks_what_is_held(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "c")
        assert "Hold which while HORN acts?" in seen(app)
        await type_words(app, pilot, "spare")
        await press(app, pilot, "enter")
        await type_words(app, pilot, "anchor")
        await press(app, pilot, "enter")
        assert '"spare + horn" = "drop-anchor"' in app.session.copy.text("harbour-desk")
        assert "+ANCHOR" in seen(app)


async def test_a_chord_holds_as_many_contacts_as_wanted(folder: Path) -> None:
    """Ctrl+B holds one more; what is held already is named and not offered again."""
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "c")
        await type_words(app, pilot, "spare")
        await press(app, pilot, "ctrl+b")
        assert "Hold which besides SPARE while HORN acts?" in seen(app)
        await type_words(app, pilot, "spare")
        assert "nothing matches" in seen(app)
        await press(app, pilot, "ctrl+u")
        await type_words(app, pilot, "bell")
        await press(app, pilot, "enter")
        await type_words(app, pilot, "anchor")
        await press(app, pilot, "enter")
        assert '"spare + bell + horn" = "drop-anchor"' in app.session.copy.text("harbour-desk")


async def test_a_second_action_beside_the_first(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "right", "enter")
        await type_words(app, pilot, "take")
        await press(app, pilot, "ctrl+b")
        assert 'bell = ["ring-bell", "take-job"]' in app.session.copy.text("harbour-desk")


async def test_a_legend_of_its_own(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "l")
        await type_words(app, pilot, "toot")
        await press(app, pilot, "enter")
        assert 'legend = "toot"' in app.session.copy.text("harbour-desk")
        assert "toot" in seen(app)


async def test_still_to_bind_offers_a_control_that_suits(folder: Path) -> None:
    async with opened(folder, (120, 40)) as (app, pilot):
        assert "must: Drop the anchor" in seen(app)
        await press(app, pilot, "s")
        assert "Proposed: Bind TRIM press to Drop the anchor." in seen(app)
        await press(app, pilot, "enter")
        assert app.session.copy.text("harbour-desk") == PROFILE + '"trim.press" = "drop-anchor"\n'


async def test_contacts_of_a_rotary_are_chosen_one_by_one(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "right", "down", "right_square_bracket")
        assert app.session.slot is not None
        assert app.session.slot.acting.short == "trim.anticlockwise"
        await press(app, pilot, "enter")
        await type_words(app, pilot, "job")
        await press(app, pilot, "enter")
        assert '"trim.anticlockwise" = "take-job"' in app.session.copy.text("harbour-desk")
        assert "JOB" in seen(app)


async def test_nothing_is_written_until_saved_and_then_exactly_what_is_seen(folder: Path) -> None:
    path = folder / "bindings.toml"
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "x")
        assert path.read_text("utf-8") == PROFILE
        await press(app, pilot, "ctrl+s")
        assert path.read_text("utf-8") == app.session.copy.text("harbour-desk")
        assert path.read_text("utf-8") == PROFILE.replace(
            'horn = "sound-horn"   # the big one\n', ""
        )
        assert "Saved Harbour on the desk" in seen(app)


async def test_another_profile_and_device_are_chosen_by_typing(tmp_path: Path) -> None:
    async with opened(copy_example("harbour", tmp_path / "harbour")) as (app, pilot):
        await press(app, pilot, "p")
        await type_words(app, pilot, "cobble")
        await press(app, pilot, "enter")
        assert app.session.profile_id == "cobblegate-on-helm-desk"
        await press(app, pilot, "d")
        await type_words(app, pilot, "look")
        await press(app, pilot, "enter")
        assert app.session.device_id == "lookout-box"
        assert app.session.profile_id == "brackwater-bridge"
        assert "GLASS" in seen(app)


async def test_a_device_without_profile_shows_its_own_words(folder: Path) -> None:
    for name in ("bindings", "tram-bindings"):
        (folder / f"{name}.toml").unlink()
    async with opened(folder) as (app, pilot):
        assert "SPARE" in seen(app)
        next_step = "No profile binds this box yet: choose its application. Ctrl+N starts it."
        assert next_step in said(app, "#plate-panel")
        await press(app, pilot, "enter")
        assert "No profile binds this device" in seen(app)


async def test_the_plate_shows_fixtures_and_their_holes(tmp_path: Path) -> None:
    """Along the lower edge of the winch house, where it has no control, words or screws."""
    folder = copy_example("boatyard", tmp_path / "boatyard")
    path = folder / "devices" / "winch-house.toml"
    drawn = []
    for text in (path.read_text("utf-8"), path.read_text("utf-8").partition("\n[fixtures.")[0]):
        path.write_text(text, "utf-8")
        async with opened(folder, LARGE) as (app, _):
            drawn.append(sum("\u2800" < letter <= "\u28ff" for letter in seen(app)))
    assert drawn[0] > drawn[1] + 60
