"""The steps of a press test: what is asked for, and which contacts are closed meanwhile.

A step is a gesture with its frames: the sets of contacts that are closed, one after another, while
the hand does what it was asked. The frames are all that the electrical side needs to know. Between
steps everything is at rest: latching controls off or at their centre, selectors at the first
position that stays, nothing pressed, so that each step may be skipped or done again by itself.

| gesture | asks | frames |
|---|---|---|
| `rest` | hands off | rest |
| `press` | press one contact, or put to a position that springs back | rest, closed, rest |
| `put-on`, `put-off`, `put` | move a latching control | before, after |
| `select` | go to a position | every position on the way |
| `turn` | turn a rotary some detents | its Gray code, once round |
| `to-high`, `to-low` | move an axis to one end | rest, of a rotary its Gray code, once round |
| `together` | hold some, press one more | rest, all closed, rest |

A full test adds the `together` steps that show a missing or reversed diode: with two corners of a
rectangle held, pressing the third makes the fourth read closed if the third lets current back.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil
from typing import Literal, get_args

from profiles.facts.device import DeviceFacts
from profiles.facts.signals import find_sources
from profiles.live.lines import Depth
from profiles.model import Axis, Contact, Device, Hat, Latching, Rotary, Selector
from profiles.model.control_value import FINGERS, TURNS, ControlValue
from profiles.plate.order import reading_order
from profiles.wiring.circuit import Circuit, circuit_of
from profiles.wiring.matrix import Crossing

Gesture = Literal[
    "rest", "press", "put-on", "put-off", "put", "select", "turn", "together", "to-high", "to-low"
]
GESTURES: tuple[Gesture, ...] = get_args(Gesture)

Closed = frozenset[Contact]
Frames = tuple[Closed, ...]


@dataclass(frozen=True, slots=True)
class Step:
    """One thing asked for. `contact` is the one it is about, None for `rest`.

    `stays`: the control stays as put and its inputs follow its state. `start` is the position it
    comes from, where a test comes to this one twice.
    """

    gesture: Gesture
    contact: Contact | None
    frames: Frames
    held: tuple[Contact, ...] = ()
    detents: int = 0
    stays: bool = False
    start: str = ""

    @property
    def key(self) -> str:
        """A name of the step that stays the same from run to run."""
        words = [str(terminal) for terminal in (*self.held, self.contact) if terminal]
        start = f" from {self.start}" if self.start else ""
        return " ".join([self.gesture, " + ".join(words)]).strip() + start

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
        if not asked.isdisjoint(Contact(name, one) for one in control.positions_held):
            steps += _plan_positions(device, name, rest)
        if isinstance(control, Axis):
            ends: tuple[Gesture, Gesture] = ("to-high", "to-low")
            steps += [Step(one, Contact(name, "axis"), (rest,)) for one in ends]
        if isinstance(control, Hat):
            for contact in (Contact(name, one) for one in control.contacts):
                if contact in asked:
                    closed = rest.union(find_sources(device, contact)[0])
                    steps.append(Step("press", contact, (rest, closed, rest)))
            continue
        ways = tuple(Contact(name, way) for way in TURNS)
        for first, second in (ways, ways[::-1]):
            gray = ((), (first,), (first, second), (second,), ())
            turn = tuple(rest.union(closed) for closed in gray)
            if isinstance(control, Rotary) and control.axis:
                end: Gesture = "to-high" if first == ways[0] else "to-low"
                steps.append(Step(end, first, turn, detents=ceil(100 / control.share)))
            elif first in asked:
                steps.append(Step("turn", first, turn, detents=detents))
        for finger in (Contact(name, one) for one in FINGERS):
            if finger in asked:
                steps.append(Step("press", finger, (rest, rest | {finger}, rest)))
    if depth == "full":
        steps += _plan_together(device, rest, asked)
    return tuple(steps)


def can_hold(control: ControlValue, contact: str) -> bool:
    """Whether a contact is closed by a finger, or by a lever put out of its rest."""
    return contact in FINGERS or (isinstance(control, Latching) and contact != control.rest_contact)


def hold(rest: Closed, members: Sequence[Contact]) -> Step:
    """Hold all but the last of these, and press the last; what is put on is not at rest."""
    moved = {contact.control for contact in members}
    closed = frozenset(one for one in rest if one.control not in moved).union(members)
    return Step("together", members[-1], (rest, closed, rest), held=tuple(members[:-1]))


def _plan_positions(device: Device, name: str, rest: Closed) -> Iterator[Step]:
    """Up through every position and back to rest in one go, then down; what springs back is let go.

    Between two positions of a selector nothing is closed, or both are. On the way back the hand is
    too quick for nothing to count, as everywhere if the board would take it for a position.
    """
    control = device.controls[name]
    places = [Contact(name, contact) for contact in control.positions_held]
    home = control.positions_held.index(str(control.rest_contact))
    others, stays = rest - {places[home]}, not control.is_pulsing
    is_made = any(find_sources(device, place)[1] for place in places)

    def move(start: int, end: int) -> Frames:
        way = places[start : end + 1] if start <= end else places[end : start + 1][::-1]
        frames = [others | {way[0]}]
        for before, after in pairwise(way):
            if isinstance(control, Selector) and control.switching == "make-before-break":
                frames.append(others | {before, after})
            elif isinstance(control, Selector) and not is_made and end != home:
                frames.append(others)
            frames.append(others | {after})
        return tuple(frames)

    def step_to(at: int, frames: Frames, start: str = "") -> Step:
        if isinstance(control, Selector):
            return Step("select", places[at], frames, stays=stays)
        if control.main_contact is None:
            return Step("put", places[at], frames, stays=stays, start=start)
        is_same = isinstance(control, Latching) and control.reports == "changes"
        contact = Contact(name, "on") if is_same else places[at]
        return Step("put-on" if at != home else "put-off", contact, frames, stays=stays)

    is_back = False
    for ends in (range(home - 1, -1, -1), range(home + 1, len(places))):
        at = home
        for end in ends:
            if places[end].contact in control.sprung:
                yield Step("press", places[end], (*move(at, end), *move(end, at)[1:]))
            else:
                yield step_to(end, move(at, end))
                at = end
        if at != home:
            yield step_to(home, move(at, home), places[at].contact if is_back else "")
            is_back = True


def _plan_together(device: Device, rest: Closed, asked: Closed) -> list[Step]:
    """A step for every diode, those with the same two held one after the other."""
    circuit = circuit_of(device)
    places = {
        place: contact
        for contact, place in circuit.places.items()
        if contact in asked and can_hold(device.controls[contact.control], contact.contact)
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
                if len({places[at].control for at in (*corners, middle)}) < 3:
                    continue  # one control cannot close two of its contacts
                first, second = sorted(corners)
                return first, second
    return None
