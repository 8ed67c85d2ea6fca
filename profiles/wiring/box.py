"""A device's wires: from the model to `harness` and `continuity`.

`harness_of` gives every line, piece, total, step of work and test of a device. Contacts of one
control on one line share the switch's common: one stop of the wire.
"""

from collections.abc import Iterable
from typing import NamedTuple

from profiles.model import HAT_WAYS, Axis, Contact, Device, Selector
from profiles.model.control_value import FINGERS, ControlValue
from profiles.wiring.banks import (
    GROUND,
    SUPPLY,
    bank_place,
    banks_of,
    common_of,
    name_bit,
    name_place,
    size_of,
)
from profiles.wiring.circuit import Circuit, board_place, circuit_of
from profiles.wiring.commons import Commons, find_commons
from profiles.wiring.continuity import ContinuityTest, Touch, continuity_tests
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
from profiles.wiring.matrix import Line

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


class Harness(NamedTuple):
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
        tuple(
            f"board pin {pin} to "
            + (f"{what} of {bank.name}" if bank.path[1] == "banks" else f"the {bank.name}'s {what}")
            for bank in banks_of(device)
            for what, pin, _, _ in bank.wires
        ),
    )


def lines_of(device: Device, circuit: Circuit, board_at: Point) -> tuple[WireLine, ...]:
    """Return every line of a device: rows, columns, own pins, register bits, ground, LEDs."""

    def add(name: str, start: str, stops: Iterable[Stop], colour: str) -> None:
        lines.append(WireLine(name, Stop(start, board_at), tuple(stops), COLOURS[colour]))

    lines: list[WireLine] = []
    commons = find_commons(circuit)
    for line, pin in circuit.pin_by_line.items():
        matrix_stops: dict[str, Stop] = {}
        for contact, place in circuit.places.items():
            if place[line.axis] == line.number:
                name = _common(commons, contact, line) or str(contact)
                at = device.controls[contact.control].position
                matrix_stops.setdefault(name, Stop(name, at, contact.control))
        add(str(line), f"board pin {pin}", matrix_stops.values(), line.kind)
    by_common: dict[str, list[Stop]] = {}
    for key, control in device.controls.items():
        at = control.position
        for name, pin in control.pin_by_contact.items():
            stop = Stop(str(Contact(key, name)), at, key)
            is_place = bank_place(device, pin) is not None
            name = f"{'place' if is_place else 'pin'} {pin}"
            add(name, name_pin(device, pin), [stop], "bit" if is_place else "own")
        for name, bit in control.bit_by_contact.items():
            stop = Stop(str(Contact(key, name)), at, key)
            add(f"bit {bit}", name_bit(device, bit), [stop], "bit")
        if control.pin_by_contact or control.bit_by_contact or control.common is not None:
            stops = by_common.setdefault(common_of(device, control), [])
            is_sensor = isinstance(control, Axis)
            stops.append(Stop(f"{key} {'sensor ground' if is_sensor else 'common'}", at, key))
            if is_sensor:
                fed = by_common.setdefault(SUPPLY, [])
                fed.append(Stop(f"{key} sensor supply", at, key))
    for common, stops in by_common.items():
        colour = "supply" if common == SUPPLY else "ground"
        add(f"common {common}", f"board {common}", stops, colour)
    lines += _led_lines(device, board_at)
    return tuple(lines)


def name_pin(device: Device, pin: str) -> str:
    """Return where a contact's own wire begins: a pin of the board, or a place of a bank."""
    found = bank_place(device, pin)
    if found is None:
        return f"board pin {pin}"
    name, place = found
    part = device.wiring.banks[name]
    printed = name_place(part, place - 1) if 1 <= place <= size_of(part) else "has no such place"
    return f"{pin} ({part.kind} {printed})"


def _led_lines(device: Device, board_at: Point) -> list[WireLine]:
    """Return the wire of each LED on a pin or driver, rows and columns of the LED matrix, then
    supply and return of the other LEDs."""
    stops: dict[tuple[str, str, str], list[Stop]] = {}
    for key, control in device.controls.items():
        if (led := control.led) is None:
            continue
        fed = Stop(f"{key} LED, resistor", control.position, key)
        returned = Stop(f"{key} LED, return", control.position, key)
        supply, ground = ("LED supply", "board supply", "supply"), _LED_RETURN
        if led.crossing is not None:
            ends = zip(("row", "column"), led.crossing, strict=True)
            supply, ground = ((f"LED {side} {n}", f"LED {side} {n}", "led") for side, n in ends)
        elif led.driver:
            ground = (f"LED {led.pin}", f"driver at pin {led.pin}", "led")
        elif led.pin is not None and led.lit == "low":
            ground = (f"LED {led.pin}", f"board pin {led.pin}", "led")
        elif led.pin is not None:
            supply = (f"LED {led.pin}", f"board pin {led.pin}", "led")
        stops.setdefault(supply, []).append(fed)
        stops.setdefault(ground, []).append(returned)
    last = {"supply": 1, "ground": 2}
    return [
        WireLine(name, Stop(_name_led_pin(device, start), board_at), tuple(ends), COLOURS[colour])
        for (name, start, colour), ends in sorted(
            stops.items(), key=lambda stop: last.get(stop[0][2], 0)
        )
    ]


