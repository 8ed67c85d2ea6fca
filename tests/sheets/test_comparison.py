"""Controls against titles: every title's cell in its column, moved functions marked."""

import csv
import io
import json
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

from profiles.checks.groups import Move, find_moves
from profiles.model import Library
from profiles.sheets.comparison import make_sheet
from profiles.sheets.sheet import PrintedSheet
from profiles.sheets.writing import write_sheet
from tests.checks.build import application, device, find, library, profile
from tests.drawing.pdf_reader import PdfReader
from tests.drawing.pictures import compare_with_kept
from tests.sheets.titles import DESK, HARBOUR, PLAY, harbour_order, order_of

html: Any = import_module("lxml.html")


KEPT = Path(__file__).parent / "kept"
TRAM = application(
    """
    [application]
    id = "tram"
    name = "Tram"
    [actions.gong]
    name = "Gong"
    group = "signals"
    [actions.saloon]
    name = "Saloon lamps"
    group = "lights"
    """
)
RIDE = profile(
    '[profile]\nid = "ride"\napplication = "tram"\n[bindings]\nhorn = "saloon"\nlights = "gong"'
)
USUAL = profile('[profile]\nid = "usual"\n[bindings]\nhorn = "fog"\nlights = "lamps"')
MOVED = "» Gong (usually HORN)"


def books() -> Library:
    return library(DESK, HARBOUR, TRAM, PLAY, RIDE, USUAL)


def compared(*profiles: str) -> PrintedSheet:
    return make_sheet(*order_of("comparison", books(), DESK, *profiles))


def read_csv(sheet: PrintedSheet) -> list[list[str]]:
    text = write_sheet(sheet, "csv").data.decode("utf-8")
    return list(csv.reader(io.StringIO(text, newline="")))


def test_rows_are_controls_and_columns_are_titles() -> None:
    assert read_csv(compared("play", "ride")) == [
        ["Control", "Contact", "Held", "Input", "Harbour", "Tram"],
        ["SHIFT", "", "", "1", "held while others act", ""],
        ["HORN", "", "", "2", "Blow the whistle", "» Saloon lamps (usually LIGHTS)"],
        ["HORN", "", "SHIFT", "2", "Fog signal", ""],
        ["LIGHTS", "on", "", "3", "Lamps", MOVED],
        ["TRIM", "clockwise", "", "5", "Trim up", ""],
        ["TRIM", "anticlockwise", "", "6", "Trim down", ""],
        ["SPARE", "", "", "8", "", ""],
    ]


def test_all_profiles_of_the_device_are_compared_where_none_is_named() -> None:
    """Two profiles of one title are told apart by their ids."""
    head = read_csv(compared())[0]
    assert head[4:] == ["Harbour (play)", "Tram", "Harbour (usual)"]


def test_what_is_marked_is_what_the_check_reports() -> None:
    (lights, signals) = sorted(
        find("group-moved", DESK, HARBOUR, TRAM, PLAY, RIDE, USUAL), key=lambda one: one.message
    )
    assert lights.message == "`lights` sits on `horn`, in `play` on `lights`"
    assert signals.message == "`signals` sits on `lights`, in `play` on `horn`"
    assert {row[5] for row in read_csv(compared())} >= {"» Saloon lamps (usually LIGHTS)", MOVED}


def test_the_rule_of_what_has_moved() -> None:
    links = [(link.profile.id, link.bound) for link in books().links]
    assert set(find_moves(links)) == {
        Move("desk", "signals", "ride", "play", frozenset({"lights"}), frozenset({"horn"})),
        Move("desk", "lights", "ride", "play", frozenset({"horn"}), frozenset({"lights"})),
    }


def test_a_function_usual_on_another_device_is_marked_with_its_name() -> None:
    side = device('[device]\nid = "side"\nname = "Side box"\n[controls.k]\ninput = 1')
    far = profile(
        '[profile]\nid = "far"\napplication = "harbour"\ndevices = ["desk", "side"]\n'
        '[bindings]\n"side/k" = "fog"\n"desk/lights" = "lamps"',
        "",
    )
    shelf = library(DESK, side, HARBOUR, TRAM, PLAY, USUAL, far)
    rows = read_csv(make_sheet(*order_of("comparison", shelf, side, "play", "usual", "far")))
    assert rows[1][-1] == "» Fog signal (usually HORN of Desk)"


