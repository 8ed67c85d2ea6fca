"""The plate and the coupon as 3D models, read back by trimesh and held against arithmetic."""

import builtins
import io
import struct
import sys
import zipfile
from dataclasses import replace
from importlib import import_module
from math import pi
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.drawing.geometry import Box
from profiles.drawing.model3d import Disc, Slab, circle_corners, side_count, write_stl
from profiles.drawing.paths import rectangle
from profiles.drawing.surface import ExtraMissingError, TooLargeError
from profiles.model import Device, Hole
from profiles.sheets import coupon, plate
from profiles.sheets.coupon_plan import grow, plan_coupon, steps_between
from profiles.sheets.hole_list import list_holes
from profiles.sheets.sheet import PrintedSheet
from profiles.sheets.writing import write_sheet
from tests.drawing.pdf_reader import PdfReader
from tests.drawing.pictures import compare_with_kept
from tests.needs import need_module
from tests.sheets.test_drill import read_dxf
from tests.sheets.workshop import bench, device, momentary, order

KEPT = Path(__file__).parent / "kept"


def read_model(sheet: PrintedSheet, form: str) -> Any:
    """The body as trimesh reads it."""
    need_module("manifold3d")
    need_module("trimesh")
    data = write_sheet(sheet, form).data
    return import_module("trimesh").load(io.BytesIO(data), file_type=form, force="mesh")


def plate_volume(box: Device) -> float:
    """Area by thickness: rectangle less its corners, less circles and rectangles."""
    one = box.plate
    area = one.width * one.height - (4 - pi) * one.corner_radius**2
    for hole in list_holes(box):
        size = hole.size
        assert not isinstance(size, Hole)
        area -= size[0] * size[1] if isinstance(size, tuple) else pi * size * size / 4
    return area * one.thickness


@pytest.mark.parametrize("form", ["stl", "3mf"])
def test_the_plate_is_watertight_and_weighs_what_arithmetic_says(form: str) -> None:
    box = bench()
    body = read_model(plate.make_sheet(*order("plate", box)), form)

    assert body.is_watertight
    assert body.is_winding_consistent
    assert body.extents.tolist() == pytest.approx([120.0, 80.0, 3.0], abs=1e-4)
    assert body.bounds[0].tolist() == pytest.approx([0.0, 0.0, 0.0], abs=1e-4)
    corners = (4 - pi) * 5.0**2 * 3.0  # all that the corners take away
    assert body.volume == pytest.approx(plate_volume(box), abs=0.02 * corners)


@pytest.mark.parametrize("form", ["stl", "3mf"])
def test_holes_of_every_shape_leave_a_watertight_plate_of_the_volume_of_arithmetic(
    form: str,
) -> None:
    """Area by thickness, less what the cone of the one countersink takes besides.

    Chords take less than their arcs: on average two thirds of 0.005 mm, along 170 mm of arcs.
    """
    need_module("ezdxf")
    need_module("shapely")
    shelf = import_module("tests.sheets.test_contours").shelf()
    body = read_model(plate.make_sheet(*order("plate", shelf)), form)

    one = shelf.plate
    area = one.width * one.height - sum(hole.area for hole in list_holes(shelf))
    sunk = pi * 1.6 / 3 * (3.3**2 + 3.3 * 1.7 + 1.7**2) - pi * 1.7**2 * 1.6
    assert body.is_watertight
    assert body.is_winding_consistent
    assert body.euler_number == 2 - 2 * len(list_holes(shelf))
    assert body.volume == pytest.approx(area * 3.0 - sunk, abs=1.7)
    assert sunk > 10 * 1.7  # so that it shows


def test_the_plate_has_a_tunnel_for_every_hole() -> None:
    """The Euler characteristic of a plate with g holes through it is 2 - 2g."""
    box = bench()
    body = read_model(plate.make_sheet(*order("plate", box)), "stl")

    assert body.euler_number == 2 - 2 * len(list_holes(box))


def test_the_3mf_states_millimetres() -> None:
    """3MF Core Specification 1.3, 3.4: the attribute `unit` of the model."""
    need_module("manifold3d")
    data = write_sheet(plate.make_sheet(*order("plate", bench())), "3mf").data
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        assert archive.testzip() is None
        model = ElementTree.fromstring(archive.read("3D/3dmodel.model"))
    assert model.attrib["unit"] == "millimeter"


def test_the_stl_is_binary_and_as_long_as_its_count_says() -> None:
    """80 bytes of header, a count, 50 bytes a triangle (StereoLithography interface, 1989)."""
    need_module("manifold3d")
    data = write_sheet(plate.make_sheet(*order("plate", bench())), "stl").data

    (triangles,) = struct.unpack_from("<I", data, 80)
    assert len(data) == 84 + 50 * triangles
    assert not data.startswith(b"solid")


