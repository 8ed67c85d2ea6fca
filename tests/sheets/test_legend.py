"""The faceplate legend, read back by PDFium and ezdxf and held against the device's file."""

import io
from importlib import import_module
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

from profiles.drawing.frame import Frame
from profiles.drawing.paper import A4, A5, LETTER, Paper
from profiles.drawing.shapes import Circle, Stroke, Text
from profiles.drawing.titleblock import TitleBlock
from profiles.model import Device
from profiles.sheets.legend import make_sheet
from profiles.sheets.plate_art import full_colour
from profiles.sheets.sheet import PrintedSheet
from profiles.sheets.writing import write_sheet
from tests.checks.build import application, device, library, profile
from tests.drawing.pdf_reader import PdfReader, ReadPath
from tests.drawing.pictures import compare_with_kept
from tests.needs import need_module
from tests.sheets.titles import DESK, HARBOUR, Order, desk_library, harbour_order, order_of

KEPT = Path(__file__).parent / "kept"
MM = 0.05
"""Tolerance of every length measured in a PDF."""
INK = 0.3
"""How far round letters may pass a label's box: 6 % of 3.5 mm, and side bearings."""
TUG, TRAM, AIRSHIP = "brackwater-bridge", "cobblegate-on-helm-desk", "ninefold-on-helm-desk"


def read_pdf(sheet: PrintedSheet) -> PdfReader:
    return PdfReader(write_sheet(sheet, "pdf").data)


def find_plate(paths: list[ReadPath], box: Device) -> tuple[float, float]:
    """Where the lower left corner of the plate lies on the page."""
    plate = box.plate
    (found,) = [
        path
        for path in paths
        if abs(path.width - plate.width) < MM and abs(path.height - plate.height) < MM
    ]
    return (found.centre[0] - plate.width / 2, found.centre[1] - plate.height / 2)


def has_circle(paths: list[ReadPath], at: tuple[float, float], diameter: float) -> bool:
    return any(
        abs(path.width - diameter) < MM
        and abs(path.height - diameter) < MM
        and abs(path.centre[0] - at[0]) < MM
        and abs(path.centre[1] - at[1]) < MM
        for path in paths
    )


def rulers(reader: PdfReader, page: int = 0) -> list[float]:
    """Lengths of the level lines of about 100 mm."""
    paths = reader.paths(page)
    return [path.width for path in paths if abs(path.width - 100) < 1 and path.height < MM]


@pytest.mark.parametrize("name", ["helm-desk", "lookout-box"])
def test_every_hole_is_where_the_file_says(name: str) -> None:
    """A PDF unit is 1/72 inch (ISO 32000-1, 8.3.2.3); the reader knows nothing of the writer."""
    order = harbour_order("legend", name, TUG, paper="a3")
    reader = read_pdf(make_sheet(*order))
    paths = reader.paths()
    left, bottom = find_plate(paths, order.subject.device)

    for control in order.subject.device.controls.values():
        x, y = control.position
        assert isinstance(control.hole, float)
        assert has_circle(paths, (left + x, bottom + y), control.hole)
        assert not has_circle(paths, (left + x + 0.1, bottom + y), control.hole)
    for screw in order.subject.device.plate.screws:
        at = (left + screw.position[0], bottom + screw.position[1])
        assert isinstance(screw.hole, float)
        assert has_circle(paths, at, screw.hole)
    assert rulers(reader) == [pytest.approx(100.0, abs=MM)]


@pytest.mark.parametrize("words", ["application", "both"])
@pytest.mark.parametrize("profiles", [(TUG,), (TRAM,), (TUG, TRAM, AIRSHIP)])
def test_on_stands_above_off_or_to_the_right_of_it(profiles: tuple[str, ...], words: str) -> None:
    """Up and right switch on (IEC 60447, unverified): words the other way round would mislead."""
    if words == "both" and len(profiles) > 1:
        profiles = profiles[:2]
    order = harbour_order("legend", "helm-desk", *profiles, paper="a3", labels=words)
    labels = {label["id"]: label for label in make_sheet(*order).facts["labels"]}
    pairs = [
        (label["box"], labels[name.replace(".on", ".off")]["box"])
        for name, label in labels.items()
        if ".on" in name and name.replace(".on", ".off") in labels
    ]
    assert len(pairs) == 3
    for on, off in pairs:
        is_above, is_right = on[1] > off[3], on[0] > off[2]
        assert is_above or is_right
        assert on[3] > off[1]
        assert on[2] > off[0]


