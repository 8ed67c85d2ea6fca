"""The steps of a press test: what is asked for, and which contacts are closed meanwhile.

A step is a gesture with its frames: the sets of contacts that are closed, one after another, while
the hand does what it was asked. The frames are all that the electrical side needs to know. Between
steps everything is at rest: latching controls off, selectors at position 1, nothing pressed, so
that each step may be skipped or done again by itself.

| gesture | asks | frames |
|---|---|---|
| `rest` | hands off | rest |
| `press` | press one contact | rest, closed, rest |
| `put-on`, `put-off` | move a latching control | before, after |
| `select` | go to a position | every position on the way |
| `turn` | turn a rotary some detents | its Gray code, once round |
| `to-high`, `to-low` | move an axis to one end | rest |
| `together` | hold some, press one more | rest, all closed, rest |

A full test adds the `together` steps that show a missing or reversed diode: with two corners of a
rectangle held, pressing the third makes the fourth read closed if the third lets current back.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal, get_args

from profiles.facts.device import DeviceFacts
from profiles.facts.signals import find_sources
from profiles.live.lines import Depth
from profiles.model import Axis, Contact, Device, Hat, Latching, Selector
from profiles.plate.order import reading_order
from profiles.wiring.circuit import Circuit, circuit_of
from profiles.wiring.matrix import Crossing

Gesture = Literal[
    "rest", "press", "put-on", "put-off", "select", "turn", "together", "to-high", "to-low"
]
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

    Contacts without an input number are asked only with `every`.
    """
    controls = device.controls
    whole = [Contact(name, contact) for name in controls for contact in controls[name].contacts]
    facts = DeviceFacts(device)
    asked, rest = frozenset(whole if every else facts.reported), facts.rest
    steps = [Step("rest", None, (rest,))]
    for name in reading_order({name: control.position for name, control in controls.items()}):
        control = controls[name]
        if isinstance(control, Latching):
            on, off = Contact(name, "on"), Contact(name, "off")
            if on in asked or off in asked:
                frames, stays = (rest, (rest - {off}) | {on}), control.reports == "state"
                steps.append(Step("put-on", on, frames, stays=stays))
                steps.append(Step("put-off", off, frames[::-1], stays=stays))
        elif isinstance(control, Selector):
            steps += _plan_positions(name, control, rest, asked)
        elif isinstance(control, Axis):
            ends: tuple[Gesture, Gesture] = ("to-high", "to-low")
            steps += [Step(one, Contact(name, "axis"), (rest,)) for one in ends]
        elif isinstance(control, Hat):
            for contact in (Contact(name, one) for one in control.contacts):
                if contact in asked:
                    closed = rest.union(find_sources(device, contact)[0])
                    steps.append(Step("press", contact, (rest, closed, rest)))
        else:
            ways = (Contact(name, "clockwise"), Contact(name, "anticlockwise"))
            for first, second in (ways, ways[::-1]):
                if first in asked:
                    gray = ((), (first,), (first, second), (second,), ())
                    turn = tuple(rest.union(closed) for closed in gray)
                    steps.append(Step("turn", first, turn, detents=detents))
            press = Contact(name, "press")
            if press in asked:
                steps.append(Step("press", press, (rest, rest | {press}, rest)))
    if depth == "full":
        steps += _plan_together(device, rest, asked)
    return tuple(steps)


def hold(rest: Closed, members: Sequence[Contact]) -> Step:
    """Hold all but the last of these, and press the last; what is put on is not off."""
    off = {Contact(contact.control, "off") for contact in members if contact.contact == "on"}
    closed = rest.union(members) - off
    return Step("together", members[-1], (rest, closed, rest), held=tuple(members[:-1]))


def _plan_positions(name: str, control: Selector, rest: Closed, asked: Closed) -> Iterator[Step]:
    """Up through every position, then back to the first in one go."""
    places = [Contact(name, contact) for contact in control.contacts]
    if asked.isdisjoint(places):
        return
    others, stays = rest - {places[0]}, control.reports == "state"
    for before, after in pairwise(places):
        yield Step("select", after, (others | {before}, others, others | {after}), stays=stays)
    way = tuple(others | {place} for place in reversed(places))
    yield Step("select", places[0], way, stays=stays)


def _plan_together(device: Device, rest: Closed, asked: Closed) -> list[Step]:
    """A step for every diode, those with the same two held one after the other."""
    circuit = circuit_of(device)
    places = {
        place: contact
        for contact, place in circuit.places.items()
        if contact in asked and contact.contact in ("press", "on")
    }
    found = []
    for place in sorted(places):
        corners = _corners(circuit, places, place) if place in circuit.matrix.diodes else None
        if corners is not None:
            found.append(hold(rest, [places[corner] for corner in (*corners, place)]))
    return sorted(found, key=lambda step: [str(contact) for contact in step.held])


def _corners(
    circuit: Circuit, places: Mapping[Crossing, Contact], middle: Crossing
) -> tuple[Crossing, Crossing] | None:
    """Two crossings to hold so that pressing `middle` tries its diode; the fourth holds a contact.

    The nearest rectangle is taken, and the same two for the crossing opposite.
    """
    row, column = middle

    def nearness(line: int, other: int) -> tuple[bool, int]:
        """Partner lines 1 with 2, 3 with 4 and so on first, then by distance."""
        return other != (line + 1 if line % 2 else line - 1), abs(line - other)

    rows = sorted({r for r, _ in places} - {row}, key=lambda r: nearness(row, r))
    columns = sorted({c for _, c in places} - {column}, key=lambda c: nearness(column, c))
    for r in rows:
        for c in columns:
            corners = {(r, column), (row, c)}
            if corners <= places.keys() and (r, c) in circuit.matrix.crossings:
                first, second = sorted(corners)
                return first, second
    return None
