"""The form of a document: every key in place, help and faults beside it, nothing written before."""

from pathlib import Path

from textual.widgets import Button

from profiles.model import SETTINGS_NAME
from profiles.tui.form import FormDialog, open_form
from profiles.tui.frame import Listing
from tests.tui.desks import (
    DEVICE,
    PROFILE,
    SMALL,
    flat,
    opened,
    press,
    said,
    seen,
    settled,
    type_words,
)


async def test_a_key_is_changed_beside_its_help_and_its_faults(folder: Path) -> None:
    """As `check` would tell them; comments stay; undo works in the form too."""
    async with opened(folder, SMALL) as (app, pilot):
        await press(app, pilot, "6", "ctrl+e")
        assert said(app, "#place") == "desk.toml › controls › HORN"
        await press(app, pilot, "slash")
        await type_words(app, pilot, "plate.width")
        await press(app, pilot, "enter")
        assert said(app, "#place") == "desk.toml › plate"
        words = "width Width, mm. Takes number above 0 to 5000 Needed. Now: 160"
        assert said(app, "#said") == f"{words} In the file: plate.width"
        await press(app, pilot, "enter")
        await type_words(app, pilot, "wide")
        await press(app, pilot, "enter")
        fault = "`desk.toml` would not be sound: `plate.width` is `wide`, not a number."
        assert said(app, "#fault") == fault
        assert app.session.copy.dirty == ()
        await press(app, pilot, "ctrl+u")
        await type_words(app, pilot, "170")
        await press(app, pilot, "enter")
        assert app.session.copy.text("desk") == DEVICE.replace("width = 160.0", "width = 170.0")
        await press(app, pilot, "u")
        assert app.session.copy.dirty == ()
        assert "width 160" in flat(seen(app))


async def test_what_a_value_brings_is_told_before_it_is_taken(folder: Path) -> None:
    async with opened(folder, SMALL) as (app, pilot):
        await press(app, pilot, "6", "ctrl+e", "slash")
        await type_words(app, pilot, "controls.horn.front")
        await press(app, pilot, "enter", "enter")
        await type_words(app, pilot, "90")
        assert "+ error: " in said(app, "#more")
        assert app.session.copy.dirty == ()


async def test_a_key_with_few_values_is_chosen(folder: Path) -> None:
    async with opened(folder, SMALL) as (app, pilot):
        await press(app, pilot, "6", "ctrl+e", "slash")
        await type_words(app, pilot, "wiring.driven")
        await press(app, pilot, "enter", "enter", "down", "enter")
        assert 'driven = "columns"' in app.session.copy.text("desk")
        await press(app, pilot, "x")
        assert app.session.copy.text("desk") == DEVICE


async def test_names_of_the_library_are_chosen_from_it(folder: Path) -> None:
    async with opened(folder, SMALL) as (app, pilot):
        await press(app, pilot, "ctrl+e", "down", "enter", "slash")
        await type_words(app, pilot, "bindings.bell")
        await press(app, pilot, "enter", "enter")
        await type_words(app, pilot, "anchor")
        await press(app, pilot, "enter")
        assert 'bell = "drop-anchor"' in app.session.copy.text("harbour-desk")
        await press(app, pilot, "f", "down", "enter", "enter", "down", "enter")
        await type_words(app, pilot, "ANCHOR")
        await press(app, pilot, "enter")
        (bound,) = (one for one in app.session.binds.bound if one.key == "bell")
        assert (bound.action_id, bound.legend) == ("drop-anchor", "ANCHOR")


async def test_a_value_that_is_none_of_the_names_can_be_typed(folder: Path) -> None:
    """A control's common is a pin of the board, or its ground, which is none."""
    path = folder / "desk.toml"
    text = DEVICE.replace("[wiring]", '[wiring]\nboard = "atmega32u4"')
    path.write_text(text.replace('common = "GND"', 'common = "9"'), "utf-8")
    async with opened(folder, SMALL) as (app, pilot):
        await press(app, pilot, "6", "ctrl+e", "slash")
        await type_words(app, pilot, "controls.trim.common")
        await press(app, pilot, "enter", "enter")
        await type_words(app, pilot, "type a value")
        await press(app, pilot, "enter", "ctrl+u")
        await type_words(app, pilot, "GND")
        await press(app, pilot, "enter")
        assert app.session.copy.text("desk") == text


