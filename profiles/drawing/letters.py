"""Words as lines: closed outlines of their letters, or single strokes, instead of text.

A program that cuts or engraves then needs no font.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Literal

from profiles.drawing.paths import Path, polyline
from profiles.drawing.recorder import Drawing, Entry
from profiles.drawing.shapes import Circle, Stroke, Text
from profiles.drawing.sign_shapes import place_on
from profiles.drawing.style import Style
from profiles.drawing.weights import HAIR
from profiles.lettering.outlines import outline_words
from profiles.lettering.strokes import stroke_words

LetterLines = Literal["outlines", "strokes"]
"""Closed outlines around the ink, or lines that a tool as wide as the letters' strokes follows."""

TOLERANCE = 0.01
"""How far the straight pieces of an outline may leave the curves of the letter, in mm."""


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


def keep_once(entries: Sequence[Entry]) -> tuple[Drawing, int]:
    """The entries without those in the place of another, and how many those are."""
    kept: dict[object, Entry] = {}
    for entry in entries:
        shape = entry.shape
        if isinstance(shape, Circle):
            x, y = shape.centre
            kept.setdefault((round(x, 4), round(y, 4), round(shape.diameter, 4)), entry)
        elif isinstance(shape, Stroke):
            points = [(round(x, 4), round(y, 4)) for x, y in shape.path.flattened(0.01)]
            kept.setdefault(tuple(min(points, points[::-1])), entry)
    return Drawing(tuple(kept.values())), len(entries) - len(kept)


def paths_of(text: Text, lines: LetterLines) -> Iterator[Path]:
    """The paths of a text's letters where they stand."""
    face, is_closed = text.lettering.face, lines == "outlines"
    within = TOLERANCE / text.lettering.em
    found = outline_words(face, text.words, within) if is_closed else stroke_words(face, text.words)
    turned = replace(text, at=text.start(), anchor="left")
    for line in found:
        yield polyline([place_on(turned, point) for point in line], closed=is_closed)
