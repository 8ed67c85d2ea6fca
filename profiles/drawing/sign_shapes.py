"""Signs within words as filled shapes, so that no writer needs a letter for them."""

from collections.abc import Iterable, Iterator, Sequence
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
        for lifted in place_on(piece, outline_words(lettering.face, words)):
            points += [*points[:1], *lifted, lifted[0], *points[:1]]
        yield Stroke(polyline(points, closed=True), Style(None, fill=lettering.ink))


def place_on(text: Text, lines: Iterable[Sequence[Point]]) -> Iterator[list[Point]]:
    """Where lines of the letters of a text stand, given in ems from its start."""
    em = text.lettering.em
    (x, y), along, _, up = text.frame(0.0, 0.0, em * text.lettering.condense, em)
    (a, b), (c, d) = (along[0] - x, along[1] - y), (up[0] - x, up[1] - y)
    for line in lines:
        yield [(x + u * a + v * c, y + u * b + v * d) for u, v in line]
