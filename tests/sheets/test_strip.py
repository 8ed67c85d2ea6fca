"""Label strips: true pitch, printable heights, cut marks, and what does not fit."""

import csv
import io
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from PIL import Image, ImageOps

from profiles.drawing.paper import A4, A5, Paper
from profiles.drawing.shapes import Text
from profiles.model import Device, Library
from profiles.model.settings import Printing, Settings
from profiles.sheets.requests import make_sheet as make_request_sheet
from profiles.sheets.sheet import PrintedSheet, Remark, Subject
from profiles.sheets.strip import draw_strip, make_sheet, name_labels
from profiles.sheets.strip_plan import plan_strips
from profiles.sheets.tapes import TAPES
from profiles.sheets.writing import write_sheet
from tests.checks.build import device, library, profile
from tests.drawing.pdf_reader import PdfReader
from tests.drawing.pictures import compare_with_kept
from tests.needs import need_module
from tests.sheets.titles import DESK, HARBOUR, desk_library, harbour_order, order_of
from tests.sheets.workshop import bench, momentary

KEPT = Path(__file__).parent / "kept"
TUG, TRAM = "brackwater-bridge", "cobblegate-on-helm-desk"

LIBPTOUCH = {
    "6": (32, 1.0),
    "9": (52, 1.0),
    "12": (76, 2.0),
    "18": (120, 3.0),
    "24": (128, 3.0),
    "36": (192, 4.5),
}
"""Dots in use at 180 an inch, and margin in mm, by tape: tape table of libptouch (open source)."""


@pytest.mark.parametrize("name", list(TAPES))
def test_no_tape_prints_more_than_its_head_and_margins_allow(name: str) -> None:
    dots, margin = LIBPTOUCH[name]
    tape = TAPES[name]
    assert tape.width == float(name)
    assert tape.printable <= dots * 25.4 / 180
    assert tape.printable <= tape.width - 2 * margin


def strips_of(sheet: PrintedSheet) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = sheet.facts["strips"]
    return found


def test_cells_have_the_controls_true_pitch() -> None:
    """Neighbours meet halfway; the ends reach out as far as they reach in."""
    order = order_of("strip", desk_library(), DESK, "play")
    first, second = strips_of(make_sheet(*order))

    cells = [(cell["start"], cell["centre"], cell["end"]) for cell in first["cells"]]
    assert cells == [(5.0, 30.0, 55.0), (55.0, 80.0, 105.0), (105.0, 130.0, 155.0)]
    assert [cell["centre"] for cell in second["cells"]] == [60.0, 140.0]
    assert (first["start"], first["width"]) == (5.0, 150.0)


def test_ends_of_a_control_are_in_the_order_in_which_the_plate_shows_them() -> None:
    """Right and clockwise switch on and up (IEC 60447; unverified), on the legend as well."""
    sheet = make_sheet(*harbour_order("strip", "helm-desk", TUG))
    cells = {cell["control"]: cell["labels"] for one in strips_of(sheet) for cell in one["cells"]}

    words = {key: [part["text"] for part in labels] for key, labels in cells.items()}
    assert words["pump"] == ["BILGE OFF", "BILGE ON"]
    assert words["trim"] == ["PORT", "CENTRE", "STBD"]
    assert words["mode"] == ["DOCK", "TOW", "SEA"]


def test_every_row_of_the_example_is_measured_in_the_pdf() -> None:
    """The ticks at the middles of the cells are as far apart as the controls, within 0.05 mm."""
    sheet = make_sheet(*harbour_order("strip", "helm-desk", TUG, paper="a3"))
    paths = PdfReader(write_sheet(sheet, "pdf").data).paths()
    ticks = sorted(
        {round(p.centre[0], 3) for p in paths if abs(p.height - 0.7) < 0.01 and p.width < 0.01}
    )
    bottoms = [p for p in paths if abs(p.width - 276.0) < 0.05 and abs(p.height - 13.8) < 0.05]

    assert len(bottoms) == 4
    left = min(min(x for x, _ in path.ends) for path in bottoms)
    for x in (35.0, 81.0, 127.0, 173.0, 219.0, 265.0):
        assert any(abs(tick - left - (x - 12.0)) < 0.05 for tick in ticks)


