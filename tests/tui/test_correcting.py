"""Files that cannot be used, corrected on the screen line by line."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from textual.widgets import TextArea

from profiles.files.library import load_library
from profiles.files.toml_edit import EditError
from profiles.model import SETTINGS_NAME
from profiles.work.copy import WorkingCopy
from profiles.work.correcting import cut_excerpt, find_faults, list_taken
from tests.tui.desks import flat, opened, press, said, seen, settled, type_words

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


def write_twin(folder: Path) -> Path:
    """A second file with the id of the desk, after it in the order of reading."""
    twin = folder / "twin.toml"
    twin.write_text(SOUND.replace('"box"', '"desk"'), "utf-8")
    return twin


async def test_an_id_of_two_files_is_told_with_both_and_the_second_gets_its_own(
    folder: Path,
) -> None:
    twin = write_twin(folder)
    async with opened(folder, (120, 40)) as (app, pilot):
        assert "In twin.toml:3 first given here: desk.toml:5" in said(app, "#finding-page")
        await press(app, pilot, "enter")
        text = flat(seen(app))
        assert "Id `desk` is given twice in the library." in text
        assert "In use: desk.toml, Desk" in text
        assert "Not in use: twin.toml" in text
        await press(app, pilot, "n")
        await press(app, pilot, *["backspace"] * 6)
        await type_words(app, pilot, "desk")
        await press(app, pilot, "enter")
        assert "Id `desk` is taken in this library; choose another." in flat(seen(app))
        await type_words(app, pilot, "-2")
        await press(app, pilot, "enter")
        assert not app.session.problems
        assert app.session.library.devices["desk-2"].name == "Box"
        assert app.session.library.devices["desk"].name == "Desk"
        await press(app, pilot, "ctrl+s")
        assert 'id = "desk-2"' in twin.read_text("utf-8")
        await press(app, pilot, "u")
        assert app.session.problems


async def test_the_second_file_of_an_id_is_corrected_by_its_lines(folder: Path) -> None:
    write_twin(folder)
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "enter", "l")
        assert "Correct twin.toml" in seen(app)
        fault = "Line 3, column 6: id `desk` is given in `desk.toml` too. Give one of the two"
        assert said(app, "#fault").startswith(fault)
        area = app.screen.query_one(TextArea)
        area.text = area.text.replace('"desk"', '"bench"')
        await settled(app, pilot)
        await press(app, pilot, "ctrl+s")
        assert {"desk", "bench"} == set(app.session.library.devices)


@pytest.mark.parametrize(("way", "left"), [("d", "desk.toml"), ("x", "twin.toml")])
async def test_either_file_of_an_id_is_deleted_and_the_other_is_used(
    folder: Path, way: str, left: str
) -> None:
    write_twin(folder)
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "enter", way, "y")
        await press(app, pilot, "ctrl+s")
        app._look_at_files()
        await settled(app, pilot)
        assert not app.session.problems
        assert {one.name for one in folder.glob("*.toml")} & {"desk.toml", "twin.toml"} == {left}
        assert app.session.copy.path("desk").name == left
        assert app.session.library.devices["desk"].plate.width == (160 if way == "d" else 90)


async def test_the_first_file_of_an_id_gets_another_and_both_are_used(folder: Path) -> None:
    write_twin(folder)
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "enter", "o")
        await press(app, pilot, *["backspace"] * 4)
        await type_words(app, pilot, "bench")
        await press(app, pilot, "enter", "y")
        await press(app, pilot, "ctrl+s")
        app._look_at_files()
        await settled(app, pilot)
        devices = app.session.library.devices
        assert (devices["bench"].name, devices["desk"].name) == ("Desk", "Box")
        assert app.session.library.profiles["harbour-desk"].device_ids == ("bench",)


def test_ids_that_differ_by_capitals_alone_are_not_taken_for_put_right(folder: Path) -> None:
    twin = write_twin(folder)
    twin.write_text(twin.read_text("utf-8").replace('"desk"', '"Desk"'), "utf-8")
    copy = WorkingCopy(load_library(folder))
    (problem,) = copy.problems
    name = copy.loaded.name_of(problem)
    with pytest.raises(EditError, match="is taken in this library"):
        copy.correct(name, copy.text(name))
    taken = list_taken(copy, name)
    (fault,) = find_faults(twin, copy.text(name), copy.library, taken)
    assert (fault.line, fault.message) == (3, "id `Desk` is given in `desk.toml` too")


@given(
    st.lists(st.text(st.characters(exclude_characters="\r\n"), max_size=20), max_size=30),
    st.integers(1, 40),
    st.integers(1, 200),
    st.sampled_from(["\n", "\r\n"]),
)
def test_an_excerpt_has_its_line_and_no_more_and_is_whole_again(
    lines: list[str], line: int, most: int, end: str
) -> None:
    text = end.join(lines)
    excerpt = cut_excerpt(text, line, most)
    assert excerpt.whole("\n".join(excerpt.lines)) == text
    count = len(lines) or 1
    assert excerpt.first <= min(line, count) < excerpt.first + len(excerpt.lines)
    assert len("\n".join(excerpt.lines)) <= max(most, len(excerpt.lines[0]))
    assert text.startswith(excerpt.before)
    assert text.endswith(excerpt.after)


async def test_of_a_long_text_the_lines_around_the_fault_are_corrected(folder: Path) -> None:
    """Also a fault far away, which F4 goes to; nothing of what is not shown is changed."""
    filling = "# word after word in a line of a comment that goes on\n" * 20_000
    text = f"{BROKEN}[controls]\n{filling}[controls.a]\nkind = 3\n"
    file = folder / "broken.toml"
    file.write_text(text, "utf-8")
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "enter")
        area = app.screen.query_one(TextArea)
        assert len(area.text) <= 200_000
        assert "Lines 1 to 3," in flat(seen(app))
        await press(app, pilot, "end", "right_square_bracket")
        assert said(app, "#fault").startswith("Line 20010, column 8: `controls.a.kind` is no kind")
        await press(app, pilot, "f4")
        assert area.cursor_location[0] + area.line_number_start in (20009, 20010)
        area.text = area.text.replace(
            "kind = 3", 'kind = "momentary"\nlabel = "A"\nposition = [9.0, 9.0]\nhole = 9.0'
        )
        await settled(app, pilot)
        assert said(app, "#fault") == "Nothing is wrong with these lines."
        await press(app, pilot, "ctrl+s", "ctrl+s")
        assert "box" in app.session.library.devices
    written = file.read_text("utf-8")
    assert written.startswith(SOUND + filling)
    assert written.endswith("hole = 9.0\n")


async def test_a_line_that_is_too_long_is_told_with_the_way_out(folder: Path) -> None:
    (folder / "broken.toml").write_text(f"x = [{'1' * 300_000}\n{BROKEN}", "utf-8")
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "enter")
        assert not app.screen.query(TextArea)
        told = "Line 1 of broken.toml has 300,005 letters, too many to be shown here. Break or"
        assert said(app, "#note").startswith(told)
