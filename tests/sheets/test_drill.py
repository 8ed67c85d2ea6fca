"""The drill template, read back by ezdxf, PDFium and an XML parser."""

import io
from collections.abc import Iterator
from dataclasses import replace
from importlib import import_module
from itertools import pairwise
from math import dist
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.drawing.geometry import join_boxes
from profiles.drawing.shapes import Text
from profiles.drawing.surface import TooLargeError
from profiles.lettering import REGULAR
from profiles.lettering.outlines import outline_words
from profiles.model import Device
from profiles.sheets.drill import list_tables, make_sheet
from profiles.sheets.hole_list import list_holes, measure_holes
from profiles.sheets.ordinates import clear_stretches, spread
from profiles.sheets.requests import make_sheet as make_any
from profiles.sheets.writing import write_sheet
from tests.drawing.dxf_lines import assert_only_lines
from tests.drawing.pdf_reader import PdfReader
from tests.drawing.pictures import compare_with_kept
from tests.hostile import NAUGHTY, list_letters
from tests.needs import need_module
from tests.sheets.workshop import bench, device, momentary, order

KEPT = Path(__file__).parent / "kept"


def read_dxf(data: bytes) -> Any:
    """The drawing as ezdxf reads it, after an audit that found nothing."""
    need_module("ezdxf")
    document = import_module("ezdxf").read(io.StringIO(data.decode("ascii")))
    auditor = document.audit()
    assert not auditor.errors
    assert not auditor.fixes
    return document


def test_every_hole_has_its_place_and_diameter_in_the_dxf() -> None:
    written = write_sheet(make_sheet(*order("drill", bench())), "dxf")
    document = read_dxf(written.data)

    assert document.header["$INSUNITS"] == 4  # millimetres (DXF reference, header variables)
    circles = document.modelspace().query('CIRCLE[layer=="holes"]')
    found = {
        (round(c.dxf.center.x, 4), round(c.dxf.center.y, 4), round(2 * c.dxf.radius, 4))
        for c in circles
    }
    assert found == {
        (30.0, 50.0, 16.2),
        (60.0, 50.0, 16.2),
        (30.0, 22.0, 7.0),
        (6.0, 6.0, 3.4),
        (114.0, 74.0, 3.4),
    }
    assert written.losses == ()


def test_a_cut_out_is_a_closed_line_through_its_corners() -> None:
    document = read_dxf(write_sheet(make_sheet(*order("drill", bench())), "dxf").data)

    lines = document.modelspace().query('POLYLINE[layer=="holes"]')
    assert [line.is_closed for line in lines] == [True]
    corners = {(round(v.dxf.location.x, 4), round(v.dxf.location.y, 4)) for v in lines[0].vertices}
    assert corners == {(83.55, 20.4), (96.45, 20.4), (96.45, 39.6), (83.55, 39.6)}


def test_outline_holes_and_engraving_have_layers_of_their_own() -> None:
    document = read_dxf(write_sheet(make_sheet(*order("drill", bench())), "dxf").data)

    layers = {entity.dxf.layer for entity in document.modelspace()}
    assert {"outline", "holes", "engraving"} <= layers
    engraved = document.modelspace().query('POLYLINE[layer=="engraving"]')
    assert len(engraved) == len(outline_words(REGULAR, "BENCH"))
    assert all(line.is_closed for line in engraved)


@pytest.mark.parametrize("letters", ["outlines", "strokes"])
@pytest.mark.parametrize("name", ["drill", "legend", "strip", "coupon"])
def test_dxf_holds_no_text_and_nothing_twice(name: str, letters: str) -> None:
    """A cutter's program needs no font, and no tool runs the same way again."""
    sheet = make_any(*order(name, bench(), letters=letters))
    entities = list(read_dxf(write_sheet(sheet, "dxf").data).modelspace())

    assert not [entity for entity in entities if entity.dxftype() in ("TEXT", "MTEXT", "ATTRIB")]
    make_path = import_module("ezdxf.path").make_path
    shapes = [
        tuple(point.round(4).xyz for point in make_path(entity).control_vertices())
        for entity in entities
    ]
    assert len(shapes) == len(set(shapes))


def test_distances_are_those_of_the_nearest_edge_and_hole() -> None:
    rows = {row[1]: row for row in make_sheet(*order("drill", bench())).table}

    assert rows["horn"][3:-1] == ("30", "50", "Ø16.2", "21.9", "2", "30", "13.8")
    assert rows["light"][3:-1] == ("30", "22", "Ø7", "18.5", "1", "28", "16.4")
    assert rows["rocker"][3:-1] == ("90", "30", "19.2 × 12.9", "20.4", "2", "36.06", "17.64")


