"""Words on the 3D model: bodies read by trimesh, volumes held against areas measured by shapely."""

import io
from importlib import import_module
from math import pi
from typing import Any

import pytest

from profiles.drawing.geometry import Box
from profiles.drawing.letters import paths_of
from profiles.drawing.model3d import Letters, Slab, write_3mf
from profiles.drawing.paths import rectangle
from profiles.drawing.shapes import Text
from profiles.drawing.style import Lettering
from profiles.facts.legend_layout import lay_out_legend
from profiles.lettering import BOLD
from profiles.sheets import cut
from profiles.sheets import plate as plate_sheet
from profiles.sheets.plate_words import draw_words, stroke_width
from profiles.sheets.sheet import PrintedSheet
from profiles.sheets.writing import write_sheet
from tests.checks.build import device, library
from tests.needs import need_module
from tests.sheets.test_cut import lines_on, read_dxf
from tests.sheets.titles import Order, order_of

shapely: Any = import_module("shapely")

BOX = device(
    """
    [plate]
    width = 80.0
    height = 50.0
    thickness = 3.0
    [controls.horn]
    label = "HORN"
    position = [20.0, 25.0]
    hole = 16.0
    front = 18.0
    [controls.bell]
    label = "BØRJE Å"
    position = [58.0, 25.0]
    hole = 16.0
    front = 18.0
    """
)
PLATE = 80 * 50 * 3.0 - 2 * pi * 64 * 3.0


def ask(**options: Any) -> Order:
    return order_of("plate", library(BOX), BOX, **options)


def bodies(sheet: PrintedSheet, form: str = "3mf") -> dict[str, Any]:
    """Every body of the file by its name."""
    need_module("manifold3d")
    need_module("trimesh")
    trimesh: Any = import_module("trimesh")
    scene = trimesh.load(io.BytesIO(write_sheet(sheet, form).data), file_type=form, force="scene")
    return dict(scene.geometry)


def words_area() -> float:
    """Area of the letters, from the cutting file: contours within others are holes."""
    whole = shapely.Polygon()
    for line in lines_on(read_dxf(cut.make_sheet(*order_of("cut", library(BOX), BOX))), "engrave"):
        whole = whole.symmetric_difference(shapely.Polygon(line))
    return float(whole.area)


@pytest.mark.parametrize("form", ["stl", "3mf"])
@pytest.mark.parametrize(("words", "sign"), [("raised", 1), ("recessed", -1)])
def test_words_rise_or_sink_by_their_area_times_the_relief(
    form: str, words: str, sign: int
) -> None:
    (body,) = bodies(
        plate_sheet.make_sheet(*ask(words=words, relief=0.8, nozzle=0.1)), form
    ).values()

    assert body.is_watertight
    assert body.is_winding_consistent
    assert body.volume == pytest.approx(PLATE + sign * 0.8 * words_area(), abs=0.05)
    assert body.extents[2] == pytest.approx(3.8 if words == "raised" else 3.0, abs=1e-4)


def test_inlaid_words_are_a_second_body_that_fills_the_first() -> None:
    found = bodies(plate_sheet.make_sheet(*ask(words="inlaid", relief=0.5, nozzle=0.1)))

    assert set(found) == {"plate", "words"}
    assert all(body.is_watertight for body in found.values())
    assert found["words"].volume == pytest.approx(0.5 * words_area(), abs=0.05)
    assert found["plate"].volume + found["words"].volume == pytest.approx(PLATE, abs=0.05)
    assert found["words"].bounds[:, 2].tolist() == pytest.approx([2.5, 3.0])


def test_only_stl_says_that_it_holds_one_part() -> None:
    need_module("manifold3d")
    inlaid, raised = (plate_sheet.make_sheet(*ask(words=words)) for words in ("inlaid", "raised"))
    losses = {form: write_sheet(inlaid, form).losses for form in ("stl", "3mf", "svg")}

    assert inlaid.remarks == ()
    assert [loss.message for loss in losses["stl"]] == [
        "STL holds one part alone: the words laid in are missing there, 3MF has them"
    ]
    assert losses["3mf"] == losses["svg"] == write_sheet(raised, "stl").losses == ()


