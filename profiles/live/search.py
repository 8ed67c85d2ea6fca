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
from profiles.live.chains import chains_of
from profiles.live.evidence import Evidence, Reading, cost_of
from profiles.live.faults import Fault, apply
from profiles.live.forward import Heard, Simulator
from profiles.live.hypotheses import Space, State, find_open, propose

SPREAD = 12.0
"""Sets that are e to the 12 less likely than the best are not looked at further."""

WIDTHS = (12, 4)
"""How many sets go into the second and the third round."""

REACH = 100.0
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
        """The box as described, and the sets of faults that are worth telling, best first."""
        size = len(self.evidence.readings)
        empty = State(build_of(self.model), [Heard(frozenset())] * size, [0.0] * size)
        nothing = Candidate((), empty, 0.0, [0.0] * size)
        start = self._try(nothing, (), empty.build, range(size), 0.0) or nothing
        front = [start]
        for width in (*WIDTHS, 0):
            self._width, self._front = width, []
            fresh: list[Candidate] = []
            needed = float("-inf")
            for base in front:
                if base.promise >= needed:
                    found = self._expand(base)
                    fresh += found
                    if any(not find_open(self.evidence, each.state) for each in found):
                        needed = max(needed, base.promise - REACH)
            front = nlargest(width, fresh, key=lambda candidate: candidate.promise)
            if needed > float("-inf"):
                break
        kept = [each for each in self.found.values() if each.score > self.best - SPREAD]
        return start, sorted(kept, key=lambda each: (-each.score, len(each.faults), each.faults))

    def _expand(self, base: Candidate) -> list[Candidate]:
        """Every set with one fault more that was not given up."""
        costs, build = base.state.costs, base.state.build
        if base.prior - MILDEST < self.best - SPREAD:
            return []
        # readings that cost something first, each half in a scattered but fixed order
        order = sorted(range(len(costs)), key=lambda at: (costs[at] == 0, at * 37 % 101, at))
        found = []
        for fault in propose(self.space, self.evidence, base.state):
            if frozenset((*base.faults, fault)) in self.found or fault in base.faults:
                continue
            touched = self._touched(build, fault)
            where = order if touched is None else [at for at in order if at in touched]
            prior = base.prior + self.space.priors[fault.kind]
            changed = apply(self.model, build, fault)
            candidate = self._try(base, (*base.faults, fault), changed, where, prior)
            if candidate is not None:
                found.append(candidate)
        return found

    def _touched(self, build: Build, fault: Fault) -> set[int] | None:
        """Readings that a fault can change; None for all."""
        contacts: tuple[int, ...] = fault.places
        if fault.subject == "rotary":
            rotaries = fault.places[:1] if fault.kind == "multiplies" else fault.places
            channels = self.model.channel_contacts
            contacts = tuple(contact for one in rotaries for contact in channels[one])
        elif fault.subject == "leg":
            contacts = fault.places[:1]
        elif fault.subject == "chain":
            stops = chains_of(self.model)[fault.places[0]].stops[fault.places[1] :]
            contacts = tuple(contact for stop in stops for contact in stop.contacts)
        elif fault.kind not in _LOCAL:
            return None
        if (
            build.joints
            or build.stuck.intersection(contacts)
            or any(
                build.diodes[contact] < 0 or (build.inverted | build.latching) >> contact & 1
                for contact in contacts
            )
        ):
            return None
        return {at for contact in contacts for at in self.evidence.by_contact[contact]}

    def _try(
        self,
        base: Candidate,
        faults: tuple[Fault, ...],
        build: Build,
        where: Sequence[int],
        prior: float,
    ) -> Candidate | None:
        """A build held against the readings that it may change; None when given up."""
        heard, costs = list(base.state.heard), list(base.state.costs)
        soft_costs = list(base.soft_costs)
        odd = sum(costs[at] > 0 for at in where)
        for at in where:
            costs[at] = soft_costs[at] = 0.0
        key, holes = (build.transposed, build.offset), number_box(self.model).holes
        if key not in self._places:
            places = number_box(self.model, build.transposed).places
            self._places[key] = {number + build.offset: at for number, at in places.items()}
        simulator = Simulator(self.model, build)
        score, promise = prior - sum(costs), prior - sum(soft_costs)
        start = promise
        for done, at in enumerate(where):
            if done == SAMPLE:  # if the rest goes as this part of the readings did
                guess = promise - (start - promise) * (max(SAMPLE, odd) / SAMPLE - 1)
                if self._is_hopeless(score, guess):
                    return None
            reading = self.evidence.readings[at]
            told, cost = cost_of(reading, simulator, holes)
            heard[at], costs[at] = told, cost
            if cost > 0:
                soft_costs[at] = _soften(cost, reading, told, self._places[key])
                score -= cost
                promise -= soft_costs[at]
                if self._is_hopeless(score, promise):
                    return None
        candidate = Candidate(faults, State(build, heard, costs), prior, soft_costs)
        self.found.setdefault(frozenset(faults), candidate)
        self.best = max(self.best, candidate.score)
        if self._width and len(self._front) < self._width:
            heappush(self._front, candidate.promise)
        elif self._width:
            heappushpop(self._front, candidate.promise)
        return candidate

    def _is_hopeless(self, score: float, promise: float) -> bool:
        """Whether neither bound can be met any more."""
        if score > self.best - SPREAD:
            return False
        is_full = len(self._front) == self._width
        return not self._width or (is_full and promise <= self._front[0])


_LOCAL = (
    "exchanged",
    "joined",
    "open",
    "diode-reversed",
    "diode-missing",
    "bounces",
    "miswired",
    "springs",
)
"""Faults of contacts that show only where the contact is closed."""


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
