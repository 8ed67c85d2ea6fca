"""Search over faults: which sets of them, put into the forward model, give what was heard.

Faults are added one at a time. Each round takes the most promising sets so far, tries on each of
them every fault that `hypotheses` proposes, and keeps the best. A set is scored by its prior and by
the cost of what it fails to predict. Which sets are promising is judged more softly: an input that
is wrong, but in the right row or column, counts half, so that two faults of which neither
explains much alone are still found.

The rounds end when something explains every reading: more faults would explain no more. Most tries
are given up after a few readings: costs only add up. The work is bounded: the most promising sets
go first, and what nothing explains is told as it is by then.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, cached_property, partial
from heapq import heappush, heappushpop, nlargest

from profiles.live.build import Build, build_of, number_box
from profiles.live.chains import chains_of
from profiles.live.evidence import INSTEAD, Evidence, Reading, cost_of
from profiles.live.faults import Fault, apply
from profiles.live.forward import Heard, Simulator
from profiles.live.hypotheses import Space, State, find_open, propose
from profiles.wiring.matrix import NO_NODE

SPREAD = 12.0
"""Sets that are e to the 12 less likely than the best are not looked at further."""

WIDTHS = (12, 4)
"""How many sets go into the second and the third round."""

REACH = 100.0
"""Once a set explains all but slips of a hand, those that promise less than its base by so much are
left."""

SLIPS = 2
"""So many readings left open may be slips."""

WORK = 430
"""How often each reading is predicted at most, on average. Two faults and two slips of 64 contacts
take 420; a recording that is torn or shuffled, which nothing explains, would take 6,500."""

LEAST_WORK = 45_000
"""So many predictions are made in any case, under half a second of them."""

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


def search(evidence: Evidence, work: float = WORK) -> tuple[Candidate, list[Candidate]]:
    """The box as described, and the sets of faults that are worth telling, best first."""
    return _Search(evidence, work).run()


class _Search:
    """The sets found so far, and the bounds for giving up."""

    def __init__(self, evidence: Evidence, work: float) -> None:
        self.evidence = evidence
        self.model = evidence.model
        self.space = Space(evidence.model)
        self.found: dict[frozenset[Fault], Candidate] = {}
        self.best = float("-inf")
        self._places: dict[tuple[bool, int], Places] = {}
        self._width = 0
        self._front: list[float] = []
        self._done = 0
        self._most = max(work * len(evidence.readings), LEAST_WORK * work / WORK)
        told = enumerate(evidence.readings)
        self._unsure = frozenset(at for at, reading in told if reading.otherwise is not None)

    def run(self) -> tuple[Candidate, list[Candidate]]:
        """The box as described, and the sets of faults that are worth telling, best first."""
        size = len(self.evidence.readings)
        empty = State(build_of(self.model), [Heard(frozenset())] * size, [0.0] * size)
        nothing = Candidate((), empty, 0.0, [0.0] * size)
        start = self._try(nothing, (), empty.build, range(size), 0.0) or nothing
        front, is_done = [start], False
        for width in (*WIDTHS, 0):
            self._width, self._front = width, []
            fresh: list[Candidate] = []
            needed = float("-inf")
            for base in front:
                if base.promise >= needed and not self._is_spent:
                    found = self._expand(base)
                    fresh += found
                    left = [len(find_open(self.evidence, each.state)) for each in found]
                    if min(left, default=SLIPS + 1) <= SLIPS:
                        needed = max(needed, base.promise - REACH)
                    is_done = is_done or 0 in left
            front = nlargest(width, fresh, key=lambda candidate: candidate.promise)
            if is_done or self._is_spent:
                break
        kept = [each for each in self.found.values() if each.score > self.best - SPREAD]
        return start, sorted(kept, key=lambda each: (-each.score, len(each.faults), each.faults))

    @property
    def _is_spent(self) -> bool:
        """Whether no more is tried than each fault by itself: what was found by then is told."""
        return self._width != WIDTHS[0] and self._done > self._most

    def _expand(self, base: Candidate) -> list[Candidate]:
        """Every set with one fault more that was not given up."""
        costs, build = base.state.costs, base.state.build
        if base.prior - MILDEST < self.best - SPREAD:
            return []
        # readings that cost something first, each half in a scattered but fixed order
        order = sorted(range(len(costs)), key=lambda at: (costs[at] == 0, at * 37 % 101, at))
        found = []
        for fault in propose(self.space, self.evidence, base.state):
            if self._is_spent:
                break
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

    def _touched(self, build: Build, fault: Fault) -> frozenset[int] | None:
        """Readings that a fault can change; None for all."""
        contacts: tuple[int, ...] = fault.places
        if (nodes := self._find_nodes(build, fault)) is not None:
            if any(nodes.intersection(bridge) for bridge in build.bridges):
                return None
            contacts = tuple(at for at, site in enumerate(build.sites) if nodes.intersection(site))
        elif fault.subject == "rotary":
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
        flipped = build.inverted | build.latching
        if build.joints or build.stuck.intersection(contacts):
            return None
        if any(flipped >> contact & 1 for contact in contacts):
            return None
        if nodes is None and any(build.diodes[contact] < 0 for contact in contacts):
            return None
        return self._unsure.union(*(self.evidence.by_contact[contact] for contact in contacts))

    def _find_nodes(self, build: Build, fault: Fault) -> set[int] | None:
        """The lines without which a fault changes nothing: while no contact on them is closed they
        lead nowhere, before it and after; None where it is about more than lines."""
        model, places = self.model, fault.places
        if fault.kind == "swapped":
            return {build.pins[place] for place in places} - {NO_NODE}
        if fault.kind in ("dead", "supplied"):
            return set(places)
        if fault.kind not in ("bridged", "grounded") or max(places) >= model.ground:
            return None
        sides = {
            (place < model.rows) == (model.circuit.matrix.driven == "rows") for place in places
        }
        is_unheard = sides == {True} or (len(sides) == 1 and fault.kind == "bridged")
        return set(places) if is_unheard else None

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
        if len(where) == len(costs):
            least = INSTEAD * self._count_extra(simulator, holes)
            if self._is_hopeless(score - least, promise - least / 2):
                return None
        start = promise
        for done, at in enumerate(where):
            if done == SAMPLE:  # if the rest goes as this part of the readings did
                guess = promise - (start - promise) * (max(SAMPLE, odd) / SAMPLE - 1)
                if self._is_hopeless(score, guess):
                    return None
            reading = self.evidence.readings[at]
            told, cost = cost_of(reading, simulator, holes)
            self._done += 1
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

    def _count_extra(self, simulator: Simulator, holes: frozenset[int]) -> int:
        """In how many presses at least something is heard all the time that nobody heard."""
        if simulator.build.latching:
            return 0
        count = 0
        for rest, silent in self._silent.items():
            down = simulator.name(simulator.read(rest)) - holes
            count += max((silent(number) for number in down), default=1) - 1
        return max(0, count)

    @cached_property
    def _silent(self) -> Mapping[int, Callable[[int], int]]:
        """By what is closed before a press, the number of presses in which an input is not heard,
        those left out that may have gone otherwise."""
        seen: dict[int, list[frozenset[int]]] = {}
        for reading in self.evidence.readings:
            is_plain = not reading.doubted and reading.otherwise is None
            if reading.step.gesture in ("press", "together") and is_plain:
                seen.setdefault(reading.frames[0], []).append(reading.seen)

        def count(rest: int, number: int) -> int:
            return sum(number not in one for one in seen[rest])

        return {rest: cache(partial(count, rest)) for rest in seen}

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
