"""A device of the model seen as a circuit: the door from files to the pure cores of this room.

- `circuit_of` reads the matrix, and keeps what does not fit it for a check to report
- `numbering_of` gives every contact its input number
- `needs_of_profile`, `needs_of_device` say which contacts are closed at the same time
- `pin_uses`, `list_pins`, `pins_used_twice`, `pins_not_on_board`, `rotaries_without_common` look
  at the pins
- `board_place` says where its wires start
- `profiles_changed` says which profiles use contacts whose numbers change
"""

from collections.abc import Iterable, Mapping
from itertools import combinations
from typing import Any, NamedTuple

from profiles.model import (
    Ability,
    Axis,
    Board,
    Contact,
    Device,
    DeviceContact,
    Library,
    Link,
    ResolvedBinding,
    Rotary,
    Selector,
)
from profiles.model.control_value import TURNS
from profiles.wiring.banks import DRIVES, LONE, MEASURES, SENSES, bank_place, banks_of
from profiles.wiring.matrix import Crossing, Line, Matrix
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

    @property
    def pin_by_line(self) -> dict[Line, str]:
        """The board pin of each row, then of each column."""
        return dict(zip(self.matrix.lines, self.row_pins + self.column_pins, strict=True))

    def contacts_at(self, place: Crossing) -> tuple[Contact, ...]:
        """Return the contacts at a crossing."""
        return tuple(contact for contact, at in self.places.items() if at == place)

    def name(self, place: Crossing) -> str:
        """Return the contacts at a crossing by their names."""
        return " and ".join(map(str, self.contacts_at(place)))


class PinUse(NamedTuple):
    """What one board pin is used for; `path` leads to the words in the device's file.

    `asks` is what the pin must be able to do. Uses of the same `role`, where it has one, may share
    a pin.
    """

    pin: str
    what: str
    path: tuple[str | int, ...]
    asks: tuple[Ability, ...]
    role: str = ""


class BoardPin(NamedTuple):
    """A pin of the board: the name printed beside it, the chip's port bit, its uses, and a note."""

    pin: str
    port: str
    uses: tuple[str, ...]
    note: str = ""


def circuit_of(device: Device) -> Circuit:
    """Return the circuit of a device; never raises, whatever the file says.

    The wiring names a diode's place by a control, or by one contact written `control.contact`.
    """
    wiring = device.wiring
    rows, columns = len(wiring.rows), len(wiring.columns)
    claimed = _by_contact(device, "crossing_by_contact")
    places = {c: at for c, at in claimed.items() if at[0] <= rows and at[1] <= columns}
    by_place: dict[Crossing, list[Contact]] = {}
    with_diode: set[Crossing] = set(places.values()) if wiring.diodes == "every" else set()
    for contact, at in places.items():
        by_place.setdefault(at, []).append(contact)
    loose: list[str] = []
    for name in () if wiring.diodes in ("none", "every") else wiring.diodes:
        named = {at for c, at in places.items() if name in (c.control, str(c))}
        with_diode |= named
        loose += [] if named else [name]
    return Circuit(
        Matrix(rows, columns, frozenset(by_place), frozenset(with_diode), wiring.driven),
        places,
        wiring.rows,
        wiring.columns,
        outside=tuple((c, at) for c, at in claimed.items() if c not in places),
        shared=tuple((at, tuple(who)) for at, who in sorted(by_place.items()) if len(who) > 1),
        loose_diodes=tuple(loose),
    )


def layout_of(device: Device) -> Layout:
    """Return where each contact of a device is wired, and how its inputs are numbered."""
    wiring = device.wiring
    places = circuit_of(device).places
    bits = _by_contact(device, "bit_by_contact")
    length = wiring.chain_bits
    pins = _by_contact(device, "pin_by_contact")
    controls = device.controls
    fields = frozenset(Contact(key, name) for key in controls for name in controls[key].fields)
    return Layout(
        rows=len(wiring.rows),
        columns=len(wiring.columns),
        crossings=places,
        chain_length=length,
        bits={c: bit for c, bit in bits.items() if bit <= length and c not in places},
        own_pins=tuple(
            c
            for c in pins
            if not (c in places or c in bits or isinstance(controls[c.control], Axis))
        ),
        declared=_by_contact(device, "input_by_contact"),
        along=wiring.numbering,
        first=wiring.first_input,
        unused=wiring.unused,
        fields=fields,
    )


