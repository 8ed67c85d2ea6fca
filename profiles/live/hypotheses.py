"""Which faults are worth trying, and how likely each is before anything was heard.

- `prior_of`: log probability of one fault; that of its kind shared out over all its variants
- `propose`: every fault of every kind that could explain a part of what is not explained yet
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from math import comb, log

from profiles.facts.box_model import BoxModel
from profiles.live.build import Build, build_of, can_turn
from profiles.live.evidence import Evidence
from profiles.live.faults import FAULT_TYPES, RATES, Fault, FaultKind
from profiles.live.forward import Heard

WEIGHTS = {kind: told.weight for kind, told in FAULT_TYPES.items()}
"""How likely a box has one fault of this kind."""

MOST_SUSPECTS = 24
"""With more contacts than this amiss, it is lines that are looked at first."""


@dataclass(frozen=True)
class Space:
    """All faults that a box can have."""

    model: BoxModel

    @cached_property
    def line_faults(self) -> tuple[Fault, ...]:
        """Every fault of lines and of numbering."""
        return tuple(self._list_line_faults())

    @cached_property
    def priors(self) -> dict[FaultKind, float]:
        """Log probability of one fault of each kind."""
        return {kind: log(weight / max(1, self._count(kind))) for kind, weight in WEIGHTS.items()}

    def prior_of(self, fault: Fault) -> float:
        """Log probability of a fault."""
        return self.priors[fault.kind]

    @property
    def _lines(self) -> range:
        return range(self.model.rows + self.model.columns)

    @property
    def _points(self) -> list[int]:
        """Nodes that solder may bridge: lines and pins of their own."""
        ground = self.model.ground
        return [*self._lines, *range(ground + 1, ground + 1 + len(self.model.single))]

    @property
    def _sides(self) -> tuple[tuple[int, int], ...]:
        """First node and length of the rows and of the columns."""
        return ((0, self.model.rows), (self.model.rows, self.model.columns))

    def _list_line_faults(self) -> Iterator[Fault]:
        yield from (Fault("swapped", pair) for pair in combinations(self._lines, 2))
        yield from (Fault("dead", (node,)) for node in self._lines)
        yield from (Fault("bridged", pair) for pair in combinations(self._points, 2))
        for first, length in self._sides:
            yield from (Fault("rotated", (first, by)) for by in range(1, length) if length > 2)
            yield from (Fault("shifted", (first, by)) for by in (-1, 1) if length > 1)
            if length > 2:
                yield Fault("reversed", (first,))
        if can_turn(self.model):
            yield Fault("transposed")
        yield from (Fault("offset", (by,)) for by in (-1, 1))
        if any(build_of(self.model).diodes):
            yield Fault("diodes-reversed")

    def _count(self, kind: FaultKind) -> int:
        contacts, diodes = len(self.model.contacts), sum(build_of(self.model).diodes)
        match kind:
            case "exchanged":
                return comb(contacts, 2)
            case "joined":
                return comb(diodes, 2)
            case "stuck" | "open" | "bounces":
                return contacts
            case "diode-reversed" | "diode-missing":
                return diodes
            case "turns-back" | "skips":
                return len(self.model.rotaries)
            case "multiplies":
                return len(self.model.rotaries) * len(RATES)
            case _:
                return sum(fault.kind == kind for fault in self.line_faults)


@dataclass(frozen=True, slots=True)
class State:
    """Where a search stands: a build, what it predicts, and what each reading costs it."""

    build: Build
    heard: Sequence[Heard]
    costs: Sequence[float]


def propose(space: Space, evidence: Evidence, state: State) -> Iterator[Fault]:
    """Faults that may explain readings that still cost something; each once."""
    odd = [at for at, cost in enumerate(state.costs) if cost > 0]
    if not odd:
        return
    yield from space.line_faults
    yield from _propose_contacts(space.model, evidence, state, odd)
    yield from _propose_rotaries(space.model, evidence, odd)


def _propose_contacts(
    model: BoxModel, evidence: Evidence, state: State, odd: Sequence[int]
) -> Iterator[Fault]:
    yield from _propose_stuck(model, evidence, state, odd)
    suspects = _suspects(evidence, odd)
    if len(suspects) > MOST_SUSPECTS:
        return
    for contact in suspects:
        yield Fault("open", (contact,))
        if build_of(model).diodes[contact]:
            yield Fault("diode-reversed", (contact,))
            yield Fault("diode-missing", (contact,))
    yield from _propose_bounces(evidence, suspects)
    yield from _propose_exchanges(model, evidence, state, suspects)
    yield from _propose_joints(model, evidence, state, suspects)


def _propose_stuck(
    model: BoxModel, evidence: Evidence, state: State, odd: Sequence[int]
) -> Iterator[Fault]:
    """Contacts whose inputs are heard, against prediction, in half of the odd readings or more."""
    times: dict[int, int] = {}
    for at in odd:
        for number in evidence.readings[at].seen - state.heard[at].seen:
            times[number] = times.get(number, 0) + 1
    often = {number for number, count in times.items() if 2 * count >= len(odd)}
    for contact in range(len(model.contacts)):
        if often & _told(evidence, state, contact):
            yield Fault("stuck", (contact,))


def _suspects(evidence: Evidence, odd: Sequence[int]) -> list[int]:
    """Contacts of readings that cost something; where many, of those that try one alone."""
    found = _moved(evidence, odd)
    if len(found) <= MOST_SUSPECTS:
        return found
    alone = [at for at in odd if evidence.readings[at].step.gesture != "together"]
    return _moved(evidence, alone)


def _moved(evidence: Evidence, where: Iterable[int]) -> list[int]:
    """Contacts that close in these readings."""
    closed = 0
    for at in where:
        closed |= evidence.readings[at].closed & ~evidence.readings[at].frames[0]
    return [contact for contact in range(len(evidence.by_contact)) if closed >> contact & 1]


def _propose_bounces(evidence: Evidence, suspects: Iterable[int]) -> Iterator[Fault]:
    for contact in suspects:
        if any(evidence.readings[at].bounced for at in evidence.by_contact[contact]):
            yield Fault("bounces", (contact,))


def _propose_exchanges(
    model: BoxModel, evidence: Evidence, state: State, suspects: Sequence[int]
) -> Iterator[Fault]:
    """Pairs of which one is heard where the other is predicted."""
    told = {contact: _told(evidence, state, contact) for contact in suspects}
    heard = {contact: _heard(evidence, contact) for contact in suspects}
    channels = set(model.channel_contacts)
    for a, b in combinations(suspects, 2):
        if (a, b) not in channels and (heard[a] & told[b] or heard[b] & told[a]):
            yield Fault("exchanged", (a, b))


def _told(evidence: Evidence, state: State, contact: int) -> frozenset[int]:
    """Inputs predicted where the contact is tried alone."""
    places = evidence.by_target[contact]
    return frozenset().union(*(state.heard[at].seen for at in places))


def _heard(evidence: Evidence, contact: int) -> frozenset[int]:
    """Inputs heard where the contact is tried alone."""
    places = evidence.by_target[contact]
    return frozenset().union(*(evidence.readings[at].seen for at in places))


def _propose_joints(
    model: BoxModel, evidence: Evidence, state: State, suspects: Sequence[int]
) -> Iterator[Fault]:
    """Contacts with a diode that are heard with more, each with any other on another line."""
    diodes = [contact for contact, one in enumerate(build_of(model).diodes) if one]
    more = {contact for contact in suspects if _is_heard_with_more(evidence, state, contact)}
    for a, b in combinations(diodes, 2):
        apart = state.build.sites[a][0] != state.build.sites[b][0]
        if apart and (a in more or b in more):
            yield Fault("joined", (a, b))


def _is_heard_with_more(evidence: Evidence, state: State, contact: int) -> bool:
    return any(
        evidence.readings[at].seen - state.heard[at].seen for at in evidence.by_target[contact]
    )


def _propose_rotaries(model: BoxModel, evidence: Evidence, odd: Sequence[int]) -> Iterator[Fault]:
    turned = {
        step.contact.control
        for step in (evidence.readings[at].step for at in odd)
        if step.gesture == "turn" and step.contact
    }
    for rotary, name in enumerate(model.rotaries):
        if name in turned:
            yield Fault("turns-back", (rotary,))
            yield Fault("skips", (rotary,))
            yield from (Fault("multiplies", (rotary, rate)) for rate in range(len(RATES)))
