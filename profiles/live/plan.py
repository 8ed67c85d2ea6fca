"""The steps of a press test: what is asked for, and which contacts are closed meanwhile.

A step is a gesture with its frames: the sets of contacts that are closed, one after another, while
the hand does what it was asked. The frames are all that the electrical side needs to know. Between
steps everything is at rest: latching controls off, selectors at position 1, nothing pressed, so
that each step stands for itself and may be left out or done again.

| gesture | asks | frames |
|---|---|---|
| `rest` | hands off | rest |
| `press` | press one contact | rest, closed, rest |
| `put-on`, `put-off` | move a latching control | before, after |
| `select` | go to a position | every position on the way |
| `turn` | turn a rotary some detents | its Gray code, once round |
| `together` | hold some, press one more | rest, all closed, rest |

A full test adds the `together` steps that show a missing or reversed diode: with two corners of a
rectangle held, pressing the third makes the fourth read closed if the third lets current back.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal, get_args

from profiles.live.lines import Depth
from profiles.model import Contact, Device, Latching, Momentary, Rotary, Selector
from profiles.model.control import ControlValue
from profiles.plate.order import reading_order
from profiles.wiring.circuit import Circuit, circuit_of, numbering_of
from profiles.wiring.matrix import Crossing

Gesture = Literal["rest", "press", "put-on", "put-off", "select", "turn", "together"]
GESTURES: tuple[Gesture, ...] = get_args(Gesture)

Closed = frozenset[Contact]
Frames = tuple[Closed, ...]


@dataclass(frozen=True, slots=True)
class Step:
    """One thing asked for. `contact` is the one it is about, None for `rest`.

    `stays`: the control stays as put and its inputs follow its state.
    """

    gesture: Gesture
    contact: Contact | None
    frames: Frames
    held: tuple[Contact, ...] = ()
    detents: int = 0
    stays: bool = False

    @property
    def key(self) -> str:
        """A name of the step that stays the same from run to run."""
        words = [str(terminal) for terminal in (*self.held, self.contact) if terminal]
        return " ".join([self.gesture, " + ".join(words)]).strip()

    @property
    def closed(self) -> Closed:
        """Every contact that is closed at some time of the step."""
        return frozenset().union(*self.frames)


def plan_test(
    device: Device, depth: Depth = "short", detents: int = 10, *, every: bool = False
) -> tuple[Step, ...]:
    """Every step of a test, in the natural order of the plate; `together` steps come last.

    Contacts without an input number are left out unless `every`.
    """
    planner = _Planner(device, detents, every)
    steps = [planner.rest_step(), *planner.single_steps()]
    if depth == "full":
        steps += planner.together_steps()
    return tuple(steps)


def _all_contacts(device: Device) -> Iterator[Contact]:
    for control_id, control in device.controls.items():
        yield from (Contact(control_id, contact) for contact in control.contacts)


class _Planner:
    """What the steps of one device have in common."""

    def __init__(self, device: Device, detents: int, every: bool) -> None:
        self.device = device
        self.detents = detents
        self.numbers = frozenset(_all_contacts(device) if every else numbering_of(device).numbers)
        self.rest = frozenset(self._resting())

    def rest_step(self) -> Step:
        return Step("rest", None, (self.rest,))

    def single_steps(self) -> Iterator[Step]:
        points = {name: control.position for name, control in self.device.controls.items()}
        for control_id in reading_order(points):
            yield from self._steps_of(control_id, self.device.controls[control_id])

    def _resting(self) -> Iterator[Contact]:
        """The contacts closed while nobody touches the box."""
        for control_id, control in self.device.controls.items():
            if isinstance(control, Latching):
                yield Contact(control_id, "off")
            elif isinstance(control, Selector):
                yield Contact(control_id, "position-1")

    def _steps_of(self, control_id: str, control: ControlValue) -> Iterator[Step]:
        match control:
            case Momentary():
                yield from self._press(Contact(control_id, "press"))
            case Latching():
                yield from self._latch(control_id, stays=control.reports == "state")
            case Rotary():
                yield from self._turn(control_id)
                yield from self._press(Contact(control_id, "press"))
            case Selector():
                yield from self._select(control_id, control)

    def _press(self, terminal: Contact) -> Iterator[Step]:
        if terminal in self.numbers:
            closed = self.rest | {terminal}
            yield Step("press", terminal, (self.rest, closed, self.rest))

    def _latch(self, control_id: str, *, stays: bool) -> Iterator[Step]:
        on, off = Contact(control_id, "on"), Contact(control_id, "off")
        if on in self.numbers or off in self.numbers:
            closed = (self.rest - {off}) | {on}
            yield Step("put-on", on, (self.rest, closed), stays=stays)
            yield Step("put-off", off, (closed, self.rest), stays=stays)

    def _turn(self, control_id: str) -> Iterator[Step]:
        a, b = Contact(control_id, "clockwise"), Contact(control_id, "anticlockwise")
        for terminal, first, second in ((a, a, b), (b, b, a)):
            if terminal in self.numbers:
                gray: tuple[set[Contact], ...] = (set(), {first}, {first, second}, {second}, set())
                frames = tuple(self.rest | closed for closed in gray)
                yield Step("turn", terminal, frames, detents=self.detents)

    def _select(self, control_id: str, control: Selector) -> Iterator[Step]:
        places = [Contact(control_id, contact) for contact in control.contacts]
        if not any(place in self.numbers for place in places):
            return
        others, stays = self.rest - {places[0]}, control.reports == "state"
        for before, after in pairwise(places):
            frames = (others | {before}, others, others | {after})
            yield Step("select", after, frames, stays=stays)
        way = tuple(others | {place} for place in reversed(places))
        yield Step("select", places[0], way, stays=stays)

    def together_steps(self) -> list[Step]:
        circuit = circuit_of(self.device)
        places = {
            place: terminal
            for terminal, place in circuit.places.items()
            if terminal in self.numbers and self._can_hold(terminal)
        }
        found: dict[Step, None] = {}
        for place in sorted(places):
            if place in circuit.matrix.diodes and (held := _corners(circuit, places, place)):
                found[self._together(tuple(places[corner] for corner in held), places[place])] = (
                    None
                )
        return sorted(found, key=lambda step: [str(terminal) for terminal in step.held])

    def _together(self, held: tuple[Contact, ...], last: Contact) -> Step:
        closed = self.rest.union(held, {last}) - self._opened((*held, last))
        return Step("together", last, (self.rest, closed, self.rest), held=held)

    def _opened(self, closed: Iterable[Contact]) -> set[Contact]:
        return {Contact(one.control, "off") for one in closed if one.contact == "on"}

    def _can_hold(self, terminal: Contact) -> bool:
        return terminal.contact in ("press", "on")


def _corners(
    circuit: Circuit, places: Mapping[Crossing, Contact], middle: Crossing
) -> tuple[Crossing, Crossing] | None:
    """Two crossings to hold so that pressing `middle` tries its diode; the fourth holds a contact.

    The nearest rectangle is taken, and the same two for the crossing opposite.
    """
    row, column = middle
    rows = sorted({r for r, _ in places} - {row}, key=lambda r: _nearness(row, r))
    columns = sorted({c for _, c in places} - {column}, key=lambda c: _nearness(column, c))
    for r in rows:
        for c in columns:
            corners = {(r, column), (row, c)}
            if corners <= places.keys() and (r, c) in circuit.matrix.crossings:
                first, second = sorted(corners)
                return first, second
    return None


def _nearness(line: int, other: int) -> tuple[int, int]:
    """Partner lines 1 with 2, 3 with 4 and so on first, then by distance."""
    partner = line + 1 if line % 2 else line - 1
    return (0 if other == partner else 1, abs(line - other))
