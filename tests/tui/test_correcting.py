"""Files that cannot be used, corrected on the screen line by line."""

from pathlib import Path

import pytest
from textual.widgets import TextArea

from profiles.files.library import load_library
from profiles.files.toml_edit import EditError
from profiles.model import SETTINGS_NAME
from profiles.work.copy import WorkingCopy
from profiles.work.correcting import find_faults
from tests.tui.desks import flat, opened, press, said, seen, settled

BROKEN = 'format = 1\n[device\nid = "box"\nname = "Box"\n[plate]\nwidth = 90.0\nheight = 60.0\n'
SOUND = BROKEN.replace("[device", "[device]") + "[controls]\n"


async def test_a_file_that_cannot_be_read_is_corrected_and_written_only_on_request(
    folder: Path,
) -> None:
    file = folder / "broken.toml"
    file.write_text(BROKEN, "utf-8")
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "enter")
        assert "Correct broken.toml" in seen(app)
        assert "Line 2" in said(app, "#fault")
        area = app.screen.query_one(TextArea)
        assert area.cursor_location == (1, 0)
        await press(app, pilot, "ctrl+s")
        assert app.screen.query(TextArea)
        await press(app, pilot, "end", "right_square_bracket")
        assert "`controls`" in said(app, "#fault")
        area.text = SOUND
        await settled(app, pilot)
        assert said(app, "#fault") == "Nothing is wrong with these lines."
        assert file.read_text("utf-8") == BROKEN
        await press(app, pilot, "ctrl+s")
        assert not app.screen.query(TextArea)
        assert "box" in app.session.library.devices
        assert not app.session.problems
        assert file.read_text("utf-8") == BROKEN
        await press(app, pilot, "u")
        assert app.session.problems
        await press(app, pilot, "ctrl+y", "ctrl+s")
        assert file.read_text("utf-8") == SOUND


async def test_what_was_typed_is_let_go_only_when_asked_twice(folder: Path) -> None:
    (folder / "broken.toml").write_text(BROKEN + "# \x1b[2J\n", "utf-8")
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "ctrl+e")
        assert "\x1b" not in app.screen.query_one(TextArea).text
        await press(app, pilot, "x", "escape")
        assert "Escape again lets that go." in flat(seen(app))
        await press(app, pilot, "escape")
        assert not app.screen.query(TextArea)
        assert not app.session.copy.dirty


def test_settings_and_ids_that_are_taken(folder: Path) -> None:
    (folder / SETTINGS_NAME).write_text("format = 1\n[severity]\nx = 3\n", "utf-8")
    (folder / "broken.toml").write_text(BROKEN, "utf-8")
    copy = WorkingCopy(load_library(folder))
    names = {
        one.place.file.rpartition("/")[2]: one.spot.document for one in copy.problems if one.place
    }
    with pytest.raises(EditError, match=r"^id `desk` is taken in this library; choose another$"):
        copy.correct(names["broken.toml"], SOUND.replace('"box"', '"desk"'))
    assert copy.correct(names[SETTINGS_NAME], "format = 1\n") == SETTINGS_NAME
    assert copy.correct(names["broken.toml"], SOUND) == "box"
    assert copy.problems == ()
    assert not copy.save().failures
    copy.take_in(load_library(folder))
    assert copy.dirty == ()
    assert "box" in copy.library.devices


def test_every_fault_of_a_text_is_told_with_its_line() -> None:
    library = load_library(Path(__file__).parent).library
    text = SOUND.replace("width = 90.0", "width = -1\nlength = 3")
    faults = find_faults(Path("box.toml"), text, library)
    assert [(one.line, one.message) for one in faults] == [
        (6, "`plate.width` must be a number above 0"),
        (7, "unknown key `length` in `plate`"),
    ]
    (fault,) = find_faults(Path("box.yaml"), "format: [1", library)
    assert fault.line