@given(
    st.lists(
        st.tuples(st.floats(0, 200), st.floats(0, 100), st.floats(1, 30)), min_size=2, max_size=9
    )
)
def test_the_nearest_hole_is_the_nearest_of_all(circles: list[tuple[float, float, float]]) -> None:
    box = device(
        {
            "format": 1,
            "device": {"id": "box", "name": "Box"},
            "plate": {"width": 200.0, "height": 100.0},
            "controls": {
                f"c{n}": momentary(f"C{n}", (x, y), size) for n, (x, y, size) in enumerate(circles)
            },
        }
    )
    by_number = {hole.number: hole for hole in list_holes(box)}
    for one in measure_holes(box, tuple(by_number.values())):
        hole = one.hole
        gaps = [
            dist(hole.at, other.at) - (radius(hole.size) + radius(other.size))
            for other in by_number.values()
            if other is not hole
        ]
        assert one.edges_apart == pytest.approx(min(gaps), abs=1e-5)
        assert one.centres_apart == pytest.approx(dist(hole.at, by_number[one.neighbour].at))


def radius(size: object) -> float:
    assert isinstance(size, float)
    return size / 2


def test_one_hole_alone_has_no_neighbour() -> None:
    box = bench(controls={"horn": momentary("HORN", (30.0, 50.0), 16.2)}, plate=PLAIN)
    sheet = make_sheet(*order("drill", box))

    assert sheet.table[1][7:-1] == ("", "", "")
    assert sheet.facts["holes"][0]["neighbour"] is None


def test_a_plate_without_holes_has_a_list_of_none() -> None:
    sheet = make_sheet(*order("drill", bench(controls={}, plate=PLAIN)))
    assert [row[:2] for row in sheet.table] == [("no.", "control")]


PLAIN = {"width": 120.0, "height": 80.0}


def test_from_behind_places_are_mirrored_and_words_readable() -> None:
    front = make_sheet(*order("drill", bench())).work
    rear = make_sheet(*order("drill", bench(), rear=True)).work

    places = [shape_places(front), shape_places(rear)]
    assert {(round(120 - x, 4), y, d) for x, y, d in places[0]} == places[1]
    assert not any(text.reversed for text in rear.texts())
    assert sorted(text.words for text in rear.texts()) == sorted(t.words for t in front.texts())


def shape_places(drawing: Any) -> set[tuple[float, float, float]]:
    circles = [e.shape for e in drawing.on_layers(["holes"]).entries if hasattr(e.shape, "centre")]
    return {(round(c.centre[0], 4), round(c.centre[1], 4), c.diameter) for c in circles}


def test_the_pdf_shows_holes_at_true_scale() -> None:
    """Circles of the page measured by PDFium; ISO 32000-1: a unit is 1/72 inch."""
    reader = PdfReader(write_sheet(make_sheet(*order("drill", bench())), "pdf").data)

    sizes = [round(p.width, 2) for p in reader.paths(0) if abs(p.width - p.height) < 0.02]
    assert sizes.count(16.2) == 2
    assert sizes.count(7.0) == 1
    assert sizes.count(3.4) == 2
    assert "Clamp the work" in "".join(reader.text(page) for page in range(len(reader)))


def test_coordinates_stand_in_the_pdf() -> None:
    reader = PdfReader(write_sheet(make_sheet(*order("drill", bench())), "pdf").data)

    words = reader.text(len(reader) - 1)
    assert "Holes, mm from the datum" in words
    assert "83.55, 39.6" in words
    assert "19.2 × 12.9" in words


def test_the_sheet_says_what_the_workshop_asks_for() -> None:
    plate = {
        **PLAIN,
        "thickness": 2.0,
        "material": "aluminium",
        "corner_radius": 5.0,
        "tolerance": 0.15,
        "revision": "C",
        "quantity": 3,
    }
    sheet = make_sheet(*order("drill", bench(plate=plate)))

    words = [text.words for page in sheet.document.pages for text in page.drawing.texts()]
    row = ["Plate", "120 × 80 × 2", "Material", "aluminium", "Corners", "R5"]
    row += ["Tolerance", "±0.15", "Revision", "C", "Quantity", "3"]
    start = words.index("Plate")
    assert words[start : start + len(row)] == row
    assert words.count("4 × R5") == 1
    assert [text.words for text in sheet.work.on_layers(["notes"]).texts()] == [
        "Plate: 120 × 80 × 2   Material: aluminium   Corners: R5   Tolerance: ±0.15   "
        "Revision: C   Quantity: 3"
    ]
    assert sheet.facts["plate"] == dict(zip([w.lower() for w in row[::2]], row[1::2], strict=True))


