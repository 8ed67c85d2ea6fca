"""What a plate weighs: its area without the holes, by thickness, density and infill.

`weigh` keeps every term, so that a sheet can show the arithmetic.
"""

from collections.abc import Iterable
from typing import NamedTuple

from profiles.plate.shapes import Outline, Shape


class Weight(NamedTuple):
    """The terms of a plate's mass."""

    outline: float
    """Area of the plate without its holes taken off, mm²."""
    holes: float
    """Area of all holes, mm²."""
    thickness: float
    """mm."""
    density: float
    """g/cm³."""
    infill: float
    """Share of the volume that is material, above 0 and at most 1."""
    sunk: float = 0.0
    """Volume of all countersinks beside their holes, mm³."""

    @property
    def area(self) -> float:
        """Area of the plate, mm²."""
        return self.outline - self.holes

    @property
    def volume(self) -> float:
        """Volume, cm³."""
        return (self.area * self.thickness - self.sunk) / 1000

    @property
    def mass(self) -> float:
        """Mass, g."""
        return self.volume * self.density * self.infill


def weigh(
    outline: Shape,
    holes: Iterable[Outline],
    thickness: float,
    density: float,
    infill: float = 1.0,
    sunk: float = 0.0,
) -> Weight:
    """Weigh a plate of mm outline, holes and thickness, g/cm³ density and infill 0 to 1.

    `sunk` is what countersinks take away beside their holes, mm³.

    Infill is taken evenly through the whole plate: printed walls and skins, which are not hollow,
    make a printed plate heavier. Holes must not overlap. Raises ValueError for infill out of range.
    """
    if not 0 < infill <= 1:
        raise ValueError(f"infill {infill}: expected a share above 0 and at most 1")
    return Weight(outline.area, sum(hole.area for hole in holes), thickness, density, infill, sunk)
