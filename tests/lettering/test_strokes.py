"""Letters of single strokes, and outlines that do not cross, held against shapely and fontTools."""

import io
from importlib import import_module
from itertools import combinations
from typing import Any

import pytest

from profiles.lettering import BOLD, REGULAR
from profiles.lettering.outlines import outline_words
from profiles.lettering.strokes import missing_strokes, stroke_words

shapely: Any = import_module("shapely")

LATIN = "".join(map(chr, [*range(0x21, 0x7F), *range(0xC0, 0xD7), *range(0xD8, 0xF7)]))
CENTRAL = "ĄąĆćČčĎďĐđĘęĚěĞğİıŁłŃńŇňŐőŒœŘřŚśŞşŠšŢţŤťŮůŰűŹźŻżŽžȘșȚț"
GREEK = "ΑΒΓΔΕΖΗΘΙΚΛΜΝΞΟΠΡΣΤΥΦΧΨΩαβγδεζηθικλμνξοπρσςτυφχψωΆΈΉΊΌΎΏάέήίόύώϊϋΐΰΪΫ"
CYRILLIC = "".join(map(chr, range(0x410, 0x450))) + "ЁёЄєІіЇїҐґЂђЈјЉљЊњЋћЏџ"


@pytest.mark.parametrize("letters", [LATIN, CENTRAL, GREEK, CYRILLIC])
def test_the_single_stroke_face_has_every_letter_of_its_scripts(letters: str) -> None:
    """ISO 8859-1 and -2, the modern Greek alphabet of ISO 8859-7 and the letters of ISO 8859-5."""
    assert missing_strokes(letters) == ()


@pytest.mark.parametrize("letters", [LATIN, CENTRAL, GREEK, CYRILLIC])
def test_a_single_stroke_is_no_longer_than_the_letter_and_as_wide(letters: str) -> None:
    """Held to the room that the printed letter has; strokes of one letter lie on no other."""
    for letter in letters:
        lines = [shapely.LineString(line) for line in stroke_words(REGULAR, letter)]
        ends = [x for line in lines for x in (line.bounds[0], line.bounds[2])]
        assert min(ends) > -0.06, letter
        assert max(ends) < REGULAR.width(letter) + 0.06, letter
        for one, other in combinations(lines, 2):
            assert one.intersection(other).length == pytest.approx(0, abs=1e-9), letter


@pytest.mark.parametrize("face", [REGULAR, BOLD])
def test_outlines_of_letters_cross_neither_themselves_nor_each_other(face: Any) -> None:
    """An accent that a font draws across its letter is one outline with it."""
    for letter in LATIN + CENTRAL + GREEK + CYRILLIC + "ĮįŲųǪǫȨȩ":
        rings = [shapely.LinearRing(one) for one in outline_words(face, letter)]
        assert all(ring.is_simple for ring in rings), letter
        assert not any(one.intersects(other) for one, other in combinations(rings, 2)), letter


@pytest.mark.parametrize("letter", ["Ç", "ą", "Ş", "Å"])
def test_joined_outlines_cover_what_the_font_covers(letter: str) -> None:
    """Oracle: the letter's outlines from fontTools, joined by shapely."""
    recorder = import_module("fontTools.pens.recordingPen").DecomposingRecordingPen
    ttlib, buffer = (
        import_module("fontTools.ttLib"),
        import_module("pymupdf_fonts.NotoSans_Regular"),
    )
    font = ttlib.TTFont(io.BytesIO(buffer.fontbuffer))
    pen = recorder(font.getGlyphSet())
    font.getGlyphSet()[font.getBestCmap()[ord(letter)]].draw(pen)
    corners: list[list[tuple[float, float]]] = []
    for verb, points in pen.value:
        if verb == "moveTo":
            corners.append([])
        corners[-1].extend(points)
    hull = shapely.union_all([shapely.Polygon(one).buffer(0) for one in corners if len(one) > 2])
    whole = shapely.Polygon()
    for contour in outline_words(REGULAR, letter):
        whole = whole.symmetric_difference(shapely.Polygon(contour))
    assert whole.bounds == pytest.approx([edge / 1000 for edge in hull.bounds], abs=0.002)
