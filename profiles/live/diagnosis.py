"""Diagnosis: from what a press test heard, the wiring errors that explain it, best first.

- `diagnose`: explanations with their confidence, and what cannot be told apart from them
- `Explanation`: one answer; faults that predict the same readings stand in it together

The search is in `search`, the faults in `faults`, their words in `words`; `question` picks the one
measurement that decides between explanations left over.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from math import exp

from profiles.facts.box_model import BoxModel
from profiles.live.evidence import Evidence, Observation, allow, gather
from profiles.live.faults import Fault
from profiles.live.forward import Heard
from profiles.live.search import Candidate, search

FaultSet = tuple[Fault, ...]


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
    evidence = gather(model, observations)
    start, candidates = search(evidence)
    groups: dict[tuple[Heard, ...], list[Candidate]] = {}
    for candidate in candidates:  # those that predict the same together, best first
        group = groups.setdefault(tuple(candidate.state.heard), [])
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


def _find_odd(evidence: Evidence, candidate: Candidate) -> tuple[str, ...]:
    """Keys of the steps that a candidate does not predict."""
    state = candidate.state
    return tuple(
        reading.step.key
        for reading, cost, heard in zip(evidence.readings, state.costs, state.heard, strict=True)
        if cost > allow(heard)
    )
