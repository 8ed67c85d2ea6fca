"""Line widths and dashes with a meaning, the only place where they are chosen.

Widths are of the series 0.13, 0.18, 0.25, 0.35, 0.5, 0.7 mm and of line group 0.5, in which wide
lines are 0.5, narrow lines 0.25 and lettering and symbols 0.35 (ISO 128-24; unverified). Dashes
are counted in line widths: dash 12, long dash 24, gap 3, dot 0.5 (ISO 128-2; unverified).
"""

from profiles.drawing.style import BLACK, GREY, PALE, Style

WIDE = 0.5
MIDDLE = 0.35
NARROW = 0.25
HAIR = 0.13

OUTLINE = Style(WIDE)
"""Edge of the work: the plate, a strip, the frame of a sheet."""
HOLE = Style(MIDDLE)
"""Holes to cut or drill, and signs that must be seen."""
FRONT = Style(NARROW)
"""Parts that cover the work: fronts, knobs, nuts."""


def dashed(width: float) -> tuple[float, ...]:
    """Return the dashes of a hidden edge drawn `width` mm wide."""
    return (12 * width, 3 * width)


def chain(width: float) -> tuple[float, ...]:
    """Return the long dashes and dots of a centre line drawn `width` mm wide."""
    return (24 * width, 3 * width, 0.5 * width, 3 * width)


def double_chain(width: float) -> tuple[float, ...]:
    """Return the long dashes and double dots of a neighbouring part drawn `width` mm wide."""
    return (24 * width, 3 * width, 0.5 * width, 3 * width, 0.5 * width, 3 * width)


HIDDEN = Style(NARROW, dash=dashed(NARROW))
"""What lies behind the work."""
CENTRE = Style(0.18, dash=chain(0.18))
"""Axes and lines of symmetry."""
NEIGHBOUR = Style(NARROW, dash=double_chain(NARROW))
"""What belongs to another part, such as the next tile."""
DIMENSION = Style(0.18)
"""Dimension and extension lines, leaders, tables."""
GUIDE = Style(HAIR, ink=GREY)
"""Where to cut or fold paper, and what lines up sheets."""
GRID = Style(HAIR, ink=PALE)
"""Lines that only guide the eye."""


def fill(colour: str = BLACK) -> Style:
    """Return a style that fills and draws no line."""
    return Style(None, fill=colour)