@pytest.mark.parametrize("profiles", [(), (TUG,), (TUG, TRAM, AIRSHIP)])
def test_every_legend_is_in_its_own_place(profiles: tuple[str, ...]) -> None:
    """The letters within a label's box are the label's, in order, and none crosses its edge."""
    order = harbour_order("legend", "helm-desk", *profiles, paper="a3")
    sheet = make_sheet(*order)
    reader = read_pdf(sheet)
    left, bottom = find_plate(reader.paths(), order.subject.device)
    letters = reader.letters()

    labels = sheet.facts["labels"]
    assert [label for label in labels if label["place"] is None] == []
    for label in labels:
        west, south, east, north = label["box"]
        west, east, south, north = west + left, east + left, south + bottom, north + bottom
        inside = [
            box
            for box in letters
            if west < (box[1] + box[3]) / 2 < east and south < (box[2] + box[4]) / 2 < north
        ]
        assert "".join(box[0] for box in inside) == "".join("".join(label["lines"]).split())
        for _, left_edge, low, right_edge, high in inside:
            assert west - INK < left_edge
            assert right_edge < east + INK
            assert south - INK < low
            assert high < north + INK


SCRIPTS = {
    "shift": "ZAŻÓŁĆ GĘŚLĄ JAŹŃ",
    "horn": "ŽLUŤOUČKÝ KŮŇ",
    "lights": "GRÖSSE ÄNDERN",
    "trim.press": "ΞΕΣΚΕΠΑΖΩ",
    "spare": "СЪЕШЬ БУЛОК",
}
"""Polish, Czech, German, Greek and Cyrillic legends."""


def test_legends_of_many_scripts_can_be_searched_and_copied() -> None:
    bindings = "\n".join(
        f'"{key}" = {{ action = "fog", legend = "{words}" }}' for key, words in SCRIPTS.items()
    )
    books = library(DESK, HARBOUR, profile(f"[bindings]\n{bindings}"))
    sheet = make_sheet(*order_of("legend", books, DESK, "play", paper="a3"))

    written = write_sheet(sheet, "pdf")
    words = " ".join(PdfReader(written.data).text().split())
    assert written.losses == ()
    assert sheet.remarks == ()
    for legend in SCRIPTS.values():
        for word in legend.split():
            assert word in words


def test_the_report_gives_height_used_needed_and_slack() -> None:
    facts = make_sheet(*order_of("legend", desk_library(), DESK, "play")).facts

    assert facts["proven"] is True
    by_id = {label["id"]: label for label in facts["labels"]}
    assert set(by_id) == {
        *("shift.press", "horn.press", "lights.on", "trim.clockwise", "trim.anticlockwise")
    }
    for label in by_id.values():
        assert label["height"] >= label["needed"]
        assert label["slack"] == pytest.approx(label["height"] - label["needed"], abs=1e-3)
    assert by_id["horn.press"]["text"] == "WHISTLE\nSHIFT + FOG"
    assert by_id["shift.press"]["text"] == "SHIFT"


TWO = profile('[profile]\nid = "two"\n[bindings]\nhorn = "fog"\nspare = "lamps"\nshift = "up"')
THREE = profile('[profile]\nid = "three"\n[bindings]\nhorn = "down"\nspare = "up"')


def legend_texts(sheet: PrintedSheet) -> list[Text]:
    return list(sheet.work.on_layers(["legends"]).texts())


def test_three_titles_keep_their_order_and_weight() -> None:
    """The first is bold, the second plain, the third underlined; a dash keeps an empty row."""
    books = library(
        DESK, HARBOUR, profile('[bindings]\nhorn = "whistle"\nlights="lamps"'), TWO, THREE
    )
    sheet = make_sheet(*order_of("legend", books, DESK, "play", "two", "three"))

    words = [(text.words, text.lettering.face.bold) for text in legend_texts(sheet)]
    assert words == [
        *(("WHISTLE", True), ("FOG", False), ("DOWN", False)),
        *(("LAMPS", True),),
        *(("–", True), ("UP", False)),
        *(("–", True), ("LAMPS", False), ("UP", False)),
    ]
    horn = [text.at[1] for text in legend_texts(sheet)[:3]]
    assert horn == sorted(horn, reverse=True)
    lines = [
        entry.shape.bounds()
        for entry in sheet.work.on_layers(["legends"]).entries
        if isinstance(entry.shape, Stroke)
    ]
    third = [legend_texts(sheet)[place] for place in (2, 8)]
    assert [line.width for line in lines] == [pytest.approx(text.width) for text in third]
    key = [text.words for text in sheet.work.on_layers(["key"]).texts()]
    assert key == ["Row 1: Harbour (play)", "Row 2: Harbour (two)", "Row 3: Harbour (three)"]


