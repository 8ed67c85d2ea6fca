"""Drawings on pages, pages in a document: what a writer is handed.

Pages are as large as their paper; a page's origin is its lower left corner.
"""

from dataclasses import dataclass

from profiles.drawing.geometry import Box
from profiles.drawing.recorder import Drawing


@dataclass(frozen=True, slots=True)
class Page:
    """One side of paper: its size in mm and the drawing on it."""

    width: float
    height: float
    drawing: Drawing
    name: str = ""
    stretch: tuple[float, float] = (1.0, 1.0)
    """How much larger a printer that errs must be given it across and up, about its middle."""
    trim: Box | None = None
    """Where a print shop cuts; None for the whole page."""
    bleed: float = 0.0
    """How far ink goes beyond the trim, mm."""


@dataclass(frozen=True, slots=True)
class Document:
    """Pages with a title, in printing order."""

    pages: tuple[Page, ...]
    title: str = ""
    subject: str = ""
    date: str = ""
    """As it is in the title blocks; empty for none."""
