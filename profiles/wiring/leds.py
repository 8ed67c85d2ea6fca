"""A device's LEDs and currents: from the model to `power`.

`loads_of` gives each LED its series resistor, and holds the currents against the limits of the
board's pins, their groups, the board, and the USB port. `led_supply` says what feeds an LED.
"""

from collections.abc import Iterator
from math import dist
from typing import NamedTuple

from profiles.model import Board, Device, Led
from profiles.wiring.circuit import board_place
from profiles.wiring.gauge import voltage_drop
from profiles.wiring.power import (
    LEDS_ALONE,
    USB_HIGHEST,
    WHOLE_BOX,
    Load,
    Resistor,
    series_resistor,
    sum_loads,
    usb_loads,
)


class LedPlan(NamedTuple):
    """An LED and its resistor; `problem` says why there is none.

    `drop` is the voltage, V, lost in the wire from the board to the LED and back, laid straight.
    """

    control: str
    pin: str | None
    supply: float
    resistor: Resistor | None
    drop: float = 0.0
    problem: str | None = None


class Loads(NamedTuple):
    """The LEDs of a device and its currents against every limit known."""

    leds: tuple[LedPlan, ...]
    loads: tuple[Load, ...]


def loads_of(device: Device, board: Board | None = None, series: str = "E24") -> Loads:
    """Return LEDs and loads with every LED lit; pin and board limits need the board."""
    leds = []
    for key, control in device.controls.items():
        if (led := control.led) is None:
            continue
        supply = led_supply(device, led, board)
        try:
            resistor = series_resistor(supply, led.forward_voltage, led.current, series)
        except ValueError as error:
            leds.append(LedPlan(key, led.pin, supply, None, problem=str(error)))
            continue
        length = 2 * dist(board_place(device), control.position)
        drop = voltage_drop(device.wiring.gauge, length, resistor.current)
        leds.append(LedPlan(key, led.pin, supply, resistor, drop))
    on_pins = [(plan.pin, plan.resistor.current) for plan in leds if plan.pin and plan.resistor]
    from_usb = [plan for plan in leds if plan.supply <= USB_HIGHEST]
    lit = sum(plan.resistor.current for plan in from_usb if plan.resistor)
    own = board.board.own_current if board else 0.0
    limits = tuple(_board_loads(board, on_pins)) if board else ()
    name = WHOLE_BOX if own else LEDS_ALONE
    return Loads(tuple(leds), (*limits, *usb_loads(own + lit, device.wiring.usb_current, name)))


def led_supply(device: Device, led: Led, board: Board | None = None) -> float:
    """Return what feeds an LED, V: its own supply, the wiring's, or for a pin the board's.

    A pin switches the board's own voltage, whatever the wiring takes where it says nothing.
    """
    if led.supply is not None:
        return led.supply
    is_given = "supply" in device.wiring.model_fields_set
    return board.supply if board and led.pin and not is_given else device.wiring.supply


def _board_loads(board: Board, on_pins: list[tuple[str, float]]) -> Iterator[Load]:
    """Yield the load of each pin, each group of pins, and the whole board."""
    limits = board.limits
    for pin, current in sum_loads(on_pins, {pin: pin for pin in board.pins}).items():
        yield Load(f"pin {pin}", current, limits.pin, limits.pin_source or limits.source)
    for name, group in sorted(board.groups.items()):
        loads = [current for pin, current in on_pins if pin in group.pins]
        if loads:
            yield Load(f"pin group {name}", sum(loads), group.limit, limits.source)
    if on_pins:
        total = sum(current for _, current in on_pins)
        yield Load(f"all pins of {board.name}", total, limits.board, limits.source)