@pytest.mark.parametrize(
    ("labels", "words"),
    [
        ("application", {"WHISTLE", "SHIFT + FOG", "LAMPS", "UP", "DOWN", "SHIFT"}),
        ("fixed", {"SHIFT", "HORN", "LIGHTS", "TRIM", "SPARE"}),
    ],
)
def test_labels_are_those_asked_for(labels: str, words: set[str]) -> None:
    order = order_of("legend", desk_library(), DESK, "play", labels=labels)
    assert {text.words for text in legend_texts(make_sheet(*order))} == words


def test_both_kinds_of_labels_differ_in_weight() -> None:
    order = order_of("legend", desk_library(), DESK, "play", labels="both")
    by_weight: dict[bool, set[str]] = {True: set(), False: set()}
    for text in legend_texts(make_sheet(*order)):
        by_weight[text.lettering.face.bold].add(text.words)
    assert by_weight[True] == {"SHIFT", "HORN", "LIGHTS", "TRIM", "SPARE"}
    assert by_weight[False] == {"WHISTLE", "SHIFT + FOG", "LAMPS", "UP", "DOWN", "SHIFT"}


def circles(sheet: PrintedSheet, layer: str) -> set[tuple[float, float]]:
    shapes = [entry.shape for entry in sheet.work.on_layers([layer]).entries]
    return {
        (round(one.centre[0], 6), round(one.centre[1], 6))
        for one in shapes
        if isinstance(one, Circle)
    }


def test_from_behind_places_are_mirrored_and_words_are_read() -> None:
    front = make_sheet(*order_of("legend", desk_library(), DESK, "play"))
    rear = make_sheet(*order_of("legend", desk_library(), DESK, "play", rear=True))

    assert circles(rear, "holes") == {(200.0 - x, y) for x, y in circles(front, "holes")}
    assert not any(text.reversed for text in legend_texts(rear))
    words = {text.words for text in legend_texts(rear)}
    assert words == {text.words for text in legend_texts(front)}
    assert "from behind" in read_pdf(rear).text()


def test_mirrored_artwork_has_mirrored_words() -> None:
    order = order_of("legend", desk_library(), DESK, "play", rear=True, colours=True)
    sheet = make_sheet(*order)
    assert all(text.reversed for text in legend_texts(sheet))
    assert "mirrored" in read_pdf(sheet).text()


def test_artwork_has_the_plates_colours_and_lines_to_cut_on_layers_of_their_own() -> None:
    need_module("ezdxf")
    painted = DESK.model_copy(
        update={"plate": DESK.plate.model_copy(update={"colour": "#1b3", "ink": "#FFF"})}
    )
    order = order_of("legend", library(painted, HARBOUR), painted, colours=True)
    sheet = make_sheet(*order)

    assert set(sheet.work.layers()) == {"ground", "cut-outline", "cut-holes", "legends"}
    (ground,) = [entry.shape for entry in sheet.work.on_layers(["ground"]).entries]
    assert isinstance(ground, Stroke)
    assert ground.style.fill == "#11bb33"
    assert {text.lettering.ink for text in legend_texts(sheet)} == {"#ffffff"}
    read: Any = import_module("ezdxf").read(
        io.StringIO(write_sheet(sheet, "dxf").data.decode("ascii"))
    )
    picture = ElementTree.fromstring(write_sheet(sheet, "svg").data)
    groups = {group.get("id"): group for group in picture.iter() if group.get("id")}
    assert len(groups["layer-cut-holes"].findall("{http://www.w3.org/2000/svg}circle")) == 5
    holes = read.modelspace().query('CIRCLE[layer=="cut-holes"]')
    found = {(round(one.dxf.center.x, 4), round(one.dxf.center.y, 4)) for one in holes}
    assert found == {control.position for control in DESK.controls.values()}
    assert read.audit().errors == []


