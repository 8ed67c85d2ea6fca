"""Where labels may go: the plate's outline and everything that no label may meet.

`FreeSpace` is built once for a plate and asked many times how much room there is beside a point of
a horizontal band. Lengths in millimetres.
"""

from collections.abc import Iterable
from math import floor, sqrt

from profiles.plate.shapes import Box, Shape, inset, touches

_STRIPE = 10.0
"""Height of the stripes by which obstacles are looked up, mm."""

_HAIR = 1e-9

_Flat = tuple[float, float, float, float, float]
"""An obstacle's core, edge by edge, and how far around it no label may come."""


class FreeSpace:
    """A plate with its obstacles; `clear` mm are kept from each, `edge` mm from the outline."""

    def __init__(
        self, outline: Shape, obstacles: Iterable[Shape], *, clear: float, edge: float
    ) -> None:
        self.outline = outline
        self.obstacles = tuple(obstacles)
        self.clear = clear
        self.edge = edge
        shrink = min(0.0, outline.swell - edge)
        self._inner, self._swell = outline.core.grown(shrink), max(0.0, outline.swell - edge)
        self._stripes: dict[int, list[_Flat]] = {}
        for shape in self.obstacles:
            core, reach = shape.core, shape.swell + clear
            for stripe in _stripes(core.bottom - reach, core.top + reach):
                self._stripes.setdefault(stripe, []).append((*core, reach))

    def room(self, x: float, bottom: float, top: float) -> tuple[float, float]:
        """Free width to the left and to the right of `x` in a band, mm; (0, 0) where x is taken."""
        away = max(self._inner.bottom - bottom, top - self._inner.top, 0.0)
        if away > self._swell:
            return 0.0, 0.0
        curve = sqrt(self._swell * self._swell - away * away)
        left, right = x - self._inner.left + curve, self._inner.right + curve - x
        if left <= 0 or right <= 0:
            return 0.0, 0.0
        for stripe in _stripes(bottom, top):
            for low_x, low_y, high_x, high_y, reach in self._stripes.get(stripe, ()):
                away = low_y - top if low_y > top else bottom - high_y
                if away >= reach:
                    continue
                swell = sqrt(reach * reach - away * away) if away > 0 else reach
                if high_x + swell <= x + _HAIR:
                    left = min(left, x - high_x - swell)
                elif low_x - swell >= x - _HAIR:
                    right = min(right, low_x - swell - x)
                else:
                    return 0.0, 0.0
        return left, right

    def is_free(self, box: Box) -> bool:
        """Whether a box keeps its distance from the outline and every obstacle."""
        if inset(box, self.outline) < self.edge - _HAIR:
            return False
        for stripe in _stripes(box.bottom, box.top):
            for left, bottom, right, top, reach in self._stripes.get(stripe, ()):
                across = max(left - box.right, box.left - right, 0.0)
                up = max(bottom - box.top, box.bottom - top, 0.0)
                if across * across + up * up < reach * reach - _HAIR:
                    return False
        return True

    def is_free_on(self, box: Box, front: Shape) -> bool:
        """Whether a box on a front is on the plate and keeps its distance from all others."""
        others = (shape for shape in self.obstacles if shape != front)
        return inset(box, self.outline) >= 0 and not any(
            touches(box, shape, self.clear) for shape in others
        )


def _stripes(bottom: float, top: float) -> range:
    return range(floor(bottom / _STRIPE), floor(top / _STRIPE) + 1)
