"""One palette over everything by name; what is marked; what is remembered; notes that clear."""

import json
from pathlib import Path

import pytest
from textual.theme import Theme
from textual.widgets import Input

from profiles.tui.dialogs import Choice, Choose, Fit, mark_letters
from profiles.tui.frame import MARK, NOTE_SECONDS, Line, Listing, NoteLine
from profiles.tui.help import TASKS, bindings_of
from profiles.tui.making import FILES
from profiles.tui.themes import LOOKS
from profiles.work.remembered import Remembered, find_settings, recall, remember
from tests.tui.desks import (
    copy_example,
    flat,
    opened,
    press,
    said,
    seen,
    settled,
    type_words,
)
from tests.tui.test_pure_parts import luminance


async def test_everything_is_listed_under_headings_with_their_counts(folder: Path) -> None:
    async with opened(folder, (120, 60)) as (app, pilot):
        await press(app, pilot, "colon")
        text = flat(seen(app))
        view = app.session.view
        assert view.link is not None
        assert view.link.application is not None
        for words in (
            f"Controls, {len(view.facts)}",
            f"Actions, {len(view.link.application.actions)}",
            "Profiles, 2",
            "Devices, 1",
            "Sheets, ",
            f"Files to write, {len(FILES)}",
            "Commands, ",
        ):
            assert words in text


@pytest.mark.parametrize(
    ("typed", "what"),
    [
        ("spare", "control"),
        ("ring the bell", "action"),
        ("tram", "profile"),
        ("drill", "sheet"),
        ("must be bound", "finding"),
        ("view wiring", "command"),
        ("handover page", "file"),
    ],
)
async def test_a_name_leads_to_what_it_names(folder: Path, typed: str, what: str) -> None:
    async with opened(folder, (120, 60)) as (app, pilot):
        await press(app, pilot, "2", "ctrl+p")
        await type_words(app, pilot, typed)
        await press(app, pilot, "enter")
        if what == "control":
            assert (app.session.control, app.pane and app.pane.id) == ("spare", "plate")
        elif what == "action":
            assert (app.session.control, app.pane and app.pane.id) == ("bell", "plate")
        elif what == "profile":
            assert app.session.profile_id == "tramway-desk"
        elif what == "sheet":
            assert "[4 Sheets]" in seen(app)
            assert "drill" in said(app, "#sheet-preview").lower()
        elif what == "finding":
            assert "[2 Findings]" in seen(app)
            assert "but must be bound" in said(app, "#finding-page")
        elif what == "command":
            assert "[5 Wiring]" in seen(app)
        else:
            assert "A page to touch" in flat(seen(app))


async def test_an_action_bound_nowhere_asks_for_a_free_control(folder: Path) -> None:
    async with opened(folder, (120, 60)) as (app, pilot):
        await press(app, pilot, "colon")
        await type_words(app, pilot, "drop the anchor")
        await press(app, pilot, "enter")
        assert "Bind Drop the anchor to which free control?" in flat(seen(app))
        await type_words(app, pilot, "spare")
        assert "- error: " in flat(seen(app)), "what it brings is shown before"
        await press(app, pilot, "enter")
        assert 'spare = "drop-anchor"' in app.session.copy.text("harbour-desk")


async def test_the_handover_page_is_written_from_the_palette(tmp_path: Path) -> None:
    folder = copy_example("harbour", tmp_path / "harbour")
    async with opened(folder, (120, 60)) as (app, pilot):
        await press(app, pilot, "colon")
        await type_words(app, pilot, "handover page")
        await press(app, pilot, "enter", "enter")
        await settled(app, pilot)
        assert (folder / "sheets" / "helm-desk-handover.html").read_text("utf-8").startswith("<!")
        assert "Written to " in flat(seen(app))


