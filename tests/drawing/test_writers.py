"""What holds for the writer of every format."""

from collections.abc import Callable
from importlib import import_module

import pytest

from profiles.drawing import weights
from profiles.drawing.document import Document, Page
from profiles.drawing.dxf import write_dxf
from profiles.drawing.pdf import write_pdf
from profiles.drawing.png import write_png
from profiles.drawing.recorder import Drawing, Recorder
from profiles.drawing.style import Lettering
from profiles.drawing.surface import Written
from profiles.drawing.svg import write_svg
from profiles.drawing.terminal import write_terminal


def page_of(drawing: Drawing) -> Page:
    return Page(100, 60, drawing)


WRITERS: dict[str, Callable[[Drawing], Written]] = {
    "pdf": lambda drawing: write_pdf(Document((page_of(drawing),))),
    "svg": lambda drawing: write_svg(page_of(drawing)),
    "dxf": write_dxf,
    "png": lambda drawing: write_png(page_of(drawing)),
    "terminal": write_terminal,
}


def draw() -> Drawing:
    board = Recorder()
    with board.layer("holes"):
        board.circle((30, 30), 16.2, weights.HOLE)
    board.text((10, 10), "TRIM → ↑ →", Lettering(3.0))
    return board.finish()


@pytest.mark.parametrize("name", WRITERS)
def test_every_writer_declares_what_its_format_cannot_carry(name: str) -> None:
    sentences = import_module(f"profiles.drawing.{name}").CANNOT
    assert sentences
    assert all(isinstance(sentence, str) and not sentence.endswith(".") for sentence in sentences)


@pytest.mark.parametrize("name", WRITERS)
def test_every_writer_names_each_missing_letter_once(name: str) -> None:
    written = WRITERS[name](draw())
    messages = [loss.message for loss in written.losses if loss.kind == "letter"]
    ending = 'in Noto Sans Regular; "TRIM → ↑ →" shows a mark in its place'
    assert messages == [
        f"no letter U+2192 RIGHTWARDS ARROW {ending}",
        f"no letter U+2191 UPWARDS ARROW {ending}",
    ]


@pytest.mark.parametrize("name", WRITERS)
def test_every_writer_gives_the_same_bytes_for_the_same_drawing(name: str) -> None:
    assert WRITERS[name](draw()).data == WRITERS[name](draw()).data


@pytest.mark.parametrize("name", WRITERS)
def test_every_writer_accepts_an_empty_drawing(name: str) -> None:
    written = WRITERS[name](Drawing())
    assert written.data
    assert written.losses == ()
