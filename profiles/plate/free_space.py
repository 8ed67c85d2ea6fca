"""The ground labels are laid on: the plate's outline and everything no label may meet.

`Ground` is built once for a plate and asked many times how much room there is beside a point of
a horizontal band. Lengths in millimetres.
"""

from __future__ import annotations

from collections.abc import Iterable
from math import floor, inf, sqrt

from profiles.plate.shapes import Box, Shape, inset, touches

__all__ = ["FreeSpace"]

_STRIPE = 10.0
"""Height of the stripes by which obstacles are looked up, mm."""

_HAIR = 1e-9

_Flat = tuple[float, float, float, float, float]


class FreeSpace:
    """A plate with its obstacles; `clear` mm are kept from each, `edge` mm from the outline."""

    def __init__(
        self, outline: Shape, obstacles: Iterable[Shape], *, clear: float, edge: float
    ) -> None:
        self.outline = outline
        self.obstacles = tuple(obstacles)
        self.clear = clear
        self.edge = edge
        self._limits = _eroded(outline, edge)
        self._stripes: dict[int, list[_Flat]] = {}
        for shape in self.obstacles:
            self._enter(shape)

    def _enter(self, shape: Shape) -> None:
        core, reach = shape.core, shape.swell + self.clear
        flat = (core.left, core.bottom, core.right, core.top, reach)
        first, last = floor((core.bottom - reach) / _STRIPE), floor((core.top + reach) / _STRIPE)
        for stripe in range(first, last + 1):
            self._stripes.setdefault(stripe, []).append(flat)

    def room(self, x: float, bottom: float, top: float) -> tuple[float, float]:
        """Free width to the left and to the right of `x` in a band, mm; (0, 0) where x is taken."""
        left, right = self._within_outline(x, bottom, top)
        if left <= 0 or right <= 0:
            return 0.0, 0.0
        for stripe in range(floor(bottom / _STRIPE), floor(top / _STRIPE) + 1):
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
        first, last = floor(box.bottom / _STRIPE), floor(box.top / _STRIPE)
        return not any(
            _meets(box, flat)
            for stripe in range(first, last + 1)
            for flat in self._stripes.get(stripe, ())
        )

    def is_free_on(self, box: Box, front: Shape) -> bool:
        """Whether a box on a front is on the plate and keeps its distance from all others."""
        others = (shape for shape in self.obstacles if shape != front)
        return inset(box, self.outline) >= 0 and not any(
            touches(box, shape, self.clear) for shape in others
        )

    def _within_outline(self, x: float, bottom: float, top: float) -> tuple[float, float]:
        core, swell = self._limits
        away = max(core.bottom - bottom, top - core.top, 0.0)
        if away > swell:
            return -inf, -inf
        reach = sqrt(swell * swell - away * away)
        return x - core.left + reach, core.right + reach - x


def _meets(box: Box, flat: _Flat) -> bool:
    left, bottom, right, top, reach = flat
    across = max(left - box.right, box.left - right, 0.0)
    up = max(bottom - box.top, box.bottom - top, 0.0)
    return across * across + up * up < reach * reach - _HAIR


def _eroded(outline: Shape, edge: float) -> tuple[Box, float]:
    """Core and swell of the outline with a strip of `edge` mm taken off."""
    if outline.swell >= edge:
        return outline.core, outline.swell - edge
    return outline.core.grown(outline.swell - edge), 0.0