@pytest.mark.parametrize(
    ("written", "full"), [("#fc0", "#ffcc00"), ("#ABC", "#aabbcc"), ("#1D2733", "#1d2733")]
)
def test_short_colours_are_doubled(written: str, full: str) -> None:
    """CSS Color Module Level 4, 5.2: each digit of the short form stands for two."""
    assert full_colour(written) == full


def test_dxf_has_outline_holes_and_engraving_on_layers_in_mm() -> None:
    need_module("ezdxf")
    sheet = make_sheet(*harbour_order("legend", "helm-desk", TUG))
    read: Any = import_module("ezdxf").read(
        io.StringIO(write_sheet(sheet, "dxf").data.decode("ascii"))
    )
    space = read.modelspace()
    assert read.audit().errors == []
    assert read.header["$INSUNITS"] == 4  # millimetres (DXF reference, header variables)
    assert {"outline", "holes", "engraving", "legends"} <= {one.dxf.layer for one in space}
    holes = {
        (round(one.dxf.center.x, 4), round(one.dxf.center.y, 4), round(2 * one.dxf.radius, 4))
        for one in space.query('CIRCLE[layer=="holes"]')
    }
    controls = harbour_order("legend", "helm-desk").subject.device.controls.values()
    assert holes == {(*control.position, control.hole) for control in controls}


def test_each_kind_of_control_has_its_sign() -> None:
    sheet = make_sheet(*order_of("legend", desk_library(), DESK))
    signs = sheet.work.on_layers(["kinds"])
    for control in DESK.controls.values():
        x, y = control.position
        near = [
            entry
            for entry in signs.entries
            if abs(entry.shape.bounds().centre[0] - x) < 4
            and abs(entry.shape.bounds().centre[1] - y) < 4
        ]
        assert near


def test_words_inside_a_control_take_the_place_of_its_sign() -> None:
    box = device('[controls.a]\nlabel = "A"\nfront = 30.0\nlabel_place = "inside"')
    sheet = make_sheet(*order_of("legend", library(box), box))
    assert [text.words for text in legend_texts(sheet)] == ["A"]
    assert sheet.facts["labels"][0]["place"] == "inside"
    assert "kinds" not in sheet.work.layers()


@pytest.mark.parametrize("paper", [A4, LETTER, A5], ids=lambda paper: paper.name)
def test_a_plate_larger_than_the_paper_is_tiled(paper: Paper) -> None:
    """Every part has its ruler and the paper's size; together they show every hole in full size."""
    order = harbour_order("legend", "helm-desk", TUG, paper=paper.name.lower())
    sheet = make_sheet(*order)
    reader = read_pdf(sheet)

    names = [page.name for page in sheet.document.pages]
    assert names[0] == "map"
    assert len(names) >= 3
    measure = "The joined outline must measure 300 mm across and 210 mm up."
    assert measure in " ".join(reader.text(0).split())
    diameters: list[float] = []
    for number in range(len(reader)):
        assert sorted(reader.size(number)) == [
            pytest.approx(paper.width, abs=MM),
            pytest.approx(paper.height, abs=MM),
        ]
        assert rulers(reader, number) == [pytest.approx(100.0, abs=MM)]
        if number:
            diameters += [path.width for path in reader.paths(number)]
    for control in order.subject.device.controls.values():
        assert any(abs(one - float(control.hole)) < MM for one in diameters)  # type: ignore[arg-type]


@pytest.mark.parametrize("overlap", [6.0, 25.0])
def test_parts_share_the_overlap_asked_for(overlap: float) -> None:
    """The line to cut along stands half the overlap or more within the second part's left edge."""
    order = harbour_order("legend", "helm-desk", TUG, overlap=overlap)
    pages = {page.name: page for page in make_sheet(*order).document.pages}
    seams = [
        entry.shape.bounds()
        for entry in pages["A2"].drawing.on_layers(["registration"]).entries
        if isinstance(entry.shape, Stroke) and entry.shape.bounds().height > 100
    ]
    edge = Frame(A4, TitleBlock("")).room().left
    (seam,) = seams
    assert seam.left - edge >= overlap / 2 - 1e-6


def test_the_same_order_gives_the_same_bytes() -> None:
    order = harbour_order("legend", "lookout-box", TUG)
    for form in ("pdf", "svg", "dxf"):
        assert write_sheet(make_sheet(*order), form) == write_sheet(make_sheet(*order), form)