@pytest.mark.parametrize("form", ["text", "csv", "html", "pdf", "json"])
def test_every_format_says_where_a_moved_function_usually_is(form: str) -> None:
    data = write_sheet(compared("play", "ride"), form).data
    text = PdfReader(data).text() if form == "pdf" else data.decode("utf-8")
    text = html.fromstring(text).text_content() if form == "html" else text
    assert "usually HORN" in text
    if form != "json":
        assert "» Gong" in text
        assert "» sits elsewhere in most applications" in text or form == "csv"


def test_machines_get_cells_by_profile() -> None:
    document = json.loads(write_sheet(compared("play", "ride"), "json").data)
    assert document["profiles"] == {"play": "Harbour", "ride": "Tram"}
    row = document["rows"][3]
    assert row["control"] == "LIGHTS"
    assert row["applications"]["ride"] == {"does": "Gong", "moved": "usually HORN"}


def test_the_terminal_shows_one_line_a_contact() -> None:
    text = write_sheet(compared("play", "ride"), "text").data.decode("utf-8")
    assert (
        text
        == """\
Desk: applications compared

Control              Input  Harbour                Tram
-------------------  -----  ---------------------  -------------------------------
SHIFT                1      held while others act
HORN                 2      Blow the whistle       » Saloon lamps (usually LIGHTS)
SHIFT + HORN         2      Fog signal
LIGHTS, on           3      Lamps                  » Gong (usually HORN)
TRIM, clockwise      5      Trim up
TRIM, anticlockwise  6      Trim down
SPARE                8

» sits elsewhere in most applications
"""
    )


def test_titles_beyond_the_width_of_the_paper_go_on_below() -> None:
    many = [profile(f'[profile]\nid = "p{n}"\n[bindings]\nhorn = "fog"') for n in range(7)]
    sheet = make_sheet(*order_of("comparison", library(DESK, HARBOUR, *many), DESK))
    text = " ".join(PdfReader(write_sheet(sheet, "pdf").data).text().split())
    for part in ("1 to 3 of 7", "4 to 6 of 7", "7 of 7"):
        assert f"Controls against applications ({part})" in text
    for number in range(7):
        assert f"Harbour (p{number})" in text


def test_even_the_smallest_paper_sets_two_titles_side_by_side() -> None:
    sheet = make_sheet(*order_of("comparison", books(), DESK, "play", "ride", paper="a5"))
    (page,) = sheet.document.pages
    assert {"Harbour", "Tram"} <= {text.words for text in page.drawing.texts()}


def test_a_device_that_no_profile_binds_is_told() -> None:
    sheet = make_sheet(*order_of("comparison", library(DESK), DESK))
    assert [remark.message for remark in sheet.remarks] == ["no profile binds Desk"]
    assert len(read_csv(sheet)) == 6


def test_the_sign_is_explained_only_where_it_is_used() -> None:
    ends = {
        ("play", "ride"): "» sits elsewhere in most applications",
        ("play", "usual"): "no function sits elsewhere in most applications",
        ("play",): "SPARE                8",
    }
    for profiles, end in ends.items():
        text = write_sheet(compared(*profiles), "text").data.decode("utf-8")
        assert text.rstrip("\n").rsplit("\n", 1)[1].rstrip() == end


def test_the_look_of_the_comparison() -> None:
    """A4: control and input, then a column for each of three titles; pale rules; a bold sign and
    words before two moved functions of the tram, with where they usually are in grey."""
    sheet = compared()
    compare_with_kept(sheet.document.pages[0], KEPT / "comparison.png")


def test_nothing_has_moved_in_the_example() -> None:
    sheet = make_sheet(*harbour_order("comparison", "helm-desk"))
    assert not any("»" in cell for row in sheet.table for cell in row)