async def test_a_list_of_values_is_typed_in_one_line_wherever_its_form_is_opened(
    folder: Path,
) -> None:
    """Also from a finding, which may name the list or a member of it."""
    async with opened(folder, SMALL) as (app, pilot):
        for path in (("controls", "horn", "position"), ("controls", "horn", "position", 1)):
            open_form(app, "desk", path)
            await settled(app, pilot)
            assert said(app, "#place") == "desk.toml › controls › HORN"
            await press(app, pilot, "enter", "ctrl+u")
            await type_words(app, pilot, "31, 65")
            await press(app, pilot, "enter")
            assert app.session.library.devices["desk"].controls["horn"].position == (31.0, 65.0)
            await press(app, pilot, "u", "escape")


async def test_an_entry_is_added_renamed_duplicated_and_removed(folder: Path) -> None:
    """A control of another kind is asked for its own keys; what names it follows."""
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "6", "ctrl+e", "backspace", "a", "enter")
        assert "Add momentary to controls" in flat(seen(app))
        await type_words(app, pilot, "siren")
        await press(app, pilot, "enter")
        fault = "`desk.toml` would not be sound: `controls.siren` has no `label`."
        assert said(app, "#fault") == fault
        await press(app, pilot, "tab")
        await type_words(app, pilot, "SIREN")
        await press(app, pilot, "enter")
        controls = app.session.library.devices["desk"].controls
        assert controls["siren"].label == "SIREN"
        assert controls["siren"].hole == controls["horn"].hole
        await press(app, pilot, "r")
        await type_words(app, pilot, "wail")
        await press(app, pilot, "enter", "d")
        await type_words(app, pilot, "wail-2")
        await press(app, pilot, "enter")
        assert [*app.session.library.devices["desk"].controls][-2:] == ["wail", "wail-2"]
        await press(app, pilot, "x", "u", "u", "u", "u")
        assert app.session.copy.dirty == ()


async def test_removing_a_control_shows_its_bindings_first(folder: Path) -> None:
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "6", "ctrl+e", "backspace", "x")
        text = flat(seen(app))
        assert "Harbour on the desk loses Sound the horn" in text
        await press(app, pilot, "b")
        assert app.session.copy.dirty == ()
        await press(app, pilot, "x", "y")
        assert "horn" not in app.session.library.devices["desk"].controls
        assert app.session.copy.text("harbour-desk") != PROFILE


async def test_members_of_lists_and_tables_that_are_not_there_are_added(folder: Path) -> None:
    async with opened(folder, SMALL) as (app, pilot):
        await press(app, pilot, "6", "ctrl+e", "slash")
        await type_words(app, pilot, "plate.screws")
        await press(app, pilot, "enter", "enter", "a")
        await type_words(app, pilot, "5, 5")
        await press(app, pilot, "tab")
        await type_words(app, pilot, "3.4")
        await press(app, pilot, "enter")
        assert [one.hole for one in app.session.library.devices["desk"].plate.screws] == [3.4]
        await press(app, pilot, "d")
        assert len(app.session.library.devices["desk"].plate.screws) == 2


async def test_the_settings_have_a_form_too(folder: Path) -> None:
    async with opened(folder, SMALL) as (app, pilot):
        await press(app, pilot, "ctrl+e")
        await type_words(app, pilot, "settings")
        await press(app, pilot, "enter", "slash")
        await type_words(app, pilot, "severity")
        await press(app, pilot, "enter", "enter", "a")
        await type_words(app, pilot, "must-unbound")
        await press(app, pilot, "tab")
        await type_words(app, pilot, "note")
        await press(app, pilot, "enter")
        assert app.session.library.settings.severity == {"must-unbound": "note"}
        await press(app, pilot, "ctrl+s")
        text = (folder / SETTINGS_NAME).read_text("utf-8")
        assert 'must-unbound = "note"' in text


async def test_an_action_renamed_is_renamed_where_it_is_bound(folder: Path) -> None:
    async with opened(folder, SMALL) as (app, pilot):
        await press(app, pilot, "ctrl+e")
        await type_words(app, pilot, "application")
        await press(app, pilot, "enter", "slash")
        await type_words(app, pilot, "actions.sound-horn")
        await press(app, pilot, "enter", "r", "ctrl+u")
        await type_words(app, pilot, "toot")
        await press(app, pilot, "enter", "y")
        assert 'horn = "toot"   # the big one' in app.session.copy.text("harbour-desk")
        assert "sound-horn" not in app.session.library.applications["harbour"].actions


