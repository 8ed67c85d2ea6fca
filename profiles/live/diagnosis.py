"""Diagnosis: from what a press test heard, the wiring errors that explain it, best first.

- `diagnose`: explanations with their confidence, and what cannot be told apart from them
- `find_unexplained`: the steps that these faults alone would leave over
- `Explanation`: one answer; faults that predict the same readings stand in it together

Where three steps or more stay odd, "as described" never stands first: that something unnamed is
wrong does. By that, what the best explanations leave over lowers their confidence too.

The search is in `search`, the faults in `faults`, their words in `words`; `question` picks the one
measurement that decides between explanations left over.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache
from math import exp, log

from profiles.facts.box_model import BoxModel
from profiles.live.build import number_box
from profiles.live.evidence import MISCOUNT, Evidence, Observation, allow, cost_of, gather
from profiles.live.fault_types import FAULT_TYPES
from profiles.live.faults import Fault, apply_all
from profiles.live.forward import Heard, Simulator
from profiles.live.realign import realign
from profiles.live.search import SPREAD, WORK, Candidate, search

FaultSet = tuple[Fault, ...]

UNNAMED = Fault("unnamed")

ODD = 4.0
"""Cost, in nats, of a step that an unnamed fault made odd: it predicts nothing better."""

RELIEF = 5.5
"""The most by which an unnamed fault eases one step, so that no single step makes an alarm."""

TOO_ODD = 3
"""So many steps left over are no accident, whatever else is thought of hands."""

LOST_STEP = 6.0
"""Cost, in nats, of a hand that lost step: about one test in 400."""

WORTH_ASKING = 8
"""How many of the best sets are tried together with an unnamed fault."""


@dataclass(frozen=True, slots=True)
class Explanation:
    """Faults that together explain a recording; no faults: the box is as described.

    `confidence` is the share of belief, 0 to 1, among all that was looked at; `equivalents` are
    other sets of faults that predict every reading of this recording just so; `unexplained` are the
    keys of the steps that it does not predict.
    """

    faults: FaultSet
    confidence: float
    equivalents: tuple[FaultSet, ...] = ()
    unexplained: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """What a recording tells. `odd` are the keys of the steps that went other than described."""

    explanations: tuple[Explanation, ...]
    readings: int
    odd: tuple[str, ...]

    @property
    def is_sound(self) -> bool:
        """Whether the best explanation is that nothing is wrong."""
        return not self.explanations[0].faults


def diagnose(model: BoxModel, observations: Iterable[Observation]) -> Diagnosis:
    """Explain the observations of a recording, whole or not; the first explanation is best."""
    return explain(model, tuple(observations))


@lru_cache(maxsize=2)
def explain(model: BoxModel, heard: tuple[Observation, ...]) -> Diagnosis:
    """The diagnosis, kept: who ends a test asks once more for what led to its last question."""
    evidence = gather(model, heard)
    start, candidates = search(evidence)
    is_open = len(_find_odd(evidence, candidates[0])) >= TOO_ODD
    laid = realign(model, heard) if is_open else None
    if laid is not None:  # whether a hand that lost step says more
        other = gather(model, laid)
        begin, found = search(other, WORK / 2)
        if found[0].score - LOST_STEP > candidates[0].score:
            evidence, start, candidates = other, begin, found
    candidates += _add_unnamed(evidence, start, candidates)
    candidates.sort(key=lambda each: (-each.score, len(each.faults), each.faults))
    groups: dict[tuple[object, ...], list[Candidate]] = {}
    for candidate in candidates:  # those that predict the same together, best first
        key = (UNNAMED in candidate.faults, *candidate.state.heard)
        group = groups.setdefault(key, [])
        if not any(set(other.faults) < set(candidate.faults) for other in group):
            group.append(candidate)
    best = candidates[0].score
    weights = [sum(exp(other.score - best) for other in group) for group in groups.values()]
    explanations = [
        Explanation(
            group[0].faults,
            weight / sum(weights),
            tuple(other.faults for other in group[1:]),
            _find_odd(evidence, group[0]),
        )
        for group, weight in zip(groups.values(), weights, strict=True)
    ]
    explanations.sort(key=lambda other: -other.confidence)
    return Diagnosis(tuple(explanations), len(evidence.readings), _find_odd(evidence, start))


def _add_unnamed(
    evidence: Evidence, start: Candidate, candidates: list[Candidate]
) -> list[Candidate]:
    """The best sets, each with an unnamed fault on top that eases what it leaves over."""
    prior = log(FAULT_TYPES["unnamed"].weight)
    found = []
    for one in {each.faults: each for each in (start, *candidates[:WORTH_ASKING])}.values():
        if one.cost == 0:
            continue
        costs = [
            cost if reading.doubted or cost <= ODD else max(ODD, cost - RELIEF)
            for reading, cost in zip(evidence.readings, one.state.costs, strict=True)
        ]
        eased = replace(one.state, costs=costs)
        twin = replace(one, faults=(*one.faults, UNNAMED), state=eased, prior=one.prior + prior)
        is_odd = len(_find_odd(evidence, one)) >= TOO_ODD
        if is_odd and twin.score <= one.score:
            twin = replace(twin, prior=twin.prior + one.score - twin.score + 1.0)
        if twin.score > max(candidates[0].score, start.score) - SPREAD or is_odd:
            found.append(twin)
    return found


def find_unexplained(evidence: Evidence, faults: FaultSet) -> tuple[str, ...]:
    """Keys of the steps that a box with these faults does not predict."""
    model = evidence.model
    simulator, holes = Simulator(model, apply_all(model, faults)), number_box(model).holes
    return _list_odd(
        evidence, [cost_of(reading, simulator, holes) for reading in evidence.readings]
    )


def _find_odd(evidence: Evidence, candidate: Candidate) -> tuple[str, ...]:
    """Keys of the steps that a candidate does not predict."""
    state = candidate.state
    return _list_odd(evidence, zip(state.heard, state.costs, strict=True))


def _list_odd(evidence: Evidence, told: Iterable[tuple[Heard, float]]) -> tuple[str, ...]:
    """Keys of the steps that were not as told, however often done; each once.

    A detent miscounted by one is not odd, nor is a step that was done again and then was right.
    """
    last: dict[str, bool] = {}
    for reading, (heard, cost) in zip(evidence.readings, told, strict=True):
        last[reading.step.key] = cost > max(allow(heard), MISCOUNT)
    return tuple(key for key, is_odd in last.items() if is_odd)
