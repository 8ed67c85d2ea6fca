"""The box as described, lowered to numbers, and the box as it was soldered.

- `Blueprint`: nodes, contacts and scan cells of the box as described; `draw_blueprint` makes it
- `Build`: a box as soldered; `Blueprint.build` is the faultless one, `faults.apply` makes others

Nodes are rows, then columns (as in `wiring.matrix`), then the common of the pins of their own,
then those pins. A cell is what one scan reads: row times columns plus column, then one a pin of
its own (a bit of a shift-register chain is such a pin too), then one an input that the board
makes from the opposite of a contact.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from profiles.model import Contact, Device, Latching, Rotary, Selector
from profiles.wiring.circuit import Circuit, circuit_of, layout_of, numbering_of
from profiles.wiring.numbering import Along, Layout, compute_numbers, crossing_number

NO_INPUT = 0
"""What a cell without an input number reports: nothing."""


@dataclass(frozen=True, slots=True)
class Build:
    """A box as soldered. Contacts and nodes are counted as in its blueprint.

    `sites` are the two nodes of each contact, driven side first; `diodes` 1 as drawn, 0 none,
    -1 reversed. `pins` are the nodes behind the pins of rows, columns and single contacts.
    `joints` are contacts whose inner ends, between switch and diode, touch. `rates` are pulses a
    detent of a rotary where they are not one.
    """

    sites: tuple[tuple[int, int], ...]
    diodes: tuple[int, ...]
    pins: tuple[int, ...]
    opened: frozenset[int] = frozenset()
    stuck: frozenset[int] = frozenset()
    bridges: frozenset[tuple[int, int]] = frozenset()
    joints: frozenset[tuple[int, int]] = frozenset()
    transposed: bool = False
    offset: int = 0
    rates: tuple[tuple[int, float], ...] = ()
    skipping: frozenset[int] = frozenset()
    bouncing: frozenset[int] = frozenset()


@dataclass(frozen=True)
class Blueprint:
    """The box as described. `terminals` names the contacts, `lines` the nodes."""

    device: Device
    circuit: Circuit
    terminals: tuple[Contact, ...]
    rows: int
    columns: int
    build: Build
    direct: tuple[int, ...]
    numbers: tuple[int, ...]
    other_numbers: tuple[int, ...] | None
    holes: frozenset[int]
    channels: tuple[tuple[int, int, int, int], ...]
    edges: tuple[tuple[int, int], ...]
    inverses: tuple[tuple[int, int], ...]
    index: Mapping[Contact, int] = field(repr=False)

    @property
    def cells(self) -> int:
        """How many cells one scan reads, those that the board makes included."""
        return self.rows * self.columns + len(self.direct) + len(self.inverses)

    @property
    def ground(self) -> int:
        """The node of the common."""
        return self.rows + self.columns

    @cached_property
    def rotaries(self) -> tuple[str, ...]:
        """Ids of the controls whose channels are counted."""
        return tuple(self.terminals[a].control for a, _ in self.channel_contacts)

    @cached_property
    def channel_contacts(self) -> tuple[tuple[int, int], ...]:
        """Contacts of channel A and B of each rotary."""
        return tuple(
            (self.index[Contact(name, "clockwise")], self.index[Contact(name, "anticlockwise")])
            for name, control in self.device.controls.items()
            if isinstance(control, Rotary) and Contact(name, "clockwise") in self.index
        )

    @cached_property
    def pulsed(self) -> frozenset[int]:
        """Inputs that only ever pulse: those of contacts that report edges."""
        found = {number for cell, off in self.edges for number in (self.numbers[cell], off)}
        return frozenset(found - {NO_INPUT})

    def mask(self, closed: Iterable[Contact]) -> int:
        """Bit mask of contacts; those without wiring or number are left out."""
        found = 0
        for terminal in closed:
            place = self.index.get(terminal)
            if place is not None:
                found |= 1 << place
        return found


def draw_blueprint(device: Device) -> Blueprint:
    """The blueprint of a device. Contacts without a place in the matrix get a pin of their own."""
    return _Drafter(device).draw()


class _Drafter:
    """Collects a blueprint's parts."""

    def __init__(self, device: Device) -> None:
        self.device = device
        self.circuit = circuit_of(device)
        self.layout = layout_of(device)
        self.by_terminal = numbering_of(device).numbers
        self.rows, self.columns = self.circuit.matrix.rows, self.circuit.matrix.columns
        self.terminals = tuple(self._wired())
        self.index = {terminal: place for place, terminal in enumerate(self.terminals)}
        self.direct = tuple(
            place for place, one in enumerate(self.terminals) if one not in self.circuit.places
        )

    def draw(self) -> Blueprint:
        numbers = self._cell_numbers(self.by_terminal, self.layout.along)
        return Blueprint(
            device=self.device,
            circuit=self.circuit,
            terminals=self.terminals,
            rows=self.rows,
            columns=self.columns,
            build=self._build(),
            direct=self.direct,
            numbers=tuple(numbers),
            other_numbers=self._other_numbers(),
            holes=self._hole_numbers(numbers),
            channels=tuple(self._channels()),
            edges=tuple(self._edges()),
            inverses=tuple(self._inverses()),
            index=self.index,
        )

    def _wired(self) -> Iterable[Contact]:
        """Contacts with a number, or with a place in the matrix."""
        for control_id, control in self.device.controls.items():
            for contact in control.contacts:
                terminal = Contact(control_id, contact)
                if self._is_switch(terminal):
                    yield terminal

    def _is_switch(self, terminal: Contact) -> bool:
        """Whether a contact is a switch of its own; the board makes some inputs from others."""
        if terminal in self.circuit.places or terminal in self.layout.own_pins:
            return True
        if terminal in self.layout.bits:
            return True
        return terminal in self.by_terminal and not self._is_made(terminal)

    def _is_made(self, terminal: Contact) -> bool:
        """One side of a latching control of which only the other is wired."""
        control = self.device.controls[terminal.control]
        if not isinstance(control, Latching):
            return False
        wired = {*control.crossing_by_contact, *control.pin_by_contact, *control.bit_by_contact}
        return bool(wired) and terminal.contact not in wired

    def _build(self) -> Build:
        pin_nodes = {one: self.rows + self.columns + 1 + k for k, one in enumerate(self.direct)}
        sites, diodes = [], []
        for place, terminal in enumerate(self.terminals):
            crossing = self.circuit.places.get(terminal)
            if crossing is None:
                sites.append((self.rows + self.columns, pin_nodes[place]))
                diodes.append(0)
                continue
            row, column = crossing[0] - 1, self.rows + crossing[1] - 1
            by_row = self.circuit.matrix.driven == "rows"
            sites.append((row, column) if by_row else (column, row))
            diodes.append(int(crossing in self.circuit.matrix.diodes))
        pins = (*range(self.rows + self.columns), *pin_nodes.values())
        return Build(tuple(sites), tuple(diodes), pins)

    def _cell(self, terminal: Contact) -> int:
        crossing = self.circuit.places.get(terminal)
        if crossing is None:
            return self.rows * self.columns + self.direct.index(self.index[terminal])
        return (crossing[0] - 1) * self.columns + crossing[1] - 1

    def _cell_numbers(self, by_terminal: Mapping[Contact, int], along: Along | None) -> list[int]:
        numbers = [NO_INPUT] * (self.rows * self.columns + len(self.direct))
        if along is not None and self.layout.unused == "counted":
            layout = replace(self.layout, along=along)
            for cell in range(self.rows * self.columns):
                place = (cell // self.columns + 1, cell % self.columns + 1)
                numbers[cell] = crossing_number(layout, place)
        for terminal in self.terminals:
            numbers[self._cell(terminal)] = by_terminal.get(terminal, NO_INPUT)
        return numbers

    def _other_numbers(self) -> tuple[int, ...] | None:
        """The numbers along the other direction, where the description follows one."""
        along = self.layout.along or _follows(self.layout)
        if along is None or not self.circuit.places:
            return None
        other: Along = "along-columns" if along == "along-rows" else "along-rows"
        by_place = compute_numbers(replace(self.layout, along=other))
        found = {**self.by_terminal, **{t: by_place[t] for t in self.circuit.places}}
        numbers = self._cell_numbers(found, other if self.layout.along else None)
        return tuple(numbers)

    def _hole_numbers(self, numbers: list[int]) -> frozenset[int]:
        """Numbers of crossings without a contact: the box may report them or not."""
        return frozenset(numbers) - set(self.by_terminal.values()) - {NO_INPUT}

    def _channels(self) -> Iterable[tuple[int, int, int, int]]:
        """(cell of A, cell of B, input clockwise, input anticlockwise) of each rotary."""
        for name, control in self.device.controls.items():
            a, b = Contact(name, "clockwise"), Contact(name, "anticlockwise")
            if isinstance(control, Rotary) and a in self.index and b in self.index:
                inputs = [self.by_terminal.get(one, NO_INPUT) for one in (a, b)]
                yield self._cell(a), self._cell(b), inputs[0], inputs[1]

    def _edges(self) -> Iterable[tuple[int, int]]:
        """(cell, input pulsed at opening); at closing it is the cell's own."""
        for name, control in self.device.controls.items():
            if isinstance(control, Latching) and control.reports == "edges":
                yield from self._latch_edges(name)
            elif isinstance(control, Selector) and control.reports == "edges":
                for contact in control.contacts:
                    terminal = Contact(name, contact)
                    if terminal in self.index:
                        yield self._cell(terminal), NO_INPUT

    def _inverses(self) -> Iterable[tuple[int, int]]:
        """(cell, input that is down while the cell is open) where the board makes it so."""
        for name, control in self.device.controls.items():
            if not isinstance(control, Latching) or control.reports != "state":
                continue
            for one, other in (("on", "off"), ("off", "on")):
                made, wired = Contact(name, other), Contact(name, one)
                if wired in self.index and made in self.by_terminal and made not in self.index:
                    yield self._cell(wired), self.by_terminal[made]

    def _latch_edges(self, name: str) -> Iterable[tuple[int, int]]:
        on, off = Contact(name, "on"), Contact(name, "off")
        if on in self.index:
            yield self._cell(on), self.by_terminal.get(off, NO_INPUT)
        elif off in self.index:
            yield self._cell(off), NO_INPUT


def _follows(layout: Layout) -> Along | None:
    """The direction that inputs given one by one happen to follow, if any."""
    ways: tuple[Along, Along] = ("along-rows", "along-columns")
    fitting = [along for along in ways if _agrees(replace(layout, along=along))]
    return fitting[0] if len(fitting) == 1 else None


def _agrees(layout: Layout) -> bool:
    numbers = compute_numbers(layout)
    return all(numbers[t] == layout.declared.get(t) for t in layout.crossings)
