"""Simulated boxes: a netlist of named wires, a hand that presses, a board that reports.

Nothing here uses the project's own electrical code: wires are names, a scan is a walk along joined
wires, a fault is a change of the netlist as solder makes it. So a diagnosis that is right about
these boxes is right about more than itself.
"""

import random
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from profiles.facts.device import DeviceFacts
from profiles.live.chains import chains_of
from profiles.live.events import Event
from profiles.live.faults import RATES, Fault
from profiles.live.lines import Answer
from profiles.live.plan import Step
from profiles.live.session import Session
from profiles.model import Contact, Device

INSTANCE = 7


def make_box(
    rows: int,
    columns: int,
    *,
    diodes: bool = False,
    driven: str = "rows",
    rotary: bool = True,
    knobs: int = 1,
) -> Device:
    """A full matrix: buttons, one latching control, a rotary whose push sits in it too, and with
    more `knobs` further rotaries on pins of their own."""
    controls: dict[str, object] = {}
    for row in range(1, rows + 1):
        for column in range(1, columns + 1):
            name, common = f"b{row}{column}", _common(row, column, rows)
            controls[name] = {"kind": "momentary", "crossing": [row, column], **common}
    if rotary:
        corner = controls.pop(f"b{rows}{columns}")
        assert isinstance(corner, dict)
        controls["trim"] = {
            "kind": "rotary",
            "label": "TRIM",
            "position": corner["position"],
            "hole": 7.0,
            "crossings": {"press": [rows, columns]},
            "pins": {"clockwise": "20", "anticlockwise": "21"},
            "common": "GND",
        }
        controls["b11"] = {**_common(1, 1, rows), "kind": "latching", "crossing": [1, 1]}
    for knob in range(1, knobs):
        controls[f"knob{knob}"] = {
            "kind": "rotary",
            "label": f"KNOB {knob}",
            "position": [20.0 * columns + 20.0, 20.0 * knob],
            "hole": 7.0,
            "pins": {"clockwise": f"{20 + 2 * knob}", "anticlockwise": f"{21 + 2 * knob}"},
            "common": "GND",
        }
    return Device.model_validate(
        {
            "format": 1,
            "device": {"id": "bench", "name": "Bench box"},
            "plate": {
                "width": 20.0 * columns + (20 if knobs < 2 else 40),
                "height": 20.0 * rows + 20,
            },
            "wiring": {
                "rows": [f"A{n}" for n in range(rows)],
                "columns": [str(n) for n in range(2, columns + 2)],
                "driven": driven,
                "diodes": "every" if diodes else "none",
                "numbering": "along-rows",
            },
            "controls": controls,
        }
    )


def _common(row: int, column: int, rows: int) -> dict[str, object]:
    place = [20.0 * column, 20.0 * (rows - row + 1)]
    return {"label": f"B{row}{column}", "position": place, "hole": 12.0}


@dataclass
class Wire:
    """One switch: the wires at both ends, driven side first, and the diode between."""

    driven: str
    sensed: str
    diode: int
    cut: bool = False
    held: bool = False


@dataclass
class Netlist:
    """What is soldered to what."""

    rows: list[str | None]
    columns: list[str | None]
    single: dict[Contact, str | None]
    switches: dict[Contact, Wire]
    touching: list[tuple[str, str]] = field(default_factory=list)
    inner: list[tuple[Contact, Contact]] = field(default_factory=list)
    blocked: set[str] = field(default_factory=set)