def order_for_picture(*profiles: str, **more: Any) -> Order:
    return harbour_order("legend", "helm-desk", *profiles, **{"paper": "a3", **more})


def test_the_look_of_one_title() -> None:
    """A3: a plate with rounded corners and four screws, 24 controls in four rows; words above
    push-buttons; `off` under `on`; bent arrows beside the three knobs; DOCK, TOW and SEA around
    the selector; a pale sign of its kind in each control; ruler and title block below."""
    sheet = make_sheet(*order_for_picture(TUG))
    compare_with_kept(sheet.document.pages[0], KEPT / "legend.png")


def test_the_look_of_three_titles() -> None:
    """A3: at each control up to three rows, bold, plain and underlined; no words meet a front or
    other words; a key with the three names under the plate's left corner."""
    sheet = make_sheet(*order_for_picture(TUG, TRAM, AIRSHIP))
    compare_with_kept(sheet.document.pages[0], KEPT / "legend-three.png")


def test_the_look_of_artwork() -> None:
    """A4 turned: a dark plate with pale words and hair-thin circles to cut, no fronts, no key."""
    order = harbour_order("legend", "lookout-box", TUG, colours=True)
    compare_with_kept(make_sheet(*order).document.pages[0], KEPT / "legend-artwork.png")


LONG = "INCOMPREHENSIBILITIES OF THE HYDRAULIC SYSTEM"


def narrow(short: str = "", more: str = "") -> Device:
    """A plate 34 mm wide on which nothing but a short word has a place."""
    words = f'short = "{short}"\n' if short else ""
    return device(
        "[plate]\nwidth = 34.0\nheight = 60.0\n"
        f'[controls.horn]\nlabel = "{LONG}"\n{words}'
        f"position = [17.0, 30.0]\nfront = 18.0\ninput = 1\n{more}"
    )


def test_shorter_words_given_by_hand_come_before_every_other_way_out() -> None:
    box = narrow(short="HYDR")
    sheet = make_sheet(*order_of("legend", library(box), box))

    (label,) = sheet.facts["labels"]
    assert (label["means"], label["lines"]) == ("short", ["HYDR"])
    (remark,) = sheet.remarks
    assert remark.kind == "note"
    assert remark.message == f"`{LONG}` at `horn`: in short: {label['cause']}"


def test_shorter_words_are_left_where_the_whole_has_a_place() -> None:
    box = device('[controls.horn]\nlabel = "HORN"\nshort = "HN"\nfront = 18.0')
    (label,) = make_sheet(*order_of("legend", library(box), box)).facts["labels"]
    assert (label["means"], label["lines"]) == ("words", ["HORN"])


@pytest.mark.parametrize(
    ("binding", "lines"),
    [
        ('horn = "gauge"', ["GAUGE"]),
        ('horn = { action = "gauge", short = "GG" }', ["GG"]),
        (f'horn = {{ action = "gauge", legend = "{LONG}", short = "OWN" }}', ["OWN"]),
    ],
)
def test_a_binding_has_its_own_shorter_words_or_those_of_its_action(
    binding: str, lines: list[str]
) -> None:
    title = application(f'[actions.gauge]\nlegend = "{LONG}"\nshort = "GAUGE"')
    books = library(narrow(), title, profile(f"[bindings]\n{binding}"))
    box = books.devices["desk"]

    (label,) = make_sheet(*order_of("legend", books, box, "play")).facts["labels"]
    assert (label["means"], label["lines"]) == ("short", lines)


def test_a_chord_is_shown_in_short_before_it_is_left_out() -> None:
    title = application(
        f'[actions.one]\nlegend = "ONE"\n[actions.two]\nlegend = "{LONG}"\nshort = "HY"'
    )
    shift = '[controls.shift]\nlabel = "SHIFT"\nshort = "S"\nposition = [17.0, 8.0]\ninput = 2\n'
    wide = narrow(more=shift)
    play = profile('[bindings]\nhorn = "one"\n"shift + horn" = "two"')
    books = library(wide, title, play)

    labels = {
        label["id"]: label
        for label in make_sheet(*order_of("legend", books, wide, "play")).facts["labels"]
    }
    assert labels["horn.press"]["lines"] == ["ONE", "S + HY"]
