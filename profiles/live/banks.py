"""What sits on the banks of a box and on its axes, and what goes wrong there.

A bank is a shift-register chain, a port expander, a multiplexer or a resistor ladder. What is wrong
with one is told by what the board reads at each of its places instead: another one, or nothing.

- `banks_in`: the banks that contacts sit on; `axes_in`: the levers
- `move_places`: the nodes behind the places of a bank with a fault; `move_axes`: likewise of levers
- `list_bank_faults`: all of these faults that a box can have, as kinds with their places
"""

from bisect import bisect
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations, pairwise, product

from profiles.facts.box_model import BoxModel
from profiles.live.fault_types import FaultKind
from profiles.model import Axis, Expander, Ladder, Multiplexer
from profiles.wiring.banks import Bank, banks_of, contacts_on_banks, size_of
from profiles.wiring.circuit import layout_of
from profiles.wiring.ladder import find_thresholds, find_windows
from profiles.wiring.matrix import NO_NODE

REGISTER = 8
"""Bits of one register of a chain: parallel-in, serial-out ones have eight. Rule of thumb."""

FACTORS = (0.0, 0.1, 10.0)
"""By how much a wrong resistor is off: shorted, or of another decade, the band misread most
easily. Rule of thumb."""

Sensors = tuple[tuple[int, int], ...]
"""Of each axis whose sensor it follows, and which way: 1 as described, -1 the other, 0 not."""


@dataclass(frozen=True, slots=True)
class BankPlaces:
    """A bank, how many places it has, and which pin after those of the lines reads each, from 0."""

    bank: Bank
    size: int
    pins: Mapping[int, int]


@lru_cache(maxsize=16)
def banks_in(model: BoxModel) -> tuple[BankPlaces, ...]:
    """The banks that a contact sits on, in the order in which they are read."""
    device, found = model.device, []
    at = {contact: place for place, contact in enumerate(model.single, model.ground)}
    bits = layout_of(device).bits
    on_banks = contacts_on_banks(device)
    first = 1
    for number, bank in enumerate(banks_of(device)):
        if number < len(device.wiring.all_chains):
            size = len(bank.places)
            where = {contact: bit - first for contact, bit in bits.items()}
            first += size
        else:
            size = size_of(bank.part)  # type: ignore[arg-type]
            where = {one: place - 1 for one, (name, place) in on_banks.items() if name == bank.name}
        pins = {place: at[one] for one, place in where.items() if one in at and 0 <= place < size}
        if pins:
            found.append(BankPlaces(bank, size, pins))
    return tuple(found)


@lru_cache(maxsize=16)
def axes_in(model: BoxModel) -> tuple[str, ...]:
    """Ids of the controls that are axes."""
    controls = model.device.controls
    return tuple(name for name, control in controls.items() if isinstance(control, Axis))


def move_places(
    model: BoxModel, pins: tuple[int, ...], kind: FaultKind, places: tuple[int, ...]
) -> tuple[tuple[int, ...], frozenset[tuple[int, int]]]:
    """The nodes behind all pins after a fault of a bank, and pairs of nodes that read as one."""
    banks = banks_in(model)
    bank = banks[places[0]]
    found, own, joined = list(pins), bank.pins, set[tuple[int, int]]()
    if kind == "banks-exchanged":
        other = banks[places[1]].pins
        for here, there in ((own, other), (other, own)):
            for place, pin in here.items():
                found[pin] = pins[there[place]] if place in there else NO_NODE
        return tuple(found), frozenset()
    for place, pin in own.items():
        sources = (at for at in _find_sources(bank, kind, places[1:], place) if at in own)
        nodes = [pins[own[at]] for at in sources if pins[own[at]] != NO_NODE]
        found[pin] = nodes[0] if nodes else NO_NODE
        joined.update(pairwise(nodes))
        if kind == "places-lost" and place >= places[1] and places[2]:
            found[pin] = model.ground
    return tuple(found), frozenset(joined)


def _find_sources(
    bank: BankPlaces, kind: FaultKind, given: tuple[int, ...], place: int
) -> Iterable[int]:
    """The places whose contacts are read at this one."""
    match kind:
        case "places-lost":
            return [place] if place < given[0] else []
        case "bits-shifted":
            return [place - given[0]]
        case "select-stuck":
            line, level = given
            return [(place & ~(1 << line)) | level << line]
        case "selects-exchanged":
            a, b = given
            one, other = place >> a & 1, place >> b & 1
            return [(place & ~(1 << a | 1 << b)) | one << b | other << a]
        case "resistor-wrong":
            step, how = given
            return (at for at, read in enumerate(_read_ladder(bank, step, how)) if read == place)
    return []


def _read_ladder(bank: BankPlaces, step: int, how: int) -> Iterator[int]:
    """As which place each contact of a ladder is read, one of whose resistors is wrong."""
    part = bank.bank.part
    if isinstance(part, Ladder):
        steps = list(part.steps)
        windows = find_windows(part.pull_up, steps, part.tolerance)
        steps[step] *= FACTORS[how]
        for at in range(bank.size):
            total = sum(steps[:at])
            yield bisect(find_thresholds(windows), total / (total + part.pull_up))


def move_axes(axes: Sensors, kind: FaultKind, places: tuple[int, ...]) -> Sensors:
    """Whose sensor each axis follows after a fault of an axis."""
    found, first = list(axes), places[0]
    source, way = axes[first]
    if kind == "axes-exchanged":
        found[first], found[places[1]] = found[places[1]], found[first]
    else:
        found[first] = (source, -way if kind == "axis-backwards" else 0)
    return tuple(found)


def list_bank_faults(model: BoxModel) -> Iterator[tuple[FaultKind, tuple[int, ...]]]:
    """Every fault of a bank or an axis that the box can have."""
    banks = banks_in(model)
    for at, (bank, size) in enumerate((one.bank, one.size) for one in banks):
        yield "bank-silent", (at,)
        match bank.part:
            case Expander():
                continue
            case Multiplexer(select=select):
                lines = range(len(select))
                yield from (("select-stuck", (at, n, level)) for n in lines for level in (0, 1))
                yield from (("selects-exchanged", (at, *pair)) for pair in combinations(lines, 2))
            case Ladder():
                yield from (("places-lost", (at, after, 0)) for after in range(1, size))
                wrong = product(range(size - 1), range(len(FACTORS)))
                yield from (("resistor-wrong", (at, step, how)) for step, how in wrong)
            case _:
                for after in range(REGISTER, size, REGISTER):
                    yield from (("places-lost", (at, after, level)) for level in (0, 1))
                yield from (("bits-shifted", (at, by)) for by in (-1, 1))
    expanders = [at for at, one in enumerate(banks) if isinstance(one.bank.part, Expander)]
    yield from (("banks-exchanged", pair) for pair in combinations(expanders, 2))
    levers = range(len(axes_in(model)))
    for kind in ("axis-backwards", "axis-silent"):
        yield from ((kind, (lever,)) for lever in levers)
    yield from (("axes-exchanged", pair) for pair in combinations(levers, 2))
