"""Hostile labels, names and legends on every sheet of titles, in every format."""

import csv
import io
import json
from collections.abc import Iterator
from importlib import import_module
from typing import Any
from xml.etree import ElementTree

import pytest

from profiles.model import Device, Library
from profiles.sheets.requests import SHEETS, make_sheet
from profiles.sheets.sheet import PrintedSheet
from profiles.sheets.writing import write_sheet
from profiles.text.inert import escape_controls, restore_csv_cell
from tests.checks.build import application, device, library, profile
from tests.drawing.dxf_lines import assert_only_lines
from tests.drawing.pdf_reader import PdfReader
from tests.hostile import NAUGHTY, list_letters
from tests.needs import need_module
from tests.sheets.titles import order_of

html: Any = import_module("lxml.html")

TEXTS = [text for text in NAUGHTY if text.strip() and len(text) <= 400]
AT_ONCE = 40
CHUNKS = [TEXTS[start : start + AT_ONCE] for start in range(0, len(TEXTS), AT_ONCE)]
FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")
"""What a cell must not begin with (OWASP, CSV Injection)."""


def books_of(texts: list[str]) -> tuple[Library, Device]:
    """A control for each text, labelled with it, bound to an action of that name and legend."""
    box = device(
        "[plate]\nwidth = 600.0\nheight = 600.0\n"
        + "\n".join(f"[controls.c{n}]\ninput = {n + 1}" for n in range(len(texts)))
    )
    title = application("\n".join(f"[actions.a{n}]" for n in range(len(texts))))
    bound = profile("[bindings]\n" + "\n".join(f'c{n} = "a{n}"' for n in range(len(texts))))
    document = box.model_dump(exclude_unset=True) | {}
    actions = title.model_dump(exclude_unset=True)
    for number, text in enumerate(texts):
        document["controls"][f"c{number}"]["label"] = text
        actions["actions"][f"a{number}"] |= {"name": text, "legend": text}
    document["device"]["name"] = actions["application"]["name"] = texts[0]
    box, title = Device.model_validate(document), type(title).model_validate(actions)
    return library(box, title, bound), box


def sheets_of(name: str) -> Iterator[tuple[list[str], PrintedSheet]]:
    for texts in CHUNKS:
        books, box = books_of(texts)
        yield texts, make_sheet(*order_of(name, books, box, "play"))


@pytest.mark.parametrize("name", ["card", "comparison"])
def test_no_cell_of_a_spreadsheet_is_a_formula(name: str) -> None:
    for texts, sheet in sheets_of(name):
        data = write_sheet(sheet, "csv").data.decode("utf-8")
        cells = [cell for row in csv.reader(io.StringIO(data, newline="")) for cell in row]
        assert not [cell for cell in cells if cell.startswith(FORMULA)]
        shown = {restore_csv_cell(cell) for cell in cells}
        assert {escape_controls(text) for text in texts} <= shown


@pytest.mark.parametrize("name", ["card", "comparison"])
def test_a_page_has_only_our_own_elements(name: str) -> None:
    """A page of hostile words has the elements of a page of plain words, none more."""
    for texts, sheet in sheets_of(name):
        books, box = books_of([f"WORD{number}" for number in range(len(texts))])
        plain = make_sheet(*order_of(name, books, box, "play"))
        hostile_page = html.fromstring(write_sheet(sheet, "html").data)
        plain_page = html.fromstring(write_sheet(plain, "html").data)
        tags = [element.tag for element in hostile_page.iter()]
        assert tags == [element.tag for element in plain_page.iter()]
        names = {key for element in hostile_page.iter() for key in element.attrib}
        assert names == {key for element in plain_page.iter() for key in element.attrib}
        words = hostile_page.text_content()
        for text in texts:
            assert escape_controls(text) in words


@pytest.mark.parametrize("name", ["card", "comparison"])
def test_a_terminal_gets_no_controls(name: str) -> None:
    for texts, sheet in sheets_of(name):
        words = write_sheet(sheet, "text").data.decode("utf-8")
        assert escape_controls(words.replace("\n", " ")) == words.replace("\n", " ")
        for text in texts:
            assert escape_controls(text) in words


