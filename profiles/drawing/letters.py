"""Words as lines: closed outlines of their letters, or single strokes, instead of text.

A program that cuts or engraves then needs no font.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Literal

from profiles.drawing.geometry import Point
from profiles.drawing.paths import Path, polyline
from profiles.drawing.recorder import Drawing, Entry
from profiles.drawing.shapes import Circle, Stroke, Text
from profiles.drawing.sign_shapes import place_on
from profiles.drawing.style import Lettering, Style
from profiles.drawing.surface import TooLargeError
from profiles.drawing.weights import HAIR
from profiles.lettering.outlines import outline_words
from profiles.lettering.strokes import stroke_words

LetterLines = Literal["outlines", "strokes"]
"""Closed outlines around the ink, or lines that a tool as wide as the letters' strokes follows."""

TOLERANCE = 0.01
"""How far the straight pieces of an outline may leave the curves of the letter, in mm."""


MOST_CORNERS = 700_000
"""Corners of letters in one file: as DXF some 60 MB, made with 450 MB of memory."""


def letters_as_lines(drawing: Drawing, lines: LetterLines) -> Drawing:
    """The drawing with the letters of every text as paths on its layer.

    Raises:
        TooLargeError: above `MOST_CORNERS`.
    """
    corners = sum(
        times * sum(map(len, _trace(lettering, letter, lines)))
        for (lettering, letter), times in Counter(
            (text.lettering, letter) for text in drawing.texts() for letter in text.words
        ).items()
    )
    if corners > MOST_CORNERS:
        raise TooLargeError(
            f"the words as {'outlines' if lines == 'outlines' else 'single strokes'} would have "
            f"{corners / 1e6:.1f} million corners, more than {MOST_CORNERS / 1e6:.1f} million",
            "Choose single strokes for letters, shorter words, or PDF, which has letters as text.",
        )
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


def _trace(lettering: Lettering, words: str, lines: LetterLines) -> Sequence[Sequence[Point]]:
    """The lines of words in ems from their start."""
    if lines == "strokes":
        return stroke_words(lettering.face, words)
    return outline_words(lettering.face, words, TOLERANCE / lettering.em)


def paths_of(text: Text, lines: LetterLines) -> Iterator[Path]:
    """The paths of a text's letters where they stand."""
    turned = replace(text, at=text.start(), anchor="left")
    for line in place_on(turned, _trace(text.lettering, text.words, lines)):
        yield polyline(line, closed=lines == "outlines")
