"""Widths, heights and missing letters, judged by the fonts' own tables and by Unicode."""

import io
import subprocess
import sys
import unicodedata
from functools import cache
from typing import Any

import pytest
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st

from profiles.lettering import (
    BOLD,
    FACES,
    REGULAR,
    REPLACEMENT,
    Face,
    em_for_cap_height,
    font_bytes,
    width_mm,
)
from profiles.lettering.generate import is_showable, render_metrics
from profiles.lettering.tables import load_metrics, metrics_path
from profiles.text.sign_words import SIGN_NAMES

PANGRAMS = {
    "Polish": "Zażółć gęślą jaźń",
    "Czech": "Příliš žluťoučký kůň úpěl ďábelské ódy",
    "German": "Falsches Üben von Xylophonmusik quält jeden größeren Zwerg ẞ",
    "Greek": "Ξεσκεπάζω την ψυχοφθόρα βδελυγμία",
    "Russian": "Съешь же ещё этих мягких французских булок",
    "Ukrainian": "Щастям б'єш жук їх глицю в фон й ґедзь пріч",
    "Turkish": "Pijamalı hasta yağız şoföre çabucak güvendi İı",
    "Vietnamese": "Làm việc với đầu bếp mười thực khách",
}
"""Sentences that use a language's whole alphabet; traditional, no source."""


@cache
def _open_font(face: Face) -> Any:
    return TTFont(io.BytesIO(font_bytes(face)))


@pytest.fixture(params=FACES, ids=lambda face: face.stem)
def face(request: pytest.FixtureRequest) -> Face:
    chosen: Face = request.param
    return chosen


def test_every_letter_of_the_font_has_its_own_advance_or_is_named_missing(face: Face) -> None:
    """OpenType `cmap` and `hmtx`, read by fontTools, over all of Unicode."""
    font = _open_font(face)
    glyphs = font.getBestCmap()
    for code in range(sys.maxunicode + 1):
        letter = chr(code)
        if code in glyphs and is_showable(letter):
            assert face.missing(letter) == ()
            assert face.width(letter) == font["hmtx"][glyphs[code]][0] / font["head"].unitsPerEm
        elif unicodedata.normalize("NFC", letter) == letter and letter not in SIGN_NAMES:
            assert face.missing(letter) == (letter,)


def test_heights_equal_the_font_tables_and_the_outline_of_h(face: Face) -> None:
    font = _open_font(face)
    assert face.cap_height == font["OS/2"].sCapHeight / 1000 == font["glyf"]["H"].yMax / 1000
    assert face.x_height == font["glyf"]["x"].yMax / 1000
    assert face.ascent == font["hhea"].ascent / 1000
    assert face.descent == -font["hhea"].descent / 1000


def test_committed_metrics_equal_freshly_written_ones(face: Face) -> None:
    assert metrics_path(face.stem).read_text(encoding="ascii") == render_metrics(face)


@pytest.mark.parametrize("language", PANGRAMS)
def test_alphabets_of_the_people_who_build_boxes_are_complete(face: Face, language: str) -> None:
    assert face.missing(PANGRAMS[language]) == ()
    assert face.missing(PANGRAMS[language].upper()) == ()


@pytest.mark.parametrize("text", ["שלום", "مرحبا", "नमस्ते", "สวัสดี", "日本語", "한국어", "🙂", "←"])
def test_scripts_that_need_shaping_or_another_font_are_missing_letter_by_letter(
    face: Face, text: str
) -> None:
    assert face.missing(text) == tuple(dict.fromkeys(text))
    assert face.shown(text) == REPLACEMENT * len(text)


@pytest.mark.parametrize(
    "letter", ["\n", "\t", "\x1b", "\x7f", "\x9b", "\u202e", "\u200b", "\u2028"]
)
def test_controls_and_direction_marks_are_missing_even_where_the_font_has_a_glyph(
    face: Face, letter: str
) -> None:
    assert face.missing(f"A{letter}B") == (letter,)
    assert face.shown(f"A{letter}B") == f"A{REPLACEMENT}B"


def test_an_accent_that_composes_is_part_of_its_letter(face: Face) -> None:
    assert face.missing("e\u0301") == ()
    assert face.shown("e\u0301") == "\u00e9"
    assert face.width("e\u0301") == face.width("\u00e9")


def test_an_accent_that_does_not_compose_is_missing(face: Face) -> None:
    assert face.missing("x\u0301") == ("\u0301",)


def test_missing_names_each_letter_once_in_order() -> None:
    assert REGULAR.missing("b→a←→") == ("→", "←")


def test_the_replacement_is_itself_a_letter_of_the_face(face: Face) -> None:
    assert face.missing(REPLACEMENT) == ()


@given(st.text(), st.sampled_from(FACES))
def test_what_is_shown_has_nothing_missing_and_the_measured_width(text: str, face: Face) -> None:
    shown = face.shown(text)
    assert face.missing(shown) == ()
    assert face.shown(shown) == shown
    assert face.width(text) == face.width(shown)


@given(st.text(), st.sampled_from(FACES))
def test_shown_is_composed_text_with_missing_letters_replaced(text: str, face: Face) -> None:
    composed = unicodedata.normalize("NFC", text)
    lost = set(face.missing(text))
    expected = "".join(REPLACEMENT if letter in lost else letter for letter in composed)
    assert face.shown(text) == expected


@given(st.sampled_from(sorted(load_metrics(BOLD.stem).advances)), st.integers(1, 20))
def test_width_grows_by_one_advance_per_letter(letter: str, count: int) -> None:
    assert BOLD.width(letter * count) == pytest.approx(count * BOLD.width(letter))


def test_capitals_of_three_millimetres_need_an_em_of_three_over_the_cap_height() -> None:
    em = em_for_cap_height(REGULAR, 3.0)
    assert em == pytest.approx(3.0 / 0.714)
    assert width_mm(REGULAR, "HORN", 3.0) == pytest.approx(em * REGULAR.width("HORN"))
    assert width_mm(REGULAR, "HORN", 3.0, 0.8) == pytest.approx(0.8 * em * REGULAR.width("HORN"))


def test_measuring_opens_no_font_and_no_drawing_library() -> None:
    heavy = ("pymupdf_fonts", "fontTools", "reportlab", "lzma")
    program = (
        "import sys; from profiles.lettering import REGULAR; REGULAR.width('HORN');"
        f"print([m for m in {heavy} if m in sys.modules])"
    )
    run = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    assert run.stdout == "[]\n"
