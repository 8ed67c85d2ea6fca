"""The screen speaks of this profile, in names that people gave: labels, actions, inputs."""

from pathlib import Path

import pytest

from profiles.checks.registry import run_checks
from profiles.files.library import load_library
from profiles.text.finding import Spot
from profiles.tui.form import open_form
from profiles.tui.naming import (
    documents_of,
    find_names,
    find_quoted,
    name_ids,
    name_spot,
    name_words,
)
from profiles.tui.session import Session
from tests.tui.desks import EXAMPLES, copy_example, flat, opened, press, said, seen


def test_ids_in_a_sentence_become_names_and_unknown_ones_stay(folder: Path) -> None:
    names = find_names(load_library(folder).library, ["harbour-desk"])
    told = name_ids("`sound-horn` is on `horn`, `trim.clockwise`, `horn + bell` and `A0`", names)
    assert told == "Sound the horn is on HORN, TRIM clockwise, HORN + BELL and `A0`"


def test_an_id_of_several_things_stays(folder: Path) -> None:
    """A control and an action of one id and different names cannot be told apart in a sentence."""
    path = folder / "harbour.toml"
    path.write_text(path.read_text("utf-8") + '\n[actions.horn]\nname = "Toot"\n', "utf-8")
    names = find_names(load_library(folder).library, ["harbour-desk"])
    assert name_ids("`horn` and `bell`", names) == "`horn` and BELL"


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("Bind `horn` to `horn`", "Bind HORN to Toot"),
        ("Then: Bind `bell + horn` also to `horn`.", "Then: Bind BELL + HORN also to Toot."),
        ("Unbind `horn`", "Unbind HORN"),
        ("Unbind `horn` from `horn`", "Unbind Toot from HORN"),
        ("Swap `bell` and `horn`", "Swap BELL and HORN"),
        ("Set the legend of `horn`", "Set the legend of HORN"),
        ("`desk` loses `ring-bell` and `horn`", "Desk loses Ring the bell and Toot"),
        ("Delete `horn`", "Delete HORN"),
    ],
)
def test_an_edit_says_which_of_both_an_id_is_of(folder: Path, said: str, told: str) -> None:
    path = folder / "harbour.toml"
    path.write_text(path.read_text("utf-8") + '\n[actions.horn]\nname = "Toot"\n', "utf-8")
    assert name_ids(said, find_names(load_library(folder).library, ["harbour-desk"])) == told


def test_a_control_and_an_action_that_differ_by_capitals_alone_are_one_word(folder: Path) -> None:
    path = folder / "harbour.toml"
    path.write_text(path.read_text("utf-8") + '\n[actions.horn]\nname = "Horn"\n', "utf-8")
    names = find_names(load_library(folder).library, ["harbour-desk"])
    assert name_ids("`horn` is unbound", names) == "HORN is unbound"
    assert name_ids("Bind `horn` to `horn`", names) == "Bind HORN to Horn"


def test_a_place_is_told_by_names(folder: Path) -> None:
    library = load_library(folder).library
    names = find_names(library, ["desk", "harbour-desk"])
    assert name_spot(names, Spot("desk", ("controls", "trim", "pins"))) == "Desk, TRIM, pins"
    where = Spot("harbour-desk", ("bindings", "horn + bell"))
    assert name_spot(names, where).endswith(", HORN + BELL")


def test_no_finding_of_the_faulty_example_names_a_control_of_one_name_by_its_id() -> None:
    """Whatever `find_names` knows of a finding's documents is told by name."""
    library = load_library(EXAMPLES / "faulty").library
    findings = run_checks(library).findings
    told = 0
    for finding in findings:
        names = find_names(library, [finding.spot.document])
        words = name_ids(finding.message, names)
        told += words != finding.message
        for id_ in names.known:
            assert f"`{id_}`" not in words
    assert told > len(findings) / 3


async def test_findings_are_listed_and_explained_by_names(folder: Path) -> None:
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "x", "2")
        text = flat(seen(app))
        assert "E Sound the horn is unbound in " in text
        assert "`sound-horn` is unbound" not in text
        page = said(app, "#finding-page")
        assert page.startswith("error: Drop the anchor is unbound in ")
        assert "About " in page
        await press(app, pilot, "slash", *"sound the")
        assert "1 finding, all severities" in flat(seen(app))


