"""The box as it was soldered.

- `Build`: a box as soldered; `build_of` is the faultless one, `faults.apply` makes others
- `turned_rules`: what a board reports that numbers the matrix along the other side
- `holes_of`: numbers of crossings without a contact
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from profiles.facts.box_model import BoxModel, Rules, lower_rules
from profiles.facts.signals import find_signals
from profiles.wiring.circuit import layout_of
from profiles.wiring.numbering import Along, Layout, compute_numbers, crossing_number


@dataclass(frozen=True, slots=True)
class Build:
    """A box as soldered. Contacts and nodes are counted as in its model.

    `sites` are the two nodes of each contact, driven side first; `diodes` 1 as drawn, 0 none,
    -1 reversed. `pins` are the nodes behind the pins of rows, columns and single contacts.
    `joints` are contacts whose inner ends, between switch and diode, touch. `rates` are pulses a
    detent of a rotary where they are not one.
    """

    sites: tuple[tuple[int, int], ...]
    diodes: tuple[int, ...]
    pins: tuple[int, ...]
    opened: frozenset[int] = frozenset()
    stuck: frozenset[int] = frozenset()
    bridges: frozenset[tuple[int, int]] = frozenset()
    joints: frozenset[tuple[int, int]] = frozenset()
    transposed: bool = False
    offset: int = 0
    rates: tuple[tuple[int, float], ...] = ()
    skipping: frozenset[int] = frozenset()
    bouncing: frozenset[int] = frozenset()


@lru_cache(maxsize=16)
def build_of(model: BoxModel) -> Build:
    """The box soldered as described."""
    matrix = model.circuit.matrix
    wires = {one: model.ground + 1 + at for at, one in enumerate(model.single)}
    sites, diodes = [], []
    for contact in model.contacts:
        place = model.circuit.places.get(contact)
        if place is None:
            sites.append((model.ground, wires[contact]))
        else:
            row, column = place[0] - 1, model.rows + place[1] - 1
            sites.append((row, column) if matrix.driven == "rows" else (column, row))
        diodes.append(int(place in matrix.diodes))
    return Build(tuple(sites), tuple(diodes), (*range(model.ground), *wires.values()))


@dataclass(frozen=True, eq=False)
class Numbered:
    """What a board makes of readings under one numbering.

    `levels` are the inputs of each point that follow it, `opposites` (point, input) pairs of those
    that are down while it is open; `watched` masks the points that make pulses. `places` are the
    row and column, from 0, of each input of the matrix; `holes` inputs of crossings without a
    contact, which a board may report or not.
    """

    rules: Rules
    levels: Mapping[int, tuple[int, ...]]
    opposites: tuple[tuple[int, int], ...]
    watched: int
    places: Mapping[int, tuple[int, int]]
    holes: frozenset[int]


@lru_cache(maxsize=16)
def number_box(model: BoxModel, transposed: bool = False) -> Numbered:
    """The numbering described, or the one along the other side, for which `can_turn` must hold."""
    layout = layout_of(model.device)
    signals = model.signals
    if transposed:
        along = _find_along(layout)
        layout = replace(layout, along=_OTHER[along]) if along else layout
        inputs = {contact: signal.number for contact, signal in signals.items()}
        by_place = compute_numbers(layout)
        inputs |= {contact: by_place[contact] for contact in layout.crossings}
        signals = find_signals(model.device, inputs)
    rules = lower_rules(model.device, model.points, signals)
    used = {model.points[contact] for contact in layout.crossings}
    levels: dict[int, tuple[int, ...]] = {}
    for rule in rules.follows:
        if not rule.inverted:
            levels[rule.point] = (*levels.get(rule.point, ()), rule.button + 1)
    places = {
        signals[contact].number: (row - 1, column - 1)
        for contact, (row, column) in layout.crossings.items()
        if contact in signals
    }
    holes = set()
    if model.device.wiring.numbering is not None and layout.unused == "counted":
        for row in range(model.rows):
            for column in range(model.columns):
                point = model.point_at(row + 1, column + 1)
                if point not in used:
                    number = crossing_number(layout, (row + 1, column + 1))
                    levels[point] = (number,)
                    places[number] = (row, column)
                    holes.add(number)
    watched = {turn.a for turn in rules.turns} | {turn.b for turn in rules.turns}
    watched |= {edge.point for edge in rules.edges}
    return Numbered(
        rules,
        levels,
        tuple((rule.point, rule.button + 1) for rule in rules.follows if rule.inverted),
        sum(1 << point for point in watched),
        places,
        frozenset(holes) - {signal.number for signal in signals.values()},
    )


def can_turn(model: BoxModel) -> bool:
    """Whether the matrix is numbered along one side, so that a board may take the other."""
    return bool(model.circuit.places) and _find_along(layout_of(model.device)) is not None


_OTHER: Mapping[Along, Along] = {"along-rows": "along-columns", "along-columns": "along-rows"}


def _find_along(layout: Layout) -> Along | None:
    """The side along which the matrix is numbered, also where inputs are only given that way."""
    if layout.along is not None:
        return layout.along
    fitting = []
    for along in _OTHER:
        numbers = compute_numbers(replace(layout, along=along))
        if all(numbers[one] == layout.declared.get(one) for one in layout.crossings):
            fitting.append(along)
    return fitting[0] if len(fitting) == 1 else None