def test_words_stay_within_their_cell_and_the_printable_height() -> None:
    for name, tape in TAPES.items():
        order = harbour_order("strip", "helm-desk", TUG, TRAM, paper="a3", tape=name)
        sheet = make_sheet(*order)
        strips = {(strip["row"], strip["application"]): strip for strip in strips_of(sheet)}
        assert {strip["height"] for strip in strips.values()} == {tape.width}
        for strip in strips.values():
            for cell in strip["cells"]:
                for label in cell["labels"]:
                    assert cell["start"] - 1e-6 <= label["left"]
                    assert label["right"] <= cell["end"] + 1e-6
                    if label["height"] is not None:
                        assert label["height"] * len(label["lines"]) <= tape.printable


def test_words_on_one_line_stand_level_whatever_letters_they_have() -> None:
    """A `J` or a slash that reaches under the line does not lift its words above the others."""
    sheet = make_sheet(*harbour_order("strip", "helm-desk", TUG, paper="a3"))
    texts = {text.words: text for text in sheet.work.on_layers(["legends"]).texts()}
    level = [
        texts[words].at[1]
        for words in ("HORN", "BELL", "START\N{NO-BREAK SPACE}/ TAKE JOB", "SILENCE")
    ]
    assert max(level) - min(level) < 1e-9


@pytest.mark.parametrize("name", ["9", "12"])
def test_marks_above_and_under_the_letters_stay_within_what_a_tape_prints(name: str) -> None:
    accented = {
        f"c{n}": momentary(words, (20.0 + 30.0 * n, 40.0), 7.0)
        for n, words in enumerate(("ÅÉŐ", "gjpqyç", "HORN"))
    }
    box = bench(controls=accented)
    tape = TAPES[name]
    (strip,) = plan_strips(
        box, name_labels(Subject(library=Library.of([box]), device=box), None), tape
    )
    texts = draw_strip(strip).on_layers(["legends"]).texts()
    assert len(texts) == 3
    for text in texts:
        ink = text.ink_bounds()
        assert (tape.width - tape.printable) / 2 - 1e-6 <= ink.bottom
        assert ink.top <= (tape.width + tape.printable) / 2 + 1e-6


def words_of(sheet: PrintedSheet) -> set[str]:
    return {text.words for text in sheet.work.on_layers(["legends"]).texts()}


def test_a_strip_says_what_the_title_does() -> None:
    order = order_of("strip", desk_library(), DESK, "play", tape="12")
    sheet = make_sheet(*order)
    assert {"SHIFT", "LAMPS", "UP", "DOWN"} <= words_of(sheet)
    assert [strip["row"] for strip in strips_of(sheet)] == [1, 2]


def test_titles_are_stacked_one_strip_each() -> None:
    order = harbour_order("strip", "helm-desk", TUG, TRAM, paper="a3")
    found = [(strip["row"], strip["application"]) for strip in strips_of(make_sheet(*order))]
    titles = ("Brackwater Towage", "Cobblegate Trams")
    assert found == [(row, title) for row in (1, 2, 3, 4) for title in titles]


def test_a_device_alone_has_its_own_words() -> None:
    order = order_of("strip", library(DESK), DESK)
    assert words_of(make_sheet(*order)) == {"SHIFT", "HORN", "LIGHTS", "TRIM", "SPARE"}


def row_of(label: str, pitch: float, tops: float = 20.0) -> Device:
    """Two controls close together with one label, and one below the first."""
    return device(
        f"""
        [plate]
        width = 100.0
        height = 60.0
        [controls.one]
        label = "{label}"
        position = [30.0, 40.0]
        front = 10.0
        [controls.two]
        label = "B"
        position = [{30.0 + pitch}, 40.0]
        front = 10.0
        [controls.low]
        label = "C"
        position = [30.0, {tops}]
        front = 10.0
        """
    )


def test_what_does_not_fit_is_named() -> None:
    box = row_of("EMERGENCYSTOPALL", 12.0)
    sheet = make_sheet(*order_of("strip", library(box), box, tape="9"))

    skipped = [remark for remark in sheet.remarks if remark.kind == "skipped"]
    assert [remark.message.split(" mm too wide")[0].rsplit(" ", 1)[0] for remark in skipped] == [
        "`EMERGENCYSTOPALL` at `one` in the plate's own words:"
    ]
    assert skipped[0].message.endswith("mm too wide at 2.6 mm capital height")
    assert "EMERGENCYSTOPALL" not in words_of(sheet)
    assert "B" in words_of(sheet)


