"""The wiring sheet: what stands on it is what the harness says, seen from behind."""

import csv
import io
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

from profiles.drawing.shapes import Circle, Stroke
from profiles.drawing.surface import TooLargeError
from profiles.model import Device, Library
from profiles.sheets import wiring
from profiles.sheets.wiring import make_sheet
from profiles.sheets.wiring_art import LINES, View, draw_group, group_runs, line_style
from profiles.sheets.writing import write_sheet
from profiles.wiring.box import COLOURS as COLOUR_BY_LINE
from profiles.wiring.box import harness_of
from tests.checks.build import board
from tests.drawing.pdf_reader import PdfReader
from tests.drawing.pictures import compare_with_kept
from tests.hostile import NAUGHTY
from tests.sheets.titles import order_of
from tests.sheets.workshop import bench, momentary, order

COLOURS = frozenset(COLOUR_BY_LINE.values())
KEPT = Path(__file__).parent / "kept"
SVG = "{http://www.w3.org/2000/svg}"


def matrix_box(rows: int = 2, columns: int = 3, **wiring: Any) -> Device:
    """A plate full of buttons in a matrix, an LED, a rotary on pins of its own."""
    controls: dict[str, Any] = {
        f"b{row}{column}": momentary(
            f"B{row}{column}", (15.0 + 22 * column, 15.0 + 22 * row), 12.0, crossing=[row, column]
        )
        for row in range(1, rows + 1)
        for column in range(1, columns + 1)
    }
    controls["b11"]["led"] = {"forward_voltage": 2.0, "current": 8.0, "pin": "A4"}
    controls["knob"] = {
        "kind": "rotary",
        "label": "KNOB",
        "position": [105.0, 20.0],
        "hole": 7.0,
        "front": 14.0,
        "pins": {"clockwise": "A0", "anticlockwise": "A1"},
        "common": "GND",
    }
    lines = {
        "rows": [f"{number}" for number in range(2, 2 + rows)],
        "columns": [f"{number}" for number in range(20, 20 + columns)],
        "diodes": "every",
        "board_at": [60.0, 40.0],
    }
    return bench(controls=controls, wiring={**lines, **wiring})


