"""The reference card: what every control does in one title, on every format."""

import csv
import io
import json
import re
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

from profiles.sheets.card_rows import find_rows, group_rows
from profiles.sheets.requests import make_sheet
from profiles.sheets.sheet import PrintedSheet
from profiles.sheets.writing import write_sheet
from tests.checks.build import device, library, profile
from tests.drawing.pdf_reader import PdfReader
from tests.drawing.pictures import compare_with_kept
from tests.sheets.titles import DESK, HARBOUR, desk_library, harbour, harbour_order, order_of

html: Any = import_module("lxml.html")


KEPT = Path(__file__).parent / "kept"
TUG = "brackwater-bridge"


def desk_card() -> PrintedSheet:
    return make_sheet(*order_of("card", desk_library(), DESK, "play"))


def read_csv(sheet: PrintedSheet) -> list[dict[str, str]]:
    text = write_sheet(sheet, "csv").data.decode("utf-8")
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_every_control_has_a_row_in_plate_order() -> None:
    """Numbers as the application writes them: it counts from 0 and says `Joy`."""
    rows = [
        (row["Held"], row["Control"], row["Contact"], row["Does"], row["Number"])
        for row in read_csv(desk_card())
    ]
    assert rows == [
        ("", "SHIFT", "", "held while others act", "Joy 0"),
        ("", "HORN", "", "Blow the whistle", "Joy 1"),
        ("SHIFT", "HORN", "", "Fog signal", "Joy 0 + Joy 1"),
        ("", "LIGHTS", "on", "Lamps", "Joy 2"),
        ("", "TRIM", "clockwise", "Trim up", "Joy 4"),
        ("", "TRIM", "anticlockwise", "Trim down", "Joy 5"),
        ("", "SPARE", "", "–", ""),
    ]


def test_spreadsheet_rows_carry_group_contexts_legend_and_input() -> None:
    horn = read_csv(desk_card())[1]
    assert horn["Group"] == "signals"
    assert horn["Contexts"] == "sailing, towing"
    assert horn["Legend"] == "WHISTLE"
    assert horn["Input"] == "2"
    assert horn["Device"] == "Desk"


def test_every_binding_of_the_example_is_on_the_card() -> None:
    """Oracle: the profile's own list of what is bound."""
    link = harbour().link(TUG)
    rows = find_rows(link, link.devices)
    bound = sorted((one.acting.control, one.action_id) for one in link.bound)
    assert sorted((row.control_id, row.action_id) for row in rows if row.is_bound) == bound
    every = {
        (device.name, value.label) for device in link.devices for value in device.controls.values()
    }
    assert {(row.device, row.control) for row in rows} == every


def test_groups_hold_every_action_once_in_the_applications_order() -> None:
    link = desk_library().link("play")
    groups = group_rows(link, find_rows(link, (DESK,)))
    assert {group: [row.does for row in rows] for group, rows in groups.items()} == {
        "signals": ["Blow the whistle", "Fog signal"],
        "lights": ["Lamps"],
        "other": ["Trim up", "Trim down"],
    }
    assert list(groups)[-1] == "other"


def test_the_terminal_shows_aligned_columns() -> None:
    text = write_sheet(desk_card(), "text").data.decode("utf-8")
    assert (
        text
        == """\
Harbour: reference card
Desk

ON THE PLATE
Control              Does                   Number         Where
-------------------  ---------------------  -------------  ---------------
SHIFT                held while others act  Joy 0
HORN                 Blow the whistle       Joy 1          sailing, towing
SHIFT + HORN         Fog signal             Joy 0 + Joy 1
LIGHTS, on           Lamps                  Joy 2
TRIM, clockwise      Trim up                Joy 4
TRIM, anticlockwise  Trim down              Joy 5
SPARE                –

BY FUNCTION
Group    Does              Control              Number         Where
-------  ----------------  -------------------  -------------  ---------------
Signals  Blow the whistle  HORN                 Joy 1          sailing, towing
Signals  Fog signal        SHIFT + HORN         Joy 0 + Joy 1
Lights   Lamps             LIGHTS, on           Joy 2
Other    Trim up           TRIM, clockwise      Joy 4
Other    Trim down         TRIM, anticlockwise  Joy 5
"""
    )


