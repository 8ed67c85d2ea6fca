"""A printer's error, told and taken out: pages measured by PDFium as such a printer prints them."""

import io
from dataclasses import replace
from importlib import import_module
from xml.etree import ElementTree

import pytest

from profiles.model import Library
from profiles.model.settings import Printing, Settings
from profiles.sheets.options import RequestError
from profiles.sheets.requests import make_sheet
from profiles.sheets.writing import write_sheet
from tests.drawing.pdf_reader import PdfReader
from tests.sheets.test_legend import rulers
from tests.sheets.titles import harbour_order
from tests.sheets.workshop import bench, order

MM = 0.02


def lengths(reader: PdfReader) -> tuple[list[float], list[float]]:
    """Level and upright lines of about 100 mm."""
    paths = reader.paths()
    level = [path.width for path in paths if abs(path.width - 100) < 2 and path.height < MM]
    upright = [path.height for path in paths if abs(path.height - 100) < 2 and path.width < MM]
    return level, upright


def test_the_sheet_has_rulers_across_and_up() -> None:
    sheet = make_sheet(*order("ruler", bench()))
    reader = PdfReader(write_sheet(sheet, "pdf").data)

    level, upright = lengths(reader)
    assert level == [pytest.approx(100, abs=MM)]
    assert upright == [pytest.approx(100, abs=MM)]
    assert "--measured 99.2x99.5" in " ".join(reader.text().split())


def test_what_a_printer_makes_too_small_is_drawn_larger_by_as_much() -> None:
    """Such a printer makes 99.2 mm of 100 across and 99.5 up: of the corrected rulers 100 again."""
    sheet = make_sheet(*order("ruler", bench(), measured="99.2x99.5"))
    reader = PdfReader(write_sheet(sheet, "pdf").data)

    (level,), (upright,) = lengths(reader)
    assert level * 0.992 == pytest.approx(100, abs=MM)
    assert upright * 0.995 == pytest.approx(100, abs=MM)
    assert list(reader.size()) == pytest.approx([210, 297], abs=MM)
    words = "Corrected for 99.2 mm across, 99.5 mm up: this ruler must measure 100 mm."
    assert words in reader.text()


def test_rulers_that_are_corrected_lead_to_a_print_without_correction() -> None:
    """What is measured on a corrected print is not what the printer makes of 100 mm."""
    said = {}
    for given in ("99.2x99.5", "100x100"):
        sheet = make_sheet(*order("ruler", bench(), measured=given))
        said[given] = " ".join(PdfReader(write_sheet(sheet, "pdf").data).text().split())

    assert "print this sheet with --measured 100x100" in said["99.2x99.5"]
    assert "measured = [99.2, 99.5]" not in said["99.2x99.5"]
    assert "measured = [99.2, 99.5]" in said["100x100"]


@pytest.mark.parametrize("paper", ["a4", "a3"])
def test_holes_and_their_places_are_corrected_too(paper: str) -> None:
    """A sheet that lies is fed like one that stands: what was across is up."""
    request = harbour_order("drill", "lookout-box", measured="99x101", paper=paper)
    reader = PdfReader(write_sheet(make_sheet(*request), "pdf").data)
    width, height = reader.size()
    across, up = (0.99, 1.01) if width < height else (1.01, 0.99)

    plate = request.subject.device.plate
    hole = next(iter(request.subject.device.controls.values())).hole
    sizes = [(path.width * across, path.height * up) for path in reader.paths()]
    for wanted in ((plate.width, plate.height), (hole, hole)):
        assert any(size == pytest.approx(wanted, abs=0.05) for size in sizes)


