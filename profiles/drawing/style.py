"""How a line and a letter look: ink, line width, dash, fill, face, height.

Colours are `#rrggbb`. Meaning never hangs on colour alone: sheets are often printed in grey.
"""

from dataclasses import dataclass

from profiles.lettering import REGULAR, Face, em_for_cap_height, width_mm

BLACK = "#000000"
GREY = "#6b6b6b"
"""Second voice: captions, guides. Contrast with white 5.3 to 1 (WCAG 2.2 asks 4.5 of text)."""
PALE = "#e6e6e6"
"""Fill behind black letters, and lines that only guide the eye."""
WHITE = "#ffffff"


@dataclass(frozen=True, slots=True)
class Style:
    """Line and fill of a path or circle."""

    width: float | None = 0.25
    """Line width in mm; None draws no line."""
    ink: str = BLACK
    dash: tuple[float, ...] = ()
    """Lengths in mm of dash, gap, dash, gap and so on; empty is unbroken."""
    fill: str | None = None

    @property
    def half_width(self) -> float:
        """What the line adds on each side of its path, in mm."""
        return (self.width or 0.0) / 2


@dataclass(frozen=True, slots=True)
class Lettering:
    """How a text is lettered."""

    cap_height: float = 2.5
    """Height of capitals in mm."""
    face: Face = REGULAR
    ink: str = BLACK
    condense: float = 1.0
    """Horizontal scale; 1 is the face as drawn, less is narrower."""

    @property
    def em(self) -> float:
        """Type size in mm."""
        return em_for_cap_height(self.face, self.cap_height)

    def width(self, text: str) -> float:
        """Return the width of a text, in mm."""
        return width_mm(self.face, text, self.cap_height, self.condense)
