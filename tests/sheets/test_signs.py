"""Signs of legends on every format, read back by readers of others."""

import io
from importlib import import_module
from typing import Any
from xml.etree import ElementTree

import pytest

from profiles.drawing.png import write_png
from profiles.drawing.terminal import render_cells
from profiles.model import Device, Library
from profiles.sheets.requests import make_sheet
from profiles.sheets.writing import page_of, write_sheet
from profiles.text.sign_words import set_signs
from tests.checks.build import device
from tests.drawing.pdf_reader import PdfReader
from tests.needs import need_module
from tests.sheets.titles import order_of


def desk(label: str) -> Device:
    return device(
        f"""
        [plate]
        width = 80.0
        height = 50.0
        label_height = 6.0
        [controls.horn]
        label = "{label}"
        position = [40.0, 20.0]
        front = 18.0
        """
    )


def made(name: str, label: str, **more: Any) -> Any:
    box = desk(label)
    return make_sheet(*order_of(name, Library.of([box]), box, **more))


def ink_of(sheet: Any) -> tuple[float, float, float, float]:
    (label,) = sheet.facts["labels"]
    left, low, right, high = label["box"]
    return left, low, right, high


def test_a_sign_is_drawn_within_its_room_and_is_no_letter_in_the_pdf() -> None:
    sheet = made("legend", "{up} GO")
    reader = PdfReader(write_sheet(sheet, "pdf").data)
    assert "".join(letter for letter, *_ in reader.letters()).count("GO") == 1
    assert "\ufffd" not in reader.text(0)
    assert sheet.facts["labels"][0]["text"] == "{up} GO"
    assert not sheet.remarks
    plain = made("legend", "GO")
    assert len(reader.paths()) > len(PdfReader(write_sheet(plain, "pdf").data).paths())


def test_outlines_to_cut_agree_with_what_the_page_shows() -> None:
    """The cutter's closed lines and PDFium's path of the same arrow, box by box, mm."""
    page = PdfReader(write_sheet(made("legend", "{right}"), "pdf").data)
    left, low, right, high = ink_of(made("legend", "{right}"))
    sign = [
        path
        for path in page.paths()
        if abs(path.height - 0.82 * 6.0) < 0.6 and path.width < right - left + 0.1
    ]
    need_module("ezdxf")
    data = write_sheet(made("cut", "{right}"), "dxf").data.decode("ascii")
    entities = import_module("ezdxf").read(io.StringIO(data)).modelspace()
    assert not entities.query("TEXT MTEXT")
    (line,) = entities.query('POLYLINE[layer=="engrave"]')
    assert line.is_closed
    xs = [vertex.dxf.location.x for vertex in line.vertices]
    ys = [vertex.dxf.location.y for vertex in line.vertices]
    assert left - 0.05 <= min(xs) < max(xs) <= right + 0.05
    assert low - 0.05 <= min(ys) < max(ys) <= high + 0.05
    widths = [round(path.width - (max(xs) - min(xs)), 3) for path in sign]
    assert any(abs(apart) < 0.05 for apart in widths)


@pytest.mark.parametrize("letters", ["outlines", "strokes"])
def test_a_sign_is_cut_in_either_kind_of_line(letters: str) -> None:
    sheet = made("cut", "{horn}", letters=letters)
    assert not sheet.remarks
    root = ElementTree.fromstring(write_sheet(sheet, "svg").data)
    assert not [one for one in root.iter() if one.tag.endswith("text")]
    assert sheet.facts["lines"]["engrave"] >= 2


def test_a_sign_is_on_strips_pictures_and_the_model() -> None:
    strip = made("strip", "{bell} GO")
    assert [row[3] for row in strip.table[1:]] == ["bell GO"]
    assert strip.facts["strips"][0]["cells"][0]["labels"][0]["text"] == "{bell} GO"
    slab = made("plate", "{bell}", words="raised").slab
    assert slab is not None
    assert sum(len(one.paths) for one in slab.words) >= 2
    image = import_module("PIL.Image")
    with_sign, without = (
        image.open(io.BytesIO(write_png(page_of(made("legend", label).work)).data)).convert("L")
        for label in ("{stop} GO", "GO")
    )
    dark = [sum(1 for level in one.tobytes() if level < 100) for one in (with_sign, without)]
    assert dark[0] > dark[1] + 300


def test_a_terminal_shows_the_words_of_a_sign() -> None:
    picture = render_cells(made("legend", "{turn-left} GO").work, 60)
    assert any("turn left GO" in line for line in picture.lines())
    assert set_signs("{turn-left}") not in "".join(picture.lines())
