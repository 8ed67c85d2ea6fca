"""Banks: parts that bring many contacts to a few pins of the board, beside matrix and chains.

A contact names its place in a bank as a pin: `pin = "deck.3"` is place 3, counted from 1, of the
bank `deck`. Resistances are kilohm.
"""

from typing import Annotated, Literal

from pydantic import Field

from profiles.model.base import PinName, Value
from profiles.model.board import Resistance

Chip = Literal["mcp23008", "mcp23017", "pcf8574", "pcf8575"]
"""A port expander by the number printed on it."""


class Expander(Value):
    """A port expander on a two-wire bus: contacts to ground, held up by the expander itself.

    Addresses have 7 bits; 0 to 7 and 120 to 127 are reserved (UM10204, I2C-bus specification).
    """

    kind: Literal["expander"]
    chip: Chip
    address: Annotated[int, Field(ge=8, le=119)]
    sda: PinName
    scl: PinName
    interrupt: PinName | None = None


class Multiplexer(Value):
    """An analog multiplexer: pins that choose a place, lowest bit first, and one that reads it."""

    kind: Literal["multiplexer"]
    select: Annotated[tuple[PinName, ...], Field(strict=False, min_length=1, max_length=4)]
    pin: PinName


class Ladder(Value):
    """A resistor ladder: a pull-up to the supply, and a resistor between each contact and the next.

    Contact 1 switches the pin itself to ground, contact 2 through the first resistor, contact 3
    through the first two, and so on.
    """

    kind: Literal["ladder"]
    pin: PinName
    pull_up: Resistance
    steps: Annotated[tuple[Resistance, ...], Field(strict=False, max_length=15)] = ()
    tolerance: float = Field(default=1.0, ge=0, le=20, allow_inf_nan=False)


BankPart = Annotated[Expander | Multiplexer | Ladder, Field(discriminator="kind")]
"""Any bank; `kind` tells which."""
