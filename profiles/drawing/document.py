"""Drawings on pages, pages in a document: what a writer is handed.

Pages are as large as their paper; a page's origin is its lower left corner.
"""

from dataclasses import dataclass

from profiles.drawing.recorder import Drawing


@dataclass(frozen=True, slots=True)
class Page:
    """One side of paper: its size in mm and the drawing on it."""

    width: float
    height: float
    drawing: Drawing
    name: str = ""


@dataclass(frozen=True, slots=True)
class Document:
    """Pages with a title, in printing order."""

    pages: tuple[Page, ...]
    title: str = ""
    subject: str = ""
