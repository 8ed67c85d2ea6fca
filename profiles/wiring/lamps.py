"""A device's lamps and currents: from the model to `power`.

`loads_of` gives each lamp its series resistor, and holds the currents against the limits of the
board's pins, their groups, the board, and the USB port. `lamp_supply` says what feeds a lamp.
"""

from collections.abc import Iterator
from math import dist
from typing import NamedTuple

from profiles.model import Device, Lamp
from profiles.wiring.boards import Board
from profiles.wiring.circuit import board_place
from profiles.wiring.gauge import voltage_drop
from profiles.wiring.power import (
    LAMPS_ALONE,
    USB_HIGHEST,
    WHOLE_BOX,
    Load,
    Resistor,
    series_resistor,
    sum_loads,
    usb_loads,
)


class LampPlan(NamedTuple):
    """A lamp and its resistor; `problem` says why there is none.

    `drop` is the voltage, V, lost in the wire from the board to the lamp and back, laid straight.
    """

    control: str
    pin: str | None
    supply: float
    resistor: Resistor | None
    drop: float = 0.0
    problem: str | None = None


class Loads(NamedTuple):
    """The lamps of a device and its currents against every limit known."""

    lamps: tuple[LampPlan, ...]
    loads: tuple[Load, ...]


def loads_of(device: Device, board: Board | None = None, series: str = "E24") -> Loads:
    """Return lamps and loads with every lamp lit; pin and board limits need the board."""
    lamps = tuple(
        _plan_lamp(device, key, control.lamp, lamp_supply(device, control.lamp, board), series)
        for key, control in device.controls.items()
        if control.lamp
    )
    on_pins = [(plan.pin, plan.resistor.current) for plan in lamps if plan.pin and plan.resistor]
    from_usb = [plan for plan in lamps if plan.supply <= USB_HIGHEST]
    lit = sum(plan.resistor.current for plan in from_usb if plan.resistor)
    own = board.own_current if board else 0.0
    limits = tuple(_board_loads(board, on_pins)) if board else ()
    name = WHOLE_BOX if own else LAMPS_ALONE
    return Loads(lamps, (*limits, *usb_loads(own + lit, device.wiring.usb_current, name)))


def lamp_supply(device: Device, lamp: Lamp, board: Board | None = None) -> float:
    """Return what feeds a lamp, V: its own supply, the wiring's, or for a pin the board's.

    A pin switches the board's own voltage, whatever the wiring takes where it says nothing.
    """
    if lamp.supply is not None:
        return lamp.supply
    is_given = "supply" in device.wiring.model_fields_set
    return board.supply if board and lamp.pin and not is_given else device.wiring.supply


def _plan_lamp(device: Device, control_id: str, lamp: Lamp, supply: float, series: str) -> LampPlan:
    try:
        resistor = series_resistor(supply, lamp.forward_voltage, lamp.current, series)
    except ValueError as error:
        return LampPlan(control_id, lamp.pin, supply, None, problem=str(error))
    length = 2 * dist(board_place(device), device.controls[control_id].position)
    drop = voltage_drop(device.wiring.gauge, length, resistor.current)
    return LampPlan(control_id, lamp.pin, supply, resistor, drop)


def _board_loads(board: Board, on_pins: list[tuple[str, float]]) -> Iterator[Load]:
    """Yield the load of each pin, each group of pins, and the whole board."""
    for pin, current in sum_loads(on_pins, {pin: pin for pin in board.pins}).items():
        yield Load(f"pin {pin}", current, board.pin_limit, board.pin_source or board.source)
    groups = {pin: group.name for group in board.groups for pin in group.pins}
    limits = {group.name: group.limit for group in board.groups}
    for name, current in sum_loads(on_pins, groups).items():
        yield Load(f"pin group {name}", current, limits[name], board.source)
    if on_pins:
        total = sum(current for _, current in on_pins)
        yield Load(f"all pins of {board.name}", total, board.board_limit, board.source)