async def test_things_are_called_by_their_names_and_ids_stand_in_the_help(folder: Path) -> None:
    """Keys in words, controls by labels, actions and boards by names; so does the search."""
    path = folder / "desk.toml"
    path.write_text(DEVICE.replace("[wiring]", '[wiring]\nboard = "atmega32u4"'), "utf-8")
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "6", "ctrl+e")
        text = flat(seen(app))
        assert "label place –" in text
        assert "label_place" not in text
        await press(app, pilot, "slash")
        await type_words(app, pilot, "label_pl")
        assert "controls › HORN › label place" in flat(seen(app))
        await press(app, pilot, "enter")
        assert "In the file: controls.horn.label_place" in said(app, "#said")
        await press(app, pilot, "backspace", "backspace", "up", "enter")
        assert "board ATmega32U4 board" in flat(seen(app))
        await press(app, pilot, "escape", "1", "ctrl+e")
        await type_words(app, pilot, "harbour-desk")
        await press(app, pilot, "enter", "slash")
        await type_words(app, pilot, "bindings.horn")
        await press(app, pilot, "enter")
        text = flat(seen(app))
        assert "HORN Sound the horn" in text
        assert "sound-horn" not in text


async def test_alike_names_are_told_apart_by_their_ids(folder: Path) -> None:
    path = folder / "harbour.toml"
    text = path.read_text("utf-8").replace('name = "Drop the anchor"', 'name = "Sound the horn"')
    path.write_text(text, "utf-8")
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "ctrl+e")
        await type_words(app, pilot, "harbour-desk")
        await press(app, pilot, "enter", "slash")
        await type_words(app, pilot, "bindings.bell")
        await press(app, pilot, "enter", "enter")
        text = flat(seen(app))
        assert "Sound the horn [sound-horn]" in text
        assert "Sound the horn [drop-anchor]" in text
        assert "Deck light [" not in text


async def test_a_finding_opens_the_form_where_it_is(folder: Path) -> None:
    path = folder / "desk.toml"
    path.write_text(DEVICE.replace("position = [80.0, 65.0]", "position = [35.0, 65.0]"), "utf-8")
    async with opened(folder, SMALL) as (app, pilot):
        await press(app, pilot, "2", "ctrl+e")
        assert said(app, "#place").startswith("desk.toml › controls › ")


async def test_what_a_control_has_from_its_part_is_shown(folder: Path) -> None:
    async with opened(folder, SMALL) as (app, pilot):
        await press(app, pilot, "6", "A", "enter", "y", "ctrl+e", "slash")
        await type_words(app, pilot, "controls.c7.hole")
        await press(app, pilot, "enter")
        assert "hole – 16.2" in flat(seen(app))
        assert "Default: 16.2" in said(app, "#said")


async def test_the_right_button_lists_all_that_a_form_can_do(folder: Path) -> None:
    """The row under the pointer is marked first; what is chosen is done to it."""
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "ctrl+e")
        await type_words(app, pilot, "harbour-desk")
        await press(app, pilot, "enter", "slash")
        await type_words(app, pilot, "bindings.bell")
        await press(app, pilot, "enter")
        form, rows = app.screen, app.screen.query_one("#list", Listing)
        await pilot.click(rows, offset=(4, 2), button=3)
        await settled(app, pilot)
        text = flat(seen(app))
        for words in ("Another form (f)", "Undo (", "Save (", "Remove (x"):
            assert words.lower() in text.lower()
        await type_words(app, pilot, "remove")
        for _ in range(2):
            await pilot.click(app.screen.query_one("#list", Listing), offset=(4, 0))
        await settled(app, pilot)
        assert app.screen is form
        assert app.session.copy.text("harbour-desk") == PROFILE.replace('lamp = "deck-light"\n', "")


async def test_a_box_over_a_form_is_not_closed_in_its_place(folder: Path) -> None:
    """The right button beside the form; and what would close the form while the list is open."""
    async with opened(folder, SMALL) as (app, pilot):
        await press(app, pilot, "6", "ctrl+e")
        form = app.screen
        assert isinstance(form, FormDialog)
        await pilot.click(offset=(1, 12), button=3)
        await settled(app, pilot)
        assert "The form: what can be done" in flat(seen(app))
        form.action_leave()
        await settled(app, pilot)
        assert "The form: what can be done" in flat(seen(app))
        await press(app, pilot, "escape")
        assert app.screen is form


async def test_the_form_is_worked_by_its_buttons_in_the_smallest_window(folder: Path) -> None:
    """Up to all controls, a copy of the marked one, and closed again."""
    async with opened(folder, SMALL) as (app, pilot):
        await press(app, pilot, "6", "ctrl+e")
        for words in ("Up", "d Copy", "Done", "Close"):
            at = next(one for one in app.screen.query(Button) if str(one.label) == words)
            assert words in seen(app)
            if words == "Done":
                await type_words(app, pilot, "horn-2")
            await pilot.click(at)
            await settled(app, pilot)
        assert len(app.screen_stack) == 1
        assert "horn-2" in app.session.library.devices["desk"].controls
