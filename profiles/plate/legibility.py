"""How tall, how bold and how clear a label must be to be read. Lengths in millimetres.

- `height_for`, `angle_of`: capital height for a visual angle at a distance, and back.
- `readable_height`, `preferred_height`: the two heights that labels are held to.
- `stroke_limits`: width of the strokes for a height and a polarity.
- `contrast`, `contrast_needed`: WCAG 2.x contrast of two colours, and what a text needs.

All rules speak of the height of a capital letter, never of a font's nominal size.
"""

from math import atan, pi, tan
from re import fullmatch
from typing import Literal, NamedTuple

READABLE_ANGLE = 15.0
"""Least visual angle of a label's capitals in minutes of arc (NUREG-0700 Rev.3, 11.4.1.5-1).

The guide prints "distance x 0.004" beside it, which is rounded down: that is 13.75 minutes.
"""

PREFERRED_ANGLE = 20.0
"""Preferred visual angle of a label's capitals, minutes of arc (NUREG-0700 Rev.3, 11.4.1.5-1)."""

CONTRAST_TEXT = 4.5
"""WCAG 2.x success criterion 1.4.3: least contrast of text."""

CONTRAST_LARGE_TEXT = 3.0
"""WCAG 2.x success criterion 1.4.3: least contrast of large text."""

CONTRAST_ENHANCED = 7.0
"""WCAG 2.x success criterion 1.4.6: enhanced contrast of text."""

_LARGE_POINTS = 18.0
_LARGE_BOLD_POINTS = 14.0
_MINUTES_PER_RADIAN = 180 * 60 / pi


def height_for(distance: float, minutes: float) -> float:
    """Capital height in mm that fills `minutes` of arc at `distance` mm.

    The exact H = 2·d·tan(θ/2); NUREG-0700 Rev.2, 1.3.1-4 gives its small-angle form
    H = 6.283·D·MA/21600.
    """
    return 2 * distance * tan(minutes / _MINUTES_PER_RADIAN / 2)


def angle_of(height: float, distance: float) -> float:
    """Visual angle in minutes of arc of a height in mm seen from `distance` mm."""
    return 2 * atan(height / (2 * distance)) * _MINUTES_PER_RADIAN


def readable_height(distance: float) -> float:
    """Least capital height in mm of a label read from `distance` mm."""
    return height_for(distance, READABLE_ANGLE)


def preferred_height(distance: float) -> float:
    """Preferred capital height in mm of a label read from `distance` mm."""
    return height_for(distance, PREFERRED_ANGLE)


class StrokeLimits(NamedTuple):
    """Narrowest and widest advised stroke, mm."""

    least: float
    most: float


def stroke_limits(height: float, *, light_on_dark: bool) -> StrokeLimits:
    """Advised stroke width in mm for capitals of `height` mm.

    DOD-HDBK-791, 6-5.3.2.3: one sixth of the height for dark letters on a light ground, one
    seventh to one eighth for light letters on a dark ground, which seem to spread.
    """
    if light_on_dark:
        return StrokeLimits(height / 8, height / 7)
    return StrokeLimits(height / 6, height / 6)


def luminance(colour: str) -> float:
    """Relative luminance 0..1 of a colour written #rgb or #rrggbb.

    WCAG 2.x definition. Its threshold 0.03928 and the 0.04045 of sRGB agree on every 8-bit
    channel. Raises ValueError for anything else.
    """
    if not fullmatch("#(?:[0-9a-fA-F]{3}){1,2}", colour):
        raise ValueError(f"colour {colour!r}: expected #rgb or #rrggbb, for example #1a2b3c")
    digits = colour[1:] if len(colour) == 7 else "".join(digit * 2 for digit in colour[1:])
    channels = [channel / 255 for channel in bytes.fromhex(digits)]
    red, green, blue = (
        channel / 12.92 if channel <= 0.03928 else ((channel + 0.055) / 1.055) ** 2.4
        for channel in channels
    )
    return float(0.2126 * red + 0.7152 * green + 0.0722 * blue)


def contrast(ink: str, ground: str) -> float:
    """WCAG 2.x contrast ratio of two colours, 1 to 21, not rounded: 4.499 is below 4.5."""
    dark, light = sorted((luminance(ink), luminance(ground)))
    return (light + 0.05) / (dark + 0.05)


def contrast_needed(size: float, weight: Literal["regular", "bold"] = "regular") -> float:
    """Least contrast of a text whose nominal font size is `size` points (not capital height).

    WCAG 2.x, 1.4.3: 18 points, or 14 points bold, count as large text.
    """
    large = _LARGE_BOLD_POINTS if weight == "bold" else _LARGE_POINTS
    return CONTRAST_LARGE_TEXT if size >= large else CONTRAST_TEXT
