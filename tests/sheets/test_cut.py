"""The cutting file, read back by ezdxf and shapely, its letters held against those of the PDF."""

import io
from importlib import import_module
from typing import Any
from xml.etree import ElementTree

import pytest

from profiles.sheets import cut, legend
from profiles.sheets.requests import SHEETS
from profiles.sheets.sheet import PrintedSheet
from profiles.sheets.writing import write_sheet
from tests.checks.build import device, library
from tests.drawing.pdf_reader import PdfReader
from tests.needs import need_module
from tests.sheets.test_legend import find_plate
from tests.sheets.titles import harbour_order, order_of

MM = 0.05
"""How far outlines may be from those in the PDF."""
TUG, TRAM, AIRSHIP = "brackwater-bridge", "cobblegate-on-helm-desk", "ninefold-on-helm-desk"

shapely: Any = import_module("shapely")


def read_dxf(sheet: PrintedSheet) -> Any:
    need_module("ezdxf")
    read: Any = import_module("ezdxf").read(
        io.StringIO(write_sheet(sheet, "dxf").data.decode("ascii"))
    )
    assert read.audit().errors == []
    return read


def lines_on(read: Any, layer: str) -> list[Any]:
    """Every entity of a layer as shapely has it."""
    path = import_module("ezdxf.path")
    return [
        shapely.LineString(
            [(round(x, 6), round(y, 6)) for x, y, _ in path.make_path(one).flattening(0.005)]
        )
        for one in read.modelspace().query(f'*[layer=="{layer}"]')
        for flat in [path.make_path(one).flattening(0.005)]
    ]


@pytest.mark.parametrize("letters", ["outlines", "strokes"])
@pytest.mark.parametrize("profiles", [(TUG,), (TUG, TRAM, AIRSHIP)])
def test_there_is_no_text_and_nothing_is_filled(letters: str, profiles: tuple[str, ...]) -> None:
    sheet = cut.make_sheet(*harbour_order("cut", "helm-desk", *profiles, letters=letters))
    read = read_dxf(sheet)

    assert {one.dxf.layer for one in read.modelspace()} <= {"cut", "engrave", "mark"}
    kinds = {one.dxftype() for one in read.modelspace()}
    assert kinds <= {"LINE", "ARC", "CIRCLE", "POLYLINE"}
    assert read.header["$INSUNITS"] == 4  # millimetres (DXF reference, header variables)
    assert [read.layers.get(name).color for name in ("cut", "engrave")] == [1, 7]
    assert not any(style.dxf.font.endswith(".ttf") for style in read.styles)

    picture = ElementTree.fromstring(write_sheet(sheet, "svg").data)
    tags = {element.tag.rpartition("}")[2] for element in picture.iter()}
    assert tags <= {"svg", "title", "g", "path", "circle"}
    fills = {element.get("fill") for element in picture.iter()}
    assert fills <= {None, "none"}
    assert (picture.get("width"), picture.get("height")) == ("300mm", "210mm")


@pytest.mark.parametrize("profiles", [(TUG,), (TUG, TRAM, AIRSHIP)])
def test_contours_are_closed_and_no_line_lies_on_another(profiles: tuple[str, ...]) -> None:
    sheet = cut.make_sheet(*harbour_order("cut", "helm-desk", *profiles))
    read = read_dxf(sheet)

    lines = {layer: lines_on(read, layer) for layer in ("cut", "engrave", "mark")}
    assert all(line.is_ring for line in (*lines["cut"], *lines["engrave"]))
    every = [line for some in lines.values() for line in some]
    tree = shapely.STRtree(every)
    for at, line in enumerate(every):
        for other in tree.query(line):
            if other > at:
                assert line.intersection(every[other]).length == 0


def test_single_strokes_lie_on_no_other() -> None:
    sheet = cut.make_sheet(*harbour_order("cut", "helm-desk", TUG, letters="strokes"))
    lines = lines_on(read_dxf(sheet), "engrave")

    assert len(lines) > 100
    tree = shapely.STRtree(lines)
    for at, line in enumerate(lines):
        for other in tree.query(line):
            if other > at:
                assert line.intersection(lines[other]).length == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize("profiles", [(TUG,), (TUG, TRAM, AIRSHIP)])
