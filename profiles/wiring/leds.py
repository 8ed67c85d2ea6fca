"""A device's LEDs and currents: from the model to `power`.

`loads_of` gives each LED its series resistor, and holds the currents against the limits of the
board's pins, their groups, the board, and the USB port. `led_supply` says what feeds an LED.
"""

from collections.abc import Iterator
from math import dist
from typing import NamedTuple

from profiles.model import Board, Device, Led
from profiles.wiring.boards import firmware_of
from profiles.wiring.circuit import board_place
from profiles.wiring.gauge import voltage_drop
from profiles.wiring.power import (
    LEDS_ALONE,
    USB_HIGHEST,
    WHOLE_BOX,
    Load,
    Resistor,
    asked_current,
    series_resistor,
    sum_loads,
    usb_loads,
)


class LedPlan(NamedTuple):
    """An LED and its resistor; `problem` says why there is none.

    `pin` carries its current, None where a driver or the LED matrix does. `drop` is the voltage, V,
    lost in the wire from the board to the LED and back, laid straight.
    """

    control: str
    pin: str | None
    supply: float
    resistor: Resistor | None
    drop: float = 0.0
    problem: str | None = None
    follows: str = "power"
    through: str = ""
    is_in_matrix: bool = False


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
        pin = None if led.driver else led.pin
        through = f"driver at pin {led.pin}" if led.driver else ""
        if led.crossing is not None:
            through = f"LED row {led.crossing[0]}, column {led.crossing[1]}"
        is_in_matrix = led.crossing is not None
        plan = LedPlan(key, pin, supply, None, 0.0, None, led.follows, through, is_in_matrix)
        try:
            resistor = series_resistor(supply, led.forward_voltage, led.current, series)
        except ValueError as error:
            leds.append(plan._replace(problem=str(error)))
            continue
        length = 2 * dist(board_place(device), control.position)
        drop = voltage_drop(device.wiring.gauge, length, resistor.current)
        leds.append(plan._replace(resistor=resistor, drop=drop))
    on_pins = [(plan.pin, plan.resistor.current) for plan in leds if plan.pin and plan.resistor]
    rows = _row_currents(device, leds)
    from_usb = [plan for plan in leds if plan.supply <= USB_HIGHEST and not plan.is_in_matrix]
    lit = sum(plan.resistor.current for plan in from_usb if plan.resistor)
    lit += max((sum(row.values()) for row in rows.values()), default=0.0)
    own = board.board.own_current if board else 0.0
    limits = tuple(_board_loads(board, on_pins, rows, device)) if board else ()
    name = WHOLE_BOX if own else LEDS_ALONE
    asked = asked_current(device.wiring.usb_current, firmware_of(board))
    return Loads(tuple(leds), (*limits, *usb_loads(own + lit, asked, name)))


def led_supply(device: Device, led: Led, board: Board | None = None) -> float:
    """Return what feeds an LED, V: its own supply, the wiring's, or for a pin the board's.

    A pin switches the board's own voltage, whatever the wiring takes where it says nothing.
    """
    if led.supply is not None:
        return led.supply
    is_given = "supply" in device.wiring.model_fields_set
    is_on_pins = (led.pin and not led.driver) or led.crossing
    return board.supply if board and is_on_pins and not is_given else device.wiring.supply


def _row_currents(device: Device, leds: list[LedPlan]) -> dict[int, dict[int, float]]:
    """Current of each LED of the matrix by row and column, mA: a row's are lit at once, and one
    row at a time."""
    rows: dict[int, dict[int, float]] = {}
    for plan in leds:
        led = device.controls[plan.control].led
        if led is not None and led.crossing is not None and plan.resistor is not None:
            row, column = led.crossing
            rows.setdefault(row, {})[column] = plan.resistor.current
    return rows


def _board_loads(
    board: Board,
    on_pins: list[tuple[str, float]],
    rows: dict[int, dict[int, float]],
    device: Device,
) -> Iterator[Load]:
    """Yield the load of each pin, each group of pins, and the whole board: the highest there is
    while one row of the LED matrix after another is lit."""
    limits, matrix = board.limits, device.wiring.leds
    steady = sum_loads(on_pins, {pin: pin for pin in board.pins})
    sinking = set(matrix.columns) if matrix else set()
    moments = [dict(steady)]
    for row, currents in rows.items():
        if matrix is None or row > len(matrix.rows):
            continue
        moment = {**steady, matrix.rows[row - 1]: sum(currents.values())}
        for column, current in currents.items():
            if column <= len(matrix.columns):
                moment[matrix.columns[column - 1]] = current
        moments.append(moment)
    pins = dict.fromkeys(pin for moment in moments for pin in moment if pin in board.pins)
    for pin in pins:
        current = max(moment.get(pin, 0.0) for moment in moments)
        yield Load(f"pin {pin}", current, limits.pin, limits.pin_source or limits.source)
    for name, group in sorted(board.groups.items()):
        sums = [sum(moment.get(pin, 0.0) for pin in group.pins) for moment in moments]
        if any(sums):
            yield Load(f"pin group {name}", max(sums), group.limit, limits.source)
    if pins:
        total = max(
            sum(current for pin, current in moment.items() if pin not in sinking)
            for moment in moments
        )
        yield Load(f"all pins of {board.name}", total, limits.board, limits.source)