def test_no_readable_letter_fits_on_narrow_tape_seen_from_afar() -> None:
    """At 1.5 m a capital must be 6.5 mm high (15 minutes of arc); 6 mm tape prints 4 mm."""
    box = row_of("A", 20.0)
    far = box.model_copy(
        update={"plate": box.plate.model_copy(update={"viewing_distance": 1500.0})}
    )
    sheet = make_sheet(*order_of("strip", library(far), far, tape="6"))
    assert {remark.message.split(": ")[1] for remark in sheet.remarks if remark.is_loss} == {
        "2.5 mm too high at 6.5 mm capital height"
    }


def test_tape_wider_than_the_free_band_below_its_row_is_told() -> None:
    """Bodies end at 35 and the next begin at 27: 8 mm are free."""
    box = row_of("A", 20.0, tops=22.0)
    sheet = make_sheet(*order_of("strip", library(box), box, tape="12"))
    notes = [remark.message for remark in sheet.remarks if remark.kind == "note"]
    assert notes == ["row 1: the strip is 12.0 mm high, 8.0 mm are free below the row"]


@pytest.mark.parametrize("paper", [A4, A5], ids=lambda paper: paper.name)
def test_a_strip_longer_than_the_paper_is_cut_between_cells(paper: Paper) -> None:
    sheet = make_sheet(*harbour_order("strip", "helm-desk", TUG, paper=paper.name.lower()))
    pages = [
        text
        for page in sheet.document.pages
        for text in page.drawing.on_layers(["caption"]).texts()
    ]
    assert any("part 2 of" in text.words for text in pages)
    for page in sheet.document.pages:
        border = page.width - 10.0
        for entry in page.drawing.on_layers(["cut", "ticks"]).entries:
            assert entry.shape.ink_bounds().right < border
        legends = [entry.shape for entry in page.drawing.on_layers(["legends"]).entries]
        assert all(text.ink_bounds().right < border for text in legends if isinstance(text, Text))


def test_a_row_without_words_has_no_strip_and_is_told() -> None:
    books = library(DESK, HARBOUR, profile('[bindings]\nhorn = "fog"'))
    sheet = make_sheet(*order_of("strip", books, DESK, "play"))
    assert [strip["row"] for strip in strips_of(sheet)] == [1]
    assert [remark.message for remark in sheet.remarks] == [
        "row 2 has no words in Harbour: no strip"
    ]


def test_each_strip_has_eight_cut_marks_outside_its_corners() -> None:
    order = order_of("strip", desk_library(), DESK, tape="12")
    sheet = make_sheet(*order)
    boxes = [entry.shape.bounds() for entry in sheet.work.on_layers(["cut"]).entries]
    outlines = [box for box in boxes if box.width > 10]
    marks = [box for box in boxes if box.width <= 10]
    assert len(outlines) == 2
    assert len(marks) == 16
    for mark in marks:
        assert not any(mark.meets(outline) for outline in outlines)


def test_the_look_of_strips() -> None:
    """A3 turned: four strips one below the other, six cells each with ticks where they meet;
    corner marks at all ends; words in the middle of their cells, two rotaries with three parts and
    bent arrows at both ends; a pale caption over each strip."""
    sheet = make_sheet(*harbour_order("strip", "helm-desk", TUG, paper="a3"))
    compare_with_kept(sheet.document.pages[0], KEPT / "strip.png")


def test_all_letters_of_a_sheet_have_one_height_and_width_where_all_fit() -> None:
    """The helm desk has cells of one and of three labels, and words of 4 to 25 letters."""
    facts = make_sheet(*harbour_order("strip", "helm-desk", "brackwater-bridge")).facts
    settings = {
        (label["height"], label["condense"])
        for strip in facts["strips"]
        for cell in strip["cells"]
        for label in cell["labels"]
    }
    assert len(settings) == 1


def test_pages_of_tape_are_as_large_as_the_tape_and_carry_words_alone() -> None:
    """The words stay within what the tape's printer can print, in its middle."""
    order = harbour_order("strip", "helm-desk", "brackwater-bridge", tape="12", pages="tape")
    sheet = make_sheet(*order)
    reader = PdfReader(write_sheet(sheet, "pdf").data)

    strips = sheet.facts["strips"]
    assert len(reader) == len(strips) == 4
    for number, strip in enumerate(strips):
        assert list(reader.size(number)) == pytest.approx([strip["width"], 12.0], abs=0.02)
        letters = reader.letters(number)
        assert letters
        assert min(box[2] for box in letters) > 2.0 - 0.1
        assert max(box[4] for box in letters) < 10.0 + 0.1
        words = "".join(
            line for cell in strip["cells"] for part in cell["labels"] for line in part["lines"]
        )
        assert sorted(box[0] for box in letters) == sorted("".join(words.split()))


