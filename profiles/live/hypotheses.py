"""Which faults are worth trying, and how likely each is before anything was heard.

- `Space.priors`: log probability of one fault; that of its kind shared out over its variants
- `propose`: every fault of every kind that could explain a part of what is not explained yet
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from math import comb, log

from profiles.facts.box_model import BoxModel
from profiles.facts.device import DeviceFacts
from profiles.live.banks import list_bank_faults
from profiles.live.build import Build, build_of, can_turn, number_box
from profiles.live.chains import chains_of
from profiles.live.evidence import Evidence, Reading, is_open
from profiles.live.fault_types import FAULT_TYPES, FaultKind
from profiles.live.faults import RATES, Fault
from profiles.live.forward import ENDS, Heard
from profiles.model import Latching
from profiles.wiring.matrix import NO_NODE

WEIGHTS = {kind: told.weight for kind, told in FAULT_TYPES.items()}
"""How likely a box has one fault of this kind."""

MOST_ODD = 24
"""With more odd steps than this, contacts are suspects for what they did alone."""

FEW = 6
"""With more suspects than this, what is heard most of the time is not of one leg."""

MOST_PAIRS = 300
"""With more pairs of contacts than this exchanged or joined, by what is heard, it is lines."""


@dataclass(frozen=True)
class Space:
    """All faults that a box can have."""

    model: BoxModel

    @cached_property
    def line_faults(self) -> tuple[Fault, ...]:
        """Every fault of lines and of numbering."""
        model = self.model
        lines = range(model.rows + model.columns)
        wires = range(model.ground + 1, model.ground + 1 + len(model.single))
        wires = wires if self.is_wired else wires[:0]
        found = [Fault("swapped", pair) for pair in combinations(lines, 2)]
        found += [Fault("dead", (node,)) for node in lines]
        found += [Fault("bridged", pair) for pair in combinations([*lines, *wires], 2)]
        found += [Fault(kind, (node,)) for kind in ("grounded", "supplied") for node in lines]
        for first, length in ((0, model.rows), (model.rows, model.columns)):
            found += [Fault("rotated", (first, by)) for by in range(1, length) if length > 2]
            found += [Fault("shifted", (first, by)) for by in (-1, 1) if length > 1]
            found += [Fault("reversed", (first,))] if length > 2 else []
        found += [Fault("transposed")] if can_turn(model) else []
        found += [Fault("offset", (by,)) for by in (-1, 1)]
        found += [Fault("diodes-reversed")] if any(build_of(model).diodes) else []
        return tuple(found)

    @cached_property
    def is_wired(self) -> bool:
        """Whether the file says anything of wires; of a box bought whole it does not."""
        return DeviceFacts(self.model.device).is_wired

    @cached_property
    def bank_faults(self) -> tuple[Fault, ...]:
        """Every fault of a bank or an axis."""
        return tuple(Fault(kind, places) for kind, places in list_bank_faults(self.model))

    @cached_property
    def numbers(self) -> tuple[frozenset[int], ...]:
        """The input of each contact as described, for those that were not tried yet."""
        signals = self.model.signals
        return tuple(
            frozenset({signals[contact].number} if contact in signals else ())
            for contact in self.model.contacts
        )

    @cached_property
    def lasting(self) -> frozenset[int]:
        """Contacts of controls that stay as put and come back by hand alone."""
        model = self.model
        return frozenset(
            at
            for at, contact in enumerate(model.contacts)
            if isinstance(control := model.device.controls[contact.control], Latching)
            and contact.contact not in control.sprung
        )

    @cached_property
    def priors(self) -> dict[FaultKind, float]:
        """Log probability of one fault of each kind."""
        model, sites = self.model, build_of(self.model).sites
        contacts, diodes = len(model.contacts), sum(build_of(model).diodes)
        rotaries, lasting = len(model.rotaries), len(self.lasting)
        counts: Counter[str] = Counter(fault.kind for fault in self.line_faults + self.bank_faults)
        counts |= Counter(exchanged=comb(contacts, 2), joined=comb(diodes, 2))
        counts |= Counter(dict.fromkeys(("stuck", "open", "bounces", "inverted"), contacts))
        counts |= Counter(latches=contacts - lasting, springs=lasting)
        counts |= Counter(dict.fromkeys(("diode-reversed", "diode-missing"), diodes))
        counts |= Counter(dict.fromkeys(("turns-back", "skips", "common-lost"), rotaries))
        counts |= Counter({"multiplies": rotaries * len(RATES)})
        counts |= Counter({"knobs-exchanged": comb(rotaries, 2)})
        counts |= Counter(miswired=len(sites) * (model.rows + model.columns))
        counts |= Counter(broken=len(sites))
        return {kind: log(weight / max(1, counts[kind])) for kind, weight in WEIGHTS.items()}


@dataclass(frozen=True, slots=True)
class State:
    """Where a search stands: a build, what it predicts, and what each reading costs it."""

    build: Build
    heard: Sequence[Heard]
    costs: Sequence[float]


def propose(space: Space, evidence: Evidence, state: State) -> Iterator[Fault]:
    """Faults that may explain readings which are not explained yet; each once. None is of wires
    where the file has none."""
    for fault in _propose_any(space, evidence, state):
        if space.is_wired or FAULT_TYPES[fault.kind].whole:
            yield fault


def _propose_any(space: Space, evidence: Evidence, state: State) -> Iterator[Fault]:
    readings, model = evidence.readings, space.model
    odd = find_open(evidence, state)
    if not odd:
        return
    nodes = _find_nodes(space, evidence, state, odd)
    for fault in space.line_faults:
        if fault.subject != "lines" or not nodes.isdisjoint(fault.places):
            yield fault
    yield from space.bank_faults
    told = [
        _join_seen(state.heard, places) if places else space.numbers[contact]
        for contact, places in enumerate(evidence.by_target)
    ]
    lasting = _find_lasting(evidence, state, odd)
    for contact in (at for at, inputs in enumerate(told) if lasting & inputs):
        yield Fault("stuck", (contact,))
        if contact not in space.lasting:
            yield Fault("latches", (contact,))
        if not evidence.by_target[contact]:
            yield Fault("inverted", (contact,))
    alone = [at for at in odd if readings[at].step.gesture != "together"]
    closed = 0
    for at in odd if len(odd) <= MOST_ODD else alone:
        frames = readings[at].frames
        closed |= readings[at].closed & ~(frames[0] & frames[-1])
    closed |= _find_missing(evidence, state, odd, told)
    suspects = [contact for contact in range(len(told)) if closed >> contact & 1]
    yield from _propose_contacts(space, evidence, suspects)
    yield from _propose_legs(space, evidence, state, suspects, lasting)
    yield from _propose_pairs(model, evidence, state, suspects, told)
    yield from _propose_broken(model, evidence, odd)
    steps = [readings[at].step for at in odd]
    turned = {
        one.contact.control: one.gesture == "turn"
        for one in steps
        if one.contact and one.gesture in ("turn", *ENDS)
    }
    for rotary, name in ((at, name) for at, name in enumerate(model.rotaries) if name in turned):
        yield Fault("turns-back", (rotary,))
        yield Fault("common-lost", (rotary,))
        if turned[name]:
            yield Fault("skips", (rotary,))
            yield from (Fault("multiplies", (rotary, rate)) for rate in range(len(RATES)))
    if len(turned) > 1:
        for pair in combinations(range(len(model.rotaries)), 2):
            yield Fault("knobs-exchanged", pair)


def find_open(evidence: Evidence, state: State) -> list[int]:
    """Places of the readings of which something is left that a further fault could explain.

    A step that was done again and then was as predicted was a hand's slip before.
    """
    told = zip(evidence.readings, state.heard, state.costs, strict=True)
    odd, right = [], set[str]()
    for at, (reading, heard, cost) in enumerate(told):
        if cost and is_open(reading, heard, cost):
            odd.append(at)
        elif reading.doubted:
            right.add(reading.step.key)
    return [at for at in odd if evidence.readings[at].step.key not in right]


def _find_nodes(space: Space, evidence: Evidence, state: State, odd: Sequence[int]) -> set[int]:
    """The wires that an odd reading can be about: those of contacts that are closed in it, and
    those at the pins of inputs that were heard or missed."""
    model, build = space.model, state.build
    places = number_box(model, build.transposed).places
    closed, numbers = 0, set[int]()
    for at in odd:
        reading = evidence.readings[at]
        closed |= reading.closed
        numbers |= reading.seen ^ state.heard[at].seen
    nodes = {node for at, site in enumerate(build.sites) if closed >> at & 1 for node in site}
    for number in numbers:
        if (place := places.get(number - build.offset)) is not None:
            nodes |= {build.pins[place[0]], build.pins[model.rows + place[1]]}
    return nodes


def _join_seen(heard: Sequence[Heard | Reading], places: Iterable[int]) -> frozenset[int]:
    return frozenset().union(*(heard[at].seen for at in places))


def _find_lasting(evidence: Evidence, state: State, odd: Sequence[int]) -> frozenset[int]:
    """Inputs that are heard, against prediction, in half of the odd readings or more."""
    times = Counter(
        number for at in odd for number in evidence.readings[at].seen - state.heard[at].seen
    )
    return frozenset(number for number, many in times.items() if 2 * many >= len(odd))


def _find_missing(
    evidence: Evidence, state: State, odd: Sequence[int], told: Sequence[frozenset[int]]
) -> int:
    """Mask of the contacts closed at rest whose inputs are missed in an odd step."""
    missed: set[int] = set()
    for at in odd:
        missed |= state.heard[at].seen - evidence.readings[at].seen
    rest = evidence.readings[odd[0]].frames[0]
    return sum(
        1 << contact
        for contact, inputs in enumerate(told)
        if rest >> contact & 1 and inputs & missed
    )


def _propose_contacts(space: Space, evidence: Evidence, suspects: Sequence[int]) -> Iterator[Fault]:
    diodes = build_of(space.model).diodes
    channels = {contact for pair in space.model.channel_contacts for contact in pair}
    for contact in suspects:
        yield Fault("open", (contact,))
        if contact not in channels:
            yield Fault("inverted", (contact,))
            if contact in space.lasting:
                yield Fault("springs", (contact,))
        if diodes[contact]:
            yield Fault("diode-reversed", (contact,))
            yield Fault("diode-missing", (contact,))
    for contact in suspects:
        if any(evidence.readings[at].bounced for at in evidence.by_contact[contact]):
            yield Fault("bounces", (contact,))


def _propose_legs(
    space: Space,
    evidence: Evidence,
    state: State,
    suspects: Sequence[int],
    lasting: frozenset[int],
) -> Iterator[Fault]:
    """Legs that may sit on a line of an input that is heard when their contact is tried alone; not
    of one that is heard most of the time, unless few contacts are odd."""
    model, build = space.model, state.build
    places = number_box(model, build.transposed).places
    for contact in suspects:
        if model.contacts[contact] not in model.circuit.places:
            continue
        heard = _join_seen(evidence.readings, evidence.by_target[contact])
        heard -= lasting if len(suspects) > FEW else frozenset()
        nodes = {model.ground} if len(heard) > 1 else set()
        for row, column in (places[n - build.offset] for n in heard if n - build.offset in places):
            nodes |= {build.pins[row], build.pins[model.rows + column]}
        for node in sorted(nodes - {NO_NODE}):
            for end in (0, 1):
                if node not in build.sites[contact]:
                    yield Fault("miswired", (contact, end, node))


def _propose_broken(model: BoxModel, evidence: Evidence, odd: Sequence[int]) -> Iterator[Fault]:
    """Breaks beyond which no contact that was tried was as described."""
    wrong, tried = set(odd), evidence.by_target
    bad = {
        contact
        for contact, places in enumerate(tried)
        if not places or not wrong.isdisjoint(places)
    }
    for chain, line in enumerate(chains_of(model)):
        for after in range(len(line.stops) - 1, 0, -1):
            beyond = line.stops[after].contacts
            if not bad.issuperset(beyond):
                break
            if beyond:
                yield Fault("broken", (chain, after))


def _propose_pairs(
    model: BoxModel,
    evidence: Evidence,
    state: State,
    suspects: Sequence[int],
    told: Sequence[frozenset[int]],
) -> Iterator[Fault]:
    """Contacts of which one is heard where the other is predicted; and contacts with a diode that
    are heard with more, each with any other on another line."""
    readings, targets = evidence.readings, evidence.by_target
    heard = {contact: _join_seen(readings, targets[contact]) for contact in suspects}
    channels = set(model.channel_contacts)
    exchanged = [
        (a, b)
        for a, b in combinations(suspects, 2)
        if (a, b) not in channels and (heard[a] & told[b] or heard[b] & told[a])
    ]
    untried = {contact for contact, places in enumerate(targets) if not places}
    exchanged += [
        (min(a, b), max(a, b))
        for a in suspects
        for b in untried.difference(suspects)
        if heard[a] & told[b]
    ]
    more = {
        contact
        for contact in suspects
        if any(readings[at].seen - state.heard[at].seen for at in targets[contact])
    }
    with_diode = [contact for contact, has_diode in enumerate(build_of(model).diodes) if has_diode]
    sites = state.build.sites
    joined = [
        (a, b)
        for a, b in combinations(with_diode, 2)
        if (a in more or b in more) and sites[a][0] != sites[b][0]
    ]
    found: dict[FaultKind, list[tuple[int, int]]] = {"exchanged": exchanged, "joined": joined}
    for kind, pairs in found.items():
        if len(pairs) <= MOST_PAIRS:
            yield from (Fault(kind, pair) for pair in pairs)
