"""What holds everywhere: help, finding actions, looks, saving, leaving, recovery, bad files."""

import json
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from textual.filter import Monochrome

from profiles.tui.app import PlatebookApp
from profiles.tui.dialogs import Decide, Read
from profiles.tui.frame import VIEWS
from profiles.tui.themes import LOOKS
from profiles.work import remembered
from profiles.work.recovery import PREFIX
from tests.hostile import NAUGHTY
from tests.tui.desks import (
    LARGE,
    PROFILE,
    SMALL,
    copy_example,
    flat,
    opened,
    press,
    said,
    seen,
    send,
    settled,
    type_words,
    write_desk,
)


def test_the_frame_is_painted_before_the_library_is_read_and_what_reads_it_is_loaded() -> None:
    script = "import sys, profiles.tui.run; print(*sys.modules)"
    loaded = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    ).stdout.split()

    assert "profiles.tui.app" in loaded
    rooms = {"pydantic", "profiles.model", "profiles.files", "profiles.work", "profiles.checks"}
    assert rooms.isdisjoint(loaded)


async def test_every_view_has_help_with_all_its_keys_and_a_way_without_the_screen(
    folder: Path,
) -> None:
    async with opened(folder, LARGE) as (app, pilot):
        for number, words in enumerate(VIEWS.values(), 1):
            await press(app, pilot, str(number), "f1")
            assert isinstance(app.screen, Read)
            text = flat("\n".join(app.screen._lines))
            assert text.startswith(words)
            for action in ("Ctrl+S", "Ctrl+Z", "Find anything by its name", "platebook check"):
                assert action in text
            await press(app, pilot, "escape")


async def test_every_action_is_found_by_typing(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "ctrl+p")
        await type_words(app, pilot, "unbind")
        await press(app, pilot, "enter")
        assert app.session.copy.past[-1].words == "Unbind `horn`"
        await press(app, pilot, "ctrl+p")
        await type_words(app, pilot, "view wir")
        await press(app, pilot, "enter")
        assert "[5 Wiring]" in seen(app)


@pytest.mark.parametrize("size", [SMALL, LARGE], ids=["80", "200"])
async def test_the_footer_names_keys_of_the_view(folder: Path, size: tuple[int, int]) -> None:
    async with opened(folder, size) as (app, pilot):
        assert "Bind" in seen(app).splitlines()[-1]
        await press(app, pilot, "5")
        assert "Hold" in seen(app).splitlines()[-1]


async def test_the_words_beside_are_reached_and_scrolled_by_keys(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "2", "tab")
        page = app.screen.query_one("#finding-page").parent
        assert app.screen.focused is page
        await press(app, pilot, "down", "down")
        assert page.scroll_y == 2  # type: ignore[union-attr]
        await press(app, pilot, "r")
        assert len(app.session.copy.past) == 1


async def test_the_looks_change_and_tell_their_name(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        names = [app.theme]
        for _ in LOOKS:
            await press(app, pilot, "f2")
            names.append(app.theme)
            assert f"Look: {app.theme}" in seen(app)
        assert names == [*[one.name for one in LOOKS], LOOKS[0].name]


async def test_without_colour_everything_says_the_same(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with opened(folder) as (app, _):
        coloured = seen(app)
    monkeypatch.setenv("NO_COLOR", "1")
    async with opened(folder) as (app, _):
        assert app.no_color
        assert seen(app) == coloured
        assert Monochrome in [type(one) for one in app._filters]


async def test_nothing_moves_by_itself(folder: Path) -> None:
    async with opened(folder) as (app, _):
        assert app.animation_level == "none"


async def test_leaving_asks_while_something_is_unsaved(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "x", "q")
        assert isinstance(app.screen, Decide)
        await press(app, pilot, "b")
        assert app.is_running
        await press(app, pilot, "q", "s")
        assert app.return_value == 0
    assert (folder / "bindings.toml").read_text("utf-8") != PROFILE
    assert list(folder.glob(f"{PREFIX}*")) == []


async def test_leaving_without_saving_writes_nothing(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "x", "q", "w")
        assert app.return_value == 0
    assert (folder / "bindings.toml").read_text("utf-8") == PROFILE
    assert list(folder.glob(f"{PREFIX}*")) == []


async def test_unsaved_work_survives_a_crash_and_is_offered(folder: Path) -> None:
    """The recovery file holds every unsaved edit; the next screen offers and takes it up."""
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "x", "right", "x")
        (kept,) = folder.glob(f"{PREFIX}*")
        left = kept.read_text("utf-8")
        mine = app.session.copy.text("harbour-desk")
    kept.unlink()
    (folder / f"{PREFIX}999999999.json").write_text(left, "utf-8")
    assert json.loads(left)["work"]["harbour-desk"][0] == mine

    async with opened(folder) as (app, pilot):
        assert "Unsaved work was found" in seen(app)
        await press(app, pilot, "t")
        assert app.session.copy.text("harbour-desk") == mine
        assert "1 unsaved" in seen(app)
        await press(app, pilot, "ctrl+s")
    assert (folder / "bindings.toml").read_text("utf-8") == mine
    assert list(folder.glob(f"{PREFIX}*")) == []


async def test_leftover_work_stays_until_it_is_removed(folder: Path) -> None:
    path = folder / f"{PREFIX}999999999.json"
    path.write_text('{"format": 1, "work": {"harbour-desk": ["format = 1", "00"]}}', "utf-8")
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "l")
        assert path.exists()
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "r")
        assert not path.exists()


