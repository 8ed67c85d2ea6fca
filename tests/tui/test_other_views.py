"""Findings, Titles, Sheets, Wiring and Device, driven as a person would."""

from pathlib import Path

import pytest
from textual.widgets import DataTable

from profiles.model import SETTINGS_NAME
from profiles.tui.findings_pane import FindingsPane
from tests.tui.desks import (
    DEVICE,
    LARGE,
    SMALL,
    copy_example,
    flat,
    opened,
    press,
    said,
    seen,
    settled,
    type_words,
)

SIZES = pytest.mark.parametrize("size", [SMALL, LARGE], ids=lambda size: str(size[0]))


@SIZES
async def test_findings_stand_with_their_page_and_remedy(
    folder: Path, size: tuple[int, int]
) -> None:
    """To see: the error first in the list; beside it what to do, where, and why."""
    async with opened(folder, size) as (app, pilot):
        await press(app, pilot, "2")
        assert "E Drop the anchor is unbound" in seen(app)
        text = said(app, "#finding-page")
        assert "error: Drop the anchor is unbound in Harbour on the desk, but must be" in text
        assert "r fixes it: Bind TRIM press to Drop the anchor" in text
        assert "Do: Bind Drop the anchor, or lower its need" in text
        await press(app, pilot, "r")
        assert app.session.tally.error == 0
        assert '"trim.press" = "drop-anchor"' in app.session.copy.text("harbour-desk")


async def test_findings_are_filtered_by_severity_profile_and_letters(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "2")
        pane = app.screen.query_one(FindingsPane)
        everything = len(pane._listed)
        await press(app, pilot, "e")
        assert {one.severity for one in pane._listed} == {"error"}
        await press(app, pilot, "e", "e", "m")
        assert {one.spot.document for one in pane._listed} <= {"harbour-desk", "desk"}
        await press(app, pilot, "m", "slash")
        await type_words(app, pilot, "spare")
        assert 0 < len(pane._listed) < everything
        assert all("spare" in f"{one.subject} {one.message}" for one in pane._listed)
        await press(app, pilot, "enter")
        assert 'with "spare"' in seen(app)


async def test_a_finding_leads_to_the_plate_and_to_its_line(folder: Path) -> None:
    (folder / "bindings.toml").write_text(
        (folder / "bindings.toml").read_text("utf-8") + 'spare = "sound-horn"\n', "utf-8"
    )
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "2", "slash")
        await type_words(app, pilot, "accepts one")
        await press(app, pilot, "enter", "f")
        assert "bindings.toml:14" in seen(app)
        assert '>   14  spare = "sound-horn"' in seen(app)
        await press(app, pilot, "escape", "o")
        assert app.session.control == "spare"
        assert "[1 Plate]" in seen(app)
        assert "(!)" in seen(app)


async def test_accepting_needs_a_reason_and_can_be_undone(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "2", "a", "enter")
        assert "Give a reason" in seen(app)
        await type_words(app, pilot, "later")
        await press(app, pilot, "enter")
        assert app.session.tally.error == 0
        assert [one.reason for one in app.session.accepted] == ["later"]
        await press(app, pilot, "ctrl+s")
        assert 'reason = "later"' in (folder / SETTINGS_NAME).read_text("utf-8")
        await press(app, pilot, "ctrl+z")
        assert app.session.tally.error == 1


async def test_a_click_on_a_finding_shows_it(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        await pilot.click("#views", offset=(12, 0))
        await settled(app, pilot)
        assert "[2 Findings]" in seen(app)


@SIZES
async def test_titles_stand_side_by_side_with_moves_marked(
    folder: Path, size: tuple[int, int]
) -> None:
    """To see: contacts down, both titles across, `»` before the group that moved."""
    async with opened(folder, size) as (app, pilot):
        await press(app, pilot, "3")
        text = seen(app)
        assert "Harbour on the desk" in text
        assert "Tramway on the desk" in text
        assert "Sound the horn" in text
        assert "Blow the whistle" in text


async def test_a_function_that_moved_is_marked_and_says_where_it_was(folder: Path) -> None:
    """To see: `»` before the whistle, which this title has on another control than the other."""
    path = folder / "tram-bindings.toml"
    path.write_text(path.read_text("utf-8").replace("bell =", "spare ="), "utf-8")
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "3", "down", "down", "right")
        assert "» Blow the whistle" in seen(app)
        assert "SPARE: Blow the whistle » usually BELL and HORN" in said(app, "#compare-said")


async def test_a_binding_is_copied_across_titles(folder: Path) -> None:
    """The same id at once; otherwise a choice, those of the same group first."""
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "3", "down", "c")
        assert "Ring the bell copied" in seen(app)
        await press(app, pilot, "right", "v")
        assert 'bell = "ring-bell"' in app.session.copy.text("tramway-desk")
        await press(app, pilot, "left", "up", "c", "right", "v")
        assert "What is Sound the horn in Tramway on the desk?" in seen(app)
        assert "- note: no profile binds HORN" in seen(app)
        await type_words(app, pilot, "whis")
        await press(app, pilot, "enter")
        assert 'horn = "whistle"' in app.session.copy.text("tramway-desk")


async def test_putting_without_taking_is_explained(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "3", "v")
        assert "Copy a binding with c first" in seen(app)


async def test_a_cell_leads_to_the_plate(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "3", "down", "right", "enter")
        assert (app.session.profile_id, app.session.control) == ("tramway-desk", "bell")
        assert "[1 Plate]" in seen(app)