def test_svg_and_png_are_as_much_larger_and_dxf_says_that_it_keeps_its_lengths() -> None:
    """The plate lies, so what was measured across is up; sizes as XML and Pillow read them."""
    plain, corrected = (
        make_sheet(*order("drill", bench(), **more)) for more in ({}, {"measured": "99x101"})
    )
    before, after = (
        ElementTree.fromstring(write_sheet(one, "svg").data) for one in (plain, corrected)
    )
    for side, factor in (("width", 1.01), ("height", 0.99)):
        sizes = [float(one.attrib[side].removesuffix("mm")) for one in (before, after)]
        assert sizes[1] * factor == pytest.approx(sizes[0], abs=0.001)
    assert before.attrib["viewBox"] == after.attrib["viewBox"]
    assert after.attrib["preserveAspectRatio"] == "none"
    words = "".join(after.itertext())
    assert "Corrected for 99 mm across, 101 mm up: this ruler must measure 100 mm." in words

    image = import_module("PIL.Image")
    pictures = [image.open(io.BytesIO(write_sheet(one, "png").data)) for one in (plain, corrected)]
    assert pictures[0].size == pictures[1].size
    dots = [picture.info["dpi"] for picture in pictures]
    for axis, factor in ((0, 1.01), (1, 0.99)):
        assert dots[1][axis] == pytest.approx(dots[0][axis] * factor, rel=0.001)

    (loss,) = write_sheet(corrected, "dxf").losses
    assert loss.message == "DXF keeps its lengths: machines read them, no printer errs"
    assert write_sheet(plain, "dxf").losses == ()


def test_the_plate_to_cut_has_no_ruler_beside_it() -> None:
    box = bench()
    root = ElementTree.fromstring(write_sheet(make_sheet(*order("plate", box)), "svg").data)
    assert not [one for one in root.iter() if one.tag.endswith("text")]
    assert (root.attrib["width"], root.attrib["height"]) == (
        f"{box.plate.width:g}mm",
        f"{box.plate.height:g}mm",
    )


def test_the_settings_of_the_library_correct_every_sheet_unless_the_request_does() -> None:
    subject, request = harbour_order("legend", "lookout-box")
    settings = Settings(format=1, printing=Printing(measured=(99.0, 99.0)))
    subject = replace(subject, library=Library.of([subject.device], settings))

    said = PdfReader(write_sheet(make_sheet(subject, request), "pdf").data)
    (level,) = lengths(said)[0]
    assert level * 0.99 == pytest.approx(100, abs=MM)
    assert "Corrected for 99 mm across, 99 mm up" in said.text()
    own = replace(request, measured="100x100")
    found = rulers(PdfReader(write_sheet(make_sheet(subject, own), "pdf").data))
    assert found == [pytest.approx(100, abs=MM)]


@pytest.mark.parametrize("given", ["99.2", "99,2x99,5", "89x100", "100x111", "nanx100", "x"])
def test_only_two_lengths_near_100_mm_are_taken(given: str) -> None:
    with pytest.raises(RequestError) as told:
        order("ruler", bench(), measured=given)
    assert str(told.value) == (
        f"measured must be two of 90 to 110 mm with an x between, not `{given}`"
    )


def test_a_page_for_a_print_shop_has_its_ink_beyond_the_trim_and_marks_beyond_the_ink() -> None:
    """ISO 32000-1, 14.11.2: the trim box is the finished size, the bleed box the ink's."""
    request = harbour_order(
        "legend", "lookout-box", "brackwater-bridge", bleed=3.0, measured="99x99"
    )
    sheet = make_sheet(*request)
    (page,) = sheet.document.pages
    reader = PdfReader(write_sheet(sheet, "pdf").data)

    plate = request.subject.device.plate
    wide, high = plate.width, plate.height
    assert reader.boxes() == {
        "media": pytest.approx((0, 0, wide + 20, high + 20), abs=MM),
        "trim": pytest.approx((10, 10, wide + 10, high + 10), abs=MM),
        "bleed": pytest.approx((7, 7, wide + 13, high + 13), abs=MM),
    }
    paths = reader.paths()
    ground = max(paths, key=lambda path: path.width)
    assert (ground.width, ground.height) == pytest.approx((wide + 6, high + 6), abs=MM)
    marks = [path for path in paths if min(path.width, path.height) < MM]
    assert len(marks) == 8
    note = "artwork for a print shop is not corrected: what was measured is of your own printer"
    assert note in [remark.message for remark in sheet.remarks]
    for mark in marks:
        x, y = mark.centre
        assert not (7 < x < wide + 13 and 7 < y < high + 13)
        edges = [abs(x - edge) < MM for edge in (10, wide + 10)]
        assert any([*edges, *(abs(y - edge) < MM for edge in (10, high + 10))])
    assert {"cut-outline", "key", "ruler"}.isdisjoint(page.drawing.layers())