def test_the_dots_of_the_head_are_black_or_white_and_as_many_as_the_tape_has() -> None:
    """180 dots an inch over 8 mm of a tape of 12 mm are 57, over all strips' length likewise."""
    need_module("pypdfium2")
    order = harbour_order("strip", "helm-desk", "brackwater-bridge", tape="12", pages="tape")
    sheet = make_sheet(*order)
    picture = Image.open(io.BytesIO(write_sheet(sheet, "png").data))

    length = sum(strip["width"] for strip in sheet.facts["strips"])
    assert picture.mode == "1"
    assert picture.height == pytest.approx(8.0 / 25.4 * 180, abs=1)
    assert picture.width == pytest.approx(length / 25.4 * 180, abs=1)
    dark = picture.histogram()[0] / (picture.width * picture.height)
    assert 0.01 < dark < 0.3


def test_what_a_label_printer_makes_of_its_tape_is_corrected_along_it() -> None:
    """100 mm of tape come out 98 mm long, and the head's dots are where they are: 180 an inch."""
    need_module("pypdfium2")
    heads = []
    for more in ({}, {"measured": "100x98"}):
        order = harbour_order("strip", "lookout-box", TUG, tape="12", pages="tape", **more)
        sheet = make_request_sheet(*order)
        picture = Image.open(io.BytesIO(write_sheet(sheet, "png").data))
        ink = ImageOps.invert(picture.convert("L")).getbbox()
        assert ink is not None
        heads.append((picture, ink))
    (plain, before), (longer, after) = heads

    assert longer.height == plain.height
    assert longer.width * 0.98 == pytest.approx(plain.width, abs=1)
    assert [x * 0.98 for x in (after[0], after[2])] == pytest.approx([before[0], before[2]], abs=2)
    assert (before[1], before[3]) == (after[1], after[3])
    assert longer.info["dpi"] == pytest.approx((180, 180), abs=0.1)


def test_tape_is_not_corrected_by_what_a_printer_of_paper_makes_of_100_mm() -> None:
    subject, request = harbour_order("strip", "lookout-box", TUG, tape="12", pages="tape")
    plain = make_request_sheet(subject, request)
    settings = Settings(format=1, printing=Printing(measured=(99.0, 98.0)))
    subject = replace(subject, library=Library.of([subject.device], settings))
    sheet = make_request_sheet(subject, request)

    assert sheet.document.pages == plain.document.pages
    assert set(sheet.remarks) - set(plain.remarks) == {
        Remark(
            "note",
            "tape is not corrected: 99 x 98 mm in the settings are what a printer of paper makes "
            "of 100 mm; a label printer's own go with --measured",
        )
    }
    own = make_request_sheet(subject, replace(request, measured="100x98"))
    reader = PdfReader(write_sheet(own, "pdf").data)
    for number, page in enumerate(plain.document.pages):
        assert list(reader.size(number)) == pytest.approx([page.width / 0.98, 12.0], abs=0.02)
        boxes = (
            [box for _, *box in PdfReader(data).letters(number)]
            for data in (write_sheet(plain, "pdf").data, write_sheet(own, "pdf").data)
        )
        for before, after in zip(*boxes, strict=True):
            assert [x * 0.98 for x in after[0::2]] == pytest.approx(before[0::2], abs=0.1)
            assert after[1::2] == pytest.approx(before[1::2], abs=0.02)
    assert set(own.remarks) - set(plain.remarks) == {
        Remark("note", "corrected for a label printer that makes 98 mm of 100 mm along the tape")
    }


def test_the_list_of_words_has_every_label_with_its_place() -> None:
    order = harbour_order("strip", "helm-desk", "brackwater-bridge", tape="12")
    rows = list(csv.reader(io.StringIO(write_sheet(make_sheet(*order), "csv").data.decode())))

    assert rows[0] == ["row", "application", "label", "words", "from", "to"]
    assert ["1", "Brackwater Towage", "mains.on", "MAINS"] in [row[:4] for row in rows]
    assert len(rows) > 24
