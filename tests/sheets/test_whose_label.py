"""Whose label is this: outlines and ink measured on the printed page by PDFium and shapely.

Nothing of the layout is asked but which words it set for which control: where the letters are, and
the edges of the controls, are read from the PDF. People take words for those of the nearest thing,
so a control's own words must be nearer to it than to any other by half as much again (rule of
thumb).
"""

from collections.abc import Callable, Iterator
from importlib import import_module
from itertools import product
from typing import Any

import pytest

from profiles.files.bundled import find_bundled
from profiles.files.library import load_library
from profiles.model import Device, Library
from profiles.sheets.legend import make_sheet
from profiles.sheets.writing import write_sheet
from tests.checks.build import find
from tests.drawing.pdf_reader import PdfReader, ReadPath
from tests.sheets.titles import Order, order_of
from tests.sheets.workshop import device

shapely: Any = import_module("shapely")

MM = 0.05
"""Tolerance of every length measured in a PDF."""
HYPHEN = "\ufffe"
"""What PDFium gives for a hyphen that ends a line."""
NEARER = 1.5
"""How many times nearer its own control must be to a label than any other; rule of thumb."""

SHORT = (
    *("PUMP", "LIGHT", "FUEL", "VALVE", "GENERATOR", "MAIN", "BUS TIE", "ANTI-ICE", "CABIN HEAT"),
    *("HORN", "DOOR", "STARTER", "MASTER ALARM", "RESET", "TEST", "CROSS FEED"),
)
LONG = (
    *("ABGASTEMPERATUR", "NOTABSCHALTUNG", "FAHRWERK AUSFAHREN", "KRAFTSTOFFPUMPE"),
    *("GENERATORHAUPTSCHALTER", "SCHEIBENWISCHER", "BELEUCHTUNG INNEN", "ANKERWINDE"),
    *("ΘΕΡΜΟΚΡΑΣΙΑ ΚΙΝΗΤΗΡΑ", "ΑΝΤΛΙΑ ΚΑΥΣΙΜΟΥ", "ΠΡΟΕΙΔΟΠΟΙΗΣΗ", "ΗΛΕΚΤΡΟΓΕΝΝΗΤΡΙΑ"),
    *("ΦΩΤΙΣΜΟΣ ΓΕΦΥΡΑΣ", "ТЕМПЕРАТУРА ДВИГАТЕЛЯ", "ПРЕДУПРЕЖДЕНИЕ", "ЭЛЕКТРОГЕНЕРАТОР"),
    *("ОСВЕЩЕНИЕ МОСТИКА", "ТОПЛИВНЫЙ НАСОС"),
)
"""German, Greek and Cyrillic words as they stand on machines."""


