"""A controller board: which pins it has, and what they can bear.

Currents are mA, voltages V, pull-ups kilohm. A device names its board by id in `wiring.board`.

A pin reads, drives and pulls up unless `cannot` says otherwise; it measures voltages where
`can.analog` lists it. A board without `can` and `buses` says nothing of either.
"""

from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import Field

from profiles.model.base import (
    Identifier,
    KeyPath,
    Note,
    PinName,
    UnknownName,
    UnknownNamesError,
    Value,
    Words,
    judges,
)
from profiles.text.prose import join_words

Current = Annotated[float, Field(gt=0, le=100_000, allow_inf_nan=False)]
"""A current above zero, in mA."""

Resistance = Annotated[float, Field(gt=0, le=100_000, allow_inf_nan=False)]
"""A resistance above zero, in kilohm."""

Firmware = Literal["avr", "python"]
"""What a board runs: the C++ sketch, or a Python interpreter with our files."""

MOST_PINS = 512
"""Pins of one board; the largest chips have fewer."""


class BoardHeader(Value):
    """The board's id and name, and what holds for the whole of it."""

    id: Identifier
    name: Words
    supply: float = Field(gt=0, le=60, allow_inf_nan=False)
    firmware: Firmware | None = None
    own_current: float = Field(default=0.0, ge=0, le=100_000, allow_inf_nan=False)
    pull_up_least: Resistance | None = None
    pull_up_most: Resistance | None = None
    high: float = Field(default=0.7, gt=0, lt=1, allow_inf_nan=False)
    note: Note = ""

    @judges
    def _check_pull_ups(self) -> Iterator[ValueError]:
        if self.pull_up_most is not None:
            if self.pull_up_least is None:
                yield ValueError("has `pull_up_most` but no `pull_up_least`")
            elif self.pull_up_most < self.pull_up_least:
                yield ValueError("has a `pull_up_most` below its `pull_up_least`")


class BoardLimits(Value):
    """What the pins can bear, and where that is written."""

    pin: Current
    pin_absolute: Current | None = None
    board: Current
    source: Words
    pin_source: Words | None = None


Pins = Annotated[tuple[PinName, ...], Field(strict=False, max_length=MOST_PINS)]
"""Pins by the names printed beside them."""

Ability = Literal["input", "output", "pull-up", "analog", "sda", "scl"]
"""What a use may ask of a pin; `sda` and `scl` are the two wires of a bus."""


class PinGroup(Value):
    """Pins whose currents share one limit."""

    limit: Current
    pins: Annotated[Pins, Field(min_length=1)]


class Abilities(Value):
    """Pins that can do what not every pin can."""

    analog: Pins = ()


class Inabilities(Value):
    """Pins that cannot do what other pins can."""

    output: Pins = ()
    pull_up: Pins = ()


class Bus(Value):
    """A bus of the chip: which pins may serve each of its wires."""

    sda: Literal["every"] | Pins = ()
    scl: Literal["every"] | Pins = ()
    sck: Literal["every"] | Pins = ()
    mosi: Literal["every"] | Pins = ()
    miso: Literal["every"] | Pins = ()

    def serves(self, pin: str, wire: str) -> bool:
        """Whether a pin of the board may serve a wire of the bus."""
        pins = getattr(self, wire)
        return pins == "every" or pin in pins


class Board(Value):
    """One controller board, as its file gives it."""

    format: Literal[1]
    board: BoardHeader
    limits: BoardLimits
    pins: dict[PinName, Words] = Field(min_length=1, max_length=MOST_PINS)
    groups: dict[Identifier, PinGroup] = Field(default_factory=dict)
    can: Abilities | None = None
    cannot: Inabilities = Field(default_factory=Inabilities)
    buses: dict[Identifier, Bus] = Field(default_factory=dict)
    notes: dict[PinName, Words] = Field(default_factory=dict)

    @judges
    def _check_pins(self) -> Iterator[ValueError]:
        known = tuple(self.pins)
        named: list[tuple[KeyPath, str]] = [
            (("groups", name, "pins", place), pin)
            for name, group in self.groups.items()
            for place, pin in enumerate(group.pins)
        ]
        named += [(("notes", pin), pin) for pin in self.notes]
        tables = [("can",), ("cannot",), *(("buses", name) for name in self.buses)]
        for path, table in zip(tables, (self.can, self.cannot, *self.buses.values()), strict=True):
            for key, pins in table.plain().items() if table else ():
                if pins != "every":
                    named += [((*path, key, place), pin) for place, pin in enumerate(pins)]
        unknown = [
            UnknownName("pin", *entry, known) for entry in named if entry[1] not in self.pins
        ]
        if unknown:
            yield UnknownNamesError(unknown, "board")

    @property
    def id(self) -> str:
        """Id, unique in the library."""
        return self.board.id

    @property
    def name(self) -> str:
        """The name people use."""
        return self.board.name

    @property
    def supply(self) -> float:
        """Voltage of its pins, V."""
        return self.board.supply

    def abilities(self, pin: str) -> tuple[str, ...]:
        """What a pin can do, as far as the file says; wires of a bus as `sda of i2c-0`."""
        cannot, can = self.cannot, self.can or Abilities()
        found = ["input"]
        found += ["output"] if pin not in cannot.output else []
        found += ["pull-up"] if pin not in cannot.pull_up else []
        found += ["analog"] if pin in can.analog else []
        for name, bus in self.buses.items():
            able = () if pin in cannot.output else Bus.model_fields
            wires = [wire for wire in able if bus.serves(pin, wire)]
            found += [f"{join_words(wires, 'or')} of {name}"] if wires else []
        return tuple(found)

    def is_able(self, pin: str, ability: Ability) -> bool:
        """Whether a pin of the board can do something; True where the file does not say."""
        if ability in ("sda", "scl"):
            buses = self._wire_buses
            return not buses or any(bus.serves(pin, ability) for bus in buses)
        if ability == "analog" and self.can is None:
            return True
        return ability in self.abilities(pin)

    def shares_bus(self, sda: str, scl: str) -> bool:
        """Whether two pins are the wires of one two-wire bus; True where the file does not say."""
        buses = self._wire_buses
        return not buses or any(b.serves(sda, "sda") and b.serves(scl, "scl") for b in buses)

    @property
    def _wire_buses(self) -> list[Bus]:
        return [bus for bus in self.buses.values() if bus.sda or bus.scl]
