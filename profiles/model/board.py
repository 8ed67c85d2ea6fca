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

    id: Identifier = Field(description="Id, unique in the library.")
    name: Words = Field(description="The name people use.")
    supply: float = Field(gt=0, le=60, allow_inf_nan=False, description="Voltage of its pins, V.")
    own_current: float = Field(
        default=0.0, ge=0, le=100_000, allow_inf_nan=False, description="What it draws itself, mA."
    )
    pull_up_least: Resistance | None = Field(
        default=None,
        description="Lowest value of the pins' own pull-ups, kilohm; left out: no pull-ups known.",
    )
    pull_up_most: Resistance | None = Field(
        default=None, description="Highest value of the pins' own pull-ups, kilohm."
    )
    note: Note = Field(default="", description="Free words of the owner.")

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

    pin: Current = Field(description="Current that one pin may carry, mA.")
    pin_absolute: Current | None = Field(
        default=None, description="Current of one pin above which the chip is damaged, mA."
    )
    board: Current = Field(description="Current that all pins together may carry, mA.")
    source: Words = Field(description="Where the limits are written, such as a data sheet's page.")
    pin_source: Words | None = Field(
        default=None, description="Source of the limit of one pin, if it is another."
    )


class PinGroup(Value):
    """Pins whose currents share one limit."""

    limit: Current = Field(description="Current that the pins together may carry, mA.")
    pins: Annotated[
        tuple[PinName, ...], Field(strict=False, min_length=1, max_length=MOST_PINS)
    ] = Field(description="The pins, as printed on the board.")


class Board(Value):
    """One controller board, as its file gives it."""

    format: Literal[1] = Field(description="Version of the file format.")
    board: BoardHeader = Field(description="Id, name, supply and pull-ups.")
    limits: BoardLimits = Field(description="What the pins can bear.")
    pins: dict[PinName, Words] = Field(
        min_length=1,
        max_length=MOST_PINS,
        description="The pins: name printed on the board to the chip's name, such as its port bit.",
    )
    groups: dict[Identifier, PinGroup] = Field(
        default_factory=dict, description="Groups of pins that share a limit, by name."
    )
    notes: dict[PinName, Words] = Field(
        default_factory=dict, description="What else hangs on a pin, by pin."
    )

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
