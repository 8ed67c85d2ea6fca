"""The box as it was soldered.

- `Build`: a box as soldered; `build_of` is the faultless one, `faults.apply` makes others
- `number_box`: what a board makes of readings, numbered as described or along the other side
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import product
from typing import TypeVar

from profiles.facts.box_model import BoxModel, Condition, Follow, Rules, lower_rules
from profiles.facts.signals import find_signals
from profiles.live.banks import Sensors, axes_in
from profiles.wiring.circuit import layout_of
from profiles.wiring.numbering import Along, Layout, compute_numbers, crossing_number


@dataclass(frozen=True, slots=True)
class Build:
    """A box as soldered. Contacts and nodes are counted as in its model.

    `sites` are the two nodes of each contact, driven side first; `diodes` 1 as drawn, 0 none,
    -1 reversed. `pins` are the nodes behind the pins of rows, columns and single contacts.
    `joints` are contacts whose inner ends, between switch and diode, touch. `rates` are pulses a
    detent of a rotary where they are not one. `axes` are the sensors that the axes follow.
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
    supplied: frozenset[int] = frozenset()
    pieces: int = 0
    inverted: int = 0
    latching: int = 0
    springing: int = 0
    axes: Sensors = ()


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
    pins = (*range(model.ground), *wires.values())
    axes = tuple((lever, 1) for lever in range(len(axes_in(model))))
    return Build(tuple(sites), tuple(diodes), pins, axes=axes)


Pressed = tuple[frozenset[int], frozenset[int]]
"""Inputs that are down in some reading of a press, and those that it lets go and that come back."""


@dataclass(frozen=True, eq=False)
class Numbered:
    """What a board makes of readings under one numbering.

    Crossings without a contact, which a board may report or not, have a rule too: `holes` are
    their inputs. `watched` masks the points that make pulses; `places` are the row and column, from
    0, of each input of the matrix.
    """

    rules: Rules
    watched: int
    places: Mapping[int, tuple[int, int]]
    holes: frozenset[int]
    _down: dict[tuple[int, int], frozenset[int]] = field(default_factory=dict)
    _pulses: dict[tuple[int, ...], Mapping[int, int]] = field(default_factory=dict)
    _presses: dict[tuple[tuple[int, ...], int], Pressed | None] = field(default_factory=dict)

    def find_down(self, reading: int, offset: int) -> frozenset[int]:
        """Inputs that are down while the board reads so, each so much higher."""
        found = self._down.get((reading, offset))
        if found is None:
            down = self.rules.find_down(reading)
            found = frozenset(n + offset for n in down if n + offset > 0) if offset else down
            _keep(self._down, (reading, offset), found)
        return found

    def find_press(self, readings: tuple[int, ...], offset: int) -> Pressed | None:
        """What is down at all, and what a press lets go for a while, the first reading at rest;
        None where a reading makes a pulse."""
        key = readings, offset
        if key not in self._presses:
            rest, *pressed = readings
            found = None
            if not any((rest ^ one) & self.watched for one in pressed):
                down, *held = (self.find_down(one, offset) for one in readings)
                found = down.union(*held), down.difference(held[0]) & held[-1]
            _keep(self._presses, key, found)
        return self._presses[key]

    def find_pulses(self, readings: tuple[int, ...]) -> Mapping[int, int]:
        """How often each input pulses over these readings."""
        found = self._pulses.get(readings)
        if found is None:
            found = self.rules.find_pulses(readings)
            _keep(self._pulses, readings, found)
        return found


MOST_KEPT = 20_000
"""Readings whose meaning is kept at most: a diagnosis meets the same ones again and again."""

K = TypeVar("K")
V = TypeVar("V")


def _keep(kept: dict[K, V], key: K, value: V) -> None:
    if len(kept) >= MOST_KEPT:
        kept.clear()
    kept[key] = value


@lru_cache(maxsize=16)
def number_box(model: BoxModel, transposed: bool = False) -> Numbered:
    """The numbering described, or the one along the other side, for which `can_turn` must hold."""
    layout, signals = layout_of(model.device), model.signals
    along = _find_along(layout)
    if transposed and along is not None:
        layout = replace(layout, along=_OTHER[along])
        inputs = {contact: signal.number for contact, signal in signals.items()}
        by_place = compute_numbers(layout)
        inputs |= {
            crossing: by_place[crossing] for crossing in layout.crossings if crossing in by_place
        }
        signals = find_signals(model.device, inputs)
    places = {
        signals[contact].number: (row - 1, column - 1)
        for contact, (row, column) in layout.crossings.items()
        if contact in signals
    }
    unused = []
    if model.device.wiring.numbering is not None and layout.unused == "counted":
        crossings = product(range(1, model.rows + 1), range(1, model.columns + 1))
        unused = [place for place in crossings if place not in model.circuit.matrix.crossings]
    follows = []
    for row, column in unused:
        number = crossing_number(layout, (row, column))
        places[number] = (row - 1, column - 1)
        when = Condition((model.point_at(row, column),))
        follows.append(Follow(number - 1, when, ""))
    rules = lower_rules(model.device, model.points, signals)
    watched = {point for turn in rules.turns for point in (turn.a, turn.b)}
    mask = sum(1 << point for point in watched)
    for edge in rules.edges:
        mask |= edge.when.masks[0]
    return Numbered(
        replace(rules, follows=(*rules.follows, *follows)),
        mask,
        places,
        frozenset(rule.button + 1 for rule in follows)
        - {signal.number for signal in signals.values()},
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
        if all(
            numbers[crossing] == layout.declared.get(crossing)
            for crossing in layout.crossings
            if crossing in numbers
        ):
            fitting.append(along)
    return fitting[0] if len(fitting) == 1 else None