def test_the_page_has_tables_with_headings() -> None:
    page = html.fromstring(write_sheet(desk_card(), "html").data)
    assert page.xpath("//html/@lang") == ["en"]
    assert page.xpath("//h1/text()") == ["Harbour: reference card"]
    assert page.xpath("//h2/text()") == ["On the plate", "By function"]
    assert page.xpath("//section[1]//thead//th[@scope='col']/text()") == [
        "Control",
        "Does",
        "Number",
    ]
    assert page.xpath("//section[1]//tbody//th[@scope='row']/text()") == [
        *("SHIFT", "HORN", "SHIFT + HORN", "LIGHTS, on"),
        *("TRIM, clockwise", "TRIM, anticlockwise", "SPARE"),
    ]


def test_the_page_asks_for_nothing_from_outside() -> None:
    page = write_sheet(desk_card(), "html").data.decode("utf-8")
    assert "default-src 'none'" in page
    assert re.findall(r"(?:src|href|url)\s*[=(]", page) == []
    assert html.fromstring(page).xpath("//script | //link | //img | //iframe | //object") == []


def test_machines_get_the_same_rows() -> None:
    document = json.loads(write_sheet(desk_card(), "json").data)
    assert document["sheet"] == "play-card"
    assert [row["does"] for row in document["rows"]] == [
        row["Does"] for row in read_csv(desk_card())
    ]
    assert document["groups"]["lights"] == ["lamps"]


def test_the_example_fits_one_page_with_every_word_on_it() -> None:
    sheet = make_sheet(*harbour_order("card", "helm-desk", TUG, paper="a3"))
    reader = PdfReader(write_sheet(sheet, "pdf").data)
    assert len(reader) == 1
    assert sheet.remarks == ()
    words = " ".join(reader.text().split())
    for action in {one.action.name for one in harbour().link(TUG).bound}:
        assert action in words
    assert "Button 34" in words
    assert "Lookout box" in words


@pytest.mark.parametrize(("large", "least"), [(False, 2.618), (True, 5.236)])
def test_letters_can_be_read_from_where_the_plate_is_seen(large: bool, least: float) -> None:
    """The least height at 600 mm is 2.618 mm: 15 minutes of arc (NUREG-0700 Rev.3, 11.4.1.5-1);
    large letters are read from twice as far."""
    sheet = make_sheet(*harbour_order("card", "helm-desk", TUG, large=large))
    heights = [
        text.lettering.cap_height
        for page in sheet.document.pages
        for text in page.drawing.on_layers(["list"]).texts()
    ]
    assert min(heights) == pytest.approx(least, abs=0.001)


def test_a_card_too_long_for_its_paper_takes_more_pages_and_says_so() -> None:
    sheet = make_sheet(*harbour_order("card", "helm-desk", TUG, paper="a5"))
    reader = PdfReader(write_sheet(sheet, "pdf").data)
    assert [remark.message for remark in sheet.remarks] == [
        f"the card needs {len(reader)} pages; try larger --paper"
    ]
    for number in range(len(reader)):
        assert "Does" in reader.text(number)


def test_a_device_named_alone_has_a_card_alone() -> None:
    box = harbour().devices["lookout-box"]
    sheet = make_sheet(*harbour_order("card", "lookout-box", TUG, devices=(box,)))
    assert {row["Device"] for row in read_csv(sheet)} == {"Lookout box"}


def test_a_contact_without_a_number_is_told() -> None:
    bare = device('[controls.horn]\nlabel = "HORN"')
    books = library(bare, HARBOUR, profile('[bindings]\nhorn = "fog"'))
    sheet = make_sheet(*order_of("card", books, bare, "play"))
    assert [remark.message for remark in sheet.remarks] == ["`HORN` has no input number"]
    assert str(sheet.remarks[0].spot) == "play:bindings.horn"


def test_the_look_of_the_card() -> None:
    """A4: two columns, controls with what they do and their numbers by device, then functions
    under bold group names; pale rules between rows; no ruler, for a list has no scale."""
    sheet = make_sheet(*harbour_order("card", "helm-desk", TUG))
    compare_with_kept(sheet.document.pages[0], KEPT / "card.png")
