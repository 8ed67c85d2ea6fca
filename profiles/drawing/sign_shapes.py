"""Signs within words as filled shapes, so that no writer needs a letter for them."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import groupby

from profiles.drawing.geometry import Point
from profiles.drawing.paths import polyline
from profiles.drawing.shapes import Stroke, Text
from profiles.drawing.style import Style
from profiles.lettering.outlines import outline_words
from profiles.text.sign_words import SIGN_NAMES, has_signs


def split_signs(text: Text) -> Iterator[Text | Stroke]:
    """The words of a text, and each sign among them as a filled path where it stands.

    The contours of a sign are one path: ways there and back again cancel by the even-odd rule.
    """
    if not has_signs(text.words):
        yield text
        return
    lettering, used = text.lettering, 0.0
    line = replace(text, at=text.start(), anchor="left")
    for is_sign, letters in groupby(text.words, key=SIGN_NAMES.__contains__):
        words = "".join(letters)
        piece = replace(line, at=line.frame(used, 0.0, used, 0.0)[0], words=words)
        used += lettering.width(words)
        if not is_sign:
            yield piece
            continue
        points: list[Point] = []
        for contour in outline_words(lettering.face, words):
            lifted = [place_on(piece, point) for point in contour]
            points += [*points[:1], *lifted, lifted[0], *points[:1]]
        yield Stroke(polyline(points, closed=True), Style(None, fill=lettering.ink))


def place_on(text: Text, point: Point) -> Point:
    """Where a point of the letters of a text stands, given in ems from its start."""
    x, y = point[0] * text.lettering.em * text.lettering.condense, point[1] * text.lettering.em
    return text.frame(x, y, x, y)[0]
