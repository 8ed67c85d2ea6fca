"""The wiring planned for a device: a line or a pin for every contact that has none.

`plan_wiring` keeps what is wired and every input number; `rewired` and `renumbered` ask for less to
be kept. What it leaves to be said is in `lacks`, in words; `edits` are what the file needs.

The two channels of a rotary get pins of their own where the board has enough: nothing else is then
read in their way, and they need no diodes. Few contacts get a pin each: a matrix would take no
fewer.
"""

from collections.abc import Iterable, Mapping
from itertools import pairwise
from typing import Any, Literal, NamedTuple

from profiles.model import Ability, Board, Contact, Device, Latching, Library, Rotary, Selector
from profiles.model.control_value import name_position
from profiles.plan.matrix import SEARCH_STEPS, MatrixPlan, plan_matrix
from profiles.plan.matrix_search import MatrixTask
from profiles.text.prose import count, list_some
from profiles.wiring.banks import DRIVES, SENSES
from profiles.wiring.boards import board_of
from profiles.wiring.circuit import (
    Circuit,
    board_place,
    circuit_of,
    free_pins,
    needs_of_device,
    needs_of_profile,
    numbering_of,
)
from profiles.wiring.commons import find_split, group_by_common
from profiles.wiring.matrix import Crossing, Matrix, Side
from profiles.wiring.needs import Needs
from profiles.wiring.numbering import Along
from profiles.wiring.pins import fewest_lines

Diodes = Literal["fewest", "every"]
Edits = tuple[tuple[tuple[str, ...], Any], ...]
"""(path in the device's file, value) pairs; None removes the key."""

GROUND = "GND"

MOST_WANTED = 600
"""Contacts planned at once, in some 5 s; the boards of the stock have pins for fewer."""


class WiringPlanError(Exception):
    """A device whose wiring cannot be planned; `remedy` is a sentence."""

    def __init__(self, message: str, remedy: str) -> None:
        super().__init__(message)
        self.remedy = remedy


class WiringPlan(NamedTuple):
    """The device as it would be, what its file needs for that, and what could not be had.

    `crossings` and `pins` are those of contacts that had none; `numbers` are all afterwards.
    """

    device: Device
    edits: Edits
    crossings: Mapping[Contact, Crossing]
    pins: Mapping[Contact, str]
    diodes: tuple[Contact, ...]
    numbers: Mapping[Contact, int]
    lacks: tuple[str, ...]
    notes: tuple[str, ...]


def plan_wiring(
    library: Library,
    device: Device,
    diodes: Diodes = "fewest",
    *,
    rewired: bool = False,
    renumbered: bool = False,
    tidy: bool = False,
) -> WiringPlan:
    """Return the wiring of a device with a place for every contact that needs one.

    A `tidy` one follows the rows of the plate, for a little more wire.

    Raises:
        WiringPlanError: where no board is known, the wiring it has cannot be kept, or more than
            `MOST_WANTED` contacts want a place.
    """
    board = board_of(library, device)
    if board is None:
        raise WiringPlanError(
            f"no board is known for `{device.id}`, so there are no pins to choose from",
            "Name one as `board` in its wiring; `platebook boards` lists them.",
        )
    circuit = circuit_of(device)
    if not rewired and (circuit.outside or circuit.shared):
        raise WiringPlanError(
            f"contacts of `{device.id}` share a crossing, or lie outside its matrix",
            "Correct them first: `platebook check` names them. Or plan it all again: --rewire.",
        )
    planner = _Planner(library, device, board, diodes, 0 if tidy else SEARCH_STEPS, rewired=rewired)
    if len(planner.wanted) > MOST_WANTED:
        raise WiringPlanError(
            f"{len(planner.wanted)} contacts of `{device.id}` want a place, more than the "
            f"{MOST_WANTED} that are planned at once",
            "Give crossings or pins to others by hand first, or split the box into several.",
        )
    return planner.plan(renumbered=renumbered)


