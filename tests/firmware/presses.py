"""Random press sequences for a box, and what the model says they must report.

A sequence is a list of steps: a contact closes or opens (with bounce), or a knob turns by
some detents (with noise on its channels). Between steps the box has time to settle. What
must come out of a step is reasoned from the model alone: the reading of the matrix before
and after (`profiles.wiring.matrix.read`), the device's own words on what each control
reports, and the input numbers. No code of the cores is used.
"""

import random
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import lru_cache

from profiles.firmware.plan import FirmwarePlan
from profiles.model import Contact, Device, Latching, Rotary, Selector
from profiles.wiring.circuit import circuit_of, numbering_of
from profiles.wiring.matrix import Crossing, Matrix, read
from tests.firmware.simulation import Changes

GRAY = ((0, 0), (1, 0), (1, 1), (0, 1))
"""Channels A and B through one full cycle, clockwise; A closes first."""


@dataclass
class Expectation:
    """How often each input rises and falls during a step, and what is down at its end."""

    start: int
    rises: Counter[int] = field(default_factory=Counter)
    falls: Counter[int] = field(default_factory=Counter)
    down: frozenset[int] = frozenset()


class Wires:
    """Where each contact of a device sits, as the simulation numbers points."""

    def __init__(self, device: Device, plan: FirmwarePlan) -> None:
        self.device = device
        self.circuit = circuit_of(device)
        self.numbers = numbering_of(device).numbers
        self.size = plan.points
        self.crossings = len(plan.driven) * len(plan.sensed)
        self.points = dict(self._find_points(plan))
        self.diodes = self._mark_diodes(plan)

    def _find_points(self, plan: FirmwarePlan) -> Iterator[tuple[Contact, int]]:
        bits_from = self.crossings + len(plan.own)
        for name, control in self.device.controls.items():
            for contact, place in control.crossing_by_contact.items():
                yield Contact(name, contact), self.crossing_point(place, plan)
            for contact, pin in control.pin_by_contact.items():
                if pin in plan.own:
                    yield Contact(name, contact), self.crossings + plan.own.index(pin)
            for contact, bit in control.bit_by_contact.items():
                yield Contact(name, contact), bits_from + bit - 1
        first = bits_from
        for bank in plan.banks:
            on_bank = {f"{bank.name}.{place + 1}": at for at, place in enumerate(bank.places)}
            for name, control in self.device.controls.items():
                for contact, pin in control.pin_by_contact.items():
                    if pin in on_bank:
                        yield Contact(name, contact), first + on_bank[pin]
            first += len(bank.places)

    def crossing_point(self, place: Crossing, plan: FirmwarePlan) -> int:
        row, column = place
        if self.device.wiring.driven == "rows":
            return (row - 1) * len(plan.sensed) + column - 1
        return (column - 1) * len(plan.sensed) + row - 1

    def _mark_diodes(self, plan: FirmwarePlan) -> bytes:
        marks = bytearray(max(self.crossings, 1))
        for place in self.circuit.matrix.diodes:
            marks[self.crossing_point(place, plan)] = 1
        return bytes(marks)

    def read(self, closed: frozenset[Contact]) -> frozenset[Contact]:
        """Contacts that read closed while these are: ghosts included."""
        places = frozenset(self.circuit.places[t] for t in closed if t in self.circuit.places)
        seen = read_matrix(self.circuit.matrix, places)
        in_matrix = {t for t, place in self.circuit.places.items() if place in seen}
        return frozenset(in_matrix | {t for t in closed if t not in self.circuit.places})

    def row(self, closed: frozenset[Contact]) -> bytes:
        marks = bytearray(self.size)
        for terminal in closed:
            marks[self.points[terminal]] = 1
        return bytes(marks)


@lru_cache(maxsize=200_000)
def read_matrix(matrix: Matrix, closed: frozenset[Crossing]) -> frozenset[Crossing]:
    """`read`, remembered."""
    return read(matrix, closed)


