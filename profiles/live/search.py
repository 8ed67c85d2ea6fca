"""Search over faults: which sets of them, put into the forward model, give what was heard.

Faults are added one at a time. Each round takes the most promising sets so far, tries on each of
them every fault that `hypotheses` proposes, and keeps the best. A set is scored by its prior and by
the cost of what it fails to predict. Which sets are promising is judged more softly: an input that
is wrong, but in the right row or column, counts half, so that two faults of which neither
explains much alone are still found.

The rounds end when something explains every reading: more faults would explain no more. Most tries
are given up after a few readings: costs only add up.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from heapq import heappush, heappushpop, nlargest

from profiles.live.build import Build, build_of, number_box
from profiles.live.evidence import Evidence, Reading, measure
from profiles.live.faults import Fault, apply
from profiles.live.forward import Heard, Simulator
from profiles.live.hypotheses import Space, State, propose

SPREAD = 12.0
"""Sets that are e to the 12 less likely than the best are not looked at further."""

WIDTHS = (12, 4)
"""How many sets go into the second and the third round."""

REACH = 200.0
"""Once a set explains everything, those that promise less than its base by so much are left."""

SAMPLE = 16
"""Readings after which a try that goes badly is given up by extrapolation."""

MILDEST = 2.0
"""No fault costs less than this in prior: a bound for giving up."""

Places = Mapping[int, tuple[int, int]]
"""Row and column of each input number."""


@dataclass(frozen=True)
class Candidate:
    """A set of faults, what it predicts, and how well that fits, in nats; the best score is 0."""

    faults: tuple[Fault, ...]
    state: State
    prior: float
    soft_costs: Sequence[float]

    @property
    def cost(self) -> float:
        """Cost of all that it fails to predict."""
        return sum(self.state.costs)

    @property
    def score(self) -> float:
        """Log of prior times likelihood."""
        return self.prior - self.cost

    @property
    def promise(self) -> float:
        """Like the score, with half the cost of inputs that are wrong in one way only."""
        return self.prior - sum(self.soft_costs)


def search(evidence: Evidence) -> tuple[Candidate, list[Candidate]]:
    """The box as described, and the sets of faults that are worth telling, best first."""
    return _Search(evidence).run()


class _Search:
    """The sets found so far, and the bounds for giving up."""

    def __init__(self, evidence: Evidence) -> None:
        self.evidence = evidence
        self.model = evidence.model
        self.space = Space(evidence.model)
        self.found: dict[frozenset[Fault], Candidate] = {}
        self.best = float("-inf")
        self._places: dict[tuple[bool, int], Places] = {}
        self._width = 0
        self._front: list[float] = []

    def run(self) -> tuple[Candidate, list[Candidate]]:
        start = self._start()
        front = [start]
        for width in (*WIDTHS, 0):
            self._width, self._front = width, []
            fresh, whole = self._expand_all(front)
            front = nlargest(width, fresh, key=lambda one: one.promise)
            if whole:
                break
        kept = [one for one in self.found.values() if one.score > self.best - SPREAD]
        return start, sorted(kept, key=lambda one: (-one.score, len(one.faults), one.faults))

    def _expand_all(self, front: Sequence[Candidate]) -> tuple[list[Candidate], bool]:
        """All sets with one fault more, and whether any of them explains every reading."""
        fresh: list[Candidate] = []
        needed = float("-inf")
        for base in front:
            if base.promise < needed:
                continue
            found = self._expand(base)
            fresh += found
            if any(one.cost == 0 for one in found):
                needed = max(needed, base.promise - REACH)
        return fresh, needed > float("-inf")

    def _start(self) -> Candidate:
        build = build_of(self.model)
        size = len(self.evidence.readings)
        empty = State(build, [Heard(frozenset())] * size, [0.0] * size)
        base = Candidate((), empty, 0.0, [0.0] * size)
        trial = _Trial(self, base, build, range(size), 0.0)
        trial.run()
        return self._keep(trial.candidate(()))

    def _keep(self, candidate: Candidate) -> Candidate:
        self.found.setdefault(frozenset(candidate.faults), candidate)
        self.best = max(self.best, candidate.score)
        if self._width and len(self._front) < self._width:
            heappush(self._front, candidate.promise)
        elif self._width:
            heappushpop(self._front, candidate.promise)
        return candidate

    def is_hopeless(self, score: float, promise: float) -> bool:
        """Whether neither bound can be met any more."""
        if score > self.best - SPREAD:
            return False
        if not self._width:
            return True
        return len(self._front) == self._width and promise <= self._front[0]

    def _expand(self, base: Candidate) -> list[Candidate]:
        """Every set with one fault more that was not given up."""
        if base.cost == 0 or base.prior - MILDEST < self.best - SPREAD:
            return []
        order = _order(base.state.costs)
        found = []
        for fault in propose(self.space, self.evidence, base.state):
            if frozenset((*base.faults, fault)) in self.found or fault in base.faults:
                continue
            candidate = self._try(base, fault, order)
            if candidate is not None:
                found.append(self._keep(candidate))
        return found

    def guess(self, score: float, promise: float, soft: float, part: float) -> bool:
        """Whether the front is out of reach if the rest goes as this part of the readings did."""
        if score > self.best - SPREAD or len(self._front) < self._width or not self._width:
            return False
        return promise - soft * (1 / part - 1) <= self._front[0]

    def _try(self, base: Candidate, fault: Fault, order: Sequence[int]) -> Candidate | None:
        prior = base.prior + self.space.prior_of(fault)
        build = apply(self.model, base.state.build, fault)
        touched = self._touched(base.state.build, fault)
        where = order if touched is None else [at for at in order if at in touched]
        trial = _Trial(self, base, build, where, prior)
        if not trial.run():
            return None
        return trial.candidate((*base.faults, fault))

    def _touched(self, build: Build, fault: Fault) -> set[int] | None:
        """Readings that a fault can change; None for all."""
        contacts: tuple[int, ...] = fault.places
        if fault.kind in ("turns-back", "skips", "multiplies"):
            contacts = self.model.channel_contacts[fault.places[0]]
        elif fault.kind not in _LOCAL or build.joints:
            return None
        if build.stuck.intersection(contacts) or any(build.diodes[one] < 0 for one in contacts):
            return None
        return {at for contact in contacts for at in self.evidence.by_contact[contact]}

    def places_of(self, build: Build) -> Places:
        """Where each input sits in the matrix, by the numbering of a build."""
        key = (build.transposed, build.offset)
        if key not in self._places:
            places = number_box(self.model, build.transposed).places
            self._places[key] = {number + build.offset: at for number, at in places.items()}
        return self._places[key]


def _order(costs: Sequence[float]) -> list[int]:
    """Readings that cost something first, each half in a scattered but fixed order."""
    return sorted(range(len(costs)), key=lambda at: (costs[at] == 0, at * 37 % 101, at))


_LOCAL = ("exchanged", "joined", "open", "diode-reversed", "diode-missing", "bounces")
"""Faults of contacts that show only where the contact is closed."""


class _Trial:
    """One build held against the readings that it may change."""

    def __init__(
        self, search: _Search, base: Candidate, build: Build, where: Sequence[int], prior: float
    ) -> None:
        self.search = search
        self.where = where
        self.build = build
        self.prior = prior
        self.odd = sum(base.state.costs[at] > 0 for at in where)
        self.heard = list(base.state.heard)
        self.costs = list(base.state.costs)
        self.soft_costs = list(base.soft_costs)
        for at in where:
            self.costs[at] = self.soft_costs[at] = 0.0

    def run(self) -> bool:
        """Fill in predictions and costs; False when given up."""
        evidence, holes = self.search.evidence, number_box(self.search.model).holes
        simulator = Simulator(evidence.model, self.build)
        places = self.search.places_of(self.build)
        score, promise = self.prior - sum(self.costs), self.prior - sum(self.soft_costs)
        start = promise
        for done, at in enumerate(self.where):
            if done == SAMPLE and self.search.guess(
                score, promise, start - promise, SAMPLE / max(SAMPLE, self.odd)
            ):
                return False
            reading = evidence.readings[at]
            told = self.heard[at] = simulator.hear(reading.step, reading.frames)
            cost = self.costs[at] = measure(reading, told, holes)
            if cost > 0:
                soft = self.soft_costs[at] = _soften(cost, reading, told, places)
                score -= cost
                promise -= soft
                if self.search.is_hopeless(score, promise):
                    return False
        return True

    def candidate(self, faults: tuple[Fault, ...]) -> Candidate:
        """The candidate these predictions make."""
        state = State(self.build, self.heard, self.costs)
        return Candidate(faults, state, self.prior, self.soft_costs)


def _soften(cost: float, reading: Reading, told: Heard, places: Places) -> float:
    """The cost, half of it where each extra input is in one row or column with one missed."""
    if reading.step.gesture == "turn":
        return cost
    missed = [places[n] for n in told.seen - reading.seen if n in places]
    extra = [places[n] for n in reading.seen - told.seen if n in places]
    if not missed or not extra:
        return cost
    rows, columns = {row for row, _ in missed}, {column for _, column in missed}
    near = sum(row in rows or column in columns for row, column in extra)
    return cost * (1 - 0.5 * near / len(extra))
