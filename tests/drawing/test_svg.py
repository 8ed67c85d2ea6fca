"""SVG files read by an XML parser."""

import io
import re
import sys
from base64 import b64decode
from typing import Any
from xml.etree import ElementTree

import pytest
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st

from profiles.drawing import weights
from profiles.drawing.document import Page
from profiles.drawing.geometry import Box, mirrored
from profiles.drawing.paper import A4
from profiles.drawing.paths import CurveTo, Path, rectangle
from profiles.drawing.recorder import Recorder
from profiles.drawing.style import Lettering
from profiles.drawing.surface import Loss
from profiles.drawing.svg import write_svg
from profiles.lettering import BOLD, REGULAR
from tests.hostile import NAUGHTY, hostile_texts

SVG = "{http://www.w3.org/2000/svg}"


def page_of(board: Recorder) -> Page:
    return Page(A4.width, A4.height, board.finish())


def parse(board: Recorder, *, title: str = "", prefix: str = "") -> ElementTree.Element:
    written = write_svg(page_of(board), title=title, prefix=prefix, embed_fonts=False)
    return ElementTree.fromstring(written.data)


def test_the_page_is_sized_in_mm_with_one_unit_per_mm() -> None:
    """SVG without a view box would print at 96 units per inch (CSS Values and Units)."""
    root = parse(Recorder(), title="Helm desk")
    assert (root.get("width"), root.get("height")) == ("210mm", "297mm")
    assert root.get("viewBox") == "0 0 210 297"
    assert root.findtext(f"{SVG}title") == "Helm desk"


def test_y_points_down_in_the_file() -> None:
    board = Recorder()
    board.circle((30, 90), 16.2, weights.HOLE)
    board.text((30, 70), "HORN", Lettering(3.0), anchor="middle")
    root = parse(board)
    circle, text = root.find(f".//{SVG}circle"), root.find(f".//{SVG}text")
    assert circle is not None
    assert text is not None
    assert [circle.get(key) for key in ("cx", "cy", "r")] == ["30", "207", "8.1"]
    assert [text.get(key) for key in ("x", "y", "text-anchor")] == ["30", "227", "middle"]


def test_text_stays_text_with_its_size_weight_and_pinned_width() -> None:
    lettering = Lettering(3.0, BOLD)
    board = Recorder()
    board.text((30, 70), "Zażółć <Ω> & 'x'", lettering)
    text = parse(board).find(f".//{SVG}text")
    assert text is not None
    assert text.text == "Zażółć <Ω> & 'x'"
    assert float(text.get("font-size", "")) == pytest.approx(3.0 / 0.714, abs=1e-4)
    assert float(text.get("textLength", "")) == pytest.approx(lettering.width(text.text), abs=1e-4)
    assert text.get("font-weight") == "700"


def test_condensed_turned_and_mirrored_text_is_transformed() -> None:
    board = Recorder()
    board.text((30, 70), "HORN", Lettering(3.0, condense=0.8), angle=90)
    board.place(board.finish(), mirrored(50))
    first, second = parse(board).findall(f".//{SVG}text")
    assert first.get("transform") == "translate(30 227) rotate(-90) scale(0.8 1)"
    assert second.get("transform") == "translate(70 227) rotate(-90) scale(0.8 -1)"


def test_arcs_stay_arcs_and_whole_turns_are_halved() -> None:
    board = Recorder()
    board.arc((50, 97), 10, 0, 90)
    board.arc((50, 97), 10, 0, -360)
    board.path(Path((0, 0), (CurveTo((1, 2), (3, 4), (5, 6)),)))
    quarter, turn, curve = (path.get("d") for path in parse(board).iter(f"{SVG}path"))
    assert quarter == "M60 200A10 10 0 0 0 50 190"
    assert turn == "M60 200A10 10 0 0 1 40 200A10 10 0 0 1 60 200"
    assert curve == "M0 297C1 295 3 293 5 291"


def test_layers_are_groups_with_plain_ids_numbered_when_they_come_again() -> None:
    board = Recorder()
    for name in ("holes", "plate", "holes", "cut lines"):
        with board.layer(name):
            board.circle((10, 10), 2)
    groups = [group.get("id") for group in parse(board).iter(f"{SVG}g") if group.get("id")]
    assert groups == ["layer-holes", "layer-plate", "layer-holes-2", "layer-cut-lines"]
    renamed = parse(board, prefix="helm-")
    assert renamed.find(f".//{SVG}g[@id='helm-layer-plate']") is not None


