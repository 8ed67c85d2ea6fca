"""A device of the model seen as a circuit: the door from files to the pure cores of this room.

- `circuit_of` reads the matrix, and keeps what does not fit it for a check to report
- `numbering_of` gives every contact its input number
- `needs_of_profile`, `needs_of_device` say which contacts are closed together
- `pin_uses`, `list_pins`, `pins_used_twice`, `pins_not_on_board`, `rotaries_without_common` look
  at the pins
- `board_place` says where its wires start
- `profiles_changed` says which profiles use contacts whose numbers change
"""

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from profiles.model import Board, Contact, Device, Latching, Library, Link, Rotary, Selector
from profiles.model.control import ControlValue
from profiles.wiring.matrix import Crossing, Matrix
from profiles.wiring.needs import Needs
from profiles.wiring.numbering import Layout, Numbering, number_inputs


class Circuit(NamedTuple):
    """The matrix of a device, who sits where in it, and what was left out of it.

    `outside` are contacts whose crossing lies beyond the rows and columns, `shared` crossings that
    several contacts claim, `loose_diodes` names in the list of diodes that name no contact there.
    """

    matrix: Matrix
    places: Mapping[Contact, Crossing]
    row_pins: tuple[str, ...]
    column_pins: tuple[str, ...]
    outside: tuple[tuple[Contact, Crossing], ...] = ()
    shared: tuple[tuple[Crossing, tuple[Contact, ...]], ...] = ()
    loose_diodes: tuple[str, ...] = ()

    def terminals_at(self, place: Crossing) -> tuple[Contact, ...]:
        """Return the contacts at a crossing."""
        return tuple(terminal for terminal, at in self.places.items() if at == place)

    def name(self, place: Crossing) -> str:
        """Return the contacts at a crossing by their names."""
        return " and ".join(str(terminal) for terminal in self.terminals_at(place))


class PinUse(NamedTuple):
    """What one board pin is used for; `path` leads to the words in the device's file."""

    pin: str
    what: str
    path: tuple[str | int, ...]


class BoardPin(NamedTuple):
    """A pin of the board: the name printed beside it, the chip's port bit, its uses, and a note."""

    pin: str
    port: str
    uses: tuple[str, ...]
    note: str = ""


def circuit_of(device: Device) -> Circuit:
    """Return the circuit of a device; never raises, whatever the file says."""
    wiring = device.wiring
    rows, columns = len(wiring.rows), len(wiring.columns)
    claimed = _crossings(device)
    places = {t: at for t, at in claimed.items() if at[0] <= rows and at[1] <= columns}
    diodes, loose = _diodes(device, places)
    matrix = Matrix(rows, columns, frozenset(places.values()), diodes, wiring.driven)
    outside = tuple((t, at) for t, at in claimed.items() if t not in places)
    return Circuit(matrix, places, wiring.rows, wiring.columns, outside, _shared(places), loose)


def _crossings(device: Device) -> dict[Contact, Crossing]:
    return {
        Contact(control_id, contact): place
        for control_id, control in device.controls.items()
        for contact, place in control.crossing_by_contact.items()
    }


def _diodes(
    device: Device, places: Mapping[Contact, Crossing]
) -> tuple[frozenset[Crossing], tuple[str, ...]]:
    """Return the crossings with a diode, and the names that lead to none."""
    written = device.wiring.diodes
    if written == "none":
        return frozenset(), ()
    if written == "every":
        return frozenset(places.values()), ()
    found = {name: _named(places, name) for name in written}
    loose = tuple(name for name in written if not found[name])
    return frozenset().union(*found.values()), loose


def _named(places: Mapping[Contact, Crossing], name: str) -> frozenset[Crossing]:
    """Return the crossings of a control, or of one contact written `control.contact`."""
    return frozenset(at for terminal, at in places.items() if name in (terminal[0], str(terminal)))


def _shared(
    places: Mapping[Contact, Crossing],
) -> tuple[tuple[Crossing, tuple[Contact, ...]], ...]:
    by_place: dict[Crossing, list[Contact]] = {}
    for terminal, at in places.items():
        by_place.setdefault(at, []).append(terminal)
    return tuple((at, tuple(who)) for at, who in sorted(by_place.items()) if len(who) > 1)


def layout_of(device: Device) -> Layout:
    """Return where each contact of a device is wired, and how its inputs are numbered."""
    wiring = device.wiring
    places = circuit_of(device).places
    bits = _by_terminal(device, "bit_by_contact")
    length = wiring.chain.length if wiring.chain else 0
    pins = tuple(t for t in _by_terminal(device, "pin_by_contact") if t not in places)
    return Layout(
        rows=len(wiring.rows),
        columns=len(wiring.columns),
        crossings=places,
        chain_length=length,
        bits={t: bit for t, bit in bits.items() if bit <= length and t not in places},
        own_pins=tuple(t for t in pins if t not in bits),
        declared=_by_terminal(device, "input_by_contact"),
        along=wiring.numbering,
        first=wiring.first_input,
        unused=wiring.unused,
    )


def _by_terminal(device: Device, table: str) -> dict[Contact, int]:
    return {
        Contact(control_id, contact): value
        for control_id, control in device.controls.items()
        for contact, value in getattr(control, table).items()
    }


def numbering_of(device: Device) -> Numbering:
    """Return the input number of each contact of a device, and what disagrees."""
    return number_inputs(layout_of(device))