_LED_RETURN = ("LED return", f"board {GROUND}", "ground")


def _name_led_pin(device: Device, start: str) -> str:
    """The board's end of a line of the LED matrix: its pin; any other end as it is."""
    kind, _, number = start.removeprefix("LED ").partition(" ")
    matrix = device.wiring.leds
    if matrix is None or not start.startswith("LED "):
        return start
    pins = matrix.rows if kind == "row" else matrix.columns
    return f"board pin {pins[int(number) - 1]}" if int(number) <= len(pins) else start


def _common(commons: Commons, contact: Contact, line: Line) -> str | None:
    """Return the switch's common by which a contact is on this line, if it is by one."""
    return None if contact.contact in FINGERS else commons.get((contact.control, line))


def diode_fits(circuit: Circuit) -> tuple[DiodeFit, ...]:
    """Return where each diode is soldered and which way its band points.

    It sits between the contact and its driven line; where contacts of the control share that line
    (the switch's common), on the other side, so that each contact keeps a diode of its own.
    """
    commons = find_commons(circuit)
    fits = []
    for contact, place in circuit.places.items():
        if place in circuit.matrix.diodes:
            ends = facing(circuit.matrix, place)
            to_line = _common(commons, contact, ends.cathode) is None
            line = ends.cathode if to_line else ends.anode
            fits.append(DiodeFit(str(contact), str(line), band_to_line=to_line))
    return tuple(fits)


def tests_of(device: Device, circuit: Circuit, runs: Iterable[Run]) -> tuple[ContinuityTest, ...]:
    """Return the continuity tests of a device's matrix, then of its own pins and register bits.

    At rest each control stands at its contact of rest.
    """
    resting = (
        circuit.places.get(Contact(key, control.rest_contact))
        for key, control in device.controls.items()
        if control.rest_contact is not None
    )
    rest = frozenset(place for place in resting if place is not None)
    touches = []
    for contact, place in circuit.places.items():
        control = device.controls[contact.control]
        mates = (Contact(contact.control, mate) for mate in control.contacts)
        own = {circuit.places[mate] for mate in mates if mate in circuit.places}
        then = circuit.places.get(Contact(contact.control, _opposite(control, contact.contact)))
        after = rest - own | (frozenset() if then is None else {then})
        touches.append(Touch(place, str(contact), *hand_words(contact, control), after))
    ends = {run.line.name: run.order[-1].name for run in runs}
    pins = circuit.pin_by_line
    tests = continuity_tests(
        circuit.matrix,
        touches,
        rest,
        lambda line: f"pin {pins[line]} ({line})",
        [(line, ends[str(line)]) for line in pins if str(line) in ends],
    )
    own_tests = []
    for key, control in device.controls.items():
        if isinstance(control, Axis):
            continue
        black = common_of(device, control)
        probes = [
            (name_pin(device, pin).removeprefix("board "), contact)
            for contact, pin in control.pin_by_contact.items()
        ]
        probes += [
            (name_bit(device, bit), contact) for contact, bit in control.bit_by_contact.items()
        ]
        for red, name in probes:
            contact = Contact(key, name)
            close, release = hand_words(contact, control)
            own_tests += [
                ContinuityTest(red, black, close, True, f"{contact} is closed"),
                ContinuityTest(red, black, release, False, f"{contact} is open"),
            ]
    return (*tests, *own_tests)


def _opposite(control: ControlValue, contact: str) -> str:
    """Return the contact that closes when a control leaves this one; empty where none does."""
    if contact != control.rest_contact:
        return control.rest_contact or ""
    return next(one for one in control.positions_held if one != contact)


def name_put(control: ControlValue, position: str | None) -> str:
    """Return what the hand does to reach a position, `{}` for the control."""
    if isinstance(control, Selector):
        return f"turn {{}} to {str(position).replace('-', ' ')}"
    return f"put {{}} {'to the centre' if position == 'centre' else position}"


def hand_words(contact: Contact, control: ControlValue) -> tuple[str, str]:
    """Return what the hand does to close a contact, and to open it again."""
    name, closing = contact
    if closing in HAT_WAYS and not control.positions_held:
        return f"tilt {name} {closing.replace('-', ' and ')}", f"let go of {name}"
    other = _opposite(control, closing)
    if control.positions_held:
        here, there = (name_put(control, one) for one in (closing, other))
        if closing in control.sprung:
            return f"{here.format(name)} and hold it there", f"let go of {name}"
        return here.format(name), there.format(name)
    if closing in FINGERS:
        return f"{closing} {name}", f"let go of {name}"
    return f"turn {name} slowly until it closes", f"turn {name} on until it opens"