def test_without_words_the_plate_is_as_it_was() -> None:
    (body,) = bodies(plate_sheet.make_sheet(*ask())).values()
    assert body.volume == pytest.approx(PLATE, abs=0.05)


def messages(**options: Any) -> list[str]:
    return [remark.message for remark in plate_sheet.make_sheet(*ask(**options)).remarks]


def test_a_plate_larger_than_the_bed_is_told_whichever_way_it_lies() -> None:
    said = "the plate is 80 x 50 mm, larger than the bed of 60 x 79 mm"
    assert messages(bed="60x79") == [said]
    assert messages(bed="50x80") == []
    assert messages(bed="200x200") == []


def test_strokes_narrower_than_the_nozzle_are_told() -> None:
    """The upright of the regular face's l is 92 units of 1000 wide, capitals are 714 high."""
    width = 3.4907 / 0.714 * 0.092
    (text,) = {
        round(stroke_width(text), 3) for text in draw_words(BOX, lay_out_legend(BOX, [])).texts()
    }
    assert text == pytest.approx(width, abs=0.02)
    assert messages(words="raised", nozzle=0.4) == []
    (told,) = messages(words="raised", nozzle=0.6)
    assert told.startswith(f"strokes of the words are {text:.2f} mm wide, narrower than the nozzle")


@pytest.mark.parametrize("relief", [0.6, -0.6])
def test_letters_that_touch_at_a_corner_leave_no_edge_with_four_sides(relief: float) -> None:
    """A surface has two triangles at each edge (3MF Core Specification, 4.1: manifold edge)."""
    need_module("trimesh")
    squares = (rectangle(Box(10.0, 10.0, 12.0, 12.0)), rectangle(Box(12.0, 12.0, 14.0, 14.0)))
    letters = (Letters(squares[:1]), Letters(squares[1:]))
    slab = Slab(
        rectangle(Box(0.0, 0.0, 20.0, 20.0)), 3.0, words=letters, relief=relief, is_inlaid=True
    )
    trimesh: Any = import_module("trimesh")
    scene = trimesh.load(io.BytesIO(write_3mf(slab).data), file_type="3mf", force="scene")

    assert len(scene.geometry) == (1 if relief > 0 else 2)
    for body in scene.geometry.values():
        assert body.is_watertight
    whole = sum(body.volume for body in scene.geometry.values())
    assert whole == pytest.approx(20 * 20 * 3.0 + 8.0 * max(relief, 0.0), abs=0.001)


def test_words_whose_letters_touch_leave_the_plate_watertight() -> None:
    """In the bold face, which has the words of the first of several applications, R touches A."""
    need_module("trimesh")
    text = Text((5.0, 5.0), "RAMP", Lettering(3.5, BOLD))
    letters = Letters(tuple(paths_of(text, "outlines")))
    slab = Slab(rectangle(Box(0.0, 0.0, 40.0, 15.0)), 3.0, words=(letters,), relief=0.6)
    data = io.BytesIO(write_3mf(slab).data)

    assert import_module("trimesh").load(data, file_type="3mf", force="mesh").is_watertight


def top_of(body: Any) -> Any:
    """What of a body lies at its greatest height, from its triangles."""
    corners = body.vertices[body.faces]
    flat = corners[(corners[:, :, 2] > body.bounds[1, 2] - 1e-4).all(axis=1)]
    return shapely.union_all([shapely.Polygon(one[:, :2]) for one in flat])


@pytest.mark.parametrize("nozzle", [0.4, 0.6])
def test_no_stroke_of_a_letter_is_narrower_than_the_nozzle(nozzle: float) -> None:
    """What a round brush of the nozzle's width cannot fill are corners, no strokes: under 3 %."""
    (body,) = bodies(plate_sheet.make_sheet(*ask(words="raised", nozzle=nozzle))).values()
    words, brush = top_of(body), nozzle / 2 * 0.98
    unfilled = words.difference(words.buffer(-brush).buffer(brush * 1.02))

    assert words.area > words_area()
    assert unfilled.area < 0.03 * words.area
    assert max(one.area for one in unfilled.geoms) < nozzle**2 / 4


def test_words_deeper_than_the_plate_are_told() -> None:
    assert messages(words="recessed", relief=3.0) == [
        "the words are 3 mm deep in a plate of 3 mm: they go right through"
    ]