def test_every_letter_is_where_and_as_large_as_in_the_pdf(profiles: tuple[str, ...]) -> None:
    order = harbour_order("legend", "helm-desk", *profiles, paper="a3")
    reader = PdfReader(write_sheet(legend.make_sheet(*order), "pdf").data)
    left, bottom = find_plate(reader.paths(), order.subject.device)
    sheet = cut.make_sheet(*harbour_order("cut", "helm-desk", *profiles))
    outlines = [line.bounds for line in lines_on(read_dxf(sheet), "engrave")]

    letters = 0
    for letter, *edges in reader.letters():
        west, south, east, north = (
            edges[0] - left,
            edges[1] - bottom,
            edges[2] - left,
            edges[3] - bottom,
        )
        if south < 0 or north > 210 or west < 0 or east > 300:
            continue
        mine = [
            box
            for box in outlines
            if west - MM < (box[0] + box[2]) / 2 < east + MM
            and south - MM < (box[1] + box[3]) / 2 < north + MM
        ]
        ink = (
            min(box[0] for box in mine),
            min(box[1] for box in mine),
            max(box[2] for box in mine),
            max(box[3] for box in mine),
        )
        assert ink == pytest.approx((west, south, east, north), abs=MM), letter
        letters += 1
    assert letters > 100


def test_holes_in_one_place_are_cut_once() -> None:
    box = device("[controls.a]\n[controls.b]\nposition = [30.0, 30.0]")
    sheet = cut.make_sheet(*order_of("cut", library(box), box))

    assert len(lines_on(read_dxf(sheet), "cut")) == 2
    assert "duplicate lines drawn once: 1" in [remark.message for remark in sheet.remarks]


def test_the_edge_of_a_countersink_is_marked_and_not_cut() -> None:
    sunk = "{ diameter = 4.0, countersink = { diameter = 8.0 } }"
    box = device(f"[controls.a]\nhole = {sunk}")
    read = read_dxf(cut.make_sheet(*order_of("cut", library(box), box)))

    assert len(lines_on(read, "cut")) == 2
    assert [round(line.bounds[2] - line.bounds[0], 2) for line in lines_on(read, "mark")] == [8.0]


def test_letters_without_single_strokes_are_named() -> None:
    box = device('[controls.a]\nlabel = "ÞꞂ A"\nfront = 20.0')
    sheet = cut.make_sheet(*order_of("cut", library(box), box, letters="strokes"))

    assert [(one.kind, one.message) for one in sheet.remarks if one.is_loss] == [
        ("skipped", "no single strokes for `Ꞃ` in `ÞꞂ A`")
    ]


def test_from_behind_everything_is_mirrored() -> None:
    front, rear = (
        lines_on(
            read_dxf(cut.make_sheet(*harbour_order("cut", "helm-desk", TUG, rear=rear))), "cut"
        )
        for rear in (False, True)
    )
    places = {(round(one.centroid.x, 3), round(one.centroid.y, 3)) for one in front}
    assert {(round(300 - one.centroid.x, 3), round(one.centroid.y, 3)) for one in rear} == places


def test_letters_are_outlines_unless_asked() -> None:
    assert SHEETS["cut"]().letters == "outlines"  # type: ignore[attr-defined]


def test_the_edge_of_a_countersink_is_marked_and_never_cut() -> None:
    """A cut along it would leave a hole as wide as the head of the screw."""
    sunk = """
        [fixtures.lid]
        kind = "screw"
        position = [40.0, 50.0]
        hole = { diameter = 3.4, countersink = { diameter = 6.6 } }
    """
    box = library(device(sunk))
    read = read_dxf(cut.make_sheet(*order_of("cut", box, box.devices["desk"])))

    circles = {
        layer: [
            round(one.dxf.radius, 4) for one in read.modelspace().query(f'CIRCLE[layer=="{layer}"]')
        ]
        for layer in ("cut", "mark")
    }
    assert circles == {"cut": [1.7], "mark": [3.3]}