@pytest.mark.parametrize("file", [one for one in FILES if "hanged" not in one.name])
async def test_every_file_of_the_palette_is_written(tmp_path: Path, file) -> None:  # type: ignore[no-untyped-def]
    """From its default name, into the library's own folder; and the same again over it."""
    folder = copy_example("harbour", tmp_path / "harbour")
    async with opened(folder, (120, 60)) as (app, pilot):
        for _ in range(2):
            file.ask(app)
            await settled(app, pilot)
            await press(app, pilot, "enter")
            await settled(app, pilot)
            note = app.notes[-1]
            assert note.startswith(("Written to ", "Replaced ", "42 sheets", "0 sheets")) or (
                " sheets written to " in note
            ), note
            await press(app, pilot, "escape")
        assert any((folder / "sheets").rglob("*.*"))


async def test_what_changed_needs_a_commit_and_says_so(folder: Path) -> None:
    async with opened(folder, (120, 60)) as (app, pilot):
        next(one for one in FILES if one.name == "Changed sheets").ask(app)
        await settled(app, pilot)
        await press(app, pilot, "enter")
        await settled(app, pilot)
        assert "git" in app.notes[-1]


def test_letters_that_were_typed_are_marked_where_they_were_found() -> None:
    marked = mark_letters("Sound the horn [sound-horn]", Fit(None, "Sound the horn", (10, 11)))
    assert [(span.start, span.end) for span in marked.spans] == [(10, 11), (11, 12)]
    assert mark_letters("x", Fit(None)).spans == []