def test_a_picture_of_too_many_dots_is_refused_before_it_is_drawn(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Three pictures of 1.5 m under each other."""

    def refuse(*_given: Any) -> None:
        raise AssertionError("it is drawn")

    monkeypatch.setattr(wiring, "_draw_picture", refuse)
    plate = bench().plate.plain() | {"width": 1500.0, "height": 1500.0}
    large = Device.model_validate(matrix_box().plain() | {"plate": plate})
    subject, request = order("wiring", large)
    with pytest.raises(TooLargeError, match=r"PNG picture of 1500 x \d+ mm would have"):
        make_sheet(subject, replace(request, forms=("png",)))


def pages_of(box: Device, **more: Any) -> list[str]:
    reader = PdfReader(write_sheet(make_sheet(*order("wiring", box, **more)), "pdf").data)
    return [reader.text(page) for page in range(len(reader))]


def test_every_list_of_the_work_is_printed_with_its_cautions() -> None:
    words = "\n".join(pages_of(matrix_box()))

    for title in (
        "Lines",
        "Cut list, slack included",
        "Wire to buy",
        "Diodes: the band on the case is the cathode",
        "Soldering order",
        "Continuity tests",
    ):
        assert title in words
    assert "keep it in its stand" in words
    assert "Unplug the USB cable" in words


def test_the_first_picture_carries_the_cautions() -> None:
    assert "Wear eye protection" in pages_of(matrix_box())[0]


def test_cuts_and_totals_are_those_of_the_harness() -> None:
    box = matrix_box()
    harness, facts = harness_of(box), make_sheet(*order("wiring", box)).facts

    assert [one["cut"] for one in facts["pieces"]] == [piece.cut for piece in harness.pieces]
    by_colour: dict[str, int] = {}
    for piece in harness.pieces:
        by_colour[piece.colour] = by_colour.get(piece.colour, 0) + piece.cut
    assert {one["colour"]: one["length"] for one in facts["totals"]} == by_colour


def test_the_csv_has_a_row_for_each_piece_diode_step_and_test() -> None:
    box = matrix_box()
    harness = harness_of(box)
    rows = list(
        csv.reader(io.StringIO(write_sheet(make_sheet(*order("wiring", box)), "csv").data.decode()))
    )

    kinds = [row[0] for row in rows[1:]]
    assert kinds.count("cut") == len(harness.pieces)
    assert kinds.count("diode") == 6
    assert kinds.count("solder") == len(harness.steps)
    assert kinds.count("test") == len(harness.tests)
    assert {len(row) for row in rows} == {10}


def test_a_list_is_made_without_pictures_and_says_nothing_of_them() -> None:
    """In a picture on A5 the ids of a plate of 2 m are cut; a table has them whole."""
    controls = {
        f"the-longest-id-of-{n}": momentary("B", (20.0 + 22 * n, 15.0), 12.0, crossing=[1, n])
        for n in range(1, 5)
    }
    wiring = {"rows": ["2"], "columns": ["20", "21", "22", "23"], "board_at": [60.0, 40.0]}
    plate = {"width": 2000.0, "height": 400.0, "thickness": 3.0}
    box = bench(controls=controls, wiring=wiring, plate=plate)
    subject, request = order("wiring", box, paper="a5")
    whole = make_sheet(subject, request)
    pictured = make_sheet(subject, replace(request, forms=("pdf",)))
    listed = make_sheet(subject, replace(request, forms=("csv",)))

    assert any("there is no room for the whole id" in one.message for one in whole.remarks)
    assert (listed.table, listed.facts) == (whole.table, whole.facts)
    assert (listed.document.pages, listed.work.entries, listed.remarks) == ((), (), ())
    assert (pictured.document, pictured.work.entries) == (whole.document, ())


def test_leds_are_listed_with_their_resistors() -> None:
    """(5 V - 2 V) / 8 mA = 375 ohm, E24 390; a board of 3.3 V: 162.5 ohm, E24 180."""
    rows = [
        row
        for board in ("atmega32u4", "rp2040")
        for row in make_sheet(*order("wiring", matrix_box(board=board))).table
        if row[0] == "led"
    ]
    assert [row[3:6] for row in rows] == [
        ("pin A4", "b11", "series resistor 390 ohm"),
        ("pin A4", "b11", "series resistor 180 ohm"),
    ]


def test_wire_to_buy_is_never_less_than_what_is_cut() -> None:
    box = matrix_box()
    words = "\n".join(pages_of(box)).split("Wire to buy")[1].split("Diodes:")[0]
    cells = words.split()
    bought = {cells[i]: float(cells[i + 3]) for i in range(len(cells)) if cells[i] in COLOURS}
    assert bought
    for total in harness_of(box).totals:
        assert 0 <= bought[total.colour] * 1000 - total.length < 10


def test_board_pins_are_those_of_the_librarys_own_board() -> None:
    pins = {name: f"X{name}" for name in ("2", "3", "20", "21", "22", "A0", "A1", "99")}
    own = board("mine", pins, notes={"99": "a light"})
    box = matrix_box(board="mine")
    sheet = make_sheet(*order_of("wiring", Library.of([box, own]), box))
    words = " ".join(PdfReader(write_sheet(sheet, "pdf").data).text(page) for page in range(7))

    assert "X99" in words
    assert "free (a light)" in words
    assert "not on this board" in words


def test_a_test_probes_both_lines_of_a_contact_and_expects_it_closed_when_pressed() -> None:
    """Rows driven: a meter's red probe goes to the sensed column, its black one to the row."""
    rows = make_sheet(*order("wiring", matrix_box())).table

    tests = [row for row in rows if row[0] == "test" and row[5].startswith("press b12")]
    assert [row[3:7] for row in tests] == [
        ("pin 21 (column 2)", "pin 2 (row 1)", "press b12: b12.press is closed", "closed")
    ]


def test_the_ring_of_a_diode_points_to_the_driven_line() -> None:
    """Cathode to the driven line, which is pulled low (rule of thumb)."""
    diodes = [row for row in make_sheet(*order("wiring", matrix_box())).table if row[0] == "diode"]
    assert diodes[0][2:6] == (
        "row 1",
        "b11.press",
        "row 1",
        "band away from the contact, toward the wire of row 1",
    )


def picture(box: Device, title: str) -> Any:
    from profiles.drawing.recorder import Recorder

    harness = harness_of(box)
    group = next(one for one in group_runs(harness.runs) if one.title == title)
    board = Recorder()
    draw_group(board, View(box, 1.0), group, harness.board_at)
    return group, board.finish()


def test_stops_are_drawn_on_their_controls_seen_from_behind() -> None:
    box = matrix_box()
    group, drawing = picture(box, "Rows")

    dots = [
        entry.shape.centre
        for entry in drawing.on_layers(["stops"]).entries
        if isinstance(entry.shape, Circle)
    ]
    wanted = [
        (box.plate.width - stop.at[0], stop.at[1]) for run in group.runs for stop in run.order[1:]
    ]
    for dot, place in zip(dots, wanted, strict=True):
        assert abs(dot[0] - place[0]) < 6.0
        assert abs(dot[1] - place[1]) < 6.0
    assert not any(text.reversed for text in drawing.texts())


def test_every_line_of_a_page_has_a_look_of_its_own_and_its_name_at_both_ends() -> None:
    group, drawing = picture(matrix_box(), "Columns")

    wires = [e.shape for e in drawing.on_layers(["wires"]).entries if isinstance(e.shape, Stroke)]
    assert len({wire.style for wire in wires}) == len(group.runs)
    words = [text.words for text in drawing.texts()]
    for run in group.runs:
        assert run.line.name in words
        assert f"{len(run.order) - 1} {run.line.name}" in words


def test_no_page_has_more_lines_than_are_told_apart() -> None:
    box = bench(
        controls={
            f"b{row}": momentary(f"B{row}", (10.0 + row * 8, 40.0), 6.0, crossing=[row, 1])
            for row in range(1, 12)
        },
        wiring={"rows": [f"{n}" for n in range(2, 13)], "columns": ["20"]},
    )
    groups = group_runs(harness_of(box).runs)

    assert [len(group.runs) for group in groups] == [6, 5, 1]
    assert len({line_style(number) for number in range(6)}) == len(LINES)
    assert len({line_style(number).dash for number in range(6)}) == 2


def test_no_tag_covers_another() -> None:
    for title in ("Rows", "Columns"):
        _, drawing = picture(matrix_box(), title)
        stops = drawing.on_layers(["stops"]).texts()
        boxes = sorted((box_of(text) for text in stops), key=lambda box: box[0])
        for one, other in pairwise(boxes):
            apart = other[0] >= one[2] or other[1] >= one[3] or one[1] >= other[3]
            assert apart


def box_of(text: Any) -> tuple[float, float, float, float]:
    xs, ys = zip(*text.cap_corners(), strict=True)
    return (min(xs), min(ys), max(xs), max(ys))


def test_what_the_file_does_not_place_is_told() -> None:
    chain = {"latch": "7", "clock": "8", "data": "9", "length": 8}
    box = matrix_box(chain=chain)
    box = box.model_copy(update={"wiring": box.wiring.model_copy(update={"board_at": None})})
    remarks = make_sheet(*order("wiring", box)).remarks

    assert [remark.message for remark in remarks] == [
        "`board_at` is not given: the wires start at the plate's centre",
        "board pin 7 to the register's latch: not drawn or cut, "
        "the file does not place its other end",
        "board pin 8 to the register's clock: not drawn or cut, "
        "the file does not place its other end",
        "board pin 9 to the register's data: not drawn or cut, "
        "the file does not place its other end",
    ]
    assert [remark.is_loss for remark in remarks] == [False, True, True, True]


def test_the_svg_shows_every_group_with_readable_words() -> None:
    root = ElementTree.fromstring(
        write_sheet(make_sheet(*order("wiring", matrix_box())), "svg").data
    )

    words = "".join(root.itertext())
    for title in ("Rows", "Columns", "Pins of their own", "Commons and LEDs"):
        assert title in words
    assert "Unplug the box first." in words


def test_a_large_plate_is_reduced_to_the_paper() -> None:
    plate = {"width": 600.0, "height": 400.0}
    box = matrix_box()
    box = box.model_copy(update={"plate": box.plate.model_copy(update=plate)})
    sheet = make_sheet(*order("wiring", box, paper="a5"))

    for page in sheet.document.pages:
        ink = page.drawing.ink_bounds()
        assert ink is not None
        assert ink.left >= 0
        assert ink.right <= page.width
        assert ink.bottom >= 0
        assert ink.top <= page.height


def test_a_box_without_wires_has_pins_alone_or_nothing() -> None:
    sheet = make_sheet(*order("wiring", bench()))

    assert sheet.facts["pieces"] == []
    assert len(sheet.document.pages) == 1


def test_hostile_names_leave_every_format_sound() -> None:
    words = " ".join(text for text in NAUGHTY if text.strip() and len(text) <= 400)
    for name in (words[start : start + 400] for start in range(0, len(words), 400)):
        box = matrix_box(1, 1)
        header = box.device.model_copy(update={"name": name})
        sheet = make_sheet(*order("wiring", box.model_copy(update={"device": header})))
        ElementTree.fromstring(write_sheet(sheet, "svg").data)
        assert PdfReader(write_sheet(sheet, "pdf").data).actions() == 0


def test_the_same_wiring_gives_the_same_bytes() -> None:
    for form in ("pdf", "svg", "csv"):
        first = write_sheet(make_sheet(*order("wiring", matrix_box())), form).data
        assert write_sheet(make_sheet(*order("wiring", matrix_box())), form).data == first


def test_picture_of_the_solder_side() -> None:
    """Plate from behind: b13, b23 at the left, the knob at the left below. Two rows, one drawn
    through, one dashed, from a white board in the middle with their names upright; numbered dots
    on grey fronts, the last with the line's name; ids above the fronts, not mirrored; the key
    below; the warning box; title block `from behind`, scale none."""
    sheet = make_sheet(*order("wiring", matrix_box()))
    compare_with_kept(sheet.document.pages[0], KEPT / "wiring.png")
    compare_with_kept(sheet.document.pages[-1], KEPT / "wiring-tests.png")
