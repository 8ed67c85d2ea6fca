"""What a box as soldered reports at each step: the forward model of the press test.

The scan, and how the level spreads, are those of `wiring.matrix`; the common of pins of their own
is at its level all the time. The board's side: a cell's level is its input's state, except that
the two channels of a rotary count detents by their Gray code and that contacts which report edges
pulse at a change.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from profiles.live.blueprint import NO_INPUT, Blueprint, Build
from profiles.live.plan import Step
from profiles.model import Rotary
from profiles.wiring.matrix import NO_NODE, reach


@dataclass(frozen=True, slots=True)
class Heard:
    """What a box reports during a step.

    `seen`: inputs that went down during it or are down at its end; `counts`: how often each input
    went down, filled for turns only, over all detents; `chatter`: inputs that may bounce.
    """

    seen: frozenset[int]
    counts: tuple[tuple[int, float], ...] = ()
    skips: bool = False
    chatter: frozenset[int] = frozenset()


class Simulator:
    """What one build reports."""

    def __init__(self, blueprint: Blueprint, build: Build) -> None:
        self.blueprint = blueprint
        self.build = build
        self._base, self._ends = _wire(blueprint, build)
        rows, columns = blueprint.rows, blueprint.columns
        by_row = blueprint.circuit.matrix.driven == "rows"
        row_pins, column_pins = build.pins[:rows], build.pins[rows : rows + columns]
        self._drivers, sensors = (row_pins, column_pins) if by_row else (column_pins, row_pins)
        self._steps = (columns, 1) if by_row else (1, columns)
        self._sensors = {node: at for at, node in enumerate(sensors) if node != NO_NODE}
        self._sensed = sum(1 << node for node in self._sensors)
        self._direct = build.pins[rows + columns :]
        self._numbers = number_cells(blueprint, build)
        special = [cell for a, b, *_ in blueprint.channels for cell in (a, b)]
        special += [edge[0] for edge in blueprint.edges]
        self._plain = (1 << blueprint.cells) - 1
        for cell in special:
            self._plain &= ~(1 << cell)
        self._inputs: dict[int, frozenset[int]] = {}
        self._reads: dict[int, int] = {}

    def read(self, closed: int) -> int:
        """Mask of the cells that read closed while the contacts of mask `closed` are."""
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
        while closed:
            low = closed & -closed
            closed ^= low
            a, b, forward, backward = self._ends[low.bit_length() - 1]
            exits[a] |= forward << b
            exits[b] |= backward << a
        return exits

    def _scan(self, closed: int) -> int:
        exits = self._exits(closed)
        ground = reach(exits, self.blueprint.ground)
        found = self._read_matrix(exits, ground)
        first = self.blueprint.rows * self.blueprint.columns
        for at, node in enumerate(self._direct):
            if node != NO_NODE and ground >> node & 1:
                found |= 1 << (first + at)
        made = first + len(self._direct)
        for at, (cell, _) in enumerate(self.blueprint.inverses):
            if not found >> cell & 1:
                found |= 1 << (made + at)
        return found

    def _read_matrix(self, exits: list[int], ground: int) -> int:
        found = 0
        by_step, by_sensor = self._steps
        always = ground if ground != 1 << self.blueprint.ground else 0
        for step, node in enumerate(self._drivers):
            if node == NO_NODE or not (exits[node] or always):
                continue
            hits = (reach(exits, node) | always) & self._sensed
            while hits:
                low = hits & -hits
                hits ^= low
                at = self._sensors[low.bit_length() - 1]
                found |= 1 << (step * by_step + at * by_sensor)
        return found

    def hear(self, step: Step, frames: tuple[int, ...]) -> Heard:
        """What the box reports during a step whose frames are these masks of contacts."""
        if step.gesture == "turn":
            return self._hear_turn(step, frames)
        seen = self._hear_press(frames) if step.gesture in ("press", "together") else None
        if seen is None:
            seen = self._hear_frames(step, [self.read(frame) for frame in frames])
        return Heard(seen, chatter=self._chatter(frames, seen))

    def _hear_press(self, frames: tuple[int, ...]) -> frozenset[int] | None:
        """What a press adds to rest; None where cells that pulse have a part in it."""
        pressed = self.read(frames[1])
        rest = self.read(frames[0])
        return None if (pressed | rest) & ~self._plain else self._name(pressed | rest)

    def _hear_frames(self, step: Step, cells: list[int]) -> frozenset[int]:
        """Plain cells count by their level, at the end only where a control stays as put."""
        rising = 0
        for before, after in pairwise(cells):
            rising |= after & ~before
        plain = cells[-1] | (0 if step.stays else rising)
        pulses = frozenset(number for number, _ in self._pulses(cells))
        return self._name(plain & self._plain) | pulses

    def _hear_turn(self, step: Step, frames: tuple[int, ...]) -> Heard:
        cells = [self.read(frame) for frame in frames]
        counts: dict[int, float] = {}
        for before, after in pairwise(cells):
            for number in self._name(after & ~before & self._plain):
                counts[number] = counts.get(number, 0) + self._cycles(step)
        rotary = self._rotary_of(step)
        rate = dict(self.build.rates).get(rotary, 1.0) * step.detents
        for number, times in self._pulses(cells):
            counts[number] = counts.get(number, 0) + times * rate
        seen = self._name(cells[-1] & self._plain).union(counts)
        table = tuple(sorted(counts.items()))
        return Heard(seen, table, skips=rotary in self.build.skipping)

    def _cycles(self, step: Step) -> float:
        """How often the Gray code comes round in a turn."""
        control = self.blueprint.device.controls[step.contact.control] if step.contact else None
        steps = control.steps_per_detent if isinstance(control, Rotary) else 4
        return step.detents * steps / 4

    def _rotary_of(self, step: Step) -> int:
        names = self.blueprint.rotaries
        name = step.contact.control if step.contact else ""
        return names.index(name) if name in names else -1

    def _pulses(self, cells: list[int]) -> Iterable[tuple[int, int]]:
        """(input, how often) of detents counted and edges pulsed over the frames."""
        offset = self.build.offset
        for a, b, clockwise, anticlockwise in self.blueprint.channels:
            detents = _count_detents([(one >> a & 1) << 1 | one >> b & 1 for one in cells])
            if detents:
                yield (clockwise if detents > 0 else anticlockwise) + offset, abs(detents)
        for cell, opening in self.blueprint.edges:
            closed = self._numbers[cell]
            opened = opening + offset if opening != NO_INPUT else NO_INPUT
            for before, after in pairwise(one >> cell & 1 for one in cells):
                number = closed if after > before else opened
                if before != after and number != NO_INPUT:
                    yield number, 1

    def _name(self, cells: int) -> frozenset[int]:
        found = self._inputs.get(cells)
        if found is None:
            numbers = (self._numbers[cell] for cell in _bits(cells & self._plain))
            found = self._inputs[cells] = frozenset(n for n in numbers if n > NO_INPUT)
        return found

    def _chatter(self, frames: tuple[int, ...], seen: frozenset[int]) -> frozenset[int]:
        """Inputs that may bounce in this step: those of the contacts that do."""
        if not self.build.bouncing:
            return frozenset()
        found: frozenset[int] = frozenset()
        for before, after in pairwise(frames):
            for contact in self.build.bouncing:
                if (after & ~before) >> contact & 1:
                    found |= self._name(self.read(after) & ~self.read(after & ~(1 << contact)))
        return found & seen


def _bits(mask: int) -> Iterable[int]:
    while mask:
        low = mask & -mask
        mask ^= low
        yield low.bit_length() - 1


_GRAY = {(0, 2): 1, (2, 3): 1, (3, 1): 1, (1, 0): 1, (2, 0): -1, (3, 2): -1, (1, 3): -1, (0, 1): -1}
"""Quarter detents by the two channels' states (A is bit 1): A leads when turned clockwise."""