def profiles_changed(
    library: Library, device: Device, terminals: Iterable[Contact]
) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return (profile id, binding keys) for each profile that uses any of these contacts."""
    changed = {(device.id, terminal.control, terminal.contact) for terminal in terminals}
    found = []
    for link in library.profiles_of(device.id):
        keys = {
            bound.key: None
            for bound in link.bound
            for who in (*bound.held, bound.acting)
            if (who.device, who.control, who.contact) in changed
        }
        if keys:
            found.append((link.profile.id, tuple(keys)))
    return tuple(found)


def needs_of_profile(device: Device, circuit: Circuit, link: Link) -> Needs:
    """Return what a profile closes together on a device.

    Latching and selector contacts may be in any state; on top of that come the chords, single
    presses and rotary presses that the profile binds.
    """
    chords = {frozenset[Crossing](): None}
    for bound in link.bound:
        terminals = (
            Contact(who.control, who.contact)
            for who in (*bound.held, bound.acting)
            if who.device == device.id
        )
        chords[frozenset(circuit.places[t] for t in terminals if t in circuit.places)] = None
    return _with_states(device, circuit, tuple(chords))


def needs_of_device(device: Device, circuit: Circuit) -> Needs:
    """Return what is closed together when no profile is given: states, and each press alone."""
    states = _with_states(device, circuit, ())
    standing = states.steady.union(*states.exclusive)
    pressed = sorted(circuit.matrix.crossings - standing)
    chords = (frozenset[Crossing](), *(frozenset({place}) for place in pressed))
    return Needs(states.steady, states.exclusive, chords)


def _with_states(
    device: Device, circuit: Circuit, chords: tuple[frozenset[Crossing], ...]
) -> Needs:
    """Return needs with these chords and the device's contacts that stay as they are put."""
    steady: set[Crossing] = set()
    exclusive: list[frozenset[Crossing]] = []
    for control_id, control in device.controls.items():
        places = _standing(circuit, control_id, control)
        if isinstance(control, Rotary) or len(places) == 1:
            steady |= places
        elif places:
            exclusive.append(places)
    return Needs(frozenset(steady), tuple(exclusive), chords)


def _standing(circuit: Circuit, control_id: str, control: ControlValue) -> frozenset[Crossing]:
    """Return the crossings of a control that may be closed with no hand on it.

    A rotary's two channels may both rest closed, depending on the detent.
    """
    contacts: tuple[str, ...] = ()
    if isinstance(control, Latching | Selector):
        contacts = control.contacts
    elif isinstance(control, Rotary):
        contacts = ("clockwise", "anticlockwise")
    terminals = (Contact(control_id, contact) for contact in contacts)
    return frozenset(circuit.places[t] for t in terminals if t in circuit.places)


def board_place(device: Device) -> tuple[float, float]:
    """Return where the board's wires start; the plate's centre where the file does not say."""
    plate = device.plate
    return device.wiring.board_at or (plate.width / 2, plate.height / 2)


def pin_uses(device: Device) -> tuple[PinUse, ...]:
    """Return every use of a board pin, in the order of the file; commons are not among them."""
    wiring = device.wiring
    uses = [PinUse(p, f"row {n}", ("wiring", "rows", n - 1)) for n, p in enumerate(wiring.rows, 1)]
    uses += [
        PinUse(p, f"column {n}", ("wiring", "columns", n - 1))
        for n, p in enumerate(wiring.columns, 1)
    ]
    if wiring.chain:
        chain = wiring.chain
        for what, pin in (("latch", chain.latch), ("clock", chain.clock), ("data", chain.data)):
            uses.append(PinUse(pin, f"register {what}", ("wiring", "chain", what)))
    for control_id, control in device.controls.items():
        uses += _control_pins(control_id, control)
    return tuple(uses)


def _control_pins(control_id: str, control: ControlValue) -> list[PinUse]:
    uses = []
    for contact, pin in control.pin_by_contact.items():
        singular = control.pin is not None and contact == control.main_contact
        key: tuple[str, ...] = ("pin",) if singular else ("pins", contact)
        uses.append(PinUse(pin, f"{control_id}.{contact}", ("controls", control_id, *key)))
    if control.led is not None and control.led.pin is not None:
        at = ("controls", control_id, "led", "pin")
        uses.append(PinUse(control.led.pin, f"the LED of {control_id}", at))
    return uses


def list_pins(device: Device, board: Board) -> tuple[BoardPin, ...]:
    """Return every pin of the board in its order, free pins too; then used pins that it lacks."""
    uses: dict[str, list[str]] = {}
    for use in pin_uses(device):
        uses.setdefault(use.pin, []).append(use.what)
    lacking = [pin for pin in uses if pin not in board.pins]
    return tuple(
        BoardPin(
            pin,
            board.pins.get(pin, "not on this board"),
            tuple(uses.get(pin, ())),
            board.notes.get(pin, ""),
        )
        for pin in (*board.pins, *lacking)
    )


def pins_used_twice(device: Device) -> tuple[tuple[PinUse, ...], ...]:
    """Return the uses of each pin that has more than one, a common on a used pin included."""
    by_pin: dict[str, list[PinUse]] = {}
    for use in pin_uses(device):
        by_pin.setdefault(use.pin, []).append(use)
    for control_id, control in device.controls.items():
        if control.common is not None and control.common in by_pin:
            path = ("controls", control_id, "common")
            use = PinUse(control.common, f"the common of {control_id}", path)
            by_pin[control.common].append(use)
    return tuple(tuple(uses) for uses in by_pin.values() if len(uses) > 1)


def pins_not_on_board(device: Device, board: Board) -> tuple[PinUse, ...]:
    """Return the uses of pins that the board lacks."""
    return tuple(use for use in pin_uses(device) if use.pin not in board.pins)


def rotaries_without_common(device: Device) -> tuple[str, ...]:
    """Return rotaries whose channels have pins of their own but no common to switch them to."""
    return tuple(
        control_id
        for control_id, control in device.controls.items()
        if isinstance(control, Rotary)
        and control.common is None
        and {"clockwise", "anticlockwise"} & set(control.pin_by_contact)
    )
