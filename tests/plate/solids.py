"""The plate's shapes in shapely, the outside oracle of areas and distances."""

from typing import Any

import shapely

from profiles.plate.shapes import Shape

_shapely: Any = shapely
"""The library carries no types of its own."""


def rectangle(left: float, bottom: float, right: float, top: float) -> Any:
    """A rectangle by its edges, mm."""
    return _shapely.box(left, bottom, right, top)


def disc(x: float, y: float, radius: float) -> Any:
    """A disc by its centre and radius, mm; 512 segments a quarter."""
    return _shapely.Point(x, y).buffer(radius, quad_segs=512)


def solid(shape: Shape) -> Any:
    """The same shape, built from its core and its swell."""
    core = shape.core
    if core.left == core.right and core.bottom == core.top:
        return disc(core.left, core.bottom, shape.swell)
    flat = rectangle(*core)
    return flat.buffer(shape.swell, quad_segs=512) if shape.swell else flat