def test_overlapping_holes_and_holes_over_the_edge_leave_a_sound_body() -> None:
    controls = {
        "one": momentary("ONE", (30.0, 40.0), 16.0),
        "two": momentary("TWO", (40.0, 40.0), 16.0),
        "out": momentary("OUT", (118.0, 40.0), (10.0, 6.0)),
    }
    body = read_model(plate.make_sheet(*order("plate", bench(controls=controls))), "stl")

    assert body.is_watertight
    assert 0 < body.volume < 120 * 80 * 3


def test_words_of_the_plate_are_told_to_be_left_out_of_it() -> None:
    remarks = plate.make_sheet(*order("plate", bench())).remarks

    assert [remark.message for remark in remarks] == [
        "the words `BENCH` are not cut into the plate"
    ]


def test_lines_to_cut_are_outline_and_holes_alone() -> None:
    document = read_dxf(write_sheet(plate.make_sheet(*order("plate", bench())), "dxf").data)

    assert {entity.dxf.layer for entity in document.modelspace()} == {"outline", "holes"}
    assert len(document.modelspace().query("CIRCLE")) == 5


@given(st.floats(0.2, 500))
def test_a_round_hole_keeps_its_area_and_stays_close_to_its_circle(diameter: float) -> None:
    need_module("shapely")
    polygon = import_module("shapely").Polygon(circle_corners(Disc((0.0, 0.0), diameter)))

    assert polygon.area == pytest.approx(pi * diameter * diameter / 4, rel=1e-9)
    radii = [abs(complex(x, y)) for x, y in polygon.exterior.coords]
    assert max(radii) - diameter / 2 <= 0.005
    assert side_count(diameter / 2) % 8 == 0


def coupon_volume(sheet: PrintedSheet) -> float:
    """The coupon's volume by shapely's areas, circles counted as true circles."""
    shapely = import_module("shapely")
    slab = sheet.slab
    assert slab is not None
    width, height, thickness = sheet.facts["size"]
    area = width * height - (4 - pi) * coupon.CORNER**2
    for row in sheet.facts["rows"]:
        for size in row["trials"]:
            area -= size[0] * size[1] if isinstance(size, tuple) else pi * size * size / 4
    strokes = [shapely.box(*_edges(path.bounds())) for path in slab.grooves]
    return float(area * thickness - shapely.union_all(strokes).area * slab.depth)


def _edges(box: Any) -> tuple[float, float, float, float]:
    return (box.left, box.bottom, box.right, box.top)


@pytest.mark.parametrize("form", ["stl", "3mf"])
def test_the_coupon_is_watertight_and_its_numbers_are_grooves(form: str) -> None:
    need_module("shapely")
    sheet = coupon.make_sheet(*order("coupon", bench()))
    body = read_model(sheet, form)
    corners = (4 - pi) * coupon.CORNER**2 * 3.0

    assert body.is_watertight
    assert body.extents.tolist() == pytest.approx(sheet.facts["size"], abs=1e-4)
    assert body.volume == pytest.approx(coupon_volume(sheet), abs=0.02 * corners)


def test_a_row_for_each_size_in_the_steps_asked_for() -> None:
    rows = coupon.make_sheet(*order("coupon", bench())).facts["rows"]

    assert [row["hole"] for row in rows] == [3.4, 7.0, 16.2, (19.2, 12.9)]
    assert rows[1]["trials"] == [6.8, 6.9, 7.0, 7.1, 7.2, 7.3, 7.4]
    assert rows[2]["for"] == ["horn", "bell"]
    wider = coupon.make_sheet(*order("coupon", bench(), below=0.5, above=0.5, step=0.25))
    assert wider.facts["rows"][1]["trials"] == [6.5, 6.75, 7.0, 7.25, 7.5]


def test_the_size_itself_is_always_among_the_steps() -> None:
    assert steps_between(0.25, 0.35, 0.1) == (-0.2, -0.1, 0.0, 0.1, 0.2, 0.3)
    assert steps_between(0.0, 0.0, 0.1) == (0.0,)


def test_a_step_that_leaves_no_hole_is_told() -> None:
    box = bench(controls={"pin": momentary("PIN", (30.0, 40.0), 0.3)})
    sheet = coupon.make_sheet(*order("coupon", box, below=0.4))

    assert [one.message for one in sheet.remarks] == [
        "Ø0.3 -0.4 mm leaves no hole to cut",
        "Ø0.3 -0.3 mm leaves no hole to cut",
    ]
    assert [one.is_loss for one in sheet.remarks] == [True, True]


SIZES = st.one_of(
    st.floats(1, 60).map(lambda value: round(value, 1)),
    st.tuples(st.floats(2, 60), st.floats(2, 60)).map(lambda s: (round(s[0], 1), round(s[1], 1))),
)


