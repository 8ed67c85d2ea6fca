"""A device's wires: from the model to `harness` and `continuity`.

`harness_of` gives every line, piece, total, step of work and test of a device. Contacts of one
control on one line share the terminal that the switch has in common: one stop of the wire.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from profiles.model import Contact, Device, Latching, Selector
from profiles.model.control import ControlValue
from profiles.wiring.circuit import Circuit, board_place, circuit_of
from profiles.wiring.commons import Commons, find_commons
from profiles.wiring.continuity import ContinuityTest, Name, Touch, continuity_tests
from profiles.wiring.diodes import facing
from profiles.wiring.harness import (
    DiodeFit,
    Piece,
    Point,
    Run,
    Step,
    Stop,
    Total,
    WireLine,
    cut_pieces,
    run_line,
    solder_steps,
    total_wire,
)
from profiles.wiring.matrix import Crossing, Line

COLOURS = {
    "row": "yellow",
    "column": "blue",
    "own": "white",
    "bit": "grey",
    "ground": "black",
    "led": "orange",
    "supply": "red",
}
"""Wire colours. Black for ground and red for supply: rule of thumb."""

GROUND = "GND"


@dataclass(frozen=True, slots=True)
class Harness:
    """All wires of a device; `unrouted` names wires whose other end the file does not place.

    `board_assumed` is True where the file does not say where the board is: the plate's centre then.
    """

    board_at: Point
    board_assumed: bool
    runs: tuple[Run, ...]
    pieces: tuple[Piece, ...]
    totals: tuple[Total, ...]
    steps: tuple[Step, ...]
    tests: tuple[ContinuityTest, ...]
    unrouted: tuple[str, ...]


def harness_of(device: Device) -> Harness:
    """Return the wires of a device, each line the shortest chain from the board."""
    circuit = circuit_of(device)
    board_at = board_place(device)
    runs = tuple(run_line(line) for line in lines_of(device, circuit, board_at) if line.stops)
    pieces = cut_pieces(runs, device.wiring.gauge, device.wiring.slack)
    return Harness(
        board_at,
        device.wiring.board_at is None,
        runs,
        pieces,
        total_wire(pieces),
        solder_steps(pieces, diode_fits(circuit)),
        tests_of(device, circuit, runs),
        _unrouted(device),
    )


def lines_of(device: Device, circuit: Circuit, board_at: Point) -> tuple[WireLine, ...]:
    """Return every line of a device: rows, columns, own pins, register bits, ground, LEDs."""
    return (
        *_matrix_lines(device, circuit, board_at),
        *_own_lines(device, board_at),
        *_common_lines(device, board_at),
        *_led_lines(device, board_at),
    )


def _matrix_lines(device: Device, circuit: Circuit, board_at: Point) -> Iterator[WireLine]:
    commons = find_commons(circuit)
    rows = (Line("row", number) for number in range(1, len(circuit.row_pins) + 1))
    columns = (Line("column", number) for number in range(1, len(circuit.column_pins) + 1))
    for line, pin in zip((*rows, *columns), circuit.row_pins + circuit.column_pins, strict=True):
        axis = 0 if line.kind == "row" else 1
        members = [t for t, at in circuit.places.items() if at[axis] == line.number]
        start = Stop(f"board pin {pin}", board_at)
        stops = _stops(device, members, line, commons)
        yield WireLine(str(line), start, stops, COLOURS[line.kind])


def _stops(
    device: Device, members: Iterable[Contact], line: Line, commons: Commons
) -> tuple[Stop, ...]:
    """Return one stop a terminal; contacts that share their control's common are one stop."""
    stops: dict[str, Stop] = {}
    for terminal in members:
        name = _common(commons, terminal, line) or str(terminal)
        stops.setdefault(name, _stop(device, terminal)._replace(name=name))
    return tuple(stops.values())


def _common(commons: Commons, terminal: Contact, line: Line) -> str | None:
    """Return the common terminal by which a contact is on this line, if it is by one."""
    return None if terminal.contact == "press" else commons.get((terminal.control, line))


def _stop(device: Device, terminal: Contact) -> Stop:
    return Stop(str(terminal), device.controls[terminal.control].position, terminal.control)


def _own_lines(device: Device, board_at: Point) -> Iterator[WireLine]:
    for control_id, control in device.controls.items():
        for contact, pin in control.pin_by_contact.items():
            stop = _stop(device, Contact(control_id, contact))
            start = Stop(f"board pin {pin}", board_at)
            yield WireLine(f"pin {pin}", start, (stop,), COLOURS["own"])
        for contact, bit in control.bit_by_contact.items():
            stop = _stop(device, Contact(control_id, contact))
            start = Stop(f"register bit {bit}", board_at)
            yield WireLine(f"bit {bit}", start, (stop,), COLOURS["bit"])


def _common_lines(device: Device, board_at: Point) -> Iterator[WireLine]:
    """Yield one line for each common, ground unless the control names another."""
    members: dict[str, list[Stop]] = {}
    for control_id, control in device.controls.items():
        if control.pin_by_contact or control.bit_by_contact or control.common is not None:
            stop = Stop(f"{control_id} common", control.position, control_id)
            members.setdefault(control.common or GROUND, []).append(stop)
    for common, stops in members.items():
        start = Stop(f"board {common}", board_at)
        yield WireLine(f"common {common}", start, tuple(stops), COLOURS["ground"])


