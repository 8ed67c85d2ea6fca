"""What a box as soldered reports at each step: the forward model of the press test.

The scan, and how the level spreads, are those of `wiring.matrix`; the common of pins of their own
is at its level all the time. What the board makes of a reading are the rules of the box model.
"""

from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from profiles.facts.box_model import BoxModel
from profiles.host.axes import axis_input
from profiles.live.banks import axes_in
from profiles.live.build import Build, build_of, number_box
from profiles.live.plan import Step
from profiles.model import Axis, ControlValue, Rotary
from profiles.wiring.matrix import NO_NODE, reach

ENDS = {"to-high": 1, "to-low": -1}
"""Gestures that bring an axis to an end, and which."""


@dataclass(frozen=True, slots=True)
class Heard:
    """What a box reports during a step.

    `seen`: inputs that went down during it or are down at its end; `counts`: how often each input
    went down, filled for turns only, over all detents; `chatter`: inputs that may bounce;
    `passing`: inputs that a control that is put somewhere closes for a moment only, or one that is
    pressed opens.
    """

    seen: frozenset[int]
    counts: tuple[tuple[int, float], ...] = ()
    skips: bool = False
    chatter: frozenset[int] = frozenset()
    passing: frozenset[int] = frozenset()


class Simulator:
    """What one build reports."""

    def __init__(self, model: BoxModel, build: Build) -> None:
        self.model = model
        self.build = build
        self._base, self._ends = _wire(model, build)
        pins = build.pins
        rows, columns, single = pins[: model.rows], pins[model.rows : model.ground], model.ground
        by_row = model.circuit.matrix.driven == "rows"
        self._drivers, sensors = (rows, columns) if by_row else (columns, rows)
        self._width = len(sensors)
        self._sensors = {node: at for at, node in enumerate(sensors) if node != NO_NODE}
        self._sensed = sum(1 << node for node in self._sensors if node not in build.supplied)
        self._single = [
            (node, 1 << model.points[contact])
            for node, contact in zip(pins[single:], model.single, strict=True)
            if node != NO_NODE
        ]
        self._numbered = number_box(model, build.transposed)
        self._reads: dict[int, int] = {}

    def read(self, closed: int) -> int:
        """Mask of the cells that read closed while the contacts of mask `closed` are moved."""
        found = self._reads.get(closed)
        if found is None:
            found = self._reads[closed] = self._scan(closed)
        return found

    def flows(self, a: int, b: int, closed: int = 0) -> tuple[bool, bool]:
        """Whether the level passes from node a to node b, and back, with contacts closed."""
        exits = self._exits(closed)
        return bool(reach(exits, a) >> b & 1), bool(reach(exits, b) >> a & 1)

    def _exits(self, closed: int) -> list[int]:
        exits = self._base.copy()
        closed ^= self.build.inverted
        while closed:
            low = closed & -closed
            closed ^= low
            a, b, forward, backward = self._ends[low.bit_length() - 1]
            exits[a] |= forward << b
            exits[b] |= backward << a
        for node in self.build.supplied:
            exits[node] = 0
        return exits

    def _scan(self, closed: int) -> int:
        exits = self._exits(closed)
        ground = 1 << self.model.ground
        if exits[self.model.ground]:
            ground = reach(exits, self.model.ground)
        always = ground if ground != 1 << self.model.ground else 0
        found = 0
        for step, node in enumerate(self._drivers):
            if node == NO_NODE or not (exits[node] or always):
                continue
            hits = (reach(exits, node) | always) & self._sensed
            while hits:
                low = hits & -hits
                hits ^= low
                found |= 1 << (step * self._width + self._sensors[low.bit_length() - 1])
        for node, point in self._single:
            if ground >> node & 1:
                found |= point
        return found

    def hear(self, step: Step, frames: tuple[int, ...], before: int = 0) -> Heard:
        """What the box reports during a step whose frames are these masks of contacts.

        `before` masks the contacts that were pressed an odd number of times since the test began.
        """
        build = self.build
        if build.latching or build.springing:
            frames = _move_otherwise(frames, build.latching, before, build.springing)
        if step.gesture in ENDS:
            control = self.model.device.controls.get(step.contact.control) if step.contact else None
            return self._hear_end(control, step, list(map(self.read, frames)))
        readings = [self.read(frame) for frame in frames]
        if step.gesture in ("press", "together"):
            press = self._numbered.find_press(tuple(readings), build.offset)
            if press is not None:
                seen, returned = press
                return Heard(seen, (), False, self._chatter(frames, seen), returned)
        if step.gesture == "turn":
            return self._hear_turn(step, readings)
        seen = self.name(readings[-1]).union(self.count_pulses(readings))
        passing: frozenset[int] = frozenset()
        for first, then in pairwise(readings):
            passing |= self.name(then) - self.name(first)
        if not step.stays:
            return Heard(seen | passing, chatter=self._chatter(frames, seen | passing))
        passing -= seen | self.name(readings[0])
        return Heard(seen, (), False, self._chatter(frames, seen), passing)

    def _hear_end(self, control: ControlValue | None, step: Step, readings: list[int]) -> Heard:
        """An axis at an end; of a rotary at the one to which its detents turn it."""
        seen = frozenset[int]().union(*map(self.name, readings), self.count_pulses(readings))
        if isinstance(control, Axis) and step.contact is not None:
            return Heard(seen | self._follow_lever(step.contact.control, ENDS[step.gesture]))
        travel = self._numbered.rules.find_travel(readings)
        ways = {axis: (way > 0) - (way < 0) for axis, way in travel.items()}
        return Heard(seen.union(axis_input(axis, way) for axis, way in ways.items() if way))

    def _follow_lever(self, moved: str, end: int) -> frozenset[int]:
        """The axes that come to an end when this lever does, by the sensors that they follow."""
        levers, controls = axes_in(self.model), self.model.device.controls
        return frozenset(
            axis_input(control.axis, end * way)
            for name, (sensor, way) in zip(levers, self.build.axes, strict=True)
            if levers[sensor] == moved and way and isinstance(control := controls[name], Axis)
        )

    def _hear_turn(self, step: Step, readings: list[int]) -> Heard:
        """A turn as often as its frames, the Gray code once round, go into its detents."""
        name = step.contact.control if step.contact else ""
        control = self.model.device.controls.get(name)
        steps = control.steps_per_detent if isinstance(control, Rotary) else 4
        cycles = step.detents * steps / 4
        rotaries = self.model.rotaries
        rotary = rotaries.index(name) if name in rotaries else -1
        counts: dict[int, float] = {}
        for before, after in pairwise(readings):
            for number in self.name(after) - self.name(before):
                counts[number] = counts.get(number, 0) + cycles
        rate = dict(self.build.rates).get(rotary, 1.0) * cycles
        for number, times in self.count_pulses(readings).items():
            counts[number] = counts.get(number, 0) + times * rate
        seen = self.name(readings[-1]).union(counts)
        return Heard(seen, tuple(sorted(counts.items())), skips=rotary in self.build.skipping)

    def count_pulses(self, readings: list[int]) -> dict[int, int]:
        """How often each input pulses over these readings."""
        watched = self._numbered.watched
        if all((reading ^ readings[0]) & watched == 0 for reading in readings):
            return {}
        pulses = self._numbered.find_pulses(tuple(readings))
        offset = self.build.offset
        return {n + offset: times for n, times in pulses.items() if n + offset > 0}

    def name(self, reading: int) -> frozenset[int]:
        """Inputs that are down while the board reads so."""
        return self._numbered.find_down(reading, self.build.offset)

    def _chatter(self, frames: tuple[int, ...], seen: frozenset[int]) -> frozenset[int]:
        """Inputs that may bounce in this step: those of the contacts that do."""
        if not self.build.bouncing:
            return frozenset()
        found: frozenset[int] = frozenset()
        for before, after in pairwise(frames):
            for contact in self.build.bouncing:
                if (after & ~before) >> contact & 1:
                    without = self.read(after & ~(1 << contact))
                    found |= self.name(self.read(after)) - self.name(without)
        return found & seen


