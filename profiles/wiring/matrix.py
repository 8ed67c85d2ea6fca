"""Forward model of a switch matrix: what a scan reads when given contacts are closed.

Two layers, both plain values:

- `Network` is the low one: numbered nodes (lines, or pieces of a broken line), contacts that join
  two nodes and pass the signal one way or both, and the node that each scan step drives or senses
  (`NO_NODE` for a pin that reaches nothing). `scan` reads it.
- `Matrix` is the one people think in: rows, columns, the crossings that hold a contact, the ones
  with a diode, and which side is driven. `network_of` lowers it.

`read`, `ghosts` and `masked` answer for a `Matrix`. Crossings are `(row, column)` counted from 1.

Physics: one driven line at a time is pulled to the active level; the others float. The level
spreads from the driven to the sensed side through every closed contact, and back only through a
contact that has no diode. A crossing reads closed when its sensed line is reached from its driven
line (Keyboard Matrix Help v1.1, 2000, shows the three-corner case). Voltage drops along
the path are neglected.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, NamedTuple

Crossing = tuple[int, int]
"""(row, column), both counted from 1."""

Side = Literal["rows", "columns"]

NO_NODE = -1
"""The node of a pin that reaches no line at all."""


class Line(NamedTuple):
    """One row or column wire, counted from 1."""

    kind: Literal["row", "column"]
    number: int

    def __str__(self) -> str:
        return f"{self.kind} {self.number}"

    @property
    def axis(self) -> int:
        """Where a crossing holds the number of such a line."""
        return 0 if self.kind == "row" else 1


class Link(NamedTuple):
    """A contact between two nodes; the signal passes a to b (`forward`), b to a (`backward`)."""

    a: int
    b: int
    forward: bool = True
    backward: bool = True


class Network(NamedTuple):
    """Nodes 0..nodes-1, the contacts between them, and where the pins sit."""

    nodes: int
    drivers: tuple[int, ...]
    sensors: tuple[int, ...]
    contacts: tuple[Link, ...]


@dataclass(frozen=True, slots=True)
class Matrix:
    """A switch matrix; raises ValueError when a crossing or diode lies outside it."""

    rows: int
    columns: int
    crossings: frozenset[Crossing]
    diodes: frozenset[Crossing] = frozenset()
    driven: Side = "rows"

    def __post_init__(self) -> None:
        outside = sorted(
            (row, column)
            for row, column in self.crossings
            if not (1 <= row <= self.rows and 1 <= column <= self.columns)
        )
        if outside:
            raise ValueError(f"{name_crossing(outside[0])} lies outside {self.size}")
        stray = sorted(self.diodes - self.crossings)
        if stray:
            raise ValueError(f"a diode at {name_crossing(stray[0])}, where no contact sits")

    @property
    def size(self) -> str:
        """The size in words, for messages."""
        return f"a matrix of {self.rows} rows and {self.columns} columns"

    @property
    def lines(self) -> tuple[Line, ...]:
        """Every row, then every column."""
        rows = (Line("row", number) for number in range(1, self.rows + 1))
        return (*rows, *(Line("column", number) for number in range(1, self.columns + 1)))

    def lines_at(self, place: Crossing) -> tuple[Line, Line]:
        """Return the driven and the sensed line of a crossing, in that order."""
        row, column = Line("row", place[0]), Line("column", place[1])
        return (row, column) if self.driven == "rows" else (column, row)


def full_matrix(
    rows: int, columns: int, diodes: Iterable[Crossing] = (), driven: Side = "rows"
) -> Matrix:
    """Return a matrix with a contact at every crossing."""
    places = frozenset((row, col) for row in range(1, rows + 1) for col in range(1, columns + 1))
    return Matrix(rows, columns, places, frozenset(diodes), driven)


def name_crossing(place: Crossing) -> str:
    """Return a crossing in words."""
    return f"row {place[0]}, column {place[1]}"


def scan(network: Network, closed: int) -> tuple[int, ...]:
    """Scan once with the contacts of bit mask `closed` held; bit i is contact i.

    Returns one mask per scan step: bit j is set when sensor j reads closed.
    """
    exits = exits_of(network, closed)
    steps = []
    for driver in network.drivers:
        reached = reach(exits, driver)
        sensors = enumerate(network.sensors)
        steps.append(sum(1 << j for j, node in sensors if node != NO_NODE and reached >> node & 1))
    return tuple(steps)


def exits_of(network: Network, closed: int) -> list[int]:
    """Return for each node the mask of nodes that the signal enters next."""
    exits = [0] * network.nodes
    while closed:
        low = closed & -closed
        closed ^= low
        a, b, forward, backward = network.contacts[low.bit_length() - 1]
        exits[a] |= forward << b
        exits[b] |= backward << a
    return exits


def reach(exits: list[int], start: int) -> int:
    """Return the mask of nodes reached from `start`, itself included; 0 from `NO_NODE`."""
    if start == NO_NODE:
        return 0
    seen = waiting = 1 << start
    while waiting:
        low = waiting & -waiting
        fresh = exits[low.bit_length() - 1] & ~seen
        seen |= fresh
        waiting = (waiting ^ low) | fresh
    return seen


@lru_cache(maxsize=256)
def contact_order(matrix: Matrix) -> dict[Crossing, int]:
    """Return the index that each crossing's contact has in `network_of(matrix)`."""
    return {place: index for index, place in enumerate(sorted(matrix.crossings))}


@lru_cache(maxsize=256)
def network_of(matrix: Matrix) -> Network:
    """Lower a matrix to a network; contacts lead from driven to sensed, as in `contact_order`."""
    rows = tuple(range(matrix.rows))
    columns = tuple(range(matrix.rows, matrix.rows + matrix.columns))
    drivers, sensors = (rows, columns) if matrix.driven == "rows" else (columns, rows)
    links = []
    for place in sorted(matrix.crossings):
        driven, sensed = matrix.lines_at(place)
        backward = place not in matrix.diodes
        links.append(Link(node_of(matrix, driven), node_of(matrix, sensed), True, backward))
    return Network(matrix.rows + matrix.columns, drivers, sensors, tuple(links))


def node_of(matrix: Matrix, line: Line) -> int:
    """Return the node of a line: rows first, then columns."""
    return line.number - 1 + (matrix.rows if line.kind == "column" else 0)


def mask_of(matrix: Matrix, closed: Iterable[Crossing]) -> int:
    """Return the contact mask of some crossings; ValueError where no contact sits."""
    order = contact_order(matrix)
    mask = 0
    for place in closed:
        if place not in order:
            raise ValueError(f"no contact sits at {name_crossing(place)}")
        mask |= 1 << order[place]
    return mask


def read(matrix: Matrix, closed: Iterable[Crossing]) -> frozenset[Crossing]:
    """Return every crossing that reads closed, also ones where no contact sits."""
    steps = scan(network_of(matrix), mask_of(matrix, closed))
    return frozenset(
        (step + 1, bit + 1) if matrix.driven == "rows" else (bit + 1, step + 1)
        for step, mask in enumerate(steps)
        for bit in range(mask.bit_length())
        if mask >> bit & 1
    )


def ghosts(matrix: Matrix, closed: Iterable[Crossing]) -> frozenset[Crossing]:
    """Return the contacts that read closed though they are open."""
    held = frozenset(closed)
    return (read(matrix, held) & matrix.crossings) - held


def masked(matrix: Matrix, closed: Iterable[Crossing], contact: Crossing) -> bool:
    """Say whether pressing or releasing `contact` while the others are held changes nothing."""
    return contact in read(matrix, frozenset(closed) - {contact})