async def test_headings_are_passed_over_and_never_chosen(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        choices = [Choice(name, (name,), name, section) for section, name in ("Aa", "Ab", "Bc")]
        app.push_screen(Choose("Which?", choices))
        await settled(app, pilot)
        rows = app.screen.query_one("#list", Listing)
        seen_lines = [rows.highlighted]
        for _ in range(4):
            await press(app, pilot, "down")
            seen_lines.append(rows.highlighted)
        assert seen_lines == [1, 2, 4, 4, 4]
        assert [one.disabled for one in rows.options] == [True, False, False, True, False]


@pytest.mark.parametrize("look", LOOKS, ids=lambda look: look.name)
async def test_the_marked_line_stands_out_three_to_one_and_has_a_mark(folder: Path, look) -> None:  # type: ignore[no-untyped-def]
    """WCAG 2.2, success criterion 1.4.11: 3 to 1 for the state of a part of the interface."""
    async with opened(folder, (160, 40)) as (app, pilot):
        app.theme = look.name
        await press(app, pilot, "2")
        for keys in ((), ("slash",)):  # with the keyboard on the list and without
            await press(app, pilot, *keys)
            rows = app.screen.query_one("#finding-list", Listing)
            grounds = [
                {part.style.bgcolor.get_truecolor().hex for part in rows.render_line(y)
                 if part.style and part.style.bgcolor}
                for y in (0, 1)
            ]  # fmt: skip
            assert all(len(ground) == 1 for ground in grounds)
            pair = sorted(luminance(ground.pop()) for ground in grounds)
            assert (pair[1] + 0.05) / (pair[0] + 0.05) >= 3
            assert rows.render_line(0).text.startswith(MARK)
            assert not rows.render_line(1).text.startswith(MARK)


@pytest.mark.parametrize("look", LOOKS, ids=lambda look: look.name)
async def test_the_question_in_hand_stands_out_and_has_a_mark(folder: Path, look: Theme) -> None:
    """WCAG 2.2, success criteria 1.4.11 and 2.4.7: which field has the keyboard is seen."""
    async with opened(folder) as (app, pilot):
        app.theme = look.name
        await press(app, pilot, "6", "o")
        for step in range(3):
            names = [*app.screen.query(".asked-name").results(Line)]
            grounds = [
                {part.style.bgcolor.get_truecolor().hex for part in name.render_line(0)
                 if part.style and part.style.bgcolor}
                for name in names
            ]  # fmt: skip
            (own,), (others,) = grounds[step], set.union(*grounds[:step], *grounds[step + 1 :])
            pair = sorted(map(luminance, (own, others)))
            assert (pair[1] + 0.05) / (pair[0] + 0.05) >= 3
            assert [MARK in name.said for name in names].index(True) == step
            assert sum(MARK in name.said for name in names) == 1
            await press(app, pilot, "tab")


async def test_no_name_of_a_question_is_cut(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "6", "ctrl+e", "backspace", "a", "down", "down", "enter")
        lines = app.screen.query(".asked-name").results(Line)
        names = [line for line in lines if len(line.said) > 14]
        assert names
        for name in names:
            assert len(name.said) <= name.content_size.width


async def test_every_task_of_the_help_has_its_keys(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        for number, view in enumerate(TASKS, 1):
            if not view:
                known = {binding.action for binding in bindings_of(app)}
            else:
                await press(app, pilot, str(number))
                pane = app.pane
                assert pane is not None
                assert pane.id == view
                parts = [pane, *pane.query("PlateCanvas")]
                known = {binding.action for part in parts for binding in bindings_of(part)}
            assert set(TASKS[view].values()) <= known, view


async def test_notes_clear_after_a_while_and_are_kept(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "x")
        note = app.query_one("#note", NoteLine)
        assert "Unbind HORN" in note.said
        assert note._timer is not None
        assert note._timer._interval == NOTE_SECONDS
        note._timer._callback()  # type: ignore[misc]
        await settled(app, pilot)
        assert note.said == ""
        await press(app, pilot, "f8")
        assert "Unbind HORN. Ctrl+Z takes it back" in flat(seen(app))


async def test_the_look_and_the_last_profile_are_remembered(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PLATEBOOK_CONFIG", str(tmp_path / "own"))
    folder = copy_example("harbour", tmp_path / "harbour")
    async with opened(folder) as (app, pilot):
        app.session.choose_profile("cobblegate-on-helm-desk")
        await press(app, pilot, "f2", "q")
    async with opened(folder) as (app, _):
        assert app.theme == LOOKS[1].name
        assert app.session.profile_id == "cobblegate-on-helm-desk"


async def test_a_folder_that_takes_no_file_is_no_hindrance(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    blocked = tmp_path / "own"
    blocked.write_text("a file where the folder should be", "utf-8")
    monkeypatch.setenv("PLATEBOOK_CONFIG", str(blocked))
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "f2", "q")
        assert app.return_value == 0


def test_what_is_remembered_is_looked_at_before_it_is_believed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PLATEBOOK_CONFIG", str(tmp_path))
    for text in ("", "[", "[]", '{"format": 2}', "[" * 100_000, '{"format": 1, "look": 3}'):
        (tmp_path / "screen.json").write_text(text, "utf-8")
        assert recall() == Remembered()
    places = {"/a": ["p", "d"], "/b": "x", "/c": ["p"], "/d": ["p", 3]}
    content = {"format": 1, "look": "paper", "places": places}
    (tmp_path / "screen.json").write_text(json.dumps(content), "utf-8")
    assert recall() == Remembered("paper", {"/a": ("p", "d")})
    for number in range(60):
        remember(Path(f"/{number}"), "paper", "p", "d")
    assert list(recall().places) == [str(Path(f"/{number}")) for number in range(10, 60)]


def test_the_settings_lie_where_the_system_keeps_them(tmp_path: Path) -> None:
    """XDG Base Directory Specification 0.8: `XDG_CONFIG_HOME`, else `~/.config`."""
    home = {"HOME": str(tmp_path), "XDG_CONFIG_HOME": "not/absolute"}
    assert find_settings({"PLATEBOOK_CONFIG": ""}) is None
    assert find_settings({}) is None
    assert find_settings(home) == tmp_path / ".config" / "platebook" / "screen.json"
    home["XDG_CONFIG_HOME"] = str(tmp_path / "own")
    assert find_settings(home) == tmp_path / "own" / "platebook" / "screen.json"


async def test_typing_in_the_palette_marks_letters(folder: Path) -> None:
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "colon")
        await type_words(app, pilot, "spare")
        assert app.screen.query_one(Input).value == "spare"
        rows = app.screen.query_one("#list", Listing)
        styles = [part.style for part in rows.render_line(1) if part.text.strip()]
        assert any(style is not None and style.underline for style in styles)
