"""Holes in the plate: what controls, fixtures and screws sit in.

A file gives a diameter, `[width, height]`, or a table for any other shape:

| shape | keys |
|---|---|
| round | `diameter`, with `across_flats` (and `flats`), `keyway` or `countersink` if it has one |
| rectangle | `width`, `height`, and `corner_radius` |
| slot with round ends | `length`, `width` |

`as_hole` makes one value of all three. Flats and a keyway are at the top, a slot and a rectangle
lie level, before `angle` and the rotation of what sits in the hole turn them. Lengths mm.
"""

from collections.abc import Iterator
from functools import lru_cache
from math import cos, radians, sin
from typing import Annotated, Literal

from pydantic import Field

from profiles.model.base import Distance, Length, Value, judges

Size = Annotated[
    Length | Annotated[tuple[Length, Length], Field(strict=False)],
    Field(union_mode="left_to_right"),
]
"""A diameter in mm, or width and height in mm of a rectangle, seen from the front."""

_SHAPES = (("diameter",), ("width", "height"), ("length", "width"))


class Countersink(Value):
    """The cone that takes the head of a screw, open at the front of the plate."""

    diameter: Length
    angle: float = Field(default=90.0, gt=0, lt=180, allow_inf_nan=False)

    def depth(self, hole: float) -> float:
        """How deep the cone of a hole of this diameter is, mm."""
        half = radians(self.angle / 2)
        return (self.diameter - hole) / 2 * cos(half) / sin(half)


class Hole(Value):
    """A hole of any shape."""

    diameter: Length | None = None
    width: Length | None = None
    height: Length | None = None
    length: Length | None = None
    corner_radius: Distance = 0.0
    across_flats: Length | None = None
    flats: Literal[1, 2] = 2
    keyway: Annotated[tuple[Length, Length], Field(strict=False)] | None = None
    countersink: Countersink | None = None
    angle: float = Field(default=0.0, ge=-360, le=360, allow_inf_nan=False)

    @property
    def shape(self) -> Literal["round", "rectangle", "slot"]:
        """Which shape its keys make."""
        if self.diameter is not None:
            return "round"
        return "rectangle" if self.length is None else "slot"

    @property
    def sides(self) -> tuple[float, float]:
        """Width and height before any turn, a keyway left out, mm."""
        if self.diameter is not None:
            return self.diameter, self.diameter
        if self.length is not None:
            return self.length, self.width or 0.0
        return self.width or 0.0, self.height or 0.0

    @property
    def is_plain_round(self) -> bool:
        """Whether a drill alone makes it; a countersink may follow."""
        return self.shape == "round" and self.across_flats is None and self.keyway is None

    @property
    def extent(self) -> float | tuple[float, float]:
        """A diameter, or the width and height that it takes with its own angle, mm."""
        if self.diameter is not None:
            return self.diameter
        (width, height), turn = self.sides, radians(self.angle)
        across, up = round(abs(cos(turn)), 9), round(abs(sin(turn)), 9)
        return width * across + height * up, width * up + height * across

    @judges
    def _check_shape(self) -> Iterator[ValueError]:
        sizes = {"diameter", "width", "height", "length"}
        given = {key for key in sizes if getattr(self, key) is not None}
        if given not in [set(keys) for keys in _SHAPES]:
            yield ValueError(
                "needs `diameter`, or `width` and `height`, or `length` and `width`, and no other "
                "of these"
            )
            return
        for key in ("across_flats", "keyway", "countersink"):
            if getattr(self, key) is not None and self.diameter is None:
                yield ValueError(f"has `{key}`, which only a hole with a `diameter` takes")
        if self.length is not None and self.length <= (self.width or 0.0):
            yield ValueError("is a slot with a `length` no greater than its `width`")
        if self.corner_radius and self.shape != "rectangle":
            yield ValueError("has `corner_radius`, which only `width` and `height` take")
        elif self.corner_radius > min(self.sides) / 2:
            yield ValueError("has a `corner_radius` of more than half of its shorter side")

    @judges
    def _check_round(self) -> Iterator[ValueError]:
        cuts = ("across_flats", "keyway", "countersink")
        if len([key for key in cuts if getattr(self, key) is not None]) > 1:
            yield ValueError("can have only one of `across_flats`, `keyway` and `countersink`")
        if "flats" in self.model_fields_set and self.across_flats is None:
            yield ValueError("has `flats` but no `across_flats`")
        if self.diameter is None:
            return
        if self.keyway is not None and self.keyway[0] >= self.diameter:
            yield ValueError("has a `keyway` as wide as its `diameter`")
        if self.countersink is not None and self.countersink.diameter <= self.diameter:
            yield ValueError("has a `countersink` no wider than its `diameter`")
        if self.across_flats is not None:
            least = self.diameter / 2 if self.flats == 1 else 0.0
            if not least < self.across_flats < self.diameter:
                yield ValueError(
                    f"has `across_flats` of {self.across_flats:g} mm: expected more than "
                    f"{least:g} and less than its `diameter`"
                )


HoleSize = Annotated[
    Length | Annotated[tuple[Length, Length], Field(strict=False)] | Hole,
    Field(union_mode="left_to_right"),
]
"""A hole as a file gives it: a diameter, width and height, or a table."""


@lru_cache(maxsize=4096)
def as_hole(size: float | tuple[float, float] | Hole) -> Hole:
    """The hole that a file's value means."""
    if isinstance(size, Hole):
        return size
    if isinstance(size, tuple):
        return Hole(width=size[0], height=size[1])
    return Hole(diameter=size)