@settings(max_examples=40)
@given(st.lists(SIZES, min_size=1, max_size=6, unique=True), st.sampled_from([0.1, 0.05]))
def test_holes_of_the_coupon_keep_apart_and_within_it(sizes: list[Any], step: float) -> None:
    need_module("shapely")
    shapely = import_module("shapely")
    plan = plan_coupon(sizes, steps_between(0.2, 0.4, step))
    whole = shapely.box(0, 0, plan.width, plan.height)
    boxes = [_around(shapely, trial) for trial in plan.trials]

    tree = shapely.STRtree(boxes)
    for box in boxes:
        assert whole.buffer(-4.99, join_style="mitre").covers(box)
        near = [boxes[number] for number in tree.query(box.buffer(3.9, join_style="mitre"))]
        assert near == [box]
    assert {trial.size for trial in plan.trials} == {
        grow(size, by) for size in sizes for by in steps_between(0.2, 0.4, step)
    }


def _around(shapely: Any, trial: Any) -> Any:
    width, height = trial.size if isinstance(trial.size, tuple) else (trial.size, trial.size)
    x, y = trial.at
    return shapely.box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)


def test_numbers_stand_under_their_holes_in_the_drawing() -> None:
    sheet = coupon.make_sheet(*order("coupon", bench()))

    words = [text.words for text in sheet.work.texts()]
    assert words[7:14] == ["6.8", "6.9", "7.0", "7.1", "7.2", "7.3", "7.4"]
    assert words[-2:] == ["19.6", "13.3"]
    circles = read_dxf(write_sheet(sheet, "dxf").data).modelspace().query("CIRCLE")
    assert sorted(round(2 * c.dxf.radius, 3) for c in circles)[7:9] == [6.8, 6.9]


def test_the_printed_coupon_warns_before_cutting() -> None:
    reader = PdfReader(write_sheet(coupon.make_sheet(*order("coupon", bench())), "pdf").data)

    assert "Clamp the work" in reader.text(0)


def test_the_same_coupon_gives_the_same_bytes() -> None:
    need_module("manifold3d")
    for form in ("pdf", "svg", "dxf", "stl", "3mf"):
        first = write_sheet(coupon.make_sheet(*order("coupon", bench())), form).data
        assert write_sheet(coupon.make_sheet(*order("coupon", bench())), form).data == first


def test_without_the_library_the_way_to_get_it_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    real = builtins.__import__

    def refuse(name: str, *args: Any, **more: Any) -> Any:
        if name == "manifold3d":
            raise ImportError(name)
        return real(name, *args, **more)

    slab = plate.make_sheet(*order("plate", bench())).slab
    assert slab is not None
    monkeypatch.setattr(builtins, "__import__", refuse)
    with pytest.raises(ExtraMissingError) as caught:
        write_stl(slab)
    assert str(caught.value) == (
        "a 3D model needs `manifold3d` and `numpy`, which this Python does not have"
    )
    assert caught.value.remedy == (f"Install it: {sys.executable} -m pip install manifold3d numpy")


def test_a_body_of_too_many_triangles_is_refused_before_it_is_built(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """6,000 holes of 48 corners, and 3,000 slots as grooves."""
    outline = rectangle(Box(0.0, 0.0, 5000.0, 5000.0))
    at = [(20.0 * (n % 100), 20.0 * (n // 100)) for n in range(6000)]
    holes = Slab(outline, 3.0, tuple(Disc(one, 6.0) for one in at))
    grooves = tuple(rectangle(Box(x, y, x + 9.0, y + 9.0), 4.0) for x, y in at[:3000])
    monkeypatch.setattr(import_module("manifold3d"), "CrossSection", None)
    for slab, words in (
        (holes, "a 3D model would have about 1.34 million triangles, more than 0.90 million"),
        (
            replace(holes, openings=(), grooves=grooves, depth=0.5),
            "a 3D model would have about 0.82 million triangles, more than 0.35 million",
        ),
    ):
        with pytest.raises(TooLargeError) as refused:
            write_stl(slab)
        assert (str(refused.value), refused.value.remedy) == (words, "Choose DXF or SVG.")


def test_a_plate_without_controls_is_a_plain_slab() -> None:
    box = device(
        {
            "format": 1,
            "device": {"id": "bare", "name": "Bare"},
            "plate": {"width": 10.0, "height": 20.0, "thickness": 2.0},
            "controls": {},
        }
    )
    assert read_model(plate.make_sheet(*order("plate", box)), "stl").volume == pytest.approx(400.0)
    assert coupon.make_sheet(*order("coupon", box)).facts["rows"] == []


def test_picture_of_the_coupon() -> None:
    """Three rows of seven: small round holes, larger ones, cut-outs with two numbers each; a bar
    under 7.0, 16.2 and 19.2 over 12.9; lower edges of a row on one line; the warning, the ruler."""
    compare_with_kept(
        coupon.make_sheet(*order("coupon", bench())).document.pages[0], KEPT / "coupon.png"
    )