async def test_a_change_from_outside_is_taken_in_and_told(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        path = folder / "bindings.toml"
        path.write_text(PROFILE + 'spare = "drop-anchor"\n', "utf-8")
        app._look_at_files()
        await settled(app, pilot)
        assert "Changed on disk and taken in: Harbour on the desk" in seen(app)
        assert app.session.tally.error == 0


async def test_a_clash_shows_the_difference_and_asks(folder: Path) -> None:
    path = folder / "bindings.toml"
    theirs = PROFILE.replace('"sound-horn"   # the big one', '"take-job" # theirs')
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "x")
        path.write_text(theirs, "utf-8")
        app._look_at_files()
        await settled(app, pilot)
        text = seen(app)
        assert "bindings.toml was changed by someone else" in text
        assert 'bindings.horn: here nothing, on disk "take-job"' in text
        assert '-horn = "take-job" # theirs' in text
        await press(app, pilot, "n")
        assert "On disk bindings.toml differs; Ctrl+S asks again" in seen(app)
        await press(app, pilot, "ctrl+s")
        assert path.read_text("utf-8") == theirs
        await press(app, pilot, "t")
        assert "Taken from disk. Ctrl+Z brings your own edits back." in seen(app)
        assert app.session.copy.dirty == ()
        await press(app, pilot, "x")
        path.write_text(
            theirs.replace("take-job", "ring-bell").replace("# theirs", "# theirs again"), "utf-8"
        )
        await press(app, pilot, "ctrl+s", "k", "ctrl+s")
        assert "# theirs again" not in path.read_text("utf-8")


async def test_other_keys_changed_on_disk_are_merged_and_told(folder: Path) -> None:
    path = folder / "bindings.toml"
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "x")
        path.write_text(PROFILE + 'spare = "take-job"\n', "utf-8")
        app._look_at_files()
        await settled(app, pilot)
        assert "Merged with changes on disk: Harbour on the desk" in seen(app)
        path.write_text(PROFILE + 'spare = "take-job"\n# At night.\n', "utf-8")
        await press(app, pilot, "ctrl+s")
        assert (
            "Saved Harbour on the desk, merged with changes on disk: Harbour on the desk"
            in seen(app)
        )
    text = path.read_text("utf-8")
    assert text.endswith('lamp = "deck-light"\nspare = "take-job"\n# At night.\n')
    assert "horn" not in text


async def test_a_file_deleted_on_disk_is_told(folder: Path) -> None:
    async with opened(folder, (120, 40)) as (app, pilot):
        (folder / "tram-bindings.toml").unlink()
        app._look_at_files()
        await settled(app, pilot)
        assert "Deleted on disk: tramway-desk" in seen(app)


async def test_a_long_note_is_read_to_its_end_in_a_small_window(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        words = " ".join(f"Word{number}" for number in range(25))
        app.tell(words)
        await settled(app, pilot)
        assert words in flat(seen(app))


async def test_a_profile_in_yaml_is_changed_in_place(tmp_path: Path) -> None:
    async with opened(copy_example("harbour", tmp_path / "harbour")) as (app, pilot):
        app.session.choose_profile("ninefold-on-helm-desk")
        before = app.session.copy.text("ninefold-on-helm-desk").splitlines()
        await press(app, pilot, "x")
        after = app.session.copy.text("ninefold-on-helm-desk").splitlines()
        assert [line for line in before if line not in after] == [
            line for line in before if line.strip().startswith(f"{app.session.control}:")
        ]
        assert len(after) == len(before) - 1


async def test_unsaved_lines_are_shown(folder: Path) -> None:
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "x", "f3")
        assert '-horn = "sound-horn"   # the big one' in seen(app)