def _led_lines(device: Device, board_at: Point) -> Iterator[WireLine]:
    """Yield the wire of each LED on a pin, then supply and return of the LEDs."""
    lit = [(key, control) for key, control in device.controls.items() if control.led]
    fed, returned = [], []
    for control_id, control in lit:
        pin = control.led.pin if control.led else None
        stop = Stop(f"{control_id} LED, resistor", control.position, control_id)
        returned.append(Stop(f"{control_id} LED, return", control.position, control_id))
        if pin is None:
            fed.append(stop)
        else:
            start = Stop(f"board pin {pin}", board_at)
            yield WireLine(f"LED {pin}", start, (stop,), COLOURS["led"])
    supply = Stop("board supply", board_at)
    yield WireLine("LED supply", supply, tuple(fed), COLOURS["supply"])
    ground = Stop(f"board {GROUND}", board_at)
    yield WireLine("LED return", ground, tuple(returned), COLOURS["ground"])


def _unrouted(device: Device) -> tuple[str, ...]:
    """Name the wires that the model cannot place."""
    chain = device.wiring.chain
    if chain is None:
        return ()
    pins = (("latch", chain.latch), ("clock", chain.clock), ("data", chain.data))
    return tuple(f"board pin {pin} to the register's {what}" for what, pin in pins)


def diode_fits(circuit: Circuit) -> tuple[DiodeFit, ...]:
    """Return where each diode is soldered and which way its ring points.

    It sits between the contact and its driven line; where contacts of the control share that line
    (the switch's common terminal), on the other side, so that each contact keeps a diode of its
    own.
    """
    commons = find_commons(circuit)
    return tuple(
        _fit(circuit, commons, terminal, place)
        for terminal, place in circuit.places.items()
        if place in circuit.matrix.diodes
    )


def _fit(circuit: Circuit, commons: Commons, terminal: Contact, place: Crossing) -> DiodeFit:
    ends = facing(circuit.matrix, place)
    if _common(commons, terminal, ends.cathode):
        return DiodeFit(str(terminal), str(ends.anode), ring_to_line=False)
    return DiodeFit(str(terminal), str(ends.cathode), ring_to_line=True)


def tests_of(device: Device, circuit: Circuit, runs: Iterable[Run]) -> tuple[ContinuityTest, ...]:
    """Return the continuity tests of a device's matrix, then of its own pins and register bits."""
    ends = {run.line.name: run.order[-1].name for run in runs}
    lines = [Line("row", n) for n in range(1, len(circuit.row_pins) + 1)]
    lines += [Line("column", n) for n in range(1, len(circuit.column_pins) + 1)]
    far_ends = [(line, ends[str(line)]) for line in lines if str(line) in ends]
    rest = _at_rest(device, circuit)
    touches = [_touch(device, circuit, terminal, rest) for terminal in circuit.places]
    matrix = continuity_tests(circuit.matrix, touches, rest, _namer(circuit), far_ends)
    return (*matrix, *_own_tests(device))


def _namer(circuit: Circuit) -> Name:
    def name(line: Line) -> str:
        pins = circuit.row_pins if line.kind == "row" else circuit.column_pins
        return f"pin {pins[line.number - 1]} ({line})"

    return name


def _touch(device: Device, circuit: Circuit, terminal: Contact, rest: frozenset[Crossing]) -> Touch:
    control = device.controls[terminal.control]
    mates = (Contact(terminal.control, contact) for contact in control.contacts)
    own = frozenset(circuit.places[mate] for mate in mates if mate in circuit.places)
    then = circuit.places.get(Contact(terminal.control, _opposite(control, terminal.contact)))
    after = rest - own | (frozenset() if then is None else {then})
    close, release = hand_words(terminal, control)
    return Touch(circuit.places[terminal], str(terminal), close, release, after)


def _opposite(control: ControlValue, contact: str) -> str:
    """Return the contact that closes when a control leaves this one; empty where none does."""
    if isinstance(control, Latching):
        return "on" if contact == "off" else "off"
    if isinstance(control, Selector):
        return "position-2" if contact == "position-1" else "position-1"
    return ""


def hand_words(terminal: Contact, control: ControlValue) -> tuple[str, str]:
    """Return what the hand does to close a contact, and to open it again."""
    name, contact = terminal
    other = _opposite(control, contact)
    if isinstance(control, Latching):
        return f"put {name} {contact}", f"put {name} {other}"
    if isinstance(control, Selector):
        return f"turn {name} to {_position(contact)}", f"turn {name} to {_position(other)}"
    if contact == "press":
        return f"press {name}", f"let go of {name}"
    return f"turn {name} slowly until it closes", f"turn {name} on until it opens"


def _position(contact: str) -> str:
    return contact.replace("-", " ")


def _at_rest(device: Device, circuit: Circuit) -> frozenset[Crossing]:
    """Return the crossings closed with latching controls off and selectors at their first."""
    resting = []
    for control_id, control in device.controls.items():
        if isinstance(control, Latching):
            resting.append(Contact(control_id, "off"))
        elif isinstance(control, Selector):
            resting.append(Contact(control_id, "position-1"))
    return frozenset(circuit.places[t] for t in resting if t in circuit.places)


def _own_tests(device: Device) -> Iterator[ContinuityTest]:
    for control_id, control in device.controls.items():
        common = control.common or GROUND
        ends = [(f"pin {pin}", contact) for contact, pin in control.pin_by_contact.items()]
        ends += [
            (f"register bit {bit}", contact) for contact, bit in control.bit_by_contact.items()
        ]
        for red, contact in ends:
            terminal = Contact(control_id, contact)
            close, release = hand_words(terminal, control)
            yield ContinuityTest(red, common, close, True, f"{terminal} is closed")
            yield ContinuityTest(red, common, release, False, f"{terminal} is open")