def test_a_clip_is_referred_to_by_its_own_id() -> None:
    board = Recorder()
    with board.clip(rectangle(Box(0, 0, 10, 10))):
        board.circle((5, 5), 20)
    root = parse(board, prefix="a-")
    clip = root.find(f".//{SVG}clipPath")
    assert clip is not None
    assert clip.get("id") == "a-clip"
    assert root.find(f".//{SVG}g[@clip-path='url(#a-clip)']/{SVG}circle") is not None


def test_lines_and_fills_are_painted_as_styled() -> None:
    board = Recorder()
    board.line((0, 0), (9, 0), weights.HIDDEN)
    board.circle((0, 0), 2, weights.fill("#aa0000"))
    root = parse(board)
    line, circle = root.find(f".//{SVG}path"), root.find(f".//{SVG}circle")
    assert line is not None
    assert circle is not None
    assert line.get("stroke-dasharray") == "3 0.75"
    assert line.get("stroke-width") == "0.25"
    assert circle.get("fill") == "#aa0000"
    assert circle.get("stroke") is None


def test_a_missing_letter_is_replaced_and_named() -> None:
    board = Recorder()
    board.text((0, 0), "← TRIM")
    written = write_svg(page_of(board))
    message = (
        'no letter U+2190 LEFTWARDS ARROW in Noto Sans Regular; "← TRIM" shows a mark in its place'
    )
    assert written.losses == (Loss("letter", message),)
    assert "� TRIM</text>".encode() in written.data


@pytest.mark.parametrize("words", NAUGHTY[:200])
def test_hostile_words_stay_words(words: str) -> None:
    _assert_inert(words)


@given(hostile_texts())
def test_any_words_stay_words(words: str) -> None:
    _assert_inert(words)


def _assert_inert(words: str) -> None:
    board = Recorder()
    board.text((10, 10), words)
    with board.layer(words or "x"):
        board.circle((5, 5), 2)
    root = parse(board, title=words)
    assert {element.tag for element in root.iter()} <= {
        SVG + name for name in ("svg", "title", "g", "path", "circle", "text")
    }
    texts = root.findall(f".//{SVG}text")
    assert [text.text for text in texts] == ([Lettering().face.shown(words)] if words else [])


@given(st.lists(st.tuples(st.floats(-1e4, 1e4), st.floats(-1e4, 1e4)), min_size=2, max_size=6))
def test_numbers_are_plain_decimals(points: list[tuple[float, float]]) -> None:
    board = Recorder()
    board.polyline(points)
    path = parse(board).find(f".//{SVG}path")
    assert path is not None
    assert re.fullmatch(r"M-?[\d.]+ -?[\d.]+(L-?[\d.]+ -?[\d.]+)+", path.get("d", ""))


def test_the_same_page_gives_the_same_bytes() -> None:
    board = Recorder()
    board.text((10, 10), "HORN")
    assert write_svg(page_of(board)).data == write_svg(page_of(board)).data


def _embedded(data: bytes) -> dict[str, Any]:
    """The web fonts of a file by weight, opened by fontTools."""
    style = ElementTree.fromstring(data).findtext(f"{SVG}style") or ""
    rule = r"font-family:'Noto Sans';font-weight:(\d+);src:url\(data:font/woff;base64,([^)]+)\)"
    return {weight: TTFont(io.BytesIO(b64decode(font))) for weight, font in re.findall(rule, style)}


def test_the_letters_in_use_and_no_others_are_embedded_with_their_widths() -> None:
    board = Recorder()
    board.text((10, 10), "Żaba ↑", Lettering(3.0))
    board.text((10, 20), "HORN", Lettering(3.0, BOLD))
    fonts = _embedded(write_svg(page_of(board)).data)
    letters = {weight: "".join(map(chr, sorted(f.getBestCmap()))) for weight, f in fonts.items()}
    assert letters == {"400": " abŻ�", "700": "HNOR"}
    cmap, widths = fonts["400"].getBestCmap(), fonts["400"]["hmtx"]
    assert all(widths[cmap[ord(c)]][0] == 1000 * REGULAR.width(c) for c in letters["400"])
    assert "GPOS" not in fonts["400"]


def test_a_page_without_words_embeds_no_font() -> None:
    board = Recorder()
    board.circle((10, 10), 2)
    assert b"<style>" not in write_svg(page_of(board)).data


def test_without_fonttools_the_file_is_written_and_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "fontTools.subset", None)
    board = Recorder()
    board.text((10, 10), "Xylophon 7", Lettering(3.0))
    written = write_svg(page_of(board))
    message = "letters are not embedded: fonttools is not installed"
    assert written.losses == (Loss("font", message),)
    assert b"<style>" not in written.data