@pytest.mark.parametrize("name", ["card", "comparison"])
def test_machines_get_the_words_themselves(name: str) -> None:
    for texts, sheet in sheets_of(name):
        data = write_sheet(sheet, "json").data
        assert data.isascii()
        held = {str(value) for value in leaves(json.loads(data))}
        assert set(texts) <= held


@pytest.mark.parametrize("name", ["card", "comparison"])
def test_lists_on_paper_leave_no_word_out(name: str) -> None:
    for texts, sheet in sheets_of(name):
        reader = PdfReader(write_sheet(sheet, "pdf").data)
        printed = "".join("".join(reader.text(page).split()) for page in range(len(reader)))
        for text in texts:
            if text.isascii() and text.isprintable():
                assert "".join(text.split()) in printed


def leaves(value: Any) -> Iterator[Any]:
    if isinstance(value, dict):
        value = list(value.values())
    if isinstance(value, list):
        for one in value:
            yield from leaves(one)
    else:
        yield value


@pytest.mark.parametrize("name", ["legend", "strip", "card", "comparison"])
def test_a_pdf_does_nothing_and_names_what_it_cannot_show(name: str) -> None:
    for _, sheet in sheets_of(name):
        written = write_sheet(sheet, "pdf")
        reader = PdfReader(written.data)
        assert reader.actions() == 0
        told = " ".join(loss.message for loss in written.losses)
        shown = "".join(
            text.words for page in sheet.document.pages for text in page.drawing.texts()
        )
        for letter in set("𝕿田👩ط") & set(shown):
            assert f"U+{ord(letter):04X}" in told


@pytest.mark.long
@pytest.mark.parametrize("name", ["legend", "strip"])
def test_drawings_stay_drawings(name: str) -> None:
    """In DXF, where letters are lines, there is nothing else, whatever the words."""
    for texts, sheet in sheets_of(name):
        picture = ElementTree.fromstring(write_sheet(sheet, "svg").data)
        tags = {str(element.tag).rpartition("}")[2] for element in picture.iter()}
        assert "script" not in tags
        assert "a" not in tags
        books, box = books_of([f"WORD{number}" for number in range(len(texts))])
        plain = make_sheet(*order_of(name, books, box, "play"))
        assert_only_lines(write_sheet(sheet, "dxf").data, write_sheet(plain, "dxf").data, "key")


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("0\nSEQEND\n", "0\nTEXT\n8\n0\n1\nx\n0\nSEQEND\n"),
        ("0\nSEQEND\n8\nlegends\n", ""),
        ("8\nlegends\n", "8\nothers\n"),
        ("70\n1\n0\nVERTEX", "70\n1\n1000\nx\n0\nVERTEX"),
        ("0\nEOF\n", "0\nEOF\n0\nX\n"),
        ("$INSUNITS", "$OTHERS"),
        ("20\n", "20\nnan\n20\n"),
    ],
)
def test_what_is_no_line_is_seen(old: str, new: str) -> None:
    """The judge of DXF files refuses one that holds anything else."""
    books, box = books_of(["WORD"])
    plain = write_sheet(make_sheet(*order_of("strip", books, box, "play")), "dxf").data.decode()
    before, found, after = plain.rpartition(old)
    assert found
    assert_only_lines(plain.encode(), plain.encode())
    with pytest.raises(AssertionError):
        assert_only_lines(f"{before}{new}{after}".encode(), plain.encode())


@pytest.mark.parametrize("name", ["legend", "strip"])
def test_ezdxf_reads_every_letter_of_the_hostile_texts(name: str) -> None:
    need_module("ezdxf")
    ezdxf: Any = import_module("ezdxf")
    books, box = books_of(list_letters(TEXTS))
    written = write_sheet(make_sheet(*order_of(name, books, box, "play")), "dxf")
    drawing = ezdxf.read(io.StringIO(written.data.decode("ascii")))
    assert drawing.audit().errors == []


def test_every_sheet_of_titles_is_among_those_tested() -> None:
    """A sheet that takes profiles shows words of strangers."""
    takers = {name for name, kind in SHEETS.items() if kind.takes[1]}
    assert {"legend", "strip", "card", "comparison"} <= takers