async def test_the_panel_says_what_the_application_calls_the_input(tmp_path: Path) -> None:
    async with opened(copy_example("harbour", tmp_path / "harbour")) as (app, pilot):
        await press(app, pilot, "down")
        number = app.session.view.facts["horn"].contacts[0].number
        application = app.session.binds.application
        assert number is not None
        assert application is not None
        words = f"> press, input {number}: {application.write_number(number)}"
        assert words in said(app, "#plate-panel")
        assert application.write_number(number).startswith("Button ")


async def test_the_panel_says_that_an_application_never_sees_an_input(folder: Path) -> None:
    path = folder / "harbour.toml"
    text = path.read_text("utf-8").replace("[application]", "[application]\nbuttons = 3")
    path.write_text(text, "utf-8")
    async with opened(folder) as (app, pilot):
        await press(app, pilot, "right", "right")
        assert app.session.control == "spare"
        assert "input 4: never seen, Harbour" in said(app, "#plate-panel")


@pytest.mark.parametrize("width", [80, 120, 160])
async def test_the_librarys_count_is_whole_at_any_width_and_named_so(
    folder: Path, width: int
) -> None:
    async with opened(folder, (width, 24)) as (app, pilot):
        await press(app, pilot, "x")
        first = seen(app).splitlines()[0]
        counts = [app.session.all_findings, app.session.findings]
        errors = [sum(one.severity == "error" for one in found) for found in counts]
        own = "E, " if width == 80 else "error"
        assert first.startswith(f" 1 unsaved · {errors[1]} {own}")
        assert "Harbour on the desk · Desk  " in first, "names are cut last"
        whole = f"library library: {errors[0]} error"
        assert whole in first or f"library: {errors[0]} E, " in first
        assert first.endswith(("note", "notes", "n"))


async def test_the_wiring_view_has_tables_of_wiring_host_and_firmware(tmp_path: Path) -> None:
    async with opened(copy_example("harbour", tmp_path / "harbour"), (160, 50)) as (app, pilot):
        await press(app, pilot, "5", "t")
        text = said(app, "#harness")
        assert "Timing" in text
        assert "Power" in text
        await press(app, pilot, "t")
        text = said(app, "#harness")
        assert "Linux event code" in text
        assert "Brackwater Towage" in text
        assert "Cobblegate" not in text, "this profile's application only"
        await press(app, pilot, "t")
        text = said(app, "#harness")
        assert "Board: ATmega32U4 board" in text
        assert "Debounce: " in text
        await press(app, pilot, "t")
        assert app.screen.query_one("#matrix").display


async def test_why_no_firmware_can_be_written_is_told(folder: Path) -> None:
    """The desk's selector has inputs but no wires, and two of its pins contradict."""
    path = folder / "desk.toml"
    path.write_text(path.read_text("utf-8").replace('"5"', '"A0"'), "utf-8")
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "5", "t", "t", "t")
        assert "No firmware can be written:" in said(app, "#harness")


async def test_a_form_tells_findings_by_names_and_side_panels_have_titles(folder: Path) -> None:
    async with opened(folder, (120, 40)) as (app, pilot):
        assert "Control ─" in seen(app)
        found = next(one for one in app.session.findings if "`drop-anchor`" in one.message)
        open_form(app, found.spot.document, found.spot.path)
        await press(app, pilot, "backspace")
        words = said(app, "#said")
        assert "Drop the anchor is unbound" in words
        assert "`drop-anchor` is unbound" not in words


def test_two_things_of_one_name_keep_their_ids_whatever_its_capitals(folder: Path) -> None:
    path = folder / "desk.toml"
    path.write_text(path.read_text("utf-8").replace('"SPARE"', '"Horn"'), "utf-8")
    names = find_names(load_library(folder).library, ["harbour-desk"])
    assert name_ids("Swap `horn` and `spare` with `bell`", names) == (
        "Swap `horn` and `spare` with BELL"
    )
    assert (names.contact("spare.press"), names.contact("bell.press")) == ("spare.press", "BELL")


