"""Fixtures and holes of every shape as lines to cut, read back by ezdxf and by an XML parser.

Each is one closed contour of its right area and size. Areas are summed here from the corners and
bulges that ezdxf reads: the polygon of the corners, and for each bulge b = tan(sweep / 4) the
segment r^2 / 2 (sweep - sin sweep) (DXF reference, group code 42).
"""

import re
from collections.abc import Iterator
from importlib import import_module
from math import atan, degrees, hypot, pi, sin
from typing import Any
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings

from profiles.drawing import weights
from profiles.drawing.dxf import write_dxf
from profiles.drawing.recorder import Recorder
from profiles.model import Device, Hole, as_hole
from profiles.plate.holes import cut_shape
from profiles.sheets import drill, legend, plate, wiring
from profiles.sheets.contours import contour_of, draw_hole
from profiles.sheets.writing import write_sheet
from tests.drawing.pdf_reader import PdfReader
from tests.plate.test_holes import angles, holes, places, solid_hole
from tests.sheets.test_drill import read_dxf
from tests.sheets.workshop import bench, momentary, order

FIXTURES: dict[str, dict[str, Any]] = {
    "blank": {"kind": "blank-plug", "hole": 16.2, "front": 18.0},
    "usb": {"kind": "socket", "hole": {"width": 12.5, "height": 11.2, "corner_radius": 1.0}},
    "meter": {"kind": "meter", "hole": [45.0, 22.0], "front": [48.0, 25.0]},
    "display": {"kind": "display", "hole": {"width": 26.0, "height": 14.0, "corner_radius": 2.0}},
    "lid": {"kind": "screw", "hole": {"diameter": 3.4, "countersink": {"diameter": 6.6}}},
    "gland": {"kind": "cable-gland", "hole": {"diameter": 12.5, "across_flats": 11.5, "flats": 1}},
    "vent": {"kind": "vent", "hole": {"length": 24.0, "width": 4.0, "angle": 45.0}},
    "keyed": {"kind": "other", "hole": {"diameter": 22.3, "keyway": [3.2, 1.8]}, "rotation": 90.0},
    "double-d": {"kind": "other", "hole": {"diameter": 12.0, "across_flats": 10.0}},
}
PLACES = [(x, y) for y in (30.0, 90.0) for x in (30.0, 90.0, 150.0, 210.0, 270.0)]
SLOT = {"length": 8.0, "width": 3.4}
PLATE = {
    "width": 300.0,
    "height": 120.0,
    "screws": [{"position": [6.0, 60.0], "hole": SLOT, "head": 7.0}],
}


def shelf() -> Device:
    """A plate with one fixture of each kind and shape, one control and a slotted screw hole."""
    fixtures = {
        key: {**one, "position": list(at)}
        for (key, one), at in zip(FIXTURES.items(), PLACES[1:], strict=True)
    }
    controls = {"horn": momentary("HORN", PLACES[0], 16.2, front=18.0)}
    return bench(plate=PLATE, controls=controls, fixtures=fixtures)


def contours(data: bytes, layer: str = "holes") -> Iterator[tuple[float, tuple[float, ...]]]:
    """Area and box of every closed contour of a layer."""
    for entity in read_dxf(data).modelspace().query(f'*[layer=="{layer}"]'):
        if entity.dxftype() == "CIRCLE":
            (x, y, _), radius = entity.dxf.center, entity.dxf.radius
            yield pi * radius * radius, (x - radius, y - radius, x + radius, y + radius)
            continue
        assert entity.dxftype() == "POLYLINE"
        assert entity.is_closed
        corners = [(v.dxf.location.x, v.dxf.location.y, v.dxf.bulge) for v in entity.vertices]
        assert len(set(corners)) == len(corners)
        yield read_area(corners), read_box(corners)


def read_area(corners: list[tuple[float, float, float]]) -> float:
    """Area of a closed polyline of DXF, anticlockwise positive."""
    area = 0.0
    for (x0, y0, bulge), (x1, y1, _) in zip(corners, [*corners[1:], corners[0]], strict=True):
        area += (x0 * y1 - x1 * y0) / 2
        if bulge:
            sweep = 4 * atan(bulge)
            radius = hypot(x1 - x0, y1 - y0) / 2 / sin(abs(sweep) / 2)
            area += radius * radius / 2 * (sweep - sin(sweep))
    return area


