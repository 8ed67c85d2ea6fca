"""What every kind of control has in common: place, front, wiring, numbers, LED, price.

A value is one table in a file. The kinds themselves, and what contacts each has, are in `control`.
"""

from collections.abc import Iterator, Mapping
from functools import cached_property
from typing import Annotated, Literal, TypeVar

from pydantic import BeforeValidator, Field, JsonValue

from profiles.model.base import (
    Identifier,
    InputNumber,
    Legend,
    Length,
    Note,
    PinName,
    Point,
    UnknownName,
    UnknownNamesError,
    Value,
    Words,
    judges,
)
from profiles.model.hole import HoleSize, Size, as_hole
from profiles.text.sign_words import speak

LinePlace = Annotated[int, Field(ge=1, le=256)]
Crossing = Annotated[tuple[LinePlace, LinePlace], Field(strict=False)]
"""Row and column of the matrix, both counted from 1."""

PositionNumber = Annotated[int, Field(ge=1, le=48)]
Positions = Annotated[tuple[PositionNumber, ...], Field(strict=False, max_length=48)]
"""Positions of a selector, counted from 1."""

T = TypeVar("T")

LabelPlace = Literal["above", "below", "left", "right", "inside"]


TURNS = ("clockwise", "anticlockwise")
"""The contacts of a rotary that are its channels A and B."""

FINGERS = ("press", "pull")
"""Contacts that are closed only while a finger is on them; they share no common with others."""


def name_position(number: int) -> str:
    """The contact of a selector's position."""
    return f"position-{number}"