async def test_bad_files_show_as_an_error_page_and_the_rest_stays_usable(folder: Path) -> None:
    """The screen opens on what is wrong, each file by its name; 1 leads to the plate."""
    (folder / "broken.toml").write_text('format = 1\n[device\nid = "x"\n', "utf-8")
    (folder / "binary.toml").write_bytes(b"\xff\xfe\x00")
    async with opened(folder) as (app, pilot):
        text = flat(seen(app))
        assert "[2 Findings]" in text
        assert "2 problems in 2 files, Enter edits one. All other" in text
        assert "E binary.toml: " in text
        assert "E broken.toml:2: " in text
        await press(app, pilot, "1", "right", "x")
        assert app.session.copy.past[-1].words == "Unbind `bell`"
        await press(app, pilot, "2")
        text = flat(seen(app))
        assert "broken.toml" in text or "binary.toml" in text
        await press(app, pilot, "f", "escape", "a")
        assert "cannot be accepted; fix it." in seen(app)


@pytest.mark.parametrize("size", [SMALL, LARGE])
async def test_every_way_on_shows_below_a_long_difference(
    folder: Path, size: tuple[int, int]
) -> None:
    """However much differs, title, ways and hint stand in the window; what differs scrolls."""
    async with opened(folder, size) as (app, pilot):
        await press(app, pilot, "x")
        path = folder / "bindings.toml"
        text = path.read_text("utf-8").replace("sound-horn", "take-job")
        path.write_text("# Other words.\n" * 80 + text, "utf-8")
        await press(app, pilot, "ctrl+s")
        text = seen(app)
        assert "bindings.toml was changed by someone else" in text
        for words in ("k  keep mine", "t  take theirs", "n  neither now", "Press the letter"):
            assert words in text


async def test_help_is_read_to_its_end_in_a_small_window(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "f1", "end")
        assert "which suits screen readers." in seen(app)
        assert "Escape or Enter goes back" in seen(app)


