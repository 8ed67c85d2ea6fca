"""PNG files opened by Pillow."""

import io
import sys

import pytest
from PIL import Image

from profiles.drawing import weights
from profiles.drawing.document import Page
from profiles.drawing.png import write_png
from profiles.drawing.recorder import Recorder
from profiles.drawing.surface import ExtraMissingError, TooLargeError


def page() -> Page:
    board = Recorder()
    board.circle((20, 30), 10, weights.fill("#c03020"))
    board.text((5, 5), "↑")
    return Page(60, 40, board.finish())


def test_the_picture_has_the_size_of_the_page_and_its_colours() -> None:
    written = write_png(page(), dots_per_inch=254)
    picture = Image.open(io.BytesIO(written.data))
    assert (picture.size, picture.mode) == ((600, 400), "RGB")
    assert picture.getpixel((200, 100)) == (0xC0, 0x30, 0x20)
    assert picture.getpixel((500, 100)) == (255, 255, 255)
    assert picture.info["dpi"] == pytest.approx((254, 254), abs=0.1)
    assert [loss.kind for loss in written.losses] == ["letter"]


def test_the_same_page_gives_the_same_bytes() -> None:
    assert write_png(page()).data == write_png(page()).data


def test_without_the_extra_a_sentence_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "pypdfium2", None)
    with pytest.raises(ExtraMissingError) as caught:
        write_png(page())
    assert str(caught.value) == "a PNG picture needs `pypdfium2`, which this Python does not have"
    assert caught.value.remedy == f"Install it: {sys.executable} -m pip install pypdfium2"


def test_a_picture_beyond_the_budget_is_refused_before_it_is_made() -> None:
    with pytest.raises(TooLargeError) as caught:
        write_png(Page(5009, 5009, Recorder().finish()))
    assert str(caught.value) == (
        "a PNG picture of 5009 x 5009 mm would have 875 million dots, more than 40 million"
    )
    assert caught.value.remedy == "Choose PDF or SVG, which have no dots."
