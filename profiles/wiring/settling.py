"""How long a sensed line takes to rise again once the driven line before it is let go.

The pull-up charges the wires of both lines, which the closed contact joins:
t = R C ln(V / (V - Vth)) (The Art of Electronics, RC charging). Resistance
is kilohm, capacitance pF, time microseconds, length mm.
"""

from math import dist, log
from typing import NamedTuple

from profiles.model import Board, Device
from profiles.wiring.box import lines_of
from profiles.wiring.circuit import board_place, circuit_of
from profiles.wiring.harness import WireLine, cut_pieces, run_line

WIRE_CAPACITANCE = 0.05
"""pF a mm of hook-up wire in a bundle, 50 pF a metre. Rule of thumb."""

PIN_CAPACITANCE = 10.0
"""pF of one pin of a chip. Unverified."""


class Settling(NamedTuple):
    """The slowest rise of a device: its lines by name, wire in both, and what it rests on."""

    time: float
    sensed: str
    driven: str
    length: int
    capacitance: float
    pull_up: float


def rise_time(pull_up: float, capacitance: float, level: float) -> float:
    """Return the time, microseconds, to charge to a share `level` of the supply."""
    return pull_up * capacitance / 1000 * log(1 / (1 - level))


def slowest_rise(device: Device, board: Board | None) -> Settling | None:
    """Return the slowest rise where one contact is closed; None where no pull-up is known.

    Whoever only asks whether the settle time is enough gets wires by nearest neighbour where those
    are short enough already, for the shortest chain takes long to find.
    """
    header = board.board if board else None
    pull_up = header and (header.pull_up_most or header.pull_up_least)
    circuit = circuit_of(device)
    if header is None or not pull_up or not circuit.places:
        return None
    lines = {line.name: line for line in lines_of(device, circuit, board_place(device))}
    pairs = {tuple(map(str, circuit.matrix.lines_at(at))) for at in circuit.places.values()}
    for measure in (_reach, _cut):
        lengths = {name: measure(device, lines[name]) for pair in pairs for name in pair}
        longest = max(sorted(pairs), key=lambda pair: sum(lengths[name] for name in pair))
        length = sum(lengths[name] for name in longest)
        capacitance = length * WIRE_CAPACITANCE + 2 * PIN_CAPACITANCE
        time = rise_time(pull_up, capacitance, header.high)
        if time <= device.wiring.settle:
            break
    return Settling(time, longest[1], longest[0], length, capacitance, pull_up)


def _cut(device: Device, line: WireLine) -> int:
    """The wire of a line as it is cut."""
    return sum(
        piece.cut
        for piece in cut_pieces([run_line(line)], device.wiring.gauge, device.wiring.slack)
    )


def _reach(device: Device, line: WireLine) -> int:
    """The wire of a line that goes to the nearest stop each time: never less than the shortest."""
    here, left, length = line.start.at, [stop.at for stop in line.stops], 0.0
    while left:
        near = min(left, key=lambda at: dist(here, at))
        left.remove(near)
        length += dist(here, near) + 2 * device.wiring.slack + 1
        here = near
    return round(length)
