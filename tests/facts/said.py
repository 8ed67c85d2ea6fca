"""What a box must report, said four times: by its description, its facts, its firmware, and live.

`describe` goes by the words of the file alone: what each kind of control does, `wiring.matrix.read`
for what a scan sees, and the input numbers. The other three are the code under test.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from profiles.facts.device import DeviceFacts
from profiles.firmware import CannotBuildError, interpreter_files, plan_firmware
from profiles.host.axes import split_hat_input
from profiles.live.build import build_of, number_box
from profiles.live.forward import Simulator
from profiles.model import (
    HAT_WAYS,
    Axis,
    Contact,
    ControlValue,
    Device,
    Hat,
    Latching,
    Rotary,
    Selector,
)
from profiles.wiring.banks import contacts_on_banks
from profiles.wiring.circuit import circuit_of
from profiles.wiring.matrix import read
from tests.firmware.presses import list_buttons
from tests.firmware.simulation import InterpreterCore
from tests.firmware.test_fields import Reader

Closed = frozenset[Contact]

USAGES = {
    **{
        axis: 0x00010030 + at
        for at, axis in enumerate(("x", "y", "z", "rx", "ry", "rz", "slider", "dial", "wheel"))
    },
    "rudder": 0x000200BA,
    "throttle": 0x000200BB,
    "accelerator": 0x000200C4,
    "brake": 0x000200C5,
    "steering": 0x000200C8,
}
"""Page and usage of each axis (HID Usage Tables 1.12, tables 6 and 7)."""


@dataclass(frozen=True)
class Said:
    """Inputs down at the end of a change of contacts, how often each pulsed meanwhile, and where
    the hats stand at the end: 0, or from 1 up clockwise."""

    down: frozenset[int]
    pulses: tuple[tuple[int, int], ...] = ()
    hats: tuple[int, ...] = ()

    def without(self, numbers: set[int]) -> "Said":
        """The same without the pulses of these inputs."""
        pulses = tuple(one for one in self.pulses if one[0] not in numbers)
        return Said(self.down, pulses, self.hats)


def see(device: Device, closed: Closed) -> Closed:
    """Contacts that read closed while these are: ghosts, and those on the wire of another."""
    circuit = circuit_of(device)
    crossings = read(circuit.matrix, {circuit.places[c] for c in closed if c in circuit.places})
    wires = {wire_of(device, contact) for contact in closed - circuit.places.keys()}
    return frozenset(
        contact
        for contact in {*wired(device), *closed}
        if circuit.places.get(contact) in crossings
        or (contact not in circuit.places and wire_of(device, contact) in wires)
    )


def wire_of(device: Device, contact: Contact) -> object:
    """The bit or pin of a contact outside the matrix."""
    control = device.controls[contact.control]
    bit, pin = (
        getattr(control, f"{key}_by_contact").get(contact.contact) for key in ("bit", "pin")
    )
    return bit or pin or contact


def wired(device: Device) -> list[Contact]:
    """Contacts whose wire the file gives; an axis has none that closes."""
    found = []
    for name, control in device.controls.items():
        if isinstance(control, Axis):
            continue
        ways = {*control.crossing_by_contact, *control.pin_by_contact, *control.bit_by_contact}
        found += [Contact(name, one) for one in control.contacts if one in ways]
    return found


def describe(device: Device, frames: Sequence[Closed]) -> Said:
    """What the words of the file say."""
    facts = DeviceFacts(device)
    most = device.device.report.buttons
    known = wired(device)
    seen = [see(device, one) for one in frames]
    down, pulses = set(), Counter[int]()
    for contact, number in ((Contact(*one), n) for one, n in facts.inputs.items()):
        if most is not None and number > most:
            continue
        control = device.controls[contact.control]
        if isinstance(control, Rotary) and contact.contact not in ("press", "pull"):
            continue
        # Where just one position lacks a wire, the board knows it by all the others being open.
        others = {Contact(contact.control, one) for one in control.contacts} - {contact}
        if isinstance(control, Hat) and contact.contact != "press":
            if contact.contact in find_ways(control, contact.control, seen[-1]):
                down.add(number)
            continue
        has_off = isinstance(control, Selector) and int(contact.contact[-1]) in control.off
        is_made = isinstance(control, Latching) or has_off
        is_made = is_made and contact not in known and others <= {*known}
        states = [others.isdisjoint(closed) if is_made else contact in closed for closed in seen]
        reports = getattr(control, "reports", "state")
        if reports == "changes":
            changed = sum(was != now for was, now in pairwise(states))
            pulses[number] += changed if contact.contact == "on" else 0
        elif reports == "edges":
            changes = pairwise(states)
            pulses[number] += sum(now and not was for was, now in changes)
        elif states[-1]:
            down.add(number)
    return Said(frozenset(down), tally(pulses), describe_hats(device, seen[-1]))


def find_ways(control: Hat, name: str, seen: Closed) -> set[str]:
    """Ways of a hat that are pressed: those closed; one between that has no wire takes the place of
    the two it is made of, if all are buttons."""
    closed = {way for way in control.contacts if Contact(name, way) in seen}
    made = {
        way
        for way in HAT_WAYS[4:]
        if control.ways == 8 and way not in control.wired_contacts and {*way.split("-")} <= closed
    }
    numbered = {way for way in made if way in control.inputs and control.reports == "buttons"}
    return (closed | made) - {one for way in numbered for one in way.split("-")}


def describe_hats(device: Device, seen: Closed) -> tuple[int, ...]:
    """Where each hat stands: opposite ways cancel; one of four ways knows nothing in between."""
    found = []
    for name, control in device.controls.items():
        if isinstance(control, Hat) and control.reports == "hat":
            ways = find_ways(control, name, seen)
            across, up = {"left", "right"} & ways, {"up", "down"} & ways
            is_between = control.ways != 8 and across and up
            found.append(
                0 if is_between else point_hat({one for w in ways for one in w.split("-")})
            )
    return tuple(found)


def point_hat(ways: set[str]) -> int:
    """The value of a hat switch whose plain ways are these (HID Usage Tables 1.12, 4.3)."""
    x, y = ("right" in ways) - ("left" in ways), ("up" in ways) - ("down" in ways)
    steps = [(0, 1), (1, 1), (1, 0), (1, -1), (0, -1), (-1, -1), (-1, 0), (-1, 1)]
    return steps.index((x, y)) + 1 if (x, y) != (0, 0) else 0


def split_hats(device: Device, numbers: Iterable[int]) -> Said:
    """Inputs down, those that are ways of a hat as where it stands."""
    down, hats = set(numbers), sum(map(is_hat, device.controls.values()))
    ways = [split_hat_input(number) for number in down]
    told = tuple(
        point_hat(
            {way for one in ways if one and one[0] == hat for way in HAT_WAYS[one[1]].split("-")}
        )
        for hat in range(1, hats + 1)
    )
    return Said(frozenset(number for number in down if split_hat_input(number) is None), (), told)


def is_hat(control: ControlValue) -> bool:
    return isinstance(control, Hat) and control.reports == "hat"


def state_facts(device: Device, frames: Sequence[Closed]) -> Said:
    """What the signals of the facts say."""
    seen = [see(device, one) for one in frames]
    down, pulses = set(), Counter[int]()
    for signal in DeviceFacts(device).signals.values():
        states = [one.issuperset(signal.closed) and one.isdisjoint(signal.opened) for one in seen]
        if signal.nature == "edge":
            changes = pairwise(states)
            pulses[signal.number] += sum(
                now != was if signal.both_ways else now > was for was, now in changes
            )
        elif signal.nature not in ("turn", "axis") and states[-1]:
            down.add(signal.number)
    return replace(split_hats(device, down), pulses=tally(pulses))


def simulate(device: Device, frames: Sequence[Closed]) -> Said:
    """What the forward model of the press test says; crossings without a contact left out."""
    model = DeviceFacts(device).model
    simulator = Simulator(model, build_of(model))
    readings = [simulator.read(model.mask(one)) for one in frames]
    holes = number_box(model).holes
    told = split_hats(device, simulator.name(readings[-1]) - holes)
    return replace(told, pulses=tally(simulator.count_pulses(readings)))


class Firmware:
    """The Python core with the tables that go out to a board, for one device."""

    def __init__(self, device: Device) -> None:
        self.device = device
        plan = plan_firmware(device)
        self.reader, self.buttons = Reader(plan), (1 << plan.shape.buttons) - 1
        self.core = InterpreterCore(interpreter_files(device))
        tables = self.core.pins.tables
        self.crossings = tables.driven_count * tables.sensed_count
        self.size = self.crossings + tables.own_count + len(tables.places)
        self.across = tables.sensed_count
        own = [c for c in wired(device) if c not in circuit_of(device).places]
        pinned = [c for c in own if c.contact in device.controls[c.control].pin_by_contact]
        on_banks = contacts_on_banks(device)
        self.own = [c for c in pinned if c not in on_banks]
        self.bits = self.crossings + tables.own_count
        self.places: dict[Contact, int] = {}
        first = self.bits + device.wiring.chain_bits
        for name in device.wiring.banks:
            used = sorted({place for bank, place in on_banks.values() if bank == name})
            for contact, (bank, place) in on_banks.items():
                if bank == name:
                    self.places[contact] = first + used.index(place)
            first += len(used)
        self.diodes = self._row(circuit_of(device).matrix.diodes)

    def _point(self, place: tuple[int, int]) -> int:
        row, column = place if self.device.wiring.driven == "rows" else (place[1], place[0])
        return (row - 1) * self.across + column - 1

    def _row(self, places: Iterable[tuple[int, int]]) -> bytes:
        marks = bytearray(max(self.size, 1))
        for place in places:
            marks[self._point(place)] = 1
        return bytes(marks)

    def closed(self, contacts: Closed) -> bytes:
        """One byte a point."""
        places = circuit_of(self.device).places
        marks = bytearray(self._row(places[one] for one in contacts if one in places))
        for contact in contacts - places.keys():
            bit = self.device.controls[contact.control].bit_by_contact.get(contact.contact)
            if bit is not None:
                marks[self.bits + bit - 1] = 1
            elif contact in self.places:
                marks[self.places[contact]] = 1
            elif contact in self.own:
                marks[self.crossings + self.own.index(contact)] = 1
        return bytes(marks) + b"\x80\x00" * len(self.core.pins.tables.axes)

    def say(self, frames: Sequence[Closed]) -> Said:
        """What is reported while the contacts go through the frames, with time to settle."""
        wiring = self.device.wiring
        knobs = [one for one in self.device.controls.values() if isinstance(one, Rotary)]
        pulse = max([wiring.pulse, *(one.pulse or 0 for one in knobs)])
        gap = max([wiring.gap, *(one.gap or 0 for one in knobs)])
        wait = int(wiring.debounce + wiring.hold + 2 + 8 * (pulse + gap)) + 2
        rows = [self.closed(frames[0])]
        for frame in frames[1:]:
            rows += [self.closed(frame)] * wait
        changes = self.core.run(rows, [1] * len(rows), self.diodes)
        self.last = self.reader.read(changes[-1][1])
        changes = [(row, report & self.buttons) for row, report in changes]
        report, rises = changes[0][1], Counter[int]()
        for _, new in changes[1:]:
            rises.update(list_buttons(new & ~report))
            report = new
        pulsed = self._pulsed()
        return Said(
            frozenset(list_buttons(report)),
            tally(Counter({n: times for n, times in rises.items() if n in pulsed})),
            tuple(self.last["hats"]),
        )

    def _pulsed(self) -> set[int]:
        return {button + 1 for button in self.core.pins.tables.slots}


def tally(pulses: "Counter[int] | dict[int, int]") -> tuple[tuple[int, int], ...]:
    """Counts in order, none of zero."""
    return tuple(sorted((number, times) for number, times in pulses.items() if times))


def build_firmware(device: Device) -> Firmware | None:
    """The firmware of a device; None where none can be written."""
    try:
        return Firmware(device)
    except CannotBuildError:
        return None