def test_what_is_not_given_is_left_out_of_the_title_block() -> None:
    facts = make_sheet(*order("drill", bench(plate=PLAIN))).facts["plate"]
    assert facts == {"plate": "120 × 80 × 3", "corners": "sharp", "quantity": "1"}


def test_holes_are_listed_by_tool_each_step_for_all_holes_that_need_it() -> None:
    """A drill serves plain and countersunk holes alike; drills first, then mills, then the rest."""
    sunk = {"diameter": 3.4, "countersink": {"diameter": 6.6}}
    controls = {
        "horn": momentary("HORN", (30.0, 50.0), 16.2),
        "slot": momentary("SLOT", (60.0, 50.0), {"width": 4.0, "length": 12.0}),
    }
    screws = [{"position": [6.0, 6.0], "hole": 3.4}, {"position": [114.0, 74.0], "hole": sunk}]
    box = bench(controls=controls, plate={**PLAIN, "screws": screws})
    (table,) = (
        table
        for table in list_tables(measure_holes(box, list_holes(box)))
        if table.title == "By tool, mm"
    )
    assert table.rows == (
        ("drill 3.4", "Ø3.4; Ø3.4, sink Ø6.6 × 90°", 2, ("S1", "S2")),
        ("step drill or hole saw 16.2", "Ø16.2", 1, ("1",)),
        ("end mill 4; or drill 4 at both ends, saw, file", "12 × 4 slot", 1, ("2",)),
        ("countersink 90° to Ø6.6", "Ø3.4, sink Ø6.6 × 90°", 1, ("S2",)),
    )


def test_ordinates_stand_under_their_holes() -> None:
    texts = {
        t.words: t for t in make_sheet(*order("drill", bench())).work.texts() if t.angle == 90.0
    }

    assert set(texts) == {"0", "6", "30", "60", "83.55", "96.45", "114", "120"}
    middles = {words: text.at[0] for words, text in texts.items()}
    assert middles["60"] == pytest.approx(60 + texts["60"].lettering.cap_height / 2)


@given(st.lists(st.floats(-500, 500), max_size=30), st.floats(0.1, 10))
def test_values_spread_apart_keep_their_order_and_pitch(places: list[float], pitch: float) -> None:
    moved = spread(sorted(places), pitch)

    assert len(moved) == len(places)
    assert all(b - a >= pitch - 1e-6 for a, b in pairwise(moved))
    if all(b - a >= pitch for a, b in pairwise(sorted(places))):
        assert moved == pytest.approx(sorted(places))


def test_a_large_plate_is_tiled() -> None:
    plate = {"width": 500.0, "height": 300.0}
    sheet = make_sheet(*order("drill", bench(plate=plate), paper="a5"))

    names = [page.name for page in sheet.document.pages]
    assert names[0] == "map"
    assert "A1" in names


HOSTILE = [text for text in NAUGHTY if text.strip() and len(text) <= 400]


def hostile_boxes(words: list[str]) -> Iterator[Device]:
    for start in range(0, len(words), 20):
        controls = {
            f"c{n}": momentary(text, (10.0 + 9 * n, 40.0), 5.0)
            for n, text in enumerate(words[start : start + 20])
        }
        yield bench(
            controls=controls,
            device={"id": "bench", "name": words[start]},
            plate={**PLAIN, "engravings": [{"text": words[start], "position": [5.0, 5.0]}]},
        )


@pytest.mark.long
def test_hostile_words_leave_every_format_sound() -> None:
    """In DXF, where letters are lines, there is nothing else, whatever the words."""
    for box in hostile_boxes(HOSTILE):
        sheet = make_sheet(*order("drill", box))
        (plain,) = hostile_boxes([f"WORD{number}" for number in range(len(box.controls))])
        other = make_sheet(*order("drill", plain))
        assert_only_lines(write_sheet(sheet, "dxf").data, write_sheet(other, "dxf").data)
        ElementTree.fromstring(write_sheet(sheet, "svg").data)
        assert PdfReader(write_sheet(sheet, "pdf").data).actions() == 0
        cells = write_sheet(sheet, "csv").data.decode()
        assert not any(line.startswith(("=", "@", "+")) for line in cells.splitlines())