def _by_contact(device: Device, table: str) -> dict[Contact, Any]:
    return {
        Contact(control_id, contact): value
        for control_id, control in device.controls.items()
        for contact, value in getattr(control, table).items()
    }


def numbering_of(device: Device) -> Numbering:
    """Return the input number of each contact of a device, and what disagrees."""
    return number_inputs(layout_of(device))


def profiles_changed(
    library: Library, device: Device, contacts: Iterable[Contact]
) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return (profile id, binding keys) for each profile that uses any of these contacts."""
    changed = {(device.id, *contact) for contact in contacts}
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
    """Return what a profile closes at the same time on a device.

    Latching and selector contacts may be in any state; on top of that come the chords, single
    presses and rotary presses that the profile binds.
    """
    chords = {frozenset[Crossing](): None}
    for bound in link.bound:
        contacts = (
            Contact(who.control, who.contact)
            for who in (*bound.held, bound.acting)
            if who.device == device.id
        )
        chords[frozenset(circuit.places[c] for c in contacts if c in circuit.places)] = None
    for pressed in held_presses(link):
        chords[
            frozenset(
                circuit.places[t] for t in own_contacts(device, pressed) if t in circuit.places
            )
        ] = None
    return _states(device, circuit)._replace(chords=tuple(chords))


def own_contacts(device: Device, pressed: Iterable[DeviceContact]) -> list[Contact]:
    """Return those of the contacts that are of this device."""
    return [Contact(who.control, who.contact) for who in pressed if who.device == device.id]


def held_presses(link: Link) -> dict[frozenset[DeviceContact], ResolvedBinding]:
    """Return what is pressed at the same time by what the actions say, with the binding pressed
    last: one or two held actions, one a hand, and one more press, all active in one context."""
    held = [binding for binding in link.bound if binding.action.behaviour == "held"]
    found: dict[frozenset[DeviceContact], ResolvedBinding] = {}
    for hands in (*combinations(held, 1), *combinations(held, 2)):
        for last in link.bound:
            scopes = [set(b.action.contexts) for b in (*hands, last) if b.action.contexts]
            if last not in hands and (not scopes or set.intersection(*scopes)):
                pressed = (who for b in (*hands, last) for who in (*b.held, b.acting))
                found.setdefault(frozenset(pressed), last)
    return found


def needs_of_device(device: Device, circuit: Circuit) -> Needs:
    """Return what is closed at the same time without a profile: states, and each press alone."""
    states = _states(device, circuit)
    left = states.steady.union(*states.exclusive) - states.sprung
    pressed = sorted(circuit.matrix.crossings - left)
    chords = (frozenset[Crossing](), *(frozenset({place}) for place in pressed))
    return states._replace(chords=chords)


def _states(device: Device, circuit: Circuit) -> Needs:
    """Return the contacts that may be closed with no hand on them, and what excludes them.

    A rotary's two channels may both rest closed, depending on the detent. Where a selector makes
    before it breaks, two contacts side by side are closed between positions.
    """
    steady: set[Crossing] = set()
    sprung: set[Crossing] = set()
    exclusive: list[frozenset[Crossing]] = []
    for control_id, control in device.controls.items():
        names = TURNS if isinstance(control, Rotary) else control.positions_held
        placed = [circuit.places.get(Contact(control_id, name)) for name in names]
        places = frozenset(place for place in placed if place is not None)
        pressed = {circuit.places.get(Contact(control_id, name)) for name in control.sprung}
        sprung |= places & pressed
        if isinstance(control, Rotary) or len(places) == 1:
            steady |= places - pressed
        elif isinstance(control, Selector) and control.switching == "make-before-break":
            pairs = combinations(enumerate(placed), 2)
            apart = [
                frozenset((one, other))
                for (at, one), (then, other) in pairs
                if one and other and then - at > 1
            ]
            exclusive += apart
            steady |= places.difference(pressed, *apart)
        elif places:
            exclusive.append(places)
    return Needs(frozenset(steady), tuple(exclusive), sprung=frozenset(sprung))


def board_place(device: Device) -> tuple[float, float]:
    """Return where the board's wires start; the plate's centre where the file does not say."""
    plate = device.plate
    return device.wiring.board_at or (plate.width / 2, plate.height / 2)


def pin_uses(device: Device) -> tuple[PinUse, ...]:
    """Return every use of a board pin, in the order of the file; commons are not among them."""
    wiring = device.wiring
    uses = []
    for side, pins in (("rows", wiring.rows), ("columns", wiring.columns)):
        asks = DRIVES if side == wiring.driven else SENSES
        for n, pin in enumerate(pins, 1):
            uses.append(PinUse(pin, f"{side[:-1]} {n}", ("wiring", side, n - 1), asks))
    for side in ("rows", "columns") if wiring.leds else ():
        for n, pin in enumerate(getattr(wiring.leds, side), 1):
            uses.append(
                PinUse(pin, f"LED {side[:-1]} {n}", ("wiring", "leds", side, n - 1), DRIVES)
            )
    for bank in banks_of(device):
        for what, pin, path, asks in bank.wires:
            role = "" if path[-1] in LONE else what
            uses.append(PinUse(pin, f"{bank.name} {what}", path, asks, role))
    for control_id, control in device.controls.items():
        at = ("controls", control_id)
        for contact, pin in control.pin_by_contact.items():
            singular = control.pin is not None and contact == control.main_contact
            key = ("pin",) if singular else ("pins", contact)
            asks = MEASURES if isinstance(control, Axis) else SENSES
            asks = () if bank_place(device, pin) else asks
            uses.append(PinUse(pin, f"{control_id}.{contact}", (*at, *key), asks))
        if control.led is not None and control.led.pin is not None:
            path, role = (*at, "led", "pin"), f"LED {control.led.follows} {control.led.lit}"
            uses.append(PinUse(control.led.pin, f"the LED of {control_id}", path, DRIVES, role))
    return tuple(uses)


def list_pins(device: Device, board: Board) -> tuple[BoardPin, ...]:
    """Return every pin of the board in its order, free pins too; then used pins that it lacks."""
    uses: dict[str, list[str]] = {}
    for use in pin_uses(device):
        uses.setdefault(use.pin, []).append(use.what)
    lacking = [pin for pin in uses if pin not in board.pins and not bank_place(device, pin)]
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
    """Return the uses of each pin that has more than one, a common on a used pin included.

    Uses that may share a pin are left out where they have it to themselves.
    """
    by_pin: dict[str, list[PinUse]] = {}
    for use in pin_uses(device):
        by_pin.setdefault(use.pin, []).append(use)
    for control_id, control in device.controls.items():
        if control.common is not None and control.common in by_pin:
            path = ("controls", control_id, "common")
            use = PinUse(control.common, f"the common of {control_id}", path, DRIVES)
            by_pin[control.common].append(use)
    return tuple(
        tuple(uses)
        for uses in by_pin.values()
        if len(uses) > 1 and ("" in (roles := {use.role for use in uses}) or len(roles) > 1)
    )


def pins_not_on_board(device: Device, board: Board) -> tuple[PinUse, ...]:
    """Return the uses of pins that the board lacks."""
    return tuple(
        use
        for use in pin_uses(device)
        if use.pin not in board.pins and not bank_place(device, use.pin)
    )


def pins_unable(device: Device, board: Board) -> tuple[tuple[PinUse, Ability], ...]:
    """Return the uses of pins that the board has but that cannot do what is asked, with that."""
    return tuple(
        (use, ability)
        for use in pin_uses(device)
        if use.pin in board.pins
        for ability in use.asks
        if not board.is_able(use.pin, ability)
    )


def free_pins(device: Device, board: Board, asks: Iterable[Ability] = ()) -> tuple[str, ...]:
    """Return the board's pins without a use that can do what is asked."""
    taken = {use.pin for use in pin_uses(device)}
    taken |= {control.common for control in device.controls.values() if control.common}
    return tuple(
        pin
        for pin in board.pins
        if pin not in taken and all(board.is_able(pin, ability) for ability in asks)
    )


def rotaries_without_common(device: Device) -> tuple[str, ...]:
    """Return rotaries whose channels have pins of their own but no common to switch them to."""
    return tuple(
        control_id
        for control_id, control in device.controls.items()
        if isinstance(control, Rotary)
        and control.common is None
        and not control.pin_by_contact.keys().isdisjoint(TURNS)
    )
