"""A controller board: which pins it has, and what they can bear.

Currents are mA, voltages V, pull-ups kilohm. A device names its board by id in `wiring.board`.
"""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from profiles.model.base import (
    Identifier,
    KeyPath,
    Note,
    PinName,
    UnknownName,
    UnknownNamesError,
    Value,
    Words,
)

Current = Annotated[float, Field(gt=0, le=100_000, allow_inf_nan=False)]
"""A current above zero, in mA."""

Resistance = Annotated[float, Field(gt=0, le=100_000, allow_inf_nan=False)]
"""A resistance above zero, in kilohm."""

MOST_PINS = 512
"""Pins of one board; the largest chips have fewer."""


class BoardHeader(Value):
    """The board's id and name, and what holds for the whole of it."""

    id: Identifier
    name: Words
    supply: float = Field(gt=0, le=60, allow_inf_nan=False)
    own_current: float = Field(default=0.0, ge=0, le=100_000, allow_inf_nan=False)
    pull_up_least: Resistance | None = None
    pull_up_most: Resistance | None = None
    note: Note = ""

    @model_validator(mode="after")
    def _check_pull_ups(self) -> "BoardHeader":
        if self.pull_up_most is not None:
            if self.pull_up_least is None:
                raise ValueError("has `pull_up_most` but no `pull_up_least`")
            if self.pull_up_most < self.pull_up_least:
                raise ValueError("has a `pull_up_most` below its `pull_up_least`")
        return self


class BoardLimits(Value):
    """What the pins can bear, and where that is written."""

    pin: Current
    pin_absolute: Current | None = None
    board: Current
    source: Words
    pin_source: Words | None = None


class PinGroup(Value):
    """Pins whose currents share one limit."""

    limit: Current
    pins: Annotated[tuple[PinName, ...], Field(strict=False, min_length=1, max_length=MOST_PINS)]


class Board(Value):
    """One controller board, as its file gives it."""

    format: Literal[1]
    board: BoardHeader
    limits: BoardLimits
    pins: dict[PinName, Words] = Field(min_length=1, max_length=MOST_PINS)
    groups: dict[Identifier, PinGroup] = Field(default_factory=dict)
    notes: dict[PinName, Words] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _check_pins(self) -> "Board":
        known = tuple(self.pins)
        named: list[tuple[KeyPath, str]] = [
            (("groups", name, "pins", place), pin)
            for name, group in self.groups.items()
            for place, pin in enumerate(group.pins)
        ]
        named += [(("notes", pin), pin) for pin in self.notes]
        unknown = [UnknownName("pin", *one, known) for one in named if one[1] not in self.pins]
        if unknown:
            raise UnknownNamesError(unknown, "board")
        return self

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