async def test_help_is_named_in_a_small_window_and_opens_by_a_click(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        assert seen(app).splitlines()[1].endswith("? Help")
        await pilot.click("#views", offset=(76, 0))
        await settled(app, pilot)
        assert "Keys and help" in seen(app)


async def test_a_library_of_bad_files_only_opens_on_its_problems(tmp_path: Path) -> None:
    async with opened(copy_example("broken", tmp_path / "broken")) as (app, pilot):
        for number in "1234567":
            await press(app, pilot, number, "enter", "escape")
        await press(app, pilot, "2")
        assert "[2 Findings]" in seen(app)
        assert "error" in seen(app)


async def test_an_empty_folder_opens(tmp_path: Path) -> None:
    async with opened(tmp_path) as (app, pilot):
        for key in ("1", "3", "4", "5", "6", "7", "enter", "a", "x", "w", "s", "p", "escape", "d"):
            await press(app, pilot, key)
        assert app.is_running


async def test_a_folder_that_is_gone_is_told(tmp_path: Path) -> None:
    app = PlatebookApp(tmp_path / "nowhere")
    async with app.run_test(size=SMALL) as pilot:
        for _ in range(20):
            await pilot.pause()
        assert "is no folder" in said(app, "#note")
        await pilot.press("ctrl+s", "2", "ctrl+z", "p", "f1")
        await pilot.press("escape", "q")
    assert app.return_value == 0


@pytest.mark.long
@pytest.mark.parametrize("chunk", range(2))
async def test_hostile_words_are_shown_and_never_obeyed(tmp_path: Path, chunk: int) -> None:
    """Labels, names and legends from strangers: no markup, no escape sequence, no crash."""
    folder = write_desk(tmp_path / "library")
    texts = [text[:300] for text in NAUGHTY[chunk::2] if text.strip()]
    text = (folder / "harbour.toml").read_text("utf-8")
    for number, words in enumerate(texts):
        text += f"\n[actions.naughty-{number}]\nname = {json.dumps(words)}\n"
    device = (folder / "desk.toml").read_text("utf-8")
    device = device.replace('"HORN"', '"[bold red]H[/] [@click=app.exit]x[/]"')
    (folder / "harbour.toml").write_text(_toml_escapes(text), "utf-8")
    (folder / "desk.toml").write_text(device, "utf-8")
    profile = PROFILE + "".join(
        f'"spare + {control}" = "naughty-{number}"\n'
        for number, control in enumerate(["horn", "bell", "lamp"])
        if number < len(texts)
    )
    (folder / "bindings.toml").write_text(profile, "utf-8")
    async with opened(folder, (120, 40)) as (app, pilot):
        assert not app.session.problems
        for view in "1234567":
            await press(app, pilot, view, "down")
            shown = seen(app)
            assert "\x1b" not in shown
            assert "\x9b" not in shown
        await press(app, pilot, "1", "slash")
        assert "[bold red]H[/] [@click=app.exit]x[/]" in seen(app)


def _toml_escapes(text: str) -> str:
    """JSON's surrogate pairs as TOML writes them."""
    import re

    def join(match: "re.Match[str]") -> str:
        return "\\U" + format(ord(json.loads('"' + match[0] + '"')), "08x")

    return re.sub(r"\\ud[89ab]..\\ud[c-f]..", join, text)


async def test_keys_pressed_twice_and_fast_do_no_harm(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        for key in ("enter", "enter", "s", "s", "enter", "enter", "2", "2", "r", "r", "q", "q"):
            send(app, key)
            send(app, key)
        await settled(app, pilot)
        for _ in range(4):
            await press(app, pilot, "escape")
        assert app.is_running
        while app.session.copy.undo():
            pass
        assert app.session.copy.text("harbour-desk") == PROFILE


async def test_any_size_at_any_moment(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        for number in "1234567":
            await press(app, pilot, number)
            for size in ((200, 60), (20, 5), (1, 1), (80, 24)):
                await pilot.resize_terminal(*size)
        await settled(app, pilot)
        await press(app, pilot, "1", "enter")
        for size in ((10, 4), (200, 60), (80, 24)):
            await pilot.resize_terminal(*size)
            await settled(app, pilot)
        assert "Bind HORN" in seen(app)


async def test_work_can_be_stopped(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "x")
        app._check()
        app.action_stop_work()
        await settled(app, pilot)
        await press(app, pilot, "ctrl+z")
        assert app.session.tally.error == 1


async def test_wide_boxes_and_many_profiles_stay_usable(tmp_path: Path) -> None:
    """60 controls and 120 profiles: keys act while the checks go on."""
    from tests.benchmarks.big_library import write_library

    folder = tmp_path / "big"
    write_library(folder, 120)
    app = PlatebookApp(folder, watch=False)
    async with app.run_test(size=SMALL) as pilot:
        while not (app._loaded and app.pane):
            await pilot.pause()
        chosen = app.session.control
        await pilot.press("x")
        assert app.session.copy.past[-1].words.startswith(f"Unbind `{chosen}")
        await settled(app, pilot)
        await press(app, pilot, "3", "right_square_bracket", "1")
        assert "profile-000" in seen(app)


async def test_a_library_that_is_removed_under_the_screen_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = write_desk(tmp_path / "library")
    monkeypatch.chdir(folder)
    async with opened(Path()) as (app, pilot):
        shutil.rmtree(folder)
        app._look_at_files()
        await settled(app, pilot)
        assert "The library's folder is gone; save is not possible." in flat(seen(app))
        monkeypatch.chdir(tmp_path)


@pytest.mark.parametrize("look", [look.name for look in LOOKS])
async def test_a_screen_begins_in_the_look_that_it_had(
    folder: Path, monkeypatch: pytest.MonkeyPatch, look: str
) -> None:
    """All of it: the same picture as where the look is chosen."""

    def picture(app: PlatebookApp) -> str:
        return re.sub(r"terminal-\d+", "", app.export_screenshot())

    async with opened(folder) as (app, pilot):
        app.theme = look
        await settled(app, pilot)
        chosen, classes = picture(app), app.classes
    monkeypatch.setattr(remembered, "recall", lambda: remembered.Remembered(look, {}))
    async with opened(folder) as (app, _):
        assert app.theme == look
        assert (picture(app), app.classes) == (chosen, classes)