class SimulatedBox:
    """One box with faults; `seed` decides where a rotary skips and a contact bounces."""

    def __init__(self, device: Device, faults: Iterable[Fault] = (), seed: int = 0) -> None:
        self.device = device
        self.chance = random.Random(seed)
        wiring = device.wiring
        self.by_row = wiring.driven == "rows"
        self.terminals = self._terminals()
        self.net = self._draw()
        self.flipped, self.offset = False, 0
        self.rates: dict[str, float] = {}
        self.skipping: set[str] = set()
        self.bouncing: set[Contact] = set()
        self.upside_down: set[Contact] = set()
        self.latches: set[Contact] = set()
        self.springs: set[Contact] = set()
        self.stayed: set[Contact] = set()
        self._fresh: set[Contact] = set()
        for fault in faults:
            self._damage(fault)
        self.time = 0.0
        self.down: set[int] = set()
        self.closed: set[Contact] = set()

    def _terminals(self) -> list[Contact]:
        found = []
        for name, control in self.device.controls.items():
            for contact in control.contacts:
                terminal = Contact(name, contact)
                wired = {**control.crossing_by_contact, **control.pin_by_contact}
                if contact in wired:
                    found.append(terminal)
        return found

    def _crossing(self, terminal: Contact) -> tuple[int, int] | None:
        control = self.device.controls[terminal.control]
        return control.crossing_by_contact.get(terminal.contact)

    def _draw(self) -> Netlist:
        wiring = self.device.wiring
        rows = [f"R{n}" for n in range(1, len(wiring.rows) + 1)]
        columns = [f"C{n}" for n in range(1, len(wiring.columns) + 1)]
        net = Netlist([*rows], [*columns], {}, {})
        for terminal in self.terminals:
            place = self._crossing(terminal)
            if place is None:
                net.single[terminal] = f"P:{terminal}"
                net.switches[terminal] = Wire("GND", f"P:{terminal}", 0)
                continue
            row, column = f"R{place[0]}", f"C{place[1]}"
            ends = (row, column) if self.by_row else (column, row)
            net.switches[terminal] = Wire(*ends, diode=int(wiring.diodes == "every"))
        return net

    def _name(self, node: int) -> str:
        rows, columns = len(self.net.rows), len(self.net.columns)
        if node < rows:
            return f"R{node + 1}"
        if node < rows + columns:
            return f"C{node - rows + 1}"
        if node == rows + columns:
            return "GND"
        return f"P:{list(self.net.single)[node - rows - columns - 1]}"

    def _damage(self, fault: Fault) -> None:
        kind, places = fault.kind, fault.places
        if kind in ("swapped", "dead", "rotated", "shifted", "reversed"):
            self._damage_lines(fault)
        elif kind == "transposed":
            self.flipped = not self.flipped
        elif kind == "offset":
            self.offset += places[0]
        elif kind == "bridged":
            self.net.touching.append((self._name(places[0]), self._name(places[1])))
        elif kind == "grounded":
            self.net.touching.append((self._name(places[0]), "GND"))
        elif kind == "supplied":
            self.net.blocked.add(self._name(places[0]))
        elif kind == "miswired":
            switch = self.net.switches[self.terminals[places[0]]]
            setattr(switch, "sensed" if places[1] else "driven", self._name(places[2]))
        elif kind == "broken":
            self._break(*places)
        elif kind in ("turns-back", "skips", "multiplies", "common-lost", "knobs-exchanged"):
            self._damage_rotary(fault)
        else:
            self._damage_contacts(kind, [self.terminals[place] for place in places])

    def _break(self, chain: int, after: int) -> None:
        """Cut a planned chain: what hangs beyond the cut stays joined, and that is all."""
        planned = chains_of(DeviceFacts(self.device).model)[chain]
        wire = self._name(planned.node)
        for stop in planned.stops[after:]:
            for contact in stop.contacts:
                switch = self.net.switches[self.terminals[contact]]
                if switch.driven == wire:
                    switch.driven = f"{wire} beyond"
                if switch.sensed == wire:
                    switch.sensed = f"{wire} beyond"

    def _damage_lines(self, fault: Fault) -> None:
        net, rows = self.net, len(self.net.rows)
        pins = net.rows + net.columns
        if fault.kind == "dead":
            gone = self._name(fault.places[0])
            pins = [None if wire == gone else wire for wire in pins]
        elif fault.kind == "swapped":
            a, b = fault.places
            pins[a], pins[b] = pins[b], pins[a]
        else:
            first = fault.places[0]
            last = rows if first == 0 else len(pins)
            side = pins[first:last]
            if fault.kind == "reversed":
                side.reverse()
            else:
                by, empty = fault.places[1], fault.kind == "shifted"
                moved: list[str | None] = [None] * len(side)
                for place, wire in enumerate(side):
                    if not empty or 0 <= place + by < len(side):
                        moved[(place + by) % len(side)] = wire
                side = moved
            pins[first:last] = side
        net.rows, net.columns = pins[:rows], pins[rows:]

    def _damage_rotary(self, fault: Fault) -> None:
        names = [n for n, control in self.device.controls.items() if control.kind == "rotary"]
        name = names[fault.places[0]]
        if fault.kind == "skips":
            self.skipping.add(name)
        elif fault.kind == "multiplies":
            self.rates[name] = RATES[fault.places[1]]
        elif fault.kind == "common-lost":
            for way in ("clockwise", "anticlockwise"):
                self.net.switches[Contact(name, way)].cut = True
        elif fault.kind == "knobs-exchanged":
            for way in ("clockwise", "anticlockwise"):
                self._exchange(Contact(name, way), Contact(names[fault.places[1]], way))
        else:
            self._exchange(Contact(name, "clockwise"), Contact(name, "anticlockwise"))

    def _exchange(self, a: Contact, b: Contact) -> None:
        """The switches change places; what is wrong with a switch itself goes with it."""
        one, other = self.net.switches[a], self.net.switches[b]
        one.driven, other.driven = other.driven, one.driven
        one.sensed, other.sensed = other.sensed, one.sensed
        one.diode, other.diode = other.diode, one.diode

    def _damage_contacts(self, kind: str, who: list[Contact]) -> None:
        switches = self.net.switches
        if kind == "exchanged":
            self._exchange(who[0], who[1])
        elif kind == "joined":
            self.net.inner.append((who[0], who[1]))
        elif kind == "stuck":
            switches[who[0]].held = True
        elif kind == "open":
            switches[who[0]].cut = True
        elif kind == "bounces":
            self.bouncing.add(who[0])
        elif kind == "inverted":
            self.upside_down.add(who[0])
        elif kind == "latches":
            self.latches.add(who[0])
        elif kind == "springs":
            self.springs.add(who[0])
        elif kind == "diodes-reversed":
            for switch in switches.values():
                switch.diode = -switch.diode
        else:
            switch = switches[who[0]]
            switch.diode = 0 if kind == "diode-missing" else -switch.diode

    def _ways(self, closed: Iterable[Contact]) -> dict[str, set[str]]:
        """Where the level goes next from each wire."""
        ways: dict[str, set[str]] = {}

        def join(a: str, b: str, diode: int = 0) -> None:
            if diode >= 0:
                ways.setdefault(a, set()).add(b)
            if diode <= 0:
                ways.setdefault(b, set()).add(a)

        for a, b in self.net.touching:
            join(a, b)
        for one, other in self.net.inner:
            join(f"in:{one}", f"in:{other}")
            for terminal in (one, other):
                switch = self.net.switches[terminal]
                join(switch.driven, f"in:{terminal}", switch.diode)
        inside = {terminal for pair in self.net.inner for terminal in pair}
        shut = set(closed) ^ self.upside_down
        for terminal, switch in self.net.switches.items():
            if switch.cut or not (switch.held or terminal in shut):
                continue
            if terminal in inside:
                join(f"in:{terminal}", switch.sensed)
            else:
                join(switch.driven, switch.sensed, switch.diode)
        return ways

    def _walk(self, ways: dict[str, set[str]], start: str) -> set[str]:
        blocked = self.net.blocked
        seen, todo = ({start}, [start]) if start not in blocked else (set(), [])
        while todo:
            for wire in ways.get(todo.pop(), ()):
                if wire not in seen and wire not in blocked:
                    seen.add(wire)
                    todo.append(wire)
        return seen

    def scan(self, closed: Iterable[Contact]) -> set[tuple[int, int] | Contact]:
        """Crossings and single pins that the board reads closed."""
        ways = self._ways(closed)
        ground = self._walk(ways, "GND")
        found: set[tuple[int, int] | Contact] = {
            terminal for terminal, wire in self.net.single.items() if wire in ground
        }
        driven, sensed = self.net.rows, self.net.columns
        if not self.by_row:
            driven, sensed = sensed, driven
        for d, wire in enumerate(driven, 1):
            reached = self._walk(ways, wire) | ground if wire else set()
            for s, other in enumerate(sensed, 1):
                if other in reached:
                    found.add((d, s) if self.by_row else (s, d))
        return found

    def _number(self, place: tuple[int, int]) -> int:
        rows, columns = len(self.net.rows), len(self.net.columns)
        row, column = place
        along = (row - 1) * columns + column
        across = (column - 1) * rows + row
        return (across if self.flipped else along) + self.offset

    def _single_number(self, terminal: Contact) -> int:
        first = len(self.net.rows) * len(self.net.columns) + 1
        return first + list(self.net.single).index(terminal) + self.offset

    def levels(self, closed: Iterable[Contact]) -> set[int]:
        found = set()
        for place in self.scan(closed):
            if isinstance(place, Contact):
                if place.contact in ("clockwise", "anticlockwise"):
                    continue
                found.add(self._single_number(place))
            else:
                found.add(self._number(place))
        return {number for number in found if number > 0}

    def perform(self, step: Step) -> Iterator[Event]:
        """What the computer hears while a hand does what a step asks."""
        if step.gesture == "turn":
            yield from self._turn(step)
        else:
            for frame in step.frames:
                yield from self._move(frame)
        self.time += 3000.0

    def _move(self, frame: Iterable[Contact]) -> Iterator[Event]:
        self.time += 90.0
        closing, opening = set(frame) - self.closed, self.closed - set(frame)
        self.closed = set(frame)
        gone = {one for one in opening & self.latches if one in self.stayed}
        held = self.latches & closing - self.stayed
        self.stayed = (self.stayed | held) - (gone - self._fresh)
        self._fresh = held
        yield from self._settle((self.closed - self.springs) | self.stayed | closing & self.springs)
        if closing & self.springs:
            self.time += 80.0
            yield from self._settle((self.closed - self.springs) | self.stayed)
        for terminal in sorted(closing & self.bouncing):
            for now in (self.closed - {terminal}, self.closed):
                self.time += self.chance.uniform(2.0, 12.0)
                yield from self._settle(now)

    def _settle(self, closed: Iterable[Contact]) -> Iterator[Event]:
        wanted = self.levels(closed)
        for number in sorted(self.down - wanted):
            yield self._event("up", number)
        for number in sorted(wanted - self.down):
            yield self._event("down", number)

    def _turn(self, step: Step) -> Iterator[Event]:
        assert step.contact is not None
        names = [n for n, control in self.device.controls.items() if control.kind == "rotary"]
        position, quarter = dict.fromkeys(names, 0), dict.fromkeys(names, 0)
        state = {(False, False): 0, (True, False): 1, (True, True): 2, (False, True): 3}
        for _ in range(step.detents):
            for frame in step.frames[1:]:
                read = self.scan(frame)
                for one in names:
                    a, b = (Contact(one, way) in read for way in ("clockwise", "anticlockwise"))
                    now = state[a, b]
                    quarter[one] += {0: 0, 1: 1, 3: -1}.get((now - position[one]) % 4, 0)
                    position[one] = now
                yield from self._move(frame)
        for one in names:
            if quarter[one]:
                yield from self._pulse(one, quarter[one])

    def _pulse(self, name: str, quarters: int) -> Iterator[Event]:
        contact = "clockwise" if quarters > 0 else "anticlockwise"
        detents = abs(quarters) // 4
        times = int(detents * self.rates.get(name, 1.0))
        if name in self.skipping:
            kept = sum(self.chance.random() < 0.6 for _ in range(times))
            times = max(1, min(kept, times - 2))
        number = self._single_number(Contact(name, contact))
        for _ in range(times if number > 0 else 0):
            self.time += 30.0
            yield self._event("down", number)
            self.time += 30.0
            yield self._event("up", number)

    def _event(self, kind: str, number: int) -> Event:
        if kind == "down":
            self.down.add(number)
        else:
            self.down.discard(number)
        return Event(self.time, INSTANCE, "down" if kind == "down" else "up", number)


def run_test(session: Session, box: SimulatedBox) -> Session:
    """Let a patient person do every step; the one at hand is closed by an answer if need be."""
    box.closed = set(session.steps[0].frames[0])
    box.down = box.levels(box.closed)
    first = tuple(sorted(box.down))
    session.take(Event(0.0, INSTANCE, "added", down=first))
    while (step := session.step) is not None:
        session.take(*box.perform(step))
        session.tick(box.time)
        if session.step is step:
            session.take(Answer(box.time, "next"))
    return session


def full_test(device: Device, faults: Iterable[Fault] = (), seed: int = 0) -> Session:
    """The session of a full test of a box with these faults."""
    session = Session(device, "full", instance=INSTANCE)
    return run_test(session, SimulatedBox(device, faults, seed))