def _money_as_text(value: object) -> object:
    """Keep a price exact: a number in a file is read by its written digits."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        return repr(value)
    return value


_MONEY = r"^[0-9]{1,9}(\.[0-9]{1,4})?$"
_MONEY_IN_FILES: dict[str, JsonValue] = {
    "type": ["string", "number"],
    "pattern": _MONEY,
    "minimum": 0,
}

Price = Annotated[
    str,
    BeforeValidator(_money_as_text),
    Field(pattern=_MONEY, json_schema_extra=_MONEY_IN_FILES),
]
"""Decimal money for one piece, such as 1.25; kept as its digits."""

Amount = Price
"""A decimal number of pieces, metres or grams; kept as its digits."""


class Led(Value):
    """A light-emitting diode in a control.

    It `follows` the board's power, a contact, or several contacts joined by `+`: a layer, lit while
    all of them are closed. It is wired to a pin, to a transistor that a pin switches (`driver`), to
    a crossing of the LED matrix, or to the supply alone.
    """

    follows: Words = "power"
    colour: Words = "white"
    forward_voltage: float = Field(gt=0, le=60, allow_inf_nan=False)
    current: float = Field(gt=0, le=1000, allow_inf_nan=False)
    supply: float | None = Field(default=None, gt=0, le=60, allow_inf_nan=False)
    pin: PinName | None = None
    driver: bool = False
    lit: Literal["high", "low"] = "high"
    crossing: Crossing | None = None
    unit_price: Price | None = None

    @judges
    def _check_wires(self) -> Iterator[ValueError]:
        if self.pin is not None and self.crossing is not None:
            yield ValueError("has both a `pin` and a `crossing`")
        if self.pin is None and self.driver:
            yield ValueError("has a `driver` but no `pin` that switches it")


class ControlValue(Value):
    """What every kind of control has in common."""

    label: Legend
    short: Legend | None = None
    position: Point
    hole: HoleSize
    front: Size | None = None
    guard: Annotated[tuple[Length, Length], Field(strict=False)] | None = None
    rotation: float = Field(default=0.0, ge=-360, le=360, allow_inf_nan=False)
    labels: dict[str, Legend] = Field(default_factory=dict)
    label_place: LabelPlace | None = None
    label_at: Point | None = None
    input: InputNumber | None = None
    inputs: dict[str, InputNumber] = Field(default_factory=dict)
    crossing: Crossing | None = None
    crossings: dict[str, Crossing] = Field(default_factory=dict)
    pin: PinName | None = None
    pins: dict[str, PinName] = Field(default_factory=dict)
    common: PinName | None = None
    bit: Annotated[int, Field(ge=1, le=256)] | None = None
    bits: dict[str, Annotated[int, Field(ge=1, le=256)]] = Field(default_factory=dict)
    concentric_with: Identifier | None = None
    part: Identifier | None = None
    unit_price: Price | None = None
    led: Led | None = None
    note: Note = ""

    @property
    def contacts(self) -> tuple[str, ...]:
        """The contacts this control can have, in their natural order."""
        raise NotImplementedError

    @property
    def fields(self) -> tuple[str, ...]:
        """Contacts that the host meets as a hat or an axis, so that they have no input number."""
        return ()

    @property
    def main_contact(self) -> str | None:
        """The contact that singular keys serve; None where there is no such one."""
        return None

    @property
    def positions_held(self) -> tuple[str, ...]:
        """The contact of each position the control can be put to, in mechanical order."""
        return ()

    @property
    def sprung(self) -> frozenset[str]:
        """The positions from which it springs back."""
        return frozenset()

    @property
    def rest_contact(self) -> str | None:
        """The contact that is closed while nobody touches the control."""
        return None

    @property
    def is_pulsing(self) -> bool:
        """Whether changes of position pulse; otherwise inputs stay down at their position."""
        return False

    @property
    def spoken_label(self) -> str:
        """The label with its signs in plain words, for where nothing is drawn."""
        return speak(self.label)

    @property
    def wired_contacts(self) -> frozenset[str]:
        """The contacts that have a crossing, a pin or a bit."""
        tables = (self.crossing_by_contact, self.pin_by_contact, self.bit_by_contact)
        return frozenset().union(*tables)

    @judges
    def _check_contacts(self) -> Iterator[ValueError]:
        unknown = [
            UnknownName("contact", (key, contact), contact, self.contacts)
            for key in ("inputs", "crossings", "pins", "bits", "labels")
            for contact in getattr(self, key)
            if contact not in self.contacts
        ]
        if unknown:
            yield UnknownNamesError(unknown, "kind")

    @judges
    def _check_single(self) -> Iterator[ValueError]:
        for single in ("input", "crossing", "pin", "bit"):
            if getattr(self, single) is None:
                continue
            if self.main_contact is None:
                yield ValueError(f"`{single}` needs one value a contact here: write `{single}s`")
            elif self.main_contact in getattr(self, f"{single}s"):
                yield ValueError(f"`{single}` and `{single}s` both give `{self.main_contact}`")

    def _by_contact(self, single: T | None, table: Mapping[str, T]) -> dict[str, T]:
        found = dict(table)
        if single is not None and self.main_contact is not None:
            found[self.main_contact] = single
        return {contact: found[contact] for contact in self.contacts if contact in found}

    @cached_property
    def input_by_contact(self) -> dict[str, int]:
        """Declared input numbers by contact, singular key included."""
        return self._by_contact(self.input, self.inputs)

    @cached_property
    def crossing_by_contact(self) -> dict[str, tuple[int, int]]:
        """Crossings (row, column, from 1) by contact, singular key included."""
        return self._by_contact(self.crossing, self.crossings)

    @cached_property
    def pin_by_contact(self) -> dict[str, str]:
        """Own board pins by contact, singular key included."""
        return self._by_contact(self.pin, self.pins)

    @cached_property
    def bit_by_contact(self) -> dict[str, int]:
        """Shift-register chain bits by contact, singular key included."""
        return self._by_contact(self.bit, self.bits)

    @property
    def cover(self) -> float | tuple[float, float] | None:
        """Size of what covers the plate, mm, a guard included; None for the hole alone."""
        if self.guard is None:
            return self.front
        size = as_hole(self.hole).extent if self.front is None else self.front
        width, height = size if isinstance(size, tuple) else (size, size)
        return max(width, self.guard[0]), max(height, self.guard[1])

    @property
    def front_or_hole(self) -> float | tuple[float, float]:
        """Size of what covers the plate, mm, a guard included; the hole where no front is given."""
        return as_hole(self.hole).extent if self.cover is None else self.cover
