"""The three shapes everything is made of: `Stroke`, `Circle` and `Text`, as frozen values in mm."""

from dataclasses import dataclass, replace
from math import cos, radians, sin
from typing import Literal

from profiles.drawing.geometry import Box, Point, Transform, box_around, turned
from profiles.drawing.paths import Path
from profiles.drawing.style import Lettering, Style

Anchor = Literal["left", "middle", "right"]

_OPPOSITE: dict[Anchor, Anchor] = {"left": "right", "middle": "middle", "right": "left"}
_SHARE: dict[Anchor, float] = {"left": 0.0, "middle": 0.5, "right": 1.0}


@dataclass(frozen=True, slots=True)
class Stroke:
    """A path with its line and fill."""

    path: Path
    style: Style

    def transformed(self, by: Transform) -> "Stroke":
        """Return the stroke carried over; the width of its line stays."""
        return Stroke(self.path.transformed(by), self.style)

    def bounds(self) -> Box:
        """Return the box of the path itself."""
        return self.path.bounds()

    def ink_bounds(self) -> Box:
        """Return the box of the path and the width of its line (joins are round)."""
        return self.bounds().grown(self.style.half_width)


@dataclass(frozen=True, slots=True)
class Circle:
    """A full circle."""

    centre: Point
    diameter: float
    style: Style

    def transformed(self, by: Transform) -> "Circle":
        """Return the circle carried over; the width of its line stays."""
        return Circle(by.apply(self.centre), self.diameter * by.scale, self.style)

    def bounds(self) -> Box:
        """Return the box of the circle itself."""
        x, y = self.centre
        return Box(x, y, x, y).grown(self.diameter / 2)

    def ink_bounds(self) -> Box:
        """Return the box of the circle and the width of its line."""
        return self.bounds().grown(self.style.half_width)


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text, its baseline at `at`."""

    at: Point
    words: str
    lettering: Lettering
    anchor: Anchor = "left"
    angle: float = 0.0
    """Direction of reading in degrees, anticlockwise from x."""
    reversed: bool = False
    """Truly mirrored, to be read from behind."""

    @property
    def width(self) -> float:
        """Length of the text along its baseline, in mm."""
        return self.lettering.width(self.words)

    def transformed(self, by: Transform) -> "Text":
        """Return the text carried over, mirrored where the transform mirrors."""
        lettering = self.lettering
        if abs(by.scale - 1) > 1e-9:
            lettering = replace(lettering, cap_height=lettering.cap_height * by.scale)
        is_mirrored = self.reversed != by.mirrors
        angle = by.turn(self.angle)
        return Text(by.apply(self.at), self.words, lettering, self.anchor, angle, is_mirrored)

    def readable(self) -> "Text":
        """Return the text on the same spot, never mirrored, read from below or from the right."""
        text = self
        if text.reversed:
            anchor = _OPPOSITE[text.anchor]
            angle = turned(180).turn(text.angle)
            text = replace(text, anchor=anchor, angle=angle, reversed=False)
        if -90 + 1e-6 < text.angle <= 90 + 1e-6:
            return text
        about = box_around(text.cap_corners()).centre
        return text.transformed(turned(180.0, about))

    def frame(self, left: float, bottom: float, right: float, top: float) -> tuple[Point, ...]:
        """Return corners of a box given along the baseline, carried to the place of the text."""
        along = (cos(radians(self.angle)), sin(radians(self.angle)))
        sign = -1.0 if self.reversed else 1.0
        up = (-along[1] * sign, along[0] * sign)
        x, y = self.at
        return tuple(
            (x + along[0] * u + up[0] * v, y + along[1] * u + up[1] * v)
            for u, v in Box(left, bottom, right, top).corners
        )

    def cap_corners(self) -> tuple[Point, ...]:
        """Return corners of the box from the baseline to the top of capitals."""
        start = -self.width * _SHARE[self.anchor]
        return self.frame(start, 0.0, start + self.width, self.lettering.cap_height)

    def start(self) -> Point:
        """Return where the first letter starts on the baseline."""
        if self.anchor == "left":
            return self.at
        back = self.width * _SHARE[self.anchor]
        turn = radians(self.angle)
        return (self.at[0] - back * cos(turn), self.at[1] - back * sin(turn))

    def bounds(self) -> Box:
        """Return the box of the room the letters may take, accents and descenders included."""
        start, em, face = -self.width * _SHARE[self.anchor], self.lettering.em, self.lettering.face
        corners = self.frame(start, -face.descent * em, start + self.width, face.ascent * em)
        return box_around(corners)

    def ink_bounds(self) -> Box:
        """Return the same as `bounds`: letters have no line around them."""
        return self.bounds()


Shape = Stroke | Circle | Text