def test_an_id_that_is_meant_itself_or_typed_into_a_file_is_told(folder: Path) -> None:
    names = find_names(load_library(folder).library, ["harbour-desk"])
    assert name_ids("Change id `horn` to id `bell`", names) == "Change id `horn` to id `bell`"
    assert name_ids("Write `horn`, or `bell`", names) == "Write HORN (`horn`), or BELL (`bell`)"
    assert name_ids("Name it, such as `desk/horn`", names) == "Name it, such as HORN (`desk/horn`)"


@pytest.mark.parametrize(
    ("words", "named"),
    [
        ("horn.press", "HORN"),
        ("trim.clockwise, input 5", "TRIM clockwise, input 5"),
        ("the LED of horn", "the LED of HORN"),
        ("desk/trim.press*", "TRIM press*"),
        ("horn", "HORN"),
        ("out of range", "out of range"),
        ("platform.local.txt", "platform.local.txt"),
        ("Desk (desk): all fine", "Desk: all fine"),
    ],
)
def test_bare_ids_of_tables_become_names_and_nothing_else(
    folder: Path, words: str, named: str
) -> None:
    names = find_names(load_library(folder).library, ["harbour-desk"])
    assert name_words(words, names) == named


@pytest.mark.parametrize("example", ["faulty", "harbour", "boatyard"])
def test_no_remedy_names_by_id_what_has_a_name(example: str) -> None:
    """But for ids that are to be typed, which stay beside the name."""
    session = Session(load_library(EXAMPLES / example))
    for finding in run_checks(session.library).findings:
        for words in (session.describe(finding), session.advise(finding)):
            known = session.names_of(*documents_of(finding)).known
            told = [one for one in find_quoted(words) if one in known]
            assert all(f"{known[one]} (`{one}`)" in words for one in told), words


async def test_finding_change_and_undo_are_told_by_names(folder: Path) -> None:
    async with opened(folder, (120, 40)) as (app, pilot):
        await press(app, pilot, "x")
        assert said(app, "#note") == "Unbind HORN. Ctrl+Z takes it back, Ctrl+S saves."
        await press(app, pilot, "2")
        assert "Do: Bind Drop the anchor, or lower its need" in said(app, "#finding-page")
        assert "`drop-anchor`" not in said(app, "#finding-page")
        await press(app, pilot, "u")
        assert said(app, "#note") == "Taken back: Unbind HORN."
        await press(app, pilot, "6", "x")
        text = flat(seen(app))
        assert "Delete HORN?" in text
        assert "loses Sound the horn" in text
        await press(app, pilot, "y")
        assert said(app, "#note").startswith("Delete HORN.")
        await press(app, pilot, "u")
        assert said(app, "#note") == "Taken back: Delete HORN."


async def test_crossings_wires_and_tables_are_told_by_names(folder: Path) -> None:
    async with opened(folder, (160, 50)) as (app, pilot):
        await press(app, pilot, "5")
        assert "Row 1, column 1: HORN" in said(app, "#wiring-said")
        await press(app, pilot, "space", "right", "space", "down", "space")
        assert said(app, "#wiring-said").count("HORN") > 1
        text = seen(app)
        await press(app, pilot, "h")
        text += seen(app) + said(app, "#wiring-said")
        for _ in range(2):
            await press(app, pilot, "t")
            text += said(app, "#harness")
        assert "TRIM clockwise" in text
        for id_ in ("horn", "bell", "lamp", "trim."):
            assert id_ not in text


async def test_a_control_whose_label_another_has_is_told_with_its_id(folder: Path) -> None:
    path = folder / "desk.toml"
    path.write_text(path.read_text("utf-8").replace('"SPARE"', '"HORN"'), "utf-8")
    async with opened(folder, (120, 40)) as (app, pilot):
        assert said(app, "#plate-panel").startswith("HORN (horn) ( ) momentary")
        await press(app, pilot, "x")
        assert said(app, "#note").startswith("Unbind `horn`.")
        await press(app, pilot, "6", "right", "g")
        assert "Centre of BELL, mm from the lower left" in seen(app)