def list_wanted(library: Library, device: Device) -> list[Contact]:
    """Return the contacts that need a wire and have none, in the order of the file.

    Those with an input number, those that a profile uses, and of a control with neither a number
    nor a wire its main contact, or all where it has none. Of a latching control one side is enough:
    the board makes the other.
    """
    used = {who.local for link in library.profiles_of(device.id) for who in link.used}
    found = []
    for key, control in device.controls.items():
        wired = control.wired_contacts
        named = {*control.input_by_contact, *(one.contact for one in used if one.control == key)}
        if not named and not wired:
            named = {control.main_contact} if control.main_contact else {*control.contacts}
        if isinstance(control, Latching):
            is_left = len(control.contacts) - len(wired) > 1
            named = {*control.contacts} - {control.rest_contact} if is_left else set()
        if isinstance(control, Selector):
            named -= {*map(name_position, control.off)}
        found += [Contact(key, name) for name in control.contacts if name in named - wired]
    return found


class _Planner:
    """One device, its board, what is kept, and what needs a place."""

    def __init__(
        self,
        library: Library,
        device: Device,
        board: Board,
        diodes: Diodes,
        steps: int,
        *,
        rewired: bool,
    ) -> None:
        self.library, self.device, self.board, self.rewired = library, device, board, rewired
        self.wiring, self.circuit = device.wiring, circuit_of(device)
        self.kept = {} if rewired else dict(self.circuit.places)
        self.wanted = [*self.circuit.places] if rewired else []
        self.wanted += list_wanted(library, device)
        self.steps = steps
        self.every = "every" in (diodes, self.wiring.diodes)
        lines: list[str] = []
        bare = device
        if rewired:
            lines = [*self.wiring.rows, *self.wiring.columns]
            bare = edited(device, tuple((("wiring", side), []) for side in ("rows", "columns")))
        free = free_pins(bare, board)
        self.free = list(dict.fromkeys([*(pin for pin in lines if pin in free), *free]))
        self.free.sort(key=lambda pin: (pin in board.notes, not self._can(pin, DRIVES + SENSES)))
        self.edits: dict[tuple[str, ...], Any] = {}
        self.lacks: list[str] = []
        self.notes: list[str] = []

    def plan(self, *, renumbered: bool) -> WiringPlan:
        """Choose pins of their own, then the matrix, then the numbers."""
        turns = self._turns()
        for number in range(len(turns), -1, -1):
            own = [one for pair in turns[:number] for one in pair]
            rest = [one for one in self.wanted if one not in own]
            is_bare = not self.kept and not self.wiring.rows and not self.rewired
            saves_none = len(rest) <= fewest_lines(len(rest))
            if is_bare and saves_none and len(self.wanted) <= len(self.free):
                own, rest = list(self.wanted), []
            if len(own) > len(self.free):
                continue
            contacts, matrix = self._plan_matrix(rest, len(self.free) - len(own))
            if not matrix.left_out:
                break
        left = [contacts[one] for one in matrix.left_out]
        if left:
            self.lacks.append(
                f"{list_some([f'`{one}`' for one in left])} "
                f"{'has' if len(left) == 1 else 'have'} no place: "
                f"`{self.board.id}` has {count(len(self.free), 'free pin')}"
            )
        for side in ("rows", "columns"):
            asks = DRIVES if side == self.wiring.driven else SENSES
            old = [] if self.rewired else list(getattr(self.wiring, side))
            new = [self._take(asks) for _ in range(getattr(matrix, side) - len(old))]
            if new or self.rewired:
                self.edits["wiring", side] = [*old, *new]
        crossings = {contacts[one]: place for one, place in sorted(matrix.places.items())}
        crossings = {one: at for one, at in crossings.items() if one not in self.kept}
        own_pins = {one: self._take(SENSES) for one in own}
        for contact, place in crossings.items():
            self._put(contact, "crossing", list(place))
        for contact, pin in own_pins.items():
            self._put(contact, "pin", pin)
            control = self.device.controls[contact.control]
            if isinstance(control, Rotary) and control.common is None:
                self.edits["controls", contact.control, "common"] = GROUND
        placed = {**self.kept, **crossings}
        self._write_diodes(placed, {contacts[diode] for diode in matrix.diodes})
        self._tell_split()
        numbers = self._write_numbers(crossings, own_pins, renumbered=renumbered)
        declared, highest = self.device.device.report.buttons, max(numbers.values(), default=0)
        if declared is not None and highest > declared:
            self.edits["device", "report", "buttons"] = highest
        edits = tuple(self.edits.items())
        after = edited(self.device, edits)
        return WiringPlan(
            after,
            edits,
            crossings,
            own_pins,
            tuple(sorted(contacts[diode] for diode in matrix.diodes)),
            numbers,
            tuple(self.lacks),
            tuple(self.notes),
        )

    def _can(self, pin: str, asks: Iterable[Ability]) -> bool:
        return all(self.board.is_able(pin, ability) for ability in asks)

    def _take(self, asks: Iterable[Ability]) -> str:
        """Take a free pin that can do what is asked."""
        pin = next((one for one in self.free if self._can(one, asks)), None)
        if pin is None:
            raise WiringPlanError(
                f"no pin of `{self.board.id}` is left that can do what a line needs",
                "Free a pin, or choose a board with more: `platebook boards` lists them.",
            )
        self.free.remove(pin)
        return pin

    def _old(self, side: Side) -> int:
        return 0 if self.rewired else len(getattr(self.wiring, side))

    def _turns(self) -> list[list[Contact]]:
        """Return the two channels of each rotary that has neither wired."""
        found = []
        for key, control in self.device.controls.items():
            ways = [Contact(key, name) for name in ("clockwise", "anticlockwise")]
            if isinstance(control, Rotary) and all(way in self.wanted for way in ways):
                found.append(ways)
        return found if not self.rewired else []

    def _plan_matrix(self, fresh: list[Contact], free: int) -> tuple[list[Contact], MatrixPlan]:
        """Return the contacts of the matrix, those kept first, and where each sits."""
        contacts = [*self.kept, *fresh]
        bench = {contact: (1, number) for number, contact in enumerate(contacts, 1)}
        number = {contact: index for index, contact in enumerate(contacts)}
        groups = group_by_common(contacts).values()
        old = self.circuit.matrix
        along = None if self.rewired else self.wiring.numbering
        task = MatrixTask(
            tuple(self.device.controls[one.control].position for one in contacts),
            board_place(self.device),
            tuple(frozenset(number[one] for one in group) for group in groups),
            self._needs(Circuit(Matrix(1, len(bench), frozenset(bench.values())), bench, (), ())),
            {number[one]: place for one, place in self.kept.items()},
            "every"
            if self.every
            else frozenset(number[c] for c, at in self.kept.items() if at in old.diodes),
            self._old("rows"),
            self._old("columns"),
            self.wiring.driven,
            self._old("rows") + self._old("columns") + free,
            None if along is None else "rows" if along == "along-rows" else "columns",
        )
        return contacts, plan_matrix(task, self.steps)

    def _needs(self, bench: Circuit) -> Needs:
        """Return all that may be closed at the same time: states, single presses, profiles."""
        needs = needs_of_device(self.device, bench)
        chords = dict.fromkeys(needs.chords)
        for link in self.library.profiles_of(self.device.id):
            chords |= dict.fromkeys(needs_of_profile(self.device, bench, link).chords)
        return needs._replace(chords=tuple(chords))

    def _put(self, contact: Contact, key: str, value: Any) -> None:
        """Write one value of a contact where its control would have it."""
        control = self.device.controls[contact.control]
        many = "crossings" if key == "crossing" else f"{key}s"
        is_one = contact.contact == control.main_contact
        is_one = is_one and contact.contact not in getattr(control, many)
        at = (key,) if is_one else (many, contact.contact)
        self.edits["controls", contact.control, *at] = value

    def _write_diodes(self, placed: Mapping[Contact, Crossing], fitted: set[Contact]) -> None:
        """Name the diodes: `every`, whole controls where all their contacts have one, contacts."""
        if self.every or fitted == set(placed):
            names: Any = "every" if fitted else "none"
        else:
            names = []
            for contact in sorted(fitted, key=list(placed).index):
                mates = [other for other in placed if other.control == contact.control]
                whole = fitted.issuperset(mates)
                names += [contact.control if whole else str(contact)]
            names = list(dict.fromkeys(names)) or "none"
        now = self.wiring.diodes
        if names != (list(now) if isinstance(now, tuple) else now):
            self.edits["wiring", "diodes"] = names

    def _tell_split(self) -> None:
        if split := () if self.rewired else find_split(self.circuit):
            self.lacks.append(
                f"{list_some([f'`{one}`' for one in split])} "
                f"{'keeps a common that is' if len(split) == 1 else 'keep commons that are'} "
                "split, as wired: --rewire plans every crossing again"
            )

    def _write_numbers(
        self,
        crossings: Iterable[Contact],
        pins: Iterable[Contact],
        *,
        renumbered: bool,
    ) -> Mapping[Contact, int]:
        """Return the number of each contact, and write what it takes that none changes."""
        old = numbering_of(self.device).numbers
        if self.wiring.numbering is None and not old:
            self.edits["wiring", "numbering"] = self._read_along()
        after = edited(self.device, tuple(self.edits.items()))
        found = numbering_of(after)
        fresh = [one for one in (*crossings, *pins) if one not in old]
        if after.wiring.numbering is not None:
            moved = [one for one, number in old.items() if found.numbers.get(one) != number]
            if renumbered:
                for contact, _, number in found.disagreements:
                    self._put(contact, "input", number)
            if renumbered or (not moved and not found.clashes):
                return found.numbers
            self.edits["wiring", "numbering"] = None
            way = str(self.wiring.numbering).replace("-", " ")
            harm = f"change {len(moved)} of {count(len(old), 'input')}"
            if not moved:
                sharing = [f"`{one}`" for one in found.clashes[0].contacts]
                harm = f"give {list_some(sharing)} one input"
            self.notes.append(
                f"every input number is written out: numbering {way} would {harm}; "
                "--renumber lets it"
            )
        numbers, taken = dict(old), set(old.values())
        for contact in fresh:
            number = self.wiring.first_input
            while number in taken:
                number += 1
            taken.add(number)
            numbers[contact] = number
        declared = self.device.declared_inputs
        for contact, number in numbers.items():
            if declared.get((contact.control, contact.contact)) != number:
                self._put(contact, "input", number)
        return numbers

    def _read_along(self) -> Along:
        """Return the way of numbering that comes nearest to how a person reads the plate."""
        tried: dict[Along, int] = {}
        for along in ("along-rows", "along-columns"):
            way: Along = "along-rows" if along == "along-rows" else "along-columns"
            trial = edited(self.device, (*self.edits.items(), (("wiring", "numbering"), way)))
            numbers = sorted(numbering_of(trial).numbers.items(), key=lambda pair: pair[1])
            read = [
                (-round(y), x) for x, y in (trial.controls[c.control].position for c, _ in numbers)
            ]
            tried[way] = sum(one > other for one, other in pairwise(read))
        return min(tried, key=lambda way: tried[way])


def edited(device: Device, edits: Edits) -> Device:
    """Return a device with values put into its content."""
    plain = device.plain()
    put_values(plain, edits)
    return Device.model_validate(plain)


def put_values(content: dict[str, Any], edits: Edits) -> None:
    """Put values into the content of a file; None removes the key."""
    for path, value in edits:
        table = content
        for key in path[:-1]:
            table = table.setdefault(key, {})
        if value is None:
            table.pop(path[-1], None)
        else:
            table[path[-1]] = value
