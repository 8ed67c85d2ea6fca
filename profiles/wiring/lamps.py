"""A device's lamps and currents: from the model to `power`.

`loads_of` gives each lamp its series resistor, and holds the currents against the limits of the
board's pins, their groups, the board, and the USB port.
"""

from collections.abc import Iterator
from math import dist
from typing import NamedTuple

from profiles.model import Device, Lamp
from profiles.wiring.boards import Board
from profiles.wiring.circuit import board_place
from profiles.wiring.gauge import voltage_drop
from profiles.wiring.power import Load, Resistor, series_resistor, sum_loads, usb_loads


class LampPlan(NamedTuple):
    """A lamp and its resistor; `problem` says why there is none.

    `drop` is the voltage, V, lost in the wire from the board to the lamp and back, laid straight.
    """

    control: str
    pin: str | None
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
        _plan_lamp(device, key, control.lamp, series)
        for key, control in device.controls.items()
        if control.lamp
    )
    on_pins = [(plan.pin, plan.resistor.current) for plan in lamps if plan.pin and plan.resistor]
    lit = sum(plan.resistor.current for plan in lamps if plan.resistor)
    own = board.own_current if board else 0.0
    limits = tuple(_board_loads(board, on_pins)) if board else ()
    return Loads(lamps, (*limits, *usb_loads(own + lit, device.wiring.usb_current)))


def _plan_lamp(device: Device, control_id: str, lamp: Lamp, series: str) -> LampPlan:
    supply = lamp.supply if lamp.supply is not None else device.wiring.supply
    try:
        resistor = series_resistor(supply, lamp.forward_voltage, lamp.current, series)
    except ValueError as error:
        return LampPlan(control_id, lamp.pin, None, problem=str(error))
    length = 2 * dist(board_place(device), device.controls[control_id].position)
    drop = voltage_drop(device.wiring.gauge, length, resistor.current)
    return LampPlan(control_id, lamp.pin, resistor, drop)


def _board_loads(board: Board, on_pins: list[tuple[str, float]]) -> Iterator[Load]:
    """Yield the load of each pin, each group of pins, and the whole board."""
    for pin, current in sum_loads(on_pins, {pin: pin for pin in board.pins}).items():
        yield Load(f"pin {pin}", current, board.pin_limit, board.source)
    groups = {pin: group.name for group in board.groups for pin in group.pins}
    limits = {group.name: group.limit for group in board.groups}
    for name, current in sum_loads(on_pins, groups).items():
        yield Load(f"pin group {name}", current, limits[name], board.source)
    if on_pins:
        total = sum(current for _, current in on_pins)
        yield Load(f"all pins of {board.name}", total, board.board_limit, board.source)