def grid(columns: int, rows: int, pitch: float, front: float, word: Callable[[int], str]) -> Device:
    """Push-buttons in rows and columns at one pitch."""
    controls = {
        f"c{at}": {
            "kind": "momentary",
            "label": word(at),
            "position": [10 + pitch * (at % columns + 0.5), 10 + pitch * (at // columns + 0.5)],
            "hole": front - 2.0,
            "front": front,
        }
        for at in range(columns * rows)
    }
    size = {"width": 20 + pitch * columns, "height": 20 + pitch * rows}
    head = {"format": 1, "device": {"id": "desk", "name": "Desk"}, "plate": size}
    return device({**head, "controls": controls})


def edges_of(box: Device, paths: list[ReadPath]) -> dict[str, Any]:
    """The edge of every control as the page shows it, by its place on the plate."""
    (plate,) = [
        path
        for path in paths
        if abs(path.width - box.plate.width) < MM and abs(path.height - box.plate.height) < MM
    ]
    left, bottom = plate.centre[0] - box.plate.width / 2, plate.centre[1] - box.plate.height / 2
    found = {}
    for key, control in box.controls.items():
        size = control.front_or_hole
        width, height = size if isinstance(size, tuple) else (size, size)
        if round(control.rotation / 90) % 2:
            width, height = height, width
        x, y = left + control.position[0], bottom + control.position[1]
        here = [
            path
            for path in paths
            if abs(path.centre[0] - x) < MM
            and abs(path.centre[1] - y) < MM
            and abs(path.width - width) < MM
            and abs(path.height - height) < MM
        ]
        assert here, f"{key} is not on the page"
        found[key] = (
            shapely.box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)
            if isinstance(size, tuple)
            else shapely.Point(x, y).buffer(width / 2, quad_segs=64)
        )
    return found


def measure(order: Order) -> Iterator[tuple[str, float, float]]:
    """Of every label how far the box of its ink is from its own control and from the nearest
    other, mm.

    A line from the words to a control that it touches counts as ink.
    """
    sheet, box = make_sheet(*order), order.subject.device
    reader = PdfReader(write_sheet(sheet, "pdf").data)
    assert len(reader) == 1
    paths, letters = reader.paths(), reader.letters()
    edges = edges_of(box, paths)
    # Knobs on one axis are seen as one; their words tell of which they are (`test_concentric`).
    edges |= {inner: edges[outer] for inner, outer in box.concentric.items()}
    first = next(iter(box.controls))
    x, y = box.controls[first].position
    left, bottom = edges[first].centroid.x - x, edges[first].centroid.y - y
    lines = [
        shapely.LineString(path.ends)
        for path in paths
        if len(path.ends) == 2 and not path.controls and path.ends[0] != path.ends[1]
    ]
    for label in sheet.facts["labels"]:
        assert label["place"], f"{label['id']} has neither word nor number"
        west, south, east, north = label["box"]
        inside = [
            (letter, shapely.box(*box))
            for letter, *box in letters
            if west < (box[0] + box[2]) / 2 - left < east
            and south < (box[1] + box[3]) / 2 - bottom < north
        ]
        read = "".join(letter for letter, _ in inside).replace(HYPHEN, "-")
        assert read == "".join("".join(label["lines"]).split())
        ink = shapely.union_all([shape for _, shape in inside]).envelope
        own = edges[label["id"].partition("#")[0].partition(".")[0]]
        if label["leader"]:
            place = shapely.box(west + left, south + bottom, east + left, north + bottom)
            ink = ink.union(
                next(one for one in lines if one.distance(own) < MM and one.distance(place) < MM)
            )
        others = [edge for edge in edges.values() if edge is not own]
        yield label["id"], ink.distance(own), min(map(ink.distance, others), default=1e9)


def told(box: Device) -> set[str]:
    return {one.subject for one in find("label-without-room", box)}


def hold(order: Order) -> None:
    """Fail where a label's nearest control is not its own by as much as it must."""
    measured = list(measure(order))
    nearer = [one for one in measured if one[1] > one[2]]
    doubtful = [one for one in measured if one[2] < NEARER * one[1] - MM]
    assert (nearer, doubtful) == ([], [])


@pytest.mark.parametrize(("pitch", "front"), [*product(range(20, 42, 2), (16.0, 18.0))])
def test_at_every_pitch_a_labels_nearest_control_is_its_own(pitch: float, front: float) -> None:
    box = grid(6, 4, pitch, front, lambda at: f"{SHORT[at % len(SHORT)]} {at}")
    order = order_of("legend", Library.of([box]), box, paper="a3")

    hold(order)

    labels = make_sheet(*order).facts["labels"]
    assert len(labels) == len(box.controls)
    keyed = {label["id"] for label in labels if label["number"]}
    assert told(box) == {f"desk:controls.{key}.label" for key in keyed}


@pytest.mark.parametrize("pitch", [24.0, 26.0, 30.0])
def test_on_a_crowded_plate_of_long_words_as_well(pitch: float) -> None:
    box = grid(8, 8, pitch, 16.0, lambda at: f"{LONG[at % len(LONG)]}")
    order = order_of("legend", Library.of([box]), box, paper="a3")

    hold(order)

    labels = make_sheet(*order).facts["labels"]
    assert len(labels) == 64
    keyed = {label["id"] for label in labels if label["number"]}
    assert told(box) == {f"desk:controls.{key}.label" for key in keyed}


def example_orders() -> Iterator[Order]:
    """Every device of the examples with its own words, each profile, and up to three together."""
    for name in ("harbour", "boatyard"):
        books = load_library(find_bundled("example_profiles") / name).library
        for box in books.devices.values():
            mine = [one for one, play in books.profiles.items() if box.id in play.device_ids]
            yield order_of("legend", books, box, paper="a3")
            for one in mine:
                yield order_of("legend", books, box, one, paper="a3")
            if len(mine) > 1:
                yield order_of("legend", books, box, *mine[:3], paper="a3")


@pytest.mark.parametrize(
    "order",
    [*example_orders()],
    ids=lambda order: "-".join([order.subject.device.id, *order.request.profiles]),
)
def test_and_on_every_example(order: Order) -> None:
    hold(order)
