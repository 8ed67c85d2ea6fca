"""LEDs and currents: series resistors, and sums held against limits.

Currents are mA, voltages V, resistances ohm, power mW. The E series are tables (IEC 60063), since
rounding powers of ten gives other values (27, 33, 39, 47 and 82 among E12).
"""

from collections.abc import Iterable, Mapping
from typing import Literal, NamedTuple

from profiles.model import Firmware

E12 = (10, 12, 15, 18, 22, 27, 33, 39, 47, 56, 68, 82)
"""IEC 60063, E12."""

E24 = tuple(sorted((*E12, 11, 13, 16, 20, 24, 30, 36, 43, 51, 62, 75, 91)))
"""IEC 60063, E24."""

SERIES: Mapping[str, tuple[int, ...]] = {"E12": E12, "E24": E24}

NEAR = 0.8
"""From this share of a limit on, a load counts as near it. Rule of thumb."""

USB_UNIT = 100.0
"""One unit load of USB 2.0, mA (USB 2.0, 7.2.1): what a device may draw before configuration."""

USB_HIGH = 500.0
"""Five unit loads, mA: what a configured high-power device may draw (USB 2.0, 7.2.1)."""

USB_HIGHEST = 5.25
"""Highest voltage of the bus, V (USB 2.0, 7.3.2): what has a higher supply is not fed from it."""

WHOLE_BOX = "the whole box"
LEDS_ALONE = "the LEDs alone, the board's own draw not known"

State = Literal["fine", "near", "over"]


INTERPRETER_ASKS = 100
"""What a Python interpreter with USB HID asks of the port, mA: its bMaxPower is 0x32
(CircuitPython, supervisor/shared/usb/usb_desc.c), and no setting changes it."""

EDITOR_ASKS = 500
"""What the AVR board core asks where nothing else is set, mA (USBCore.h: USB_CONFIG_POWER)."""

MOST_ASKED = 500
"""A USB 2.0 configuration asks for this much at most, mA (USB 2.0, 7.2.1 and 9.6.3)."""


class Resistor(NamedTuple):
    """An LED's series resistor: the computed and the chosen value, and what follows from it."""

    exact: float
    value: float
    current: float
    power: float


class Load(NamedTuple):
    """A sum of currents against a limit; `source` says who set the limit."""

    name: str
    current: float
    limit: float
    source: str

    @property
    def state(self) -> State:
        """Fine, near the limit (80 % of it or more), or over it."""
        if self.current > self.limit:
            return "over"
        return "near" if self.current >= NEAR * self.limit else "fine"


def series_resistor(
    supply: float, forward_voltage: float, current: float, series: str = "E24"
) -> Resistor:
    """Return the resistor for an LED: R = (Vs - Vf) / I, the next value up of the series.

    Raises:
        ValueError: where the supply does not exceed the forward voltage.
    """
    headroom = supply - forward_voltage
    if headroom <= 0:
        raise ValueError(f"a supply of {supply:g} V cannot light an LED of {forward_voltage:g} V")
    exact = headroom / current * 1000
    value = next_value_up(exact, series)
    resulting = headroom / value * 1000
    return Resistor(exact, value, resulting, headroom * resulting)


def next_value_up(resistance: float, series: str = "E24") -> float:
    """Return the smallest value of an E series that is not below this resistance, ohm."""
    if resistance <= 0:
        raise ValueError("a resistance must be above zero")
    scale = 1e-3
    while True:
        for digits in SERIES[series]:
            value = round(digits * scale, 6)
            if value >= resistance * (1 - 1e-9):
                return value
        scale *= 10


def sum_loads(currents: Iterable[tuple[str, float]], groups: Mapping[str, str]) -> dict[str, float]:
    """Sum (pin, mA) pairs by the group that each pin belongs to; pins of no group are left out."""
    sums: dict[str, float] = {}
    for pin, current in currents:
        group = groups.get(pin)
        if group is not None:
            sums[group] = sums.get(group, 0.0) + current
    return dict(sorted(sums.items()))


def asked_current(described: int, firmware: Firmware | None) -> int:
    """Return what a box asks of the port, mA, where its file describes so much.

    The sketch asks for it in steps of 2 mA, at most 500 (USB 2.0, 9.6.3: bMaxPower). An interpreter
    asks for what it was built with.
    """
    return INTERPRETER_ASKS if firmware == "python" else min(described, MOST_ASKED) // 2 * 2


def usb_loads(drawn: float, asked: float, name: str = WHOLE_BOX) -> tuple[Load, ...]:
    """Return what the box draws against what it asks for, and the larger against what a port gives.

    `name` says whose current `drawn` is.
    """
    return (
        Load(name, drawn, asked, "what the box asks of the USB port (its bMaxPower)"),
        Load("the USB port", max(drawn, asked), USB_HIGH, "USB 2.0, 7.2.1"),
    )