def _count_detents(states: list[int]) -> int:
    quarters = sum(_GRAY.get(pair, 0) for pair in pairwise(states))
    return quarters // 4 if quarters >= 0 else -(-quarters // 4)


def number_cells(blueprint: Blueprint, build: Build) -> tuple[int, ...]:
    """The input number of each cell of a build."""
    numbers = blueprint.numbers
    if build.transposed and blueprint.other_numbers is not None:
        numbers = blueprint.other_numbers
    numbers += tuple(number for _, number in blueprint.inverses)
    if not build.offset:
        return numbers
    return tuple(n + build.offset if n != NO_INPUT else n for n in numbers)


End = tuple[int, int, int, int]
"""Two nodes, and whether the level passes from the first to the second and back (0 or 1)."""


def _wire(blueprint: Blueprint, build: Build) -> tuple[list[int], list[End]]:
    """What is always joined, as exits by node, and what each contact joins when it closes."""
    nodes = blueprint.ground + 1 + len(blueprint.direct)
    exits = [0] * (nodes + len(build.joints))
    for a, b in build.bridges:
        exits[a] |= 1 << b
        exits[b] |= 1 << a
    ends = [_end(build, contact) for contact in range(len(build.sites))]
    for inner, pair in enumerate(sorted(build.joints), nodes):
        for contact in pair:
            _split(exits, ends, contact, inner)
    for contact in build.stuck:
        a, b, forward, backward = ends[contact]
        exits[a] |= forward << b
        exits[b] |= backward << a
    return exits, ends


def _end(build: Build, contact: int) -> End:
    a, b = build.sites[contact]
    if contact in build.opened:
        return (a, b, 0, 0)
    diode = build.diodes[contact]
    return (a, b, int(diode >= 0), int(diode <= 0))


def _split(exits: list[int], ends: list[End], contact: int, inner: int) -> None:
    """Put an inner node between the diode, on the driven side, and the switch."""
    a, b, forward, backward = ends[contact]
    exits[a] |= forward << inner
    exits[inner] |= backward << a
    ends[contact] = (inner, b, 1, 1)