def test_ezdxf_reads_every_letter_of_hostile_words() -> None:
    for box in hostile_boxes(list_letters(HOSTILE)):
        read_dxf(write_sheet(make_sheet(*order("drill", box)), "dxf").data)


def test_extension_lines_are_broken_at_holes_they_only_pass() -> None:
    """The edges of the cut-out lie over a large hole: no line of theirs crosses it."""
    controls = {
        "rocker": momentary("ROCKER", (60.0, 60.0), (13.0, 19.2)),
        "under": momentary("UNDER", (60.0, 25.0), 22.3),
    }
    sheet = make_sheet(*order("drill", bench(controls=controls, plate=PLAIN)))
    lines = [
        entry.shape.ink_bounds()
        for entry in sheet.work.on_layers(["dimensions"]).entries
        if not isinstance(entry.shape, Text)
    ]
    edge = [line for line in lines if abs(line.centre[0] - 53.5) < 0.01 and line.top > 0.5]
    spans = sorted((round(line.bottom, 1), round(line.top, 1)) for line in edge)
    low, high = 25.0 - 22.3 / 2 - 0.8, 25.0 + 22.3 / 2 + 0.8
    ends = [0.0, low, high, 60.0 - 19.2 / 2 - 0.8]
    assert [end for span in spans for end in span] == pytest.approx(ends, abs=0.15)


@given(
    st.floats(1, 100),
    st.lists(st.tuples(st.floats(-20, 120), st.floats(0.1, 30)), max_size=6),
    st.floats(0, 1),
)
def test_what_is_left_of_a_broken_line_is_what_nothing_stands_on(
    length: float, starts: list[tuple[float, float]], share: float
) -> None:
    passed = [(low, low + size) for low, size in starts]
    place = share * length
    left = any(start <= place <= end for start, end in clear_stretches(length, passed))
    inside = any(low < place < high for low, high in passed)
    at_an_end = any(place in span for span in passed)
    assert left != inside or at_an_end


def test_the_same_plate_gives_the_same_bytes() -> None:
    for form in ("pdf", "svg", "dxf", "csv"):
        first = write_sheet(make_sheet(*order("drill", bench())), form).data
        assert write_sheet(make_sheet(*order("drill", bench())), form).data == first


def test_picture_of_the_template_and_its_list() -> None:
    """Plate with rounded corners; holes 1, 2 with number and size within, 4 and
    both screws with them beside; an upright cut-out 3 with a cross; ordinates from small circles
    at the datum, below and at the left, values in line with thin lines to the holes. Under it, at
    the foot, three tables, numbers at the right of their columns, thin rules; the warning."""
    (page,) = make_sheet(*order("drill", bench())).document.pages
    compare_with_kept(page, KEPT / "drill.png")


def test_lists_follow_on_sheets_of_their_own_where_the_template_leaves_no_room() -> None:
    """A plate of 4 holes takes one upright sheet of A4; on A4 across the lists follow."""
    for landscape, pages in ((False, 1), (True, 2)):
        document = make_sheet(*order("drill", bench(), landscape=landscape)).document
        assert len(document.pages) == pages
        assert "By tool, mm" in {text.words for text in document.pages[-1].drawing.texts()}


def test_the_template_and_its_lists_never_meet_on_one_sheet() -> None:
    (page,) = make_sheet(*order("drill", bench())).document.pages
    outline = join_boxes(
        entry.shape.ink_bounds()
        for entry in page.drawing.entries
        if entry.layer in ("outline", "dimensions", "holes")
    )
    title = next(text for text in page.drawing.texts() if text.words.startswith("Holes, mm"))
    assert outline is not None
    assert outline.bottom - title.ink_bounds().top > 5.0


def test_a_plate_too_large_for_the_paper_is_refused_as_pages_alone() -> None:
    """Holes all over 5 m by 5 m on A5, of which a sheet has about 130 by 190 mm."""
    controls = {
        f"b{n}": momentary("B", (100.0 + 250 * (n % 20), 100.0 + 250 * (n // 20)), 16.2)
        for n in range(400)
    }
    box = bench(controls=controls, plate={"width": 5000.0, "height": 5000.0, "thickness": 3.0})
    subject, request = order("drill", box, paper="a5")

    with pytest.raises(TooLargeError, match=r"would have [0-9]+ pages, more than 250"):
        make_sheet(subject, replace(request, forms=("pdf",)))
    drawn = make_sheet(subject, replace(request, forms=("dxf",)))
    assert len(drawn.work.on_layers(["holes"]).entries) == len(list_holes(box))