class Sequence:
    """One random sequence: rows of closed contacts, and what must be reported when."""

    def __init__(self, wires: Wires, rng: random.Random, steps: int) -> None:
        self.wires = wires
        self.rng = rng
        self.wiring = wires.device.wiring
        self.debounce = int(self.wiring.debounce)
        self.codes = {n: 0 for n, c in wires.device.controls.items() if isinstance(c, Rotary)}
        self.closed = self._start_state()
        self.rows = [wires.row(self.closed)]
        self.expected = [Expectation(0, down=self.states(self.closed))]
        for _ in range(steps):
            self._step()

    @property
    def start(self) -> int:
        """The row at which the next step begins."""
        return len(self.rows)

    def _start_state(self) -> frozenset[Contact]:
        """Toggles in any state, selectors in any position, knobs resting anywhere."""
        closed: set[Contact] = set()
        for name, control in self.wires.device.controls.items():
            if isinstance(control, Latching | Selector):
                closed |= self._choose_position(name, control)
            elif isinstance(control, Rotary):
                self.codes[name] = self.rng.choice((0, 2))
                closed |= self._channels(name)
        return frozenset(closed)

    def _choose_position(self, name: str, control: Latching | Selector) -> set[Contact]:
        terminal = Contact(name, self.rng.choice(control.contacts))
        return {terminal} & self.wires.points.keys()

    def _channels(self, name: str) -> set[Contact]:
        a, b = GRAY[self.codes[name] % 4]
        both = {Contact(name, "clockwise"): a, Contact(name, "anticlockwise"): b}
        return {terminal for terminal, closed in both.items() if closed}

    def _step(self) -> None:
        name = self.rng.choice(list(self.wires.device.controls))
        control = self.wires.device.controls[name]
        if isinstance(control, Latching | Selector):
            closing = self._choose_position(name, control)
            if getattr(control, "switching", "") == "make-before-break":
                self._move(set(), closing)
                self._move(self._all(name) - closing, set())
            else:
                self._move(self._all(name), set())
                self._move(set(), closing)
        elif isinstance(control, Rotary) and self.rng.random() < 0.7:
            self._turn(name, control)
        else:
            press = Contact(name, self.rng.choice(control.contacts[-2:]))
            press = press if press.contact == "pull" else Contact(name, "press")
            if press in self.wires.points:
                held = press in self.closed
                self._move({press} if held else set(), set() if held else {press})

    def _all(self, name: str) -> set[Contact]:
        return {terminal for terminal in self.closed if terminal.control == name}

    def _move(self, opened: set[Contact], closed: set[Contact]) -> None:
        """Contacts change with bounce; then the box has time to settle and to play pulses."""
        before, after = self.closed, (self.closed - opened) | closed
        if before == after:
            return
        expected = self._expect(before, after)
        bounce = self.rng.randrange(self.debounce)
        self._rest(after, before, bounce)
        pulses = sum(expected.rises.values())
        self._rest(
            after, after, self.debounce + int(self.wiring.hold) + 3 + pulses * self._longest_pulse()
        )
        self.expected.append(expected)

    def _longest_pulse(self) -> int:
        pulses = [self.wiring.pulse, self.wiring.gap]
        for control in self.wires.device.controls.values():
            if isinstance(control, Rotary):
                pulses += [control.pulse or 0.0, control.gap or 0.0]
        return int(sum(pulses)) + 1

    def _rest(self, new: frozenset[Contact], old: frozenset[Contact], rows: int) -> None:
        choices = (self.wires.row(old), self.wires.row(new))
        self.rows += [self.rng.choice(choices) for _ in range(rows)]
        self.closed = new

    def _turn(self, name: str, control: Rotary) -> None:
        """Whole detents one way, noise on the channel that moves, at any speed that is read."""
        detents = self.rng.choice((1, 1, 2, 3, 5))
        way = self.rng.choice((1, -1))
        expected = Expectation(self.start, down=self.states(self.closed))
        for _ in range(detents * control.steps_per_detent):
            before = self.closed
            self.codes[name] += way
            after = frozenset((before - self._ways(name)) | self._channels(name))
            self._rest(after, before, self.rng.randrange(self.debounce))
            self._rest(after, after, self.debounce + 1 if control.steps_per_detent == 1 else 1)
        number = self.wires.numbers.get(Contact(name, "clockwise" if way > 0 else "anticlockwise"))
        if number is not None:
            expected.rises[number] = expected.falls[number] = detents
        self._rest(self.closed, self.closed, 2 + detents * self._longest_pulse())
        expected.down = self.states(self.closed)
        self.expected.append(expected)

    def _ways(self, name: str) -> set[Contact]:
        return {Contact(name, "clockwise"), Contact(name, "anticlockwise")}

    def states(self, closed: frozenset[Contact]) -> frozenset[int]:
        """Inputs that are down while these contacts are closed and nothing pulses."""
        seen = self.wires.read(closed)
        return frozenset(
            number
            for terminal, number in self.wires.numbers.items()
            if self._is_state(terminal) and self._is_on(terminal, seen)
        )

    def _is_state(self, terminal: Contact) -> bool:
        control = self.wires.device.controls[terminal.control]
        if isinstance(control, Rotary):
            return terminal.contact in ("press", "pull")
        return not (isinstance(control, Latching | Selector) and control.reports != "state")

    def _is_on(self, terminal: Contact, seen: frozenset[Contact]) -> bool:
        control = self.wires.device.controls[terminal.control]
        if terminal in self.wires.points:
            return terminal in seen
        return seen.isdisjoint(Contact(terminal.control, one) for one in control.contacts)

    def _expect(self, before: frozenset[Contact], after: frozenset[Contact]) -> Expectation:
        down, was = self.states(after), self.states(before)
        expected = Expectation(self.start, Counter(down - was), Counter(was - down), down)
        seen, had = self.wires.read(after), self.wires.read(before)
        for terminal, number in self.wires.numbers.items():
            control = self.wires.device.controls[terminal.control]
            if self._is_state(terminal) or isinstance(control, Rotary):
                continue
            is_on, was_on = self._is_on(terminal, seen), self._is_on(terminal, had)
            both_ways = getattr(control, "reports", "") == "changes"
            is_told = is_on != was_on if both_ways else is_on > was_on
            if is_told:
                expected.rises[number] += 1
                expected.falls[number] += 1
        return expected


def check_reports(changes: Changes, sequence: Sequence) -> list[str]:
    """What a core reported that the model does not say, step by step; empty where all agree."""
    problems = []
    report = 0
    waiting = list(changes)
    ends = [expected.start for expected in sequence.expected[1:]] + [len(sequence.rows)]
    for at, (expected, end) in enumerate(zip(sequence.expected, ends, strict=True)):
        rises: Counter[int] = Counter()
        falls: Counter[int] = Counter()
        while waiting and waiting[0][0] < end:
            _, new = waiting.pop(0)
            if at:
                rises.update(list_buttons(new & ~report))
                falls.update(list_buttons(report & ~new))
            report = new
        if rises != expected.rises or falls != expected.falls:
            problems.append(f"step {at}: rises {rises}, falls {falls}, expected {expected}")
        if frozenset(list_buttons(report)) != expected.down:
            problems.append(f"step {at}: down {list_buttons(report)}, expected {expected}")
    return problems


def list_buttons(report: int) -> list[int]:
    """Buttons, from 1, that are set in a report."""
    return [at + 1 for at in range(report.bit_length()) if report >> at & 1]


Core = Callable[[Sequence], Changes]