def read_box(corners: list[tuple[float, float, float]]) -> tuple[float, ...]:
    """The box of a closed polyline of DXF: its corners, and each arc as ezdxf has it."""
    ezdxf_math = import_module("ezdxf.math")
    points = [(x, y) for x, y, _ in corners]
    for (*start, bulge), (*end, _) in zip(corners, [*corners[1:], corners[0]], strict=True):
        if bulge:
            centre, first, last, radius = ezdxf_math.bulge_to_arc(start, end, bulge)
            arc = ezdxf_math.ConstructionArc(centre, radius, degrees(first), degrees(last))
            points += [tuple(arc.bounding_box.extmin), tuple(arc.bounding_box.extmax)]
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def near(box: tuple[float, ...]) -> Any:
    return pytest.approx(box, abs=0.003)


@pytest.mark.parametrize("sheet", ["plate", "drill"])
def test_every_fixture_and_slot_is_one_closed_contour_of_its_size(sheet: str) -> None:
    box = shelf()
    make = {"plate": plate, "drill": drill}[sheet].make_sheet
    found = list(contours(write_sheet(make(*order(sheet, box)), "dxf").data))
    truth = [
        solid_hole(as_hole(one), *at, turn)
        for one, at, turn in [
            *((one.hole, one.position, one.rotation) for one in box.mounted.values()),
            (box.plate.screws[0].hole, box.plate.screws[0].position, 0.0),
        ]
    ]

    assert len(found) == len(truth) == 11
    for true in truth:
        area = next(area for area, bounds in found if bounds == near(true.bounds))
        assert area == pytest.approx(true.area, rel=1e-4)


@settings(max_examples=60, deadline=None)
@given(holes(), places, places, angles)
def test_any_hole_in_dxf_has_the_area_of_the_arithmetic(
    hole: Hole, x: float, y: float, turn: float
) -> None:
    """The area that layout and mass count with is that of the line which is cut."""
    board = Recorder()
    with board.layer("holes"):
        draw_hole(board, (x, y), hole, turn, weights.HOLE)
    ((area, box),) = contours(write_dxf(board.finish()).data)

    cut = cut_shape((x, y), hole, turn)
    assert area == pytest.approx(cut.area, rel=1e-5, abs=1e-4)
    assert box == near(tuple(cut.bounds))


def test_the_edge_of_a_countersink_is_on_a_layer_of_its_own() -> None:
    data = write_sheet(plate.make_sheet(*order("plate", shelf())), "dxf").data

    ((area, _),) = contours(data, "countersinks")
    assert area == pytest.approx(pi * 3.3**2)


def test_a_sharp_corner_has_no_bulge_and_a_round_one_a_quarter_turn() -> None:
    """tan(90 / 4) in two halves each: tan(11.25 degrees) (DXF reference, group code 42)."""
    data = write_sheet(plate.make_sheet(*order("plate", shelf())), "dxf").data
    bulges = {
        tuple(sorted({round(v.dxf.bulge, 4) for v in line.vertices}))
        for line in read_dxf(data).modelspace().query('POLYLINE[layer=="holes"]')
    }
    assert (0.0,) in bulges
    assert (0.0, 0.1989) in bulges


def test_svg_closes_every_contour() -> None:
    root = ElementTree.fromstring(
        write_sheet(plate.make_sheet(*order("plate", shelf())), "svg").data
    )
    svg = "{http://www.w3.org/2000/svg}"
    (layer,) = [node for node in root.iter(f"{svg}g") if node.get("id") == "layer-holes"]
    paths = [node.attrib["d"] for node in layer.iter(f"{svg}path")]

    assert len(paths) + len(list(layer.iter(f"{svg}circle"))) == 11
    assert all(path.rstrip().endswith("Z") for path in paths)
    assert sum(bool(re.search("[AC]", path)) for path in paths) == 7


def test_a_quarter_turn_stands_a_slot_up() -> None:
    hole = Hole(length=24.0, width=4.0)
    contour = contour_of((0.0, 0.0), hole, 90.0)

    assert not isinstance(contour, float)
    bounds = contour.bounds()
    assert (bounds.width, bounds.height) == pytest.approx((4.0, 24.0))


def test_a_keyway_points_where_the_angle_turns_it() -> None:
    """At the top by itself; a turn of 90 degrees anticlockwise brings it to the left."""
    hole = Hole.model_validate({"diameter": 22.3, "keyway": [3.2, 1.8], "angle": 90.0})
    bounds = cut_shape((0.0, 0.0), hole).bounds

    assert (bounds.left, bounds.right) == pytest.approx((-22.3 / 2 - 1.8, 22.3 / 2))
    assert bounds.height == pytest.approx(22.3)


