"""The outlines of letters, for words drawn larger than any writer sets them.

fontTools reads them from the whole font and is loaded on first use.
"""

import io
from functools import lru_cache
from importlib import import_module
from typing import Any

from profiles.lettering.curves import bend, count_pieces
from profiles.lettering.faces import Face, font_bytes
from profiles.lettering.union import Contour, join_crossing
from profiles.text.sign_words import SIGN_NAMES

WITHIN = 0.0004
"""How far the straight pieces of a curve may leave it, in ems: 0.04 mm of letters of 100 mm."""


def outline_words(face: Face, words: str, within: float = WITHIN) -> tuple[Contour, ...]:
    """Return the contours of words set in one line; letters that the face lacks are replaced.

    Figures are fractions of the em, the baseline at 0. Straight pieces stand for curves, `within`
    ems of them.
    No contour crosses itself or another, so inside and outside follow from the even-odd rule over
    all contours of a letter.
    """
    found: list[Contour] = []
    x = 0.0
    for letter in face.shown(words):
        for contour in _outline_letter(face, letter, within):
            found.append(tuple((x + right, up) for right, up in contour))
        x += face.width(letter)
    return tuple(found)


@lru_cache(maxsize=2)
def _open_font(face: Face) -> Any:
    return import_module("fontTools.ttLib").TTFont(io.BytesIO(font_bytes(face)), lazy=True)


@lru_cache(maxsize=512)
def _outline_letter(face: Face, letter: str, within: float) -> tuple[Contour, ...]:
    """Curves become straight pieces (OpenType `glyf`: implied points of a spline lie halfway)."""
    if letter in SIGN_NAMES:
        from profiles.lettering.signs import outline_sign

        size = face.cap_height
        return tuple(
            tuple((x * size, y * size) for x, y in contour)
            for contour in outline_sign(letter, bold=face.bold)
        )
    font = _open_font(face)
    glyphs, em = font.getGlyphSet(), font["head"].unitsPerEm
    pen = import_module("fontTools.pens.recordingPen").DecomposingRecordingPen(glyphs)
    glyphs[font.getBestCmap()[ord(letter)]].draw(pen)
    cut = import_module("fontTools.pens.basePen").decomposeQuadraticSegment
    contours: list[list[tuple[float, float]]] = []
    for verb, points in pen.value:
        if verb == "moveTo":
            contours.append([points[0]])
        elif verb == "lineTo":
            contours[-1].append(points[0])
        elif verb == "qCurveTo":
            for steering, end in cut(points):
                start = contours[-1][-1]
                pieces = count_pieces(start, steering, end, within * em)
                contours[-1] += bend(start, steering, end, pieces)
    return join_crossing(tuple(tuple((x / em, y / em) for x, y in contour) for contour in contours))
