"""The box lowered to numbers: the points its board reads, and the rules by which it reports them.

Points are numbered in the order in which a board reads them: the crossings of the matrix along the
driven lines, pins of their own, bits of the shift-register chains, places of the other banks. After
those comes one for each contact that is sent but has no wire in the file: a press test expects it,
firmware cannot read it. Each contact that is sent becomes part of a rule:

- `Follow`: a button is down while a condition of points holds;
- `Edge`: the beginning of a condition queues a pulse;
- `Turn`: two points are the channels of a rotary, whose detents queue pulses or move an axis;
- `Pulser`: plays the pulses of one control one after the other.

`Rules.find_down` and `find_pulses` say what they make of readings.

Nodes are the ends of wires: rows, then columns (as in `wiring.matrix`), then the common of all
contacts outside the matrix (`ground`), then the wire of each of those (`single`).
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from math import ceil
from typing import NamedTuple

from profiles.facts.lights import Light, find_lights
from profiles.facts.signals import LAST_BUTTON, Signal, find_sources
from profiles.model import HAT_WAYS, Axis, Contact, Device, Rotary
from profiles.model.control_value import TURNS
from profiles.wiring.banks import banks_of, contacts_on_banks
from profiles.wiring.circuit import Circuit, circuit_of, layout_of

AXIS_TRAVEL = 2 * 32767
"""From one end of an axis to the other, in units of the report."""

NO_BUTTON = 0xFFFF
"""The number of a direction or a position that has no button in the report."""


QUEUE = 16
"""Pulses that wait for one control. Sixteen detents take about a second to play; a knob
turned further ahead than that would go on long after the hand has left it."""


class Condition(NamedTuple):
    """Holds while all points of `closed` are closed and all of `opened` open; where it `waits`,
    once that has lasted for the hold time of the wiring."""

    closed: tuple[int, ...] = ()
    opened: tuple[int, ...] = ()
    waits: bool = False

    @property
    def masks(self) -> tuple[int, int]:
        """Mask of its points, and of those that are closed while it holds."""
        closed = sum(1 << point for point in self.closed)
        return closed | sum(1 << point for point in self.opened), closed


class Follow(NamedTuple):
    """A button (from 0), or a plain way of a hat, that is down while a condition holds."""

    button: int
    when: Condition
    name: str


class Edge(NamedTuple):
    """A condition whose beginning queues a slot of a pulser."""

    when: Condition
    pulser: int
    slot: int
    name: str


class Turn(NamedTuple):
    """A rotary: points of channels A and B, Gray code steps in a detent, its pulser.

    One that moves an `axis` has no pulser, but the `step` of a detent, in units of the report.
    """

    a: int
    b: int
    steps: int
    pulser: int
    name: str
    axis: str = ""
    step: int = 0

    def find_ways(self, readings: Sequence[int]) -> Iterator[int]:
        """Slot of each detent that is passed while the points read so: 0 clockwise."""
        codes = [(reading >> self.a & 1) | (reading >> self.b & 1) << 1 for reading in readings]
        return find_detents(codes, self.steps)


class Pulser(NamedTuple):
    """Buttons (from 0, or NO_BUTTON) by slot, length of a pulse and of the rest after it in ms.

    One that `cancels` has two slots: a pulse of one takes back a pulse of the other that waits.
    """

    buttons: tuple[int, ...]
    pulse: int
    gap: int
    cancels: bool
    name: str


@dataclass(frozen=True)
class Rules:
    """How readings of the points become reports. A reading is a mask of the points closed."""

    follows: tuple[Follow, ...]
    edges: tuple[Edge, ...]
    turns: tuple[Turn, ...]
    pulsers: tuple[Pulser, ...]

    @cached_property
    def _levels(self) -> dict[int, list[int]]:
        """Inputs that are down while one point is closed, by the mask of the point."""
        found: dict[int, list[int]] = {}
        for rule in self.follows:
            if len(rule.when.closed) == 1 and not rule.when.opened:
                found.setdefault(1 << rule.when.closed[0], []).append(rule.button + 1)
        return found

    @cached_property
    def _others(self) -> list[tuple[int, int, int]]:
        """Masks of any other condition, and the input that is down while it holds."""
        return [
            (*rule.when.masks, rule.button + 1)
            for rule in self.follows
            if len(rule.when.closed) != 1 or rule.when.opened
        ]

    def find_down(self, reading: int) -> frozenset[int]:
        """Inputs that are down while the points read so, pulses apart."""
        found = [number for mask, wanted, number in self._others if reading & mask == wanted]
        while reading:
            low = reading & -reading
            reading ^= low
            found += self._levels.get(low, ())
        return frozenset(found)

    def find_travel(self, readings: Sequence[int]) -> Counter[str]:
        """Detents by which each axis is turned up, or down, over these readings."""
        found = Counter[str]()
        for turn in (one for one in self.turns if one.axis):
            found[turn.axis] += sum(1 - 2 * way for way in turn.find_ways(readings))
        return found

    def find_pulses(self, readings: Sequence[int]) -> Counter[int]:
        """How often each input pulses while the points read so, one reading after another."""
        slots: list[tuple[int, int]] = []
        for turn in (one for one in self.turns if not one.axis):
            slots += [(turn.pulser, way) for way in turn.find_ways(readings)]
        for edge in self.edges:
            mask, wanted = edge.when.masks
            states = [reading & mask == wanted for reading in readings]
            slots += [(edge.pulser, edge.slot) for was, now in pairwise(states) if now > was]
        buttons = (self.pulsers[pulser].buttons[slot] for pulser, slot in slots)
        return Counter(button + 1 for button in buttons if button != NO_BUTTON)


GRAY_PLACES = (0, 1, 3, 2)
"""Place of each code (A + 2 * B) in a cycle clockwise: A leads."""


def find_detents(codes: Sequence[int], steps: int) -> Iterator[int]:
    """Slot of each detent that a knob's Gray codes pass: 0 clockwise, 1 anticlockwise.

    A detent ends where the knob rests: a multiple of its steps away from where it began. Half of
    the steps, one way, make a detent: one that was read too late is forgiven.
    """
    old = rest = GRAY_PLACES[codes[0]]
    total = 0
    for place in (GRAY_PLACES[code] for code in codes):
        if place == old:
            continue
        total += {1: 1, 2: 0, 3: -1}[(place - old) % 4]
        old = place
        if (place - rest) % 4 % steps == 0:
            if 2 * abs(total) >= steps:
                yield int(total < 0)
            total = 0


@dataclass(frozen=True, eq=False)
class BoxModel:
    """One box as described.

    `contacts` are its switches, `points` says where each is read, `own` names the pins that read
    one contact each, `wired` is how many points there are before those without a wire.
    """

    device: Device
    circuit: Circuit
    contacts: tuple[Contact, ...]
    points: Mapping[Contact, int]
    own: tuple[str, ...]
    wired: int
    signals: Mapping[Contact, Signal]

    @cached_property
    def rules(self) -> Rules:
        """The rules over all points."""
        return lower_rules(self.device, self.points, self.signals)

    @cached_property
    def read_rules(self) -> Rules:
        """The rules over the points that have a wire in the file."""
        read = {contact: point for contact, point in self.points.items() if point < self.wired}
        return lower_rules(self.device, read, self.signals)

    @cached_property
    def waiting(self) -> tuple[Condition, ...]:
        """Conditions of inputs and LEDs that hold only once they have lasted for the hold time."""
        rules = self.read_rules
        found = [*(rule.when for rule in rules.follows), *(rule.when for rule in rules.edges)]
        found = [when for when in found if when.waits]
        found += [when for light in find_lights(self.device) for when in self.list_lasting(light)]
        return tuple(dict.fromkeys(found))

    def list_lasting(self, light: Light) -> Iterator[Condition]:
        """The conditions of an LED that must last, if all of its contacts are read."""
        for group in light.lasting if all(map(self.is_wired, light.opened)) else ():
            yield Condition(opened=tuple(self.points[one] for one in group), waits=True)

    @cached_property
    def index(self) -> Mapping[Contact, int]:
        """The place of each contact among `contacts`."""
        return {contact: place for place, contact in enumerate(self.contacts)}

    def is_wired(self, contact: Contact) -> bool:
        """Whether the file says how the board reads a contact."""
        return self.points.get(contact, self.wired) < self.wired

    @cached_property
    def rows(self) -> int:
        """How many rows the matrix has."""
        return self.circuit.matrix.rows

    @cached_property
    def columns(self) -> int:
        """How many columns the matrix has."""
        return self.circuit.matrix.columns

    @cached_property
    def ground(self) -> int:
        """The node of the common."""
        return self.rows + self.columns

    def point_at(self, row: int, column: int) -> int:
        """The point of a crossing, counted from 1, whether a contact sits there or not."""
        return _point_at(self.circuit, (row, column))

    @cached_property
    def single(self) -> tuple[Contact, ...]:
        """Contacts outside the matrix, each with a wire of its own."""
        return tuple(contact for contact in self.contacts if contact not in self.circuit.places)

    @cached_property
    def rotaries(self) -> tuple[str, ...]:
        """Ids of the controls whose detents are sent."""
        return tuple(turn.name for turn in self.rules.turns)

    @cached_property
    def channel_contacts(self) -> tuple[tuple[int, int], ...]:
        """The places of channel A and B of each rotary among `contacts`."""
        return tuple(
            (self.index[Contact(name, "clockwise")], self.index[Contact(name, "anticlockwise")])
            for name in self.rotaries
        )

    @cached_property
    def pulsed(self) -> frozenset[int]:
        """Inputs that only ever pulse at a change of a control."""
        return frozenset(
            signal.number for signal in self.signals.values() if signal.nature == "edge"
        )

    def mask(self, closed: Iterable[Contact]) -> int:
        """Bit mask of contacts, by `index`; those that are no switch of the box are left out."""
        found = 0
        for contact in closed:
            place = self.index.get(contact)
            if place is not None:
                found |= 1 << place
        return found


def _point_at(circuit: Circuit, place: tuple[int, int]) -> int:
    row, column = place[0] - 1, place[1] - 1
    if circuit.matrix.driven == "rows":
        return row * circuit.matrix.columns + column
    return column * circuit.matrix.rows + row


def draw_model(device: Device, signals: Mapping[Contact, Signal]) -> BoxModel:
    """The model of a box that sends these signals."""
    circuit, layout = circuit_of(device), layout_of(device)
    points = {contact: _point_at(circuit, place) for contact, place in circuit.places.items()}
    first = len(circuit.row_pins) * len(circuit.column_pins)
    on_banks = contacts_on_banks(device)
    pins = {
        one: device.controls[one.control].pin_by_contact[one.contact]
        for one in layout.own_pins
        if one not in on_banks
    }
    own = tuple(dict.fromkeys(pins.values()))
    points |= {contact: first + own.index(pin) for contact, pin in pins.items()}
    first += len(own)
    points |= {contact: first + bit - 1 for contact, bit in layout.bits.items()}
    wired = first + layout.chain_length
    for bank in banks_of(device)[len(device.wiring.all_chains) :]:
        for contact, (name, place) in on_banks.items():
            if name == bank.name and place - 1 in bank.places:
                points[contact] = wired + bank.places.index(place - 1)
        wired += len(bank.places)
    contacts: list[Contact] = []
    for name, control in device.controls.items():
        sent = [one for one in control.contacts if Contact(name, one) in signals]
        turned = isinstance(control, Rotary) and not {*TURNS}.isdisjoint(sent)
        for contact in (Contact(name, one) for one in control.contacts):
            if isinstance(control, Axis):
                continue
            is_needed = contact.contact in sent or (turned and contact.contact in TURNS)
            is_read = contact in find_sources(device, contact)[0]
            if contact in points or (is_needed and is_read):
                points.setdefault(contact, wired + len(contacts))
                contacts.append(contact)
    return BoxModel(device, circuit, tuple(contacts), points, own, wired, signals)


def lower_rules(
    device: Device, points: Mapping[Contact, int], signals: Mapping[Contact, Signal]
) -> Rules:
    """The rules by which these points are reported; signals of other points have none."""
    follows: list[Follow] = []
    edges: list[Edge] = []
    turns: list[Turn] = []
    pulsers: list[Pulser] = []
    for name, control in device.controls.items():
        sent = [(one, signals.get(Contact(name, one))) for one in control.contacts]
        buttons = tuple(signal.number - 1 if signal else NO_BUTTON for _, signal in sent)
        queues_edges = False
        for slot, (contact, signal) in enumerate(sent):
            if signal is None or signal.nature in ("turn", "axis"):
                continue
            if not points.keys() >= {*signal.closed, *signal.opened}:
                continue
            closed, opened = (
                tuple(points[one] for one in those) for those in (signal.closed, signal.opened)
            )
            when = Condition(closed, opened, signal.waits)
            if signal.nature == "edge":
                edges.append(Edge(when, len(pulsers), slot, f"{name}.{contact}"))
                if signal.both_ways:
                    ending = Condition(opened, closed)
                    edges.append(Edge(ending, len(pulsers), slot, f"{name}.{contact}"))
                queues_edges = True
            elif signal.number <= LAST_BUTTON or contact in HAT_WAYS[:4]:
                follows.append(Follow(buttons[slot], when, f"{name}.{contact}"))
            elif signal.closed == (Contact(name, contact),):  # a way between, wired: two ways
                both = (signals[Contact(name, one)].number - 1 for one in contact.split("-"))
                follows += [Follow(button, when, f"{name}.{contact}") for button in both]
        pulse, gap = ceil(device.wiring.pulse), ceil(device.wiring.gap)
        if queues_edges:
            pulsers.append(Pulser(buttons, pulse, gap, False, name))
        if isinstance(control, Rotary):
            a, b = (points.get(Contact(name, way)) for way in TURNS)
            if a is None or b is None:
                continue
            if control.axis:
                step = round(AXIS_TRAVEL * control.share / 100)
                turns.append(Turn(a, b, control.steps_per_detent, 0, name, control.axis, step))
            elif set(buttons[:2]) != {NO_BUTTON}:
                turns.append(Turn(a, b, control.steps_per_detent, len(pulsers), name))
                pulse, gap = ceil(control.pulse or pulse), ceil(control.gap or gap)
                pulsers.append(Pulser(buttons[:2], pulse, gap, control.opposite == "cancel", name))
    return Rules(tuple(follows), tuple(edges), tuple(turns), tuple(pulsers))