def test_the_legend_draws_fixtures_and_prints_no_word_of_them() -> None:
    box = bench(
        fixtures={
            "usb": {**FIXTURES["usb"], "position": [90.0, 55.0], "front": [30.0, 14.0]},
        }
    )
    sheet = legend.make_sheet(*order("legend", box))
    with_usb = PdfReader(write_sheet(sheet, "pdf").data)
    plain = PdfReader(write_sheet(legend.make_sheet(*order("legend", bench())), "pdf").data)

    assert with_usb.text(0) == plain.text(0)
    assert len(with_usb.paths(0)) == len(plain.paths(0)) + 2


def test_a_guard_widens_the_front_that_is_drawn() -> None:
    toggle = {
        "kind": "latching",
        "label": "GEAR",
        "position": [60.0, 40.0],
        "hole": 12.2,
        "front": 15.0,
        "guard": [20.0, 32.0],
    }
    data = write_sheet(legend.make_sheet(*order("legend", bench(controls={"gear": toggle}))), "dxf")

    ((area, box),) = contours(data.data, "fronts")
    assert area == pytest.approx(20 * 32)
    assert box == near((50.0, 24.0, 70.0, 56.0))


def test_the_drill_sheet_names_the_tool_for_each_hole() -> None:
    rows = {row[1]: row for row in drill.make_sheet(*order("drill", shelf())).table}

    assert {key: (row[5], row[-1]) for key, row in rows.items() if key in FIXTURES} == {
        "blank": ("Ø16.2", "step drill or hole saw 16.2"),
        "usb": ("12.5 × 11.2 R1", "end mill up to 2; or drill 2 in the corners, saw"),
        "meter": ("45 × 22", "drill within the corners, saw, file"),
        "display": ("26 × 14 R2", "end mill up to 4; or drill 4 in the corners, saw"),
        "lid": ("Ø3.4, sink Ø6.6 × 90°", "drill 3.4, then countersink 90° to Ø6.6"),
        "gland": ("Ø12.5, flat 11.5", "drill 11.5, then file the round sides"),
        "vent": ("24 × 4 slot at 45°", "end mill 4; or drill 4 at both ends, saw, file"),
        "keyed": (
            "Ø22.3, key 3.2 × 1.8",
            "step drill or hole saw 22.3, then file the keyway",
        ),
        "double-d": ("Ø12, flats 10", "drill 10, then file the round sides"),
    }
    assert rows["blank"][0] == "F1"
    assert [row[5] for row in rows.values() if row[0] == "S1"] == ["8 × 3.4 slot"]


def test_the_ends_of_a_slot_are_listed_for_the_drill() -> None:
    facts = drill.make_sheet(*order("drill", shelf())).facts
    screw = next(one for one in facts["holes"] if one["number"] == "S1")

    assert screw["ends"] == [[3.7, 60.0], [8.3, 60.0]]
    assert screw["size"] == SLOT


@pytest.mark.parametrize("name", ["drill", "coupon", "legend", "parts"])
def test_every_sheet_of_the_workshop_opens_with_all_shapes(name: str) -> None:
    sheet = import_module(f"profiles.sheets.{name}").make_sheet(*order(name, shelf()))
    assert PdfReader(write_sheet(sheet, "pdf").data).text(0)


def test_the_wiring_sheet_shows_fixtures_from_behind() -> None:
    """A meter 30 mm from the left edge of the front is 30 mm from the right edge behind."""
    horn = momentary("HORN", (90.0, 40.0), 16.2, pin="2")
    meter = {"kind": "meter", "position": [30.0, 40.0], "hole": [20.0, 10.0]}
    box = bench(controls={"horn": horn}, fixtures={"load": meter})

    page = wiring.make_sheet(*order("wiring", box))
    shapes = [entry.shape for entry in page.work.on_layers(["fixtures"]).entries]
    outlines = [entry.shape.bounds() for entry in page.work.on_layers(["outline"]).entries]
    assert shapes
    for shape, plate_box in zip(shapes, outlines, strict=True):
        bounds = shape.bounds()
        scale = plate_box.width / 120.0
        assert (plate_box.right - bounds.centre[0]) / scale == pytest.approx(30.0)
        assert (bounds.width / scale, bounds.height / scale) == pytest.approx((20.0, 10.0))
