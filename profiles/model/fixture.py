"""Fixtures: what sits in the plate without a function of its own, and extra lines of the bill."""

from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import Field

from profiles.model.base import Identifier, Note, Point, Value, Words, judges
from profiles.model.control_value import Amount, Price
from profiles.model.hole import HoleSize, Size

FixtureKind = Literal[
    "blank-plug", "socket", "meter", "display", "screw", "cable-gland", "vent", "other"
]
"""What a fixture is, for lists; the plate treats all alike."""


class Fixture(Value):
    """What sits in the plate without being a control: a socket, a blank plug, a meter."""

    kind: FixtureKind
    name: Words | None = None
    position: Point
    hole: HoleSize
    front: Size | None = None
    rotation: float = Field(default=0.0, ge=-360, le=360, allow_inf_nan=False)
    part: Identifier | None = None
    unit_price: Price | None = None
    note: Note = ""

    @property
    def cover(self) -> float | tuple[float, float] | None:
        """Size of what covers the plate, mm; None for the hole alone."""
        return self.front

    @property
    def title(self) -> str:
        """Its name, or else what it is."""
        return self.name or self.kind.replace("-", " ")


Need = Literal["board", "screws", "diodes", "chips", "resistors", "wire"]
"""What a box needs besides parts, by kind."""


class Extra(Value):
    """Something else to pay for: the board, inserts, cable, filament by its mass."""

    name: Words
    quantity: Amount = "1"
    unit: Words | None = None
    unit_price: Price | None = None
    mass: Amount | None = None
    price_per_kg: Price | None = None
    covers: Annotated[tuple[Need, ...], Field(strict=False)] = ()
    note: Note = ""

    @judges
    def _check_price(self) -> Iterator[ValueError]:
        if self.unit_price is not None and self.price_per_kg is not None:
            yield ValueError("has both a `unit_price` and a `price_per_kg`")
        if self.price_per_kg is not None and self.mass is None:
            yield ValueError("has a `price_per_kg` but no `mass`")
