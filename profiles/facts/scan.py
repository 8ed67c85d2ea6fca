"""What one scan of a box costs the board: counts from the model, times from a table of measured
costs.

`scan_costs.toml` holds the time of each thing that a scan does, in microseconds, for the firmware
of each kind of board, with how it was measured. A scan in which no contact differs is quiet; one
in which some does, busy: every point is then debounced. In one at whose debounce a contact changes
every edge is looked at besides, and the report is sent; the longest ones are those in which a
knob's pulses begin or end as well.
"""

import tomllib
from collections import defaultdict
from functools import cache
from itertools import accumulate
from pathlib import Path
from typing import NamedTuple

from profiles.facts.box_model import BoxModel
from profiles.facts.lights import find_lights
from profiles.host.descriptor import lay_out_report, shape_report
from profiles.model import Axis, Expander, Firmware, Ladder, Multiplexer, ShiftRegisterChain
from profiles.wiring.banks import BUS_CLOCK, PORTS, Bank, axes_on_banks, banks_of

INTERRUPTED = 32
"""An expander whose interrupt is wired is read once in so many scans while nothing changes."""

BYTE_TIME = 9 / BUS_CLOCK * 1000
"""Microseconds of a byte on the two-wire bus: eight bits and its acknowledgement (UM10204)."""


class Costs(NamedTuple):
    """Microseconds of each thing by its name, and the sentence that says where they are from.

    `pause` is by how many ms one scan may be longer than most, `error` the share by which a time
    may differ from the one told.
    """

    source: str
    pause: float
    error: float
    quiet: dict[str, float]
    busy: dict[str, float]
    change: dict[str, float]
    turn: dict[str, float]


class ScanTime(NamedTuple):
    """Times of a scan, ms: while no contact differs, while one does, of that which tells it, and of
    the longest while a knob turns.

    `pause` is by how much one scan may be longer than most.
    """

    quiet: float
    busy: float
    change: float
    turn: float
    pause: float


@cache
def read_costs(firmware: Firmware) -> Costs:
    """The table of one firmware."""
    text = Path(__file__).with_name("scan_costs.toml").read_text(encoding="utf-8")
    table = tomllib.loads(text)[firmware]
    return Costs(**table)


def time_scan(model: BoxModel, firmware: Firmware) -> ScanTime:
    """How long a scan of a box takes."""
    costs, counts, waits = read_costs(firmware), count_work(model), count_waits(model)
    tables = (costs.quiet, costs.busy, costs.change, costs.turn if counts.get("pulser") else {})
    more = (sum(many * table.get(name, 0.0) for name, many in counts.items()) for table in tables)
    quiet, busy, change, turn = ((waits + time) / 1000 for time in accumulate(more))
    seldom = sum(
        many * costs.quiet.get(name, 0.0) + (many * BYTE_TIME if name == "bus_byte" else 0.0)
        for name, many in count_seldom(model).items()
    )
    return ScanTime(quiet, busy, change, turn, costs.pause + seldom / 1000)


def time_points(model: BoxModel, firmware: Firmware) -> list[float]:
    """When in a scan each wired point is read, ms after its begin. Expanders and ladders are read
    at once, before their places are looked at."""
    device, costs = model.device, read_costs(firmware).quiet
    settle, wiring = device.wiring.settle, device.wiring

    def cost(**work: float) -> float:
        return sum(many * costs.get(name, 0.0) for name, many in work.items())

    now, found = 0.0, list[float]()
    for _ in wiring.driven_pins:
        now += settle + cost(line=1)
        for _ in wiring.sensed_pins:
            now += cost(crossing=1, point=1)
            found.append(now)
    for _ in model.own:
        now += cost(pin=1, point=1)
        found.append(now)
    for bank in banks_of(device):
        now += cost(bank=1)
        places = len(bank.places)
        match bank.part:
            case ShiftRegisterChain():
                now, each = now + settle + cost(chain=1), cost(bit=1, point=1)
                found += [now + at * each for at in range(1, places + 1)]
            case Multiplexer(select=select):
                each = settle + cost(choice=1, select=len(select), point=1)
                found += [now + at * each for at in range(1, places + 1)]
            case Expander():
                sent = _count_bus_bytes(bank)
                now += sent * BYTE_TIME + cost(expander=1, bus_byte=sent)
                found += [now] * places
                each = cost(kept_place=1, point=1)
            case Ladder(steps=steps):
                now += cost(conversion=1, level=len(steps) + 1)
                found += [now] * places
                each = cost(kept_place=1, point=1)
        now += places * each
    return [at / 1000 for at in found]