@lru_cache(maxsize=16)
def described(model: BoxModel) -> Simulator:
    """What the box reports if it is as described."""
    return Simulator(model, build_of(model))


def _move_otherwise(
    frames: tuple[int, ...], latching: int, before: int, springing: int
) -> tuple[int, ...]:
    """The frames as some contacts make them: one press on, the next off; or put on, and back."""
    on, off, last = before & latching, 0, frames[0]
    found = []
    for frame in frames:
        pressed, released = frame & ~last & latching, last & ~frame & off
        off |= pressed & on
        on = (on | pressed) & ~released
        found.append((frame | on) & ~springing)
        if frame & ~last & springing:
            found[-1:] = [found[-1] | (frame & springing), found[-1]]
        last = frame
    return tuple(found)


End = tuple[int, int, int, int]
"""Two nodes, and whether the level passes from the first to the second and back (0 or 1)."""


def _wire(model: BoxModel, build: Build) -> tuple[list[int], list[End]]:
    """What is always joined, as exits by node, and what each contact joins when it closes."""
    nodes = model.ground + 1 + len(model.single) + build.pieces
    exits = [0] * (nodes + len(build.joints))
    for a, b in build.bridges:
        exits[a] |= 1 << b
        exits[b] |= 1 << a
    ends = list(_ends_of(build.sites, build.diodes))
    for inner, pair in enumerate(sorted(build.joints), nodes):
        for contact in pair:
            _split(exits, ends, contact, inner)
    for contact in build.opened:  # its switch, that is: the diode is where it was
        ends[contact] = (*ends[contact][:2], 0, 0)
    for contact in build.stuck:
        a, b, forward, backward = ends[contact]
        exits[a] |= forward << b
        exits[b] |= backward << a
    return exits, ends


@lru_cache(maxsize=256)
def _ends_of(sites: tuple[tuple[int, int], ...], diodes: tuple[int, ...]) -> tuple[End, ...]:
    """What each contact joins; few faults change any of it."""
    return tuple(
        (a, b, int(diode >= 0), int(diode <= 0))
        for (a, b), diode in zip(sites, diodes, strict=True)
    )


def _split(exits: list[int], ends: list[End], contact: int, inner: int) -> None:
    """Put an inner node between the diode, on the driven side, and the switch."""
    a, b, forward, backward = ends[contact]
    exits[a] |= forward << inner
    exits[inner] |= backward << a
    ends[contact] = (inner, b, 1, 1)
