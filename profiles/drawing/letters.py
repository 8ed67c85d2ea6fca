"""Words as lines: closed outlines of their letters, or single strokes, instead of text.

A program that cuts or engraves then needs no font.
"""

from collections.abc import Iterator
from dataclasses import replace
from typing import Literal

from profiles.drawing.geometry import Point
from profiles.drawing.paths import Path, polyline
from profiles.drawing.recorder import Drawing, Entry
from profiles.drawing.shapes import Stroke, Text
from profiles.drawing.style import Style
from profiles.drawing.weights import HAIR
from profiles.lettering.outlines import outline_words
from profiles.lettering.strokes import stroke_words

LetterLines = Literal["outlines", "strokes"]
"""Closed outlines around the ink, or lines that a tool as wide as the letters' strokes follows."""


def letters_as_lines(drawing: Drawing, lines: LetterLines) -> Drawing:
    """The drawing with the letters of every text as paths on its layer."""
    found: list[Entry] = []
    for entry in drawing.entries:
        if isinstance(entry.shape, Text):
            style = Style(HAIR, entry.shape.lettering.ink)
            for path in paths_of(entry.shape, lines):
                found.append(replace(entry, shape=Stroke(path, style)))
        else:
            found.append(entry)
    return Drawing(tuple(found))


def paths_of(text: Text, lines: LetterLines) -> Iterator[Path]:
    """The paths of a text's letters where they stand."""
    lettering = text.lettering
    trace, is_closed = (outline_words, True) if lines == "outlines" else (stroke_words, False)
    turned = replace(text, at=text.start(), anchor="left")
    for line in trace(lettering.face, text.words):
        points: list[Point] = []
        for right, up in line:
            x, y = right * lettering.em * lettering.condense, up * lettering.em
            points.append(turned.frame(x, y, x, y)[0])
        yield polyline(points, closed=is_closed)
