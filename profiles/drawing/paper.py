"""Paper sizes, margins and the one table of units.

A3, A4 and A5 are ISO 216 (297 x 420, 210 x 297, 148 x 210 mm); Letter and Legal are 8.5 x 11 and
8.5 x 14 inches (ANSI/ASME Y14.1 size A is Letter; Legal is unverified).
"""

from dataclasses import dataclass, replace

from profiles.drawing.geometry import Box

MM_PER_INCH = 25.4
"""Exact since the international yard of 1959."""
POINTS_PER_MM = 72 / MM_PER_INCH
"""PDF default user unit: 1/72 inch (ISO 32000-1, 8.3.2.3)."""
PIXELS_PER_MM = 96 / MM_PER_INCH
"""CSS reference pixel: 1/96 inch (CSS Values and Units, absolute lengths)."""


def points(mm: float) -> float:
    """Return mm as PDF points."""
    return mm * POINTS_PER_MM


def pixels(mm: float) -> float:
    """Return mm as CSS pixels."""
    return mm * PIXELS_PER_MM


def mm_of_points(value: float) -> float:
    """Return PDF points as mm."""
    return value / POINTS_PER_MM


def mm_of_inches(value: float) -> float:
    """Return inches as mm."""
    return value * MM_PER_INCH


@dataclass(frozen=True, slots=True)
class Paper:
    """A size of paper in mm, with the margin printers leave blank."""

    name: str
    width: float
    height: float
    margin: float = 10.0
    """Kept clear on every side, in mm; common office printers need 3 to 6 (rule of thumb)."""

    @property
    def landscape(self) -> "Paper":
        """The same paper with its long side across."""
        long, short = max(self.width, self.height), min(self.width, self.height)
        return replace(self, width=long, height=short)

    @property
    def turned(self) -> "Paper":
        """The same paper with width and height exchanged."""
        return replace(self, width=self.height, height=self.width)

    @property
    def box(self) -> Box:
        """The whole paper."""
        return Box(0.0, 0.0, self.width, self.height)

    @property
    def printable(self) -> Box:
        """The paper within its margins."""
        return self.box.grown(-self.margin)


A3 = Paper("A3", 297.0, 420.0)
A4 = Paper("A4", 210.0, 297.0)
A5 = Paper("A5", 148.0, 210.0)
LETTER = Paper("Letter", mm_of_inches(8.5), mm_of_inches(11.0))
LEGAL = Paper("Legal", mm_of_inches(8.5), mm_of_inches(14.0))

PAPERS = {paper.name.lower(): paper for paper in (A3, A4, A5, LETTER, LEGAL)}
"""Papers by the name a person types, in small letters."""
