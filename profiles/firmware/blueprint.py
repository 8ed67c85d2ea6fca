"""What a board program needs to know of a device, in no particular language.

`draw_blueprint` numbers every point the board reads (crossings line by line, then own pins,
then chain bits) and turns each control into rules:

- `Follow`: a button takes its state from a point;
- `Edge`: a change of a point queues a pulse;
- `Turn`: two points are the channels of a rotary, whose detents queue pulses;
- `Pulser`: plays the pulses of one control one after the other.

What cannot be built is told all at once in a `CannotBuildError`; what can be built but may
surprise is kept as cautions, which the programs carry in their headers.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from math import ceil

from profiles.host.descriptor import (
    LARGEST_PACKET,
    ReportShape,
    count_bytes,
    lay_out_report,
    shape_report,
    write_descriptor,
)
from profiles.model import Board, Contact, Device, Latching, Rotary, Selector, ShiftRegisterChain
from profiles.model.control import ControlValue
from profiles.text.prose import count, join_words
from profiles.wiring.circuit import (
    circuit_of,
    numbering_of,
    pins_not_on_board,
    pins_used_twice,
)

REPORT_ID = 1
"""The AVR board core's HID part puts a report id before every report."""

QUEUE = 16
"""Pulses that wait for one control. Sixteen detents take about a second to play; a knob
turned further ahead than that would go on long after the hand has left it."""

LONGEST_SETTLING = 1.0
"""Settling time of all lines, ms, beyond which a scan no longer fits into a tick."""

NO_BUTTON = 0xFFFF
GROUNDS = frozenset({"GND", "Gnd", "gnd", "0V"})


class CannotBuildError(ValueError):
    """A device for which no program can be written; `problems` says why, all at once."""

    def __init__(self, problems: tuple[str, ...]) -> None:
        super().__init__("; ".join(problems))
        self.problems = problems


@dataclass(frozen=True, slots=True)
class Follow:
    """A button (from 0) that is down while a point is closed, or open where inverted."""

    point: int
    button: int
    inverted: bool
    name: str


@dataclass(frozen=True, slots=True)
class Edge:
    """A point whose closing (or opening) queues a slot of a pulser."""

    point: int
    opening: bool
    pulser: int
    slot: int
    name: str


@dataclass(frozen=True, slots=True)
class Turn:
    """A rotary: points of channels A and B, Gray code steps in a detent, its pulser."""

    a: int
    b: int
    steps: int
    pulser: int
    name: str


@dataclass(frozen=True, slots=True)
class Pulser:
    """Buttons (from 0, or NO_BUTTON) by slot, and the length of a pulse in ms."""

    buttons: tuple[int, ...]
    pulse: int
    name: str


@dataclass(frozen=True, slots=True)
class Blueprint:
    """One box for a board program. Pins by the names in the device's file; times in ms.

    `held_low` are pins that serve as commons, `settle` is in microseconds.
    """

    id: str
    name: str
    driven: tuple[str, ...]
    sensed: tuple[str, ...]
    own: tuple[str, ...]
    held_low: tuple[str, ...]
    leds: tuple[str, ...]
    chain: ShiftRegisterChain | None
    shape: ReportShape
    follows: tuple[Follow, ...]
    edges: tuple[Edge, ...]
    turns: tuple[Turn, ...]
    pulsers: tuple[Pulser, ...]
    debounce: int
    gap: int
    settle: int
    cautions: tuple[str, ...]

    @property
    def chain_length(self) -> int:
        """Bits of the shift-register chain."""
        return self.chain.length if self.chain else 0

    @property
    def points(self) -> int:
        """How many points the board reads."""
        return len(self.driven) * len(self.sensed) + len(self.own) + self.chain_length

    @property
    def report_bytes(self) -> int:
        """Bytes of a report, without the report id."""
        return lay_out_report(self.shape).size

    @property
    def descriptor(self) -> bytes:
        """The report descriptor, with the report id."""
        return write_descriptor(self.shape, REPORT_ID)

    @property
    def pins(self) -> tuple[str, ...]:
        """Every board pin the program touches."""
        chain = (self.chain.latch, self.chain.clock, self.chain.data) if self.chain else ()
        return (*self.driven, *self.sensed, *self.own, *self.held_low, *self.leds, *chain)


def draw_blueprint(device: Device, board: Board | None = None) -> Blueprint:
    """What a board program needs to know of a device; `board` is its own, where known.

    Raises:
        CannotBuildError: where the wiring contradicts itself or nothing can be reported.
    """
    return _Draughtsman(device, board).draw()


