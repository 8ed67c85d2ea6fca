"""From the wiring to input numbers: matrix, shift-register chain, pins of their own.

Numbers are given in blocks, one after another:

1. the crossings of the matrix, along its rows or along its columns, from the first number on;
2. the bits of the shift-register chain, in the order they are shifted;
3. contacts with a pin of their own, in the order of the device; one that declares a number keeps
   it, the others take the next number that is free.

In blocks 1 and 2 an unused place takes a number too where `unused` is `counted`, none where it is
`skipped`. Where the wiring gives a number, that is what the box reports: a declared one that
differs from it is a `Disagreement`.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import Literal, NamedTuple

from profiles.model import Contact
from profiles.wiring.matrix import Crossing

Along = Literal["along-rows", "along-columns"]
Unused = Literal["counted", "skipped"]


@dataclass(frozen=True, slots=True)
class Layout:
    """Where each contact is wired, and how numbers are given; `along` None: one by one."""

    rows: int = 0
    columns: int = 0
    crossings: Mapping[Contact, Crossing] = field(default_factory=dict)
    chain_length: int = 0
    bits: Mapping[Contact, int] = field(default_factory=dict)
    own_pins: tuple[Contact, ...] = ()
    declared: Mapping[Contact, int] = field(default_factory=dict)
    along: Along | None = None
    first: int = 1
    unused: Unused = "counted"


class Disagreement(NamedTuple):
    """A contact whose declared number is not the one that its wiring gives."""

    terminal: Contact
    declared: int
    computed: int


class Clash(NamedTuple):
    """Contacts that share one input number."""

    number: int
    terminals: tuple[Contact, ...]


class Numbering(NamedTuple):
    """Input number of each contact that has one, and what is wrong with them."""

    numbers: Mapping[Contact, int]
    computed: Mapping[Contact, int]
    disagreements: tuple[Disagreement, ...]
    clashes: tuple[Clash, ...]


def number_inputs(layout: Layout) -> Numbering:
    """Return the input numbers of a layout."""
    computed = compute_numbers(layout)
    numbers = {**computed, **{k: n for k, n in layout.declared.items() if k not in computed}}
    return Numbering(
        numbers, computed, _disagreements(layout.declared, computed), _clashes(numbers)
    )


def compute_numbers(layout: Layout) -> dict[Contact, int]:
    """Return the numbers that the wiring gives; none where inputs are given one by one."""
    if layout.along is None:
        return {}
    in_matrix, after = _number_matrix(layout)
    in_chain, after = _number_chain(layout, after)
    return {**in_matrix, **in_chain, **_number_pins(layout, in_matrix | in_chain, after)}


def crossing_number(layout: Layout, place: Crossing) -> int:
    """Return the number of a crossing, unused ones counted."""
    row, column = place[0] - 1, place[1] - 1
    if layout.along == "along-columns":
        return layout.first + column * layout.rows + row
    return layout.first + row * layout.columns + column


def _number_matrix(layout: Layout) -> tuple[dict[Contact, int], int]:
    """Return the numbers of block 1 and the first number after it."""
    slots = {terminal: crossing_number(layout, at) for terminal, at in layout.crossings.items()}
    if layout.unused == "skipped":
        return _close_gaps(slots, layout.first)
    return slots, layout.first + layout.rows * layout.columns


def _number_chain(layout: Layout, first: int) -> tuple[dict[Contact, int], int]:
    """Return the numbers of block 2 and the first number after it."""
    slots = {terminal: first + bit - 1 for terminal, bit in layout.bits.items()}
    if layout.unused == "skipped":
        return _close_gaps(slots, first)
    return slots, first + layout.chain_length


def _close_gaps(slots: Mapping[Contact, int], first: int) -> tuple[dict[Contact, int], int]:
    """Renumber from `first` without gaps; contacts on one slot keep one number."""
    ranks = {slot: first + rank for rank, slot in enumerate(sorted(set(slots.values())))}
    return {terminal: ranks[slot] for terminal, slot in slots.items()}, first + len(ranks)


def _number_pins(layout: Layout, given: Mapping[Contact, int], first: int) -> dict[Contact, int]:
    """Return the numbers of block 3."""
    used = set(given.values()) | set(layout.declared.values())
    numbers: dict[Contact, int] = {}
    after = first
    for terminal in layout.own_pins:
        if terminal in layout.declared:
            numbers[terminal] = layout.declared[terminal]
            continue
        while after in used:
            after += 1
        used.add(after)
        numbers[terminal] = after
    return numbers


def _disagreements(
    declared: Mapping[Contact, int], computed: Mapping[Contact, int]
) -> tuple[Disagreement, ...]:
    return tuple(
        Disagreement(terminal, number, computed[terminal])
        for terminal, number in declared.items()
        if computed.get(terminal, number) != number
    )


def find_agreeing(layout: Layout) -> Layout | None:
    """Return the layout numbered so that no declared number disagrees and none is shared, or None.

    Ways are tried in this order: the other direction, then another first number, then unused places
    counted or skipped instead.
    """
    return next((one for one in _other_ways(layout) if _agrees(one)), None)


def _other_ways(layout: Layout) -> Iterator[Layout]:
    turned: Along = "along-columns" if layout.along == "along-rows" else "along-rows"
    refilled: Unused = "skipped" if layout.unused == "counted" else "counted"
    for unused in (layout.unused, refilled):
        for along in (layout.along, turned):
            way = replace(layout, along=along, unused=unused)
            yield way
            yield replace(way, first=_fitting_first(way))


def _fitting_first(layout: Layout) -> int:
    """Return the first number with which the first declared contact agrees; 1 at least."""
    computed = compute_numbers(layout)
    wired = (who for who in layout.declared if who in layout.crossings or who in layout.bits)
    shifts = (layout.declared[who] - computed[who] for who in wired)
    return max(layout.first + next(shifts, 0), 1)


def _agrees(layout: Layout) -> bool:
    numbering = number_inputs(layout)
    return not numbering.disagreements and not numbering.clashes


def _clashes(numbers: Mapping[Contact, int]) -> tuple[Clash, ...]:
    by_number: dict[int, list[Contact]] = {}
    for terminal, number in numbers.items():
        by_number.setdefault(number, []).append(terminal)
    return tuple(
        Clash(number, tuple(terminals))
        for number, terminals in sorted(by_number.items())
        if len(terminals) > 1
    )


def unused_numbers(layout: Layout) -> tuple[int, ...]:
    """Return the numbers that unused crossings and bits take, in order."""
    if layout.along is None or layout.unused == "skipped":
        return ()
    size = layout.rows * layout.columns + layout.chain_length
    used = set(compute_numbers(layout).values())
    return tuple(n for n in range(layout.first, layout.first + size) if n not in used)