def count_waits(model: BoxModel) -> float:
    """Microseconds that a scan waits for wires: lines that settle, places that are chosen, bytes on
    a two-wire bus."""
    device = model.device
    settle, waits = device.wiring.settle, 0.0
    waits += len(device.wiring.driven_pins) * settle
    for bank in banks_of(device):
        if isinstance(bank.part, ShiftRegisterChain):
            waits += settle
        elif isinstance(bank.part, Multiplexer):
            waits += len(bank.places) * settle
        elif isinstance(bank.part, Expander):
            waits += _count_bus_bytes(bank) * BYTE_TIME * _share_scans(bank)
    measured = len(axes_on_banks(device))
    axes = _count_axes(model)
    return waits + (settle * measured / axes if axes else 0.0)


def count_seldom(model: BoxModel) -> dict[str, float]:
    """What a scan does more that reads every expander whose interrupt is wired: other scans pass
    them over."""
    banks = banks_of(model.device)
    return {
        "bus_byte": sum(_count_bus_bytes(bank) * (1 - _share_scans(bank)) for bank in banks),
        "expander": sum(1 - _share_scans(bank) for bank in banks),
    }


def count_work(model: BoxModel) -> dict[str, float]:
    """How often a scan does each thing that takes time, while all contacts are open: a condition is
    looked at up to its first point that is otherwise. One axis is measured in each scan."""
    device, rules = model.device, model.read_rules
    wiring = device.wiring
    found: defaultdict[str, float] = defaultdict(
        float,
        scan=1,
        line=len(wiring.driven_pins),
        crossing=len(wiring.rows) * len(wiring.columns),
        pin=len(model.own),
        point=model.wired,
    )
    for bank in banks_of(device):
        found["bank"] += 1
        match bank.part:
            case ShiftRegisterChain():
                found["chain"] += 1
                found["bit"] += len(bank.places)
            case Expander():
                found["bus_byte"] += _count_bus_bytes(bank) * _share_scans(bank)
                found["expander"] += _share_scans(bank)
                found["kept_place"] += len(bank.places)
            case Multiplexer(select=select):
                found["choice"] += len(bank.places)
                found["select"] += len(bank.places) * len(select)
            case Ladder(steps=steps):
                found["conversion"] += 1
                found["level"] += len(steps) + 1
                found["kept_place"] += len(bank.places)
    found["follow"] = len(rules.follows)
    found["term"] = sum(len(r.when.opened) for r in rules.follows if not r.when.closed)
    found["down"] = sum(not r.when.closed for r in rules.follows)
    found["edge"] = len(rules.edges)
    found["point"] += len(model.waiting)
    found["term"] += sum(len(when.opened) for when in model.waiting)
    found["rotary"] = len(rules.turns)
    found["dial"] = sum(bool(turn.axis) for turn in rules.turns)
    found["pulser"] = len(rules.pulsers)
    reported = (signal.number for signal in model.signals.values())
    shape = shape_report(device.device.report, reported)
    found["hat"] = shape.hats
    found["report_byte"] = lay_out_report(shape).size
    found["axis"] = _count_axes(model)
    if found["axis"]:
        found["measure"] = 1
    for name, _ in axes_on_banks(device).values():
        part = device.wiring.banks[name]
        if isinstance(part, Multiplexer):
            found["choice"] += 1 / found["axis"]
            found["select"] += len(part.select) / found["axis"]
    lights = [light for light in find_lights(device) if not light.problem]
    matrix = wiring.leds
    in_matrix = sum(light.led.crossing is not None for light in lights)
    found["led"] = len(lights) - in_matrix
    found["light"] = len(lights)
    if matrix:
        found["light_column"] = len(matrix.columns)
        found["light_cell"] = len(matrix.columns) * in_matrix
    return {name: many for name, many in found.items() if many}


def _count_axes(model: BoxModel) -> int:
    return sum(
        isinstance(control, Axis) and "axis" in control.pin_by_contact
        for control in model.device.controls.values()
    )


def _count_bus_bytes(bank: Bank) -> int:
    """Bytes on the bus as it is read: its address, what is read, and first the register's name."""
    if not isinstance(bank.part, Expander):
        return 0
    port = PORTS[bank.part.chip]
    return 1 + port.size + (0 if port.command is None else 2)


def _share_scans(bank: Bank) -> float:
    """In which share of scans a bank is read."""
    return 1 / INTERRUPTED if isinstance(bank.part, Expander) and bank.part.interrupt else 1.0