@dataclass
class _Draughtsman:
    """Collects rules, cautions and problems while it walks through the controls."""

    device: Device
    board: Board | None
    problems: list[str] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)
    follows: list[Follow] = field(default_factory=list)
    edges: list[Edge] = field(default_factory=list)
    turns: list[Turn] = field(default_factory=list)
    pulsers: list[Pulser] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.wiring = self.device.wiring
        self.numbers: Mapping[Contact, int] = numbering_of(self.device).numbers
        self.own = self._find_own_pins()
        self.points = self._place_points()
        self.shape = shape_report(self.device.device.report, self.numbers.values())

    def draw(self) -> Blueprint:
        self._check_pins()
        for control_id, control in self.device.controls.items():
            self._plan_control(control_id, control)
        self._check_outcome()
        if self.problems:
            raise CannotBuildError(tuple(self.problems))
        return self._finish()

    def _finish(self) -> Blueprint:
        rows_driven = self.wiring.driven == "rows"
        return Blueprint(
            id=self.device.id,
            name=self.device.name,
            driven=self.wiring.rows if rows_driven else self.wiring.columns,
            sensed=self.wiring.columns if rows_driven else self.wiring.rows,
            own=tuple(self.own.values()),
            held_low=self._find_commons(),
            leds=self._find_leds(),
            chain=self.wiring.chain,
            shape=self.shape,
            follows=tuple(self.follows),
            edges=tuple(self.edges),
            turns=tuple(self.turns),
            pulsers=tuple(self.pulsers),
            debounce=ceil(self.wiring.debounce),
            gap=ceil(self.wiring.gap),
            settle=ceil(self.wiring.settle),
            cautions=tuple(self.cautions),
        )

    def _find_own_pins(self) -> dict[Contact, str]:
        """Contacts with a pin of their own and no other place in the wiring."""
        return {
            Contact(control_id, contact): pin
            for control_id, control in self.device.controls.items()
            for contact, pin in control.pin_by_contact.items()
            if contact not in control.crossing_by_contact and contact not in control.bit_by_contact
        }

    def _place_points(self) -> dict[Contact, int]:
        points: dict[Contact, int] = {}
        rows, columns = len(self.wiring.rows), len(self.wiring.columns)
        for terminal, (row, column) in circuit_of(self.device).places.items():
            along = (row - 1) * columns + column - 1
            across = (column - 1) * rows + row - 1
            points[terminal] = along if self.wiring.driven == "rows" else across
        first = rows * columns
        points |= {terminal: first + at for at, terminal in enumerate(self.own)}
        first += len(self.own)
        points |= {terminal: first + bit - 1 for terminal, bit in self._list_bits()}
        return points

    def _list_bits(self) -> Iterator[tuple[Contact, int]]:
        length = self.wiring.chain.length if self.wiring.chain else 0
        for control_id, control in self.device.controls.items():
            for contact, bit in control.bit_by_contact.items():
                if bit <= length and contact not in control.crossing_by_contact:
                    yield Contact(control_id, contact), bit

    def _find_commons(self) -> tuple[str, ...]:
        commons = (control.common for control in self.device.controls.values())
        wanted = (common for common in commons if common and common not in GROUNDS)
        return tuple(dict.fromkeys(wanted))

    def _find_leds(self) -> tuple[str, ...]:
        leds = (control.led for control in self.device.controls.values())
        return tuple(dict.fromkeys(led.pin for led in leds if led and led.pin))

    def _check_pins(self) -> None:
        for uses in pins_used_twice(self.device):
            if all(use.what.startswith("the LED of ") for use in uses):
                continue
            what = join_words([use.what for use in uses])
            self.problems.append(f"pin {uses[0].pin} serves {what}")
        lacking = pins_not_on_board(self.device, self.board) if self.board else ()
        for use in lacking:
            self.cautions.append(f"pin {use.pin} for {use.what} is not in the board's file")
        for terminal, place in circuit_of(self.device).outside:
            self.problems.append(f"{terminal} sits at crossing {list(place)}, outside the matrix")
        length = self.wiring.chain.length if self.wiring.chain else 0
        for control_id, control in self.device.controls.items():
            for contact, bit in control.bit_by_contact.items():
                if bit > length:
                    self.problems.append(
                        f"{control_id}.{contact} is bit {bit} of a chain of {length}"
                    )

    def _check_outcome(self) -> None:
        if not self.problems and not (self.follows or self.edges or self.turns):
            self.problems.append("no contact has both a wire and an input number")
        size = lay_out_report(self.shape).size + 1
        if size > LARGEST_PACKET:
            self.problems.append(
                f"{count(self.shape.buttons, 'button')} make a report of {size} bytes;"
                f" one USB packet holds {LARGEST_PACKET}"
            )
        self._check_settling()
        if self.shape.axes:
            self.cautions.append("axes have no pin in the device's file: they stay centred")
        if self.shape.hats:
            self.cautions.append("hats have no contacts in the device's file: they stay at rest")

    def _check_settling(self) -> None:
        lines = self.wiring.rows if self.wiring.driven == "rows" else self.wiring.columns
        settling = len(lines) * self.wiring.settle / 1000
        if settling > LONGEST_SETTLING:
            self.cautions.append(
                f"settling alone takes {settling:g} ms a scan: quick turns of a rotary are missed"
            )

    def _plan_control(self, control_id: str, control: ControlValue) -> None:
        for contact in control.contacts:
            self._warn_unreachable(Contact(control_id, contact), control)
        if isinstance(control, Rotary):
            self._plan_rotary(control_id, control)
        elif isinstance(control, Latching | Selector) and control.reports == "edges":
            self._plan_edges(control_id, control)
        else:
            self._plan_states(control_id, control)

    def _warn_unreachable(self, terminal: Contact, control: ControlValue) -> None:
        number = self.numbers.get(terminal)
        if number is None:
            if terminal in self.points:
                self.cautions.append(f"{terminal} is wired but has no input number")
            return
        if number > self.shape.buttons:
            self.cautions.append(
                f"{terminal} is input {number}, beyond the"
                f" {count(self.shape.buttons, 'button')} the box declares: never sent"
            )
        borrowed = isinstance(control, Latching) and terminal.contact == "off"
        source = Contact(terminal.control, "on") if borrowed else terminal
        if terminal not in self.points and source not in self.points:
            self.cautions.append(f"{terminal} has an input number but no wire: never sent")

    def _find_button(self, terminal: Contact) -> int:
        """The button (from 0) of a contact; NO_BUTTON where it has none in the report."""
        number = self.numbers.get(terminal, 0)
        return number - 1 if 0 < number <= self.shape.buttons else NO_BUTTON

    def _find_source(self, terminal: Contact) -> tuple[int | None, bool]:
        """The point of a contact and whether it is read inverted, as `off` without a wire is."""
        if terminal in self.points:
            return self.points[terminal], False
        control = self.device.controls[terminal.control]
        if isinstance(control, Latching) and terminal.contact == "off":
            return self.points.get(Contact(terminal.control, "on")), True
        return None, False

    def _plan_states(self, control_id: str, control: ControlValue) -> None:
        for contact in control.contacts:
            self._plan_state(Contact(control_id, contact))

    def _plan_state(self, terminal: Contact) -> None:
        point, inverted = self._find_source(terminal)
        button = self._find_button(terminal)
        if point is not None and button != NO_BUTTON:
            self.follows.append(Follow(point, button, inverted, str(terminal)))

    def _plan_edges(self, control_id: str, control: ControlValue) -> None:
        terminals = [Contact(control_id, contact) for contact in control.contacts]
        buttons = tuple(self._find_button(terminal) for terminal in terminals)
        before = len(self.edges)
        for slot, terminal in enumerate(terminals):
            point, opening = self._find_source(terminal)
            if point is not None and buttons[slot] != NO_BUTTON:
                self.edges.append(Edge(point, opening, len(self.pulsers), slot, str(terminal)))
        if len(self.edges) > before:
            self._add_pulser(buttons, self.wiring.pulse, control_id)

    def _plan_rotary(self, control_id: str, control: Rotary) -> None:
        self._plan_state(Contact(control_id, "press"))
        channels = [Contact(control_id, way) for way in ("clockwise", "anticlockwise")]
        buttons = tuple(self._find_button(channel) for channel in channels)
        points = [self.points.get(channel) for channel in channels]
        if set(buttons) == {NO_BUTTON}:
            return
        a, b = points
        if a is None or b is None:
            lacking = [str(channels[at]) for at in range(2) if points[at] is None]
            self.problems.append(f"a rotary needs both channels: {join_words(lacking)} has no wire")
            return
        self.turns.append(Turn(a, b, control.steps_per_detent, len(self.pulsers), control_id))
        self._add_pulser(buttons, control.pulse or self.wiring.pulse, control_id)

    def _add_pulser(self, buttons: tuple[int, ...], pulse: float, name: str) -> None:
        self.pulsers.append(Pulser(buttons, ceil(pulse), name))


def estimate_memory(blueprint: Blueprint) -> int:
    """Bytes of working memory that `box_core.h` takes for a box on an 8-bit board."""
    bits = 3 * count_bytes(blueprint.points)
    pulsers = len(blueprint.pulsers) * (QUEUE + 5)
    reports = 2 * blueprint.report_bytes
    ports = 3 * (len(blueprint.sensed) + len(blueprint.own))
    return bits + 2 * blueprint.points + pulsers + 3 * len(blueprint.turns) + reports + ports
