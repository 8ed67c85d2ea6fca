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
from profiles.live.build import Build, build_of, can_turn
from profiles.live.evidence import Evidence, Reading
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
        model = self.model
        lines = range(model.rows + model.columns)
        wires = range(model.ground + 1, model.ground + 1 + len(model.single))
        found = [Fault("swapped", pair) for pair in combinations(lines, 2)]
        found += [Fault("dead", (node,)) for node in lines]
        found += [Fault("bridged", pair) for pair in combinations([*lines, *wires], 2)]
        for first, length in ((0, model.rows), (model.rows, model.columns)):
            found += [Fault("rotated", (first, by)) for by in range(1, length) if length > 2]
            found += [Fault("shifted", (first, by)) for by in (-1, 1) if length > 1]
            found += [Fault("reversed", (first,))] if length > 2 else []
        found += [Fault("transposed")] if can_turn(model) else []
        found += [Fault("offset", (by,)) for by in (-1, 1)]
        found += [Fault("diodes-reversed")] if any(build_of(model).diodes) else []
        return tuple(found)

    @cached_property
    def priors(self) -> dict[FaultKind, float]:
        """Log probability of one fault of each kind."""
        contacts, diodes = len(self.model.contacts), sum(build_of(self.model).diodes)
        rotaries = len(self.model.rotaries)
        counts: Counter[str] = Counter(fault.kind for fault in self.line_faults)
        counts |= Counter(exchanged=comb(contacts, 2), joined=comb(diodes, 2))
        counts |= Counter(dict.fromkeys(("stuck", "open", "bounces"), contacts))
        counts |= Counter(dict.fromkeys(("diode-reversed", "diode-missing"), diodes))
        counts |= Counter(dict.fromkeys(("turns-back", "skips"), rotaries))
        counts |= Counter(multiplies=rotaries * len(RATES))
        return {kind: log(weight / max(1, counts[kind])) for kind, weight in WEIGHTS.items()}


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
    readings, model = evidence.readings, space.model
    told = [_join_seen(state.heard, places) for places in evidence.by_target]
    yield from _propose_stuck(evidence, state, odd, told)
    alone = [at for at in odd if readings[at].step.gesture != "together"]
    for where in (odd, alone):  # where many contacts are amiss, those that are tried alone
        closed = 0
        for at in where:
            closed |= readings[at].closed & ~readings[at].frames[0]
        suspects = [contact for contact in range(len(told)) if closed >> contact & 1]
        if len(suspects) <= MOST_SUSPECTS:
            yield from _propose_contacts(model, evidence, suspects)
            yield from _propose_pairs(model, evidence, state, suspects, told)
            break
    steps = [readings[at].step for at in odd]
    turned = {step.contact.control for step in steps if step.gesture == "turn" and step.contact}
    for rotary in (at for at, name in enumerate(model.rotaries) if name in turned):
        yield Fault("turns-back", (rotary,))
        yield Fault("skips", (rotary,))
        yield from (Fault("multiplies", (rotary, rate)) for rate in range(len(RATES)))


def _join_seen(heard: Sequence[Heard | Reading], places: Iterable[int]) -> frozenset[int]:
    return frozenset().union(*(heard[at].seen for at in places))


def _propose_stuck(
    evidence: Evidence, state: State, odd: Sequence[int], told: Sequence[frozenset[int]]
) -> Iterator[Fault]:
    """Contacts whose inputs are heard, against prediction, in half of the odd readings or more."""
    times = Counter(
        number for at in odd for number in evidence.readings[at].seen - state.heard[at].seen
    )
    often = {number for number, count in times.items() if 2 * count >= len(odd)}
    return (Fault("stuck", (contact,)) for contact, inputs in enumerate(told) if often & inputs)


def _propose_contacts(
    model: BoxModel, evidence: Evidence, suspects: Sequence[int]
) -> Iterator[Fault]:
    diodes = build_of(model).diodes
    for contact in suspects:
        yield Fault("open", (contact,))
        if diodes[contact]:
            yield Fault("diode-reversed", (contact,))
            yield Fault("diode-missing", (contact,))
    for contact in suspects:
        if any(evidence.readings[at].bounced for at in evidence.by_contact[contact]):
            yield Fault("bounces", (contact,))


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
    for a, b in combinations(suspects, 2):
        if (a, b) not in channels and (heard[a] & told[b] or heard[b] & told[a]):
            yield Fault("exchanged", (a, b))
    more = {
        contact
        for contact in suspects
        if any(readings[at].seen - state.heard[at].seen for at in targets[contact])
    }
    with_diode = [contact for contact, one in enumerate(build_of(model).diodes) if one]
    for a, b in combinations(with_diode, 2):
        apart = state.build.sites[a][0] != state.build.sites[b][0]
        if apart and (a in more or b in more):
            yield Fault("joined", (a, b))
