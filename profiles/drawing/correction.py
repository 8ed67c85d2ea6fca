"""A printer's error in scale, measured on paper and taken out of what is printed next.

Printers feed paper a little too far or too short, and differ across and up. Rulers across and up
are measured on a print; pages are then drawn larger or smaller by the inverse, about the middle of
the paper, and their ruler says so.
"""

from dataclasses import dataclass, replace

from profiles.drawing.document import Document, Page
from profiles.drawing.geometry import moved
from profiles.drawing.recorder import Drawing
from profiles.drawing.ruler import LENGTH, WORDS
from profiles.drawing.shapes import Text

WORDS_CORRECTED = (
    "Print at 100 %. Corrected for {across:g} mm across, {up:g} mm up: this ruler must measure "
    "100 mm."
)


@dataclass(frozen=True, slots=True)
class Measured:
    """What 100 mm of a print measured, mm."""

    across: float
    up: float

    @property
    def factors(self) -> tuple[float, float]:
        """How much larger to draw, across and up."""
        return LENGTH / self.across, LENGTH / self.up


def correct_page(page: Page, measured: Measured) -> Page:
    """The page as such a printer must be given it.

    A page is printed with its long side along the paper's feed whichever way it is read, so what
    was measured across a page that stands upright is up one that lies.
    """
    across, up = measured.factors
    if page.width > page.height:
        across, up = up, across
    words = WORDS_CORRECTED.format(across=measured.across, up=measured.up)
    entries = []
    for entry in page.drawing.entries:
        shape = entry.shape
        if isinstance(shape, Text) and entry.layer == "ruler" and shape.words == WORDS:
            shape = replace(shape, words=words)
        entries.append(replace(entry, shape=shape))
    return replace(page, drawing=Drawing(tuple(entries)), stretch=(across, up))


def correct_tape(page: Page, measured: Measured) -> Page:
    """A page of tape as such a label printer must be given it: longer or shorter.

    Tape is fed along its words. Across it the dots of the head are where they are, so that nothing
    can be corrected there.
    """
    along = measured.factors[1]
    width = page.width * along
    drawing = page.drawing.transformed(moved((width - page.width) / 2, 0.0))
    return replace(page, width=width, drawing=drawing, stretch=(along, 1.0))


def correct_document(document: Document, measured: Measured, *, is_tape: bool = False) -> Document:
    """The document as such a printer must be given it."""
    correct = correct_tape if is_tape else correct_page
    return replace(document, pages=tuple(correct(page, measured) for page in document.pages))
