"""Where labels may go: the plate's outline and everything that no label may meet.

`FreeSpace` is built once for a plate and asked many times whether a box is free. Lengths in
millimetres.
"""

from collections.abc import Iterable
from math import floor

from profiles.plate.shapes import Rectangle, Shape, inset, touches

_STRIPE = 10.0
"""Height of the stripes by which obstacles are looked up, mm."""

_HAIR = 1e-9

_Flat = tuple[float, float, float, float, float, bool]
"""An obstacle's core, edge by edge, its swell, and whether it is a front."""


class FreeSpace:
    """A plate with its fronts and all else that no label may meet.

    `clear` mm are kept from each, `edge` mm from the outline.
    """

    def __init__(
        self,
        outline: Shape,
        fronts: Iterable[Shape],
        others: Iterable[Shape] = (),
        *,
        clear: float,
        edge: float,
    ) -> None:
        self.outline = outline
        self.fronts, self.others = tuple(fronts), tuple(others)
        self.clear = clear
        self.edge = edge
        self._most = outline.bounds.grown(_HAIR - edge)
        self._surely = outline.bounds.grown(-max(edge, outline.swell))
        self._stripes: dict[int, list[_Flat]] = {}
        self._shapes: dict[int, list[Shape]] = {}
        for shapes, are_fronts in ((self.fronts, True), (self.others, False)):
            for shape in shapes:
                core, reach = shape.core, shape.swell + clear
                for stripe in _stripes(core.bottom - reach, core.top + reach):
                    flat = (*core, shape.swell, are_fronts)
                    self._stripes.setdefault(stripe, []).append(flat)
                    self._shapes.setdefault(stripe, []).append(shape)

    def is_free(self, box: Rectangle, own: Shape | None = None, apart: float = 0.0) -> bool:
        """Whether a box keeps its distance from the outline and every obstacle.

        It keeps `apart` mm from every front but its own, if that is more than all labels keep; its
        own front it may touch.
        """
        left, bottom, right, top = box
        most, sure = self._most, self._surely
        if left < most[0] or bottom < most[1] or right > most[2] or top > most[3]:
            return False
        is_sure = left >= sure[0] and bottom >= sure[1] and right <= sure[2] and top <= sure[3]
        if not is_sure and inset(box, self.outline) < self.edge - _HAIR:
            return False
        mine = (*own.core, own.swell, True) if own else None
        wide = max(apart, self.clear)
        more = wide - self.clear
        for stripe in _stripes(bottom - more, top + more):
            for flat in self._stripes.get(stripe, ()):
                low_x, low_y, high_x, high_y, swell, is_front = flat
                reach = swell + (wide if is_front else self.clear)
                across = low_x - right if low_x > right else left - high_x
                if across >= reach:
                    continue
                up = low_y - top if low_y > top else bottom - high_y
                if up >= reach:
                    continue
                if flat == mine:
                    reach = swell
                away = across * across if across > 0 else 0.0
                if up > 0:
                    away += up * up
                if away < reach * reach - _HAIR or (across < -_HAIR and up < -_HAIR):
                    return False
        return True

    def is_free_on(self, box: Rectangle, front: Shape) -> bool:
        """Whether a box on a front is on the plate and keeps its distance from all others."""
        return inset(box, self.outline) >= 0 and not any(
            shape != front and touches(box, shape, self.clear)
            for stripe in _stripes(box.bottom, box.top)
            for shape in self._shapes.get(stripe, ())
        )

    def strangers(self, own: Shape) -> tuple[Shape, ...]:
        """Every front but this."""
        return tuple(front for front in self.fronts if front != own)


def _stripes(bottom: float, top: float) -> range:
    return range(floor(bottom / _STRIPE), floor(top / _STRIPE) + 1)