@SIZES
async def test_sheets_are_seen_and_written(
    tmp_path: Path, folder: Path, size: tuple[int, int]
) -> None:
    """To see: the plate with its legends, and the note that it is not to scale."""
    async with opened(folder, size) as (app, pilot):
        await press(app, pilot, "4")
        text = seen(app)
        assert "legend" in text
        assert "Desk: faceplate legend" in text
        assert "HORN" in text
        assert "Proportions only: a terminal never shows true scale." in text
        await press(app, pilot, "w")
        for _ in range(len(str(folder)) + 20):
            await pilot.press("backspace")
        field = app.screen.query_one("#field-0")
        field.value = str(tmp_path / "out") + "/"  # type: ignore[attr-defined]
        await press(app, pilot, "enter")
        (path,) = (tmp_path / "out").iterdir()
        assert path.read_bytes().startswith(b"%PDF-")
        assert "Written to" in seen(app) or "What the sheet does not show" in seen(app)


async def test_every_sheet_and_setting_can_be_gone_through(folder: Path) -> None:
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "4")
        for _ in range(10):
            await press(app, pilot, "down")
            assert "cannot be drawn" not in seen(app)
        await press(app, pilot, "home", "enter")
        for _ in range(8):
            await press(app, pilot, "enter")
            await press(app, pilot, "escape", "down")
        await press(app, pilot, "plus", "minus")
        assert "paper: legal" in seen(app) or "paper: a5" in seen(app)


@SIZES
async def test_the_matrix_shows_ghosting(folder: Path, size: tuple[int, int]) -> None:
    """Three corners of a rectangle held: the fourth appears pressed (no diodes here)."""
    async with opened(folder, size) as (app, pilot):
        await press(app, pilot, "5")
        assert "column 1" in seen(app)
        await press(app, pilot, "space", "right", "space")
        assert "No ghosting or masking." in seen(app)
        await press(app, pilot, "left", "down", "space")
        text = flat(seen(app))
        assert "[HORN]" in text
        assert "!SPARE" in text
        assert "also read as SPARE" in text
        await press(app, pilot, "z")
        assert "!spare" not in seen(app)


async def test_the_harness_is_seen_from_behind(folder: Path) -> None:
    """To see: the plate mirrored, so that what is left from the front stands right."""
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "5", "h")
        text = seen(app)
        assert "From behind" in text
        line = next(line for line in text.splitlines() if "1 BELL" in line or "2 HORN" in line)
        assert line.index("BELL") < line.index("HORN")
        assert "Unplug the box before you" in flat(text)
        await press(app, pilot, "right_square_bracket")
        assert "Row 2" in seen(app)
        await press(app, pilot, "h")
        assert app.screen.query_one(DataTable).display


async def test_a_failing_set_of_the_faulty_library_is_shown(tmp_path: Path) -> None:
    async with opened(copy_example("faulty", tmp_path / "faulty"), (120, 40)) as (app, pilot):
        app.session.choose_device("wiring-chord")
        app.show_all()
        await press(app, pilot, "5", "n")
        assert "1 of" in seen(app)
        assert "!" in seen(app)


@SIZES
async def test_a_control_is_moved_by_arrows_in_steps(folder: Path, size: tuple[int, int]) -> None:
    async with opened(folder, size) as (app, pilot):
        await press(app, pilot, "6", "m", "right", "right", "up", "shift+down", "full_stop", "left")
        assert "centre 31.9, 56 mm" in seen(app)
        assert app.session.copy.dirty == ()
        await press(app, pilot, "enter")
        assert app.session.library.devices["desk"].controls["horn"].position == (31.9, 56.0)
        await press(app, pilot, "ctrl+z")
        assert app.session.copy.text("desk") == DEVICE


async def test_a_move_can_be_left(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "6", "m", "right", "escape")
        assert app.session.copy.past == []
        assert "centre 30, 65 mm" in seen(app)


async def test_a_place_can_be_typed(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        await press(
            app, pilot, "6", "g", "backspace", "backspace", "4", "2", "full_stop", "5", "enter"
        )
        assert app.session.library.devices["desk"].controls["horn"].position == (42.5, 65.0)
        await press(app, pilot, "g", "x", "enter")
        assert "Write x as a number of millimetres" in seen(app)


async def test_deleting_shows_what_profiles_lose_first(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "6", "right", "x")
        text = seen(app)
        assert "Harbour on the desk loses Ring the bell" in text
        assert "Tramway on the desk loses Blow the whistle" in text
        await press(app, pilot, "escape")
        assert "bell" in app.session.library.devices["desk"].controls
        await press(app, pilot, "x", "y")
        assert "bell" not in app.session.library.devices["desk"].controls
        assert app.session.library.links[1].bound == ()


async def test_renumbering_shows_which_actions_to_bind_anew(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "6", "n", "backspace", "2", "0", "enter")
        text = flat(seen(app))
        assert "Harbour on the desk: bind 1 action again in the application: Sound the horn" in text
        await press(app, pilot, "y")
        assert app.session.library.devices["desk"].controls["horn"].input == 20


async def test_a_control_is_added_like_others_of_its_kind(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "6", "a")
        await type_words(app, pilot, "siren")
        await press(app, pilot, "tab", "tab")
        await type_words(app, pilot, "SIREN")
        await press(app, pilot, "enter")
        control = app.session.library.devices["desk"].controls["siren"]
        assert (control.hole, control.front, control.position) == (16.2, 18.0, (80.0, 45.0))
        assert app.session.control == "siren"


async def test_the_kind_of_a_new_control_is_chosen_and_its_id_made_of_its_label(
    folder: Path,
) -> None:
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "6", "a", "enter")
        assert "Give it a label." in seen(app)
        await type_words(app, pilot, "DECK PUMP")
        await press(app, pilot, "shift+tab", "enter")
        assert "latching, stays" in seen(app)
        await press(app, pilot, "down", "enter", "f5")
        assert app.session.library.devices["desk"].controls["deck-pump"].kind == "latching"
