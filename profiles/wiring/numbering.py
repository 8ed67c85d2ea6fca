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

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from itertools import product
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
    fields: frozenset[Contact] = frozenset()
    """Contacts that the host meets as a hat or an axis: they leave their number unused."""


class Disagreement(NamedTuple):
    """A contact whose declared number is not the one that its wiring gives."""

    contact: Contact
    declared: int
    computed: int


class Clash(NamedTuple):
    """Contacts that share one input number."""

    number: int
    contacts: tuple[Contact, ...]


class Numbering(NamedTuple):
    """Input number of each contact that has one, and what is wrong with them.

    `placed` are contacts whose crossing or bit gives the number, whatever they declare.
    """

    numbers: Mapping[Contact, int]
    computed: Mapping[Contact, int]
    disagreements: tuple[Disagreement, ...]
    clashes: tuple[Clash, ...]
    placed: frozenset[Contact] = frozenset()


def number_inputs(layout: Layout) -> Numbering:
    """Return the input numbers of a layout."""
    computed = compute_numbers(layout)
    disagreements = tuple(
        Disagreement(contact, number, computed[contact])
        for contact, number in layout.declared.items()
        if computed.get(contact, number) != number
    )
    numbers = {**computed, **{c: n for c, n in layout.declared.items() if c not in computed}}
    placed = computed.keys() & {*layout.crossings, *layout.bits}
    return Numbering(numbers, computed, disagreements, find_clashes(numbers), frozenset(placed))


def compute_numbers(layout: Layout) -> dict[Contact, int]:
    """Return the numbers that the wiring gives; none where inputs are given one by one.

    Contacts on one crossing or bit keep one number.
    """
    if layout.along is None:
        return {}
    numbers: dict[Contact, int] = {}
    after = layout.first
    crossings = {c: crossing_number(layout, at) - after for c, at in layout.crossings.items()}
    bits = {contact: bit - 1 for contact, bit in layout.bits.items()}
    sizes = (layout.rows * layout.columns, layout.chain_length)
    for offsets, size in zip((crossings, bits), sizes, strict=True):
        if layout.unused == "skipped":
            ranks = {offset: rank for rank, offset in enumerate(sorted(set(offsets.values())))}
            offsets, size = {c: ranks[offset] for c, offset in offsets.items()}, len(ranks)
        numbers |= {contact: after + offset for contact, offset in offsets.items()}
        after += size
    used = set(numbers.values()) | set(layout.declared.values())
    for contact in (name for name in layout.own_pins if name not in layout.fields):
        if contact in layout.declared:
            numbers[contact] = layout.declared[contact]
            continue
        while after in used:
            after += 1
        used.add(after)
        numbers[contact] = after
    return {contact: number for contact, number in numbers.items() if contact not in layout.fields}


def find_clashes(numbers: Mapping[Contact, int]) -> tuple[Clash, ...]:
    """Return the contacts that share an input number, by number."""
    by_number: dict[int, list[Contact]] = {}
    for contact, number in numbers.items():
        by_number.setdefault(number, []).append(contact)
    return tuple(
        Clash(number, tuple(who)) for number, who in sorted(by_number.items()) if len(who) > 1
    )


def crossing_number(layout: Layout, place: Crossing) -> int:
    """Return the number of a crossing, unused ones counted."""
    row, column = place[0] - 1, place[1] - 1
    if layout.along == "along-columns":
        return layout.first + column * layout.rows + row
    return layout.first + row * layout.columns + column


def find_agreeing(layout: Layout) -> Layout | None:
    """Return the layout numbered so that no declared number disagrees and none is shared, or None.

    Ways are tried in this order: the other direction, then another first number, then unused places
    counted or skipped instead.
    """
    turned: Along = "along-columns" if layout.along == "along-rows" else "along-rows"
    refilled: Unused = "skipped" if layout.unused == "counted" else "counted"
    for unused, along in product((layout.unused, refilled), (layout.along, turned)):
        way = replace(layout, along=along, unused=unused)
        computed = compute_numbers(way)
        wired = {**layout.crossings, **layout.bits}.keys() & computed.keys()
        shifts = (n - computed[c] for c, n in layout.declared.items() if c in wired)
        for trial in (way, replace(way, first=max(way.first + next(shifts, 0), 1))):
            numbering = number_inputs(trial)
            if not numbering.disagreements and not numbering.clashes:
                return trial
    return None


def unused_numbers(layout: Layout) -> tuple[int, ...]:
    """Return the numbers that unused crossings and bits take, in order."""
    if layout.along is None or layout.unused == "skipped":
        return ()
    size = layout.rows * layout.columns + layout.chain_length
    used = set(compute_numbers(layout).values())
    return tuple(n for n in range(layout.first, layout.first + size) if n not in used)
