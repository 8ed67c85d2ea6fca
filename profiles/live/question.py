"""The one measurement that decides best between explanations left over.

`best_question` tries every step of a full test, further combinations of contacts that the
explanations concern, and a meter between pins and wires. For each it asks the forward model what
every explanation predicts; the best one tells most about which is true (Shannon's information).
Pressing is preferred to a meter, and fewer fingers to more, where they tell the same.
"""

from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import combinations
from math import log2

from profiles.facts.box_model import BoxModel
from profiles.live.build import build_of
from profiles.live.diagnosis import Diagnosis, FaultSet
from profiles.live.faults import Fault, apply_all
from profiles.live.forward import Heard, Simulator
from profiles.live.plan import Step, plan_test
from profiles.live.words import ask_step, name_contact, name_line, name_pin
from profiles.model import Contact
from profiles.text.prose import join_words
from profiles.wiring.matrix import NO_NODE

LEAST_BELIEF = 0.005
"""Explanations believed less than this are not asked about."""

MOST_SETS = 24
"""How many sets of faults are told apart at most."""

LEAST_GAIN = 0.02
"""Bits that a question must tell to be worth asking."""

NEIGHBOURS = 8
"""How many contacts further combinations are made of."""


@dataclass(frozen=True, slots=True)
class Answered:
    """One outcome of a measurement, and the faults that it would leave."""

    words: str
    faults: tuple[FaultSet, ...]


@dataclass(frozen=True, slots=True)
class Question:
    """A measurement: a step to do on the box, or a meter between two points of the unplugged box.

    `gain` is what it is expected to tell, in bits.
    """

    words: str
    outcomes: tuple[Answered, ...]
    gain: float
    step: Step | None = None


@dataclass(frozen=True, slots=True)
class _Option:
    words: str
    effort: float
    predict: Callable[[Simulator], Hashable]
    tell: Callable[[Hashable], str]
    step: Step | None = field(default=None)


def best_question(model: BoxModel, diagnosis: Diagnosis) -> Question | None:
    """The measurement that decides best; None where none decides, or nothing is left to."""
    sets = _list_sets(diagnosis)
    if len(sets) < 2:
        return None
    simulators = [Simulator(model, apply_all(model, faults)) for faults, _ in sets]
    best: Question | None = None
    score = LEAST_GAIN
    for option in _options(model, [faults for faults, _ in sets]):
        answers = [option.predict(simulator) for simulator in simulators]
        gain = _gain(answers, [belief for _, belief in sets])
        if gain - option.effort > score:
            score = gain - option.effort
            best = _question(option, answers, [faults for faults, _ in sets], gain)
    return best


def _list_sets(diagnosis: Diagnosis) -> list[tuple[FaultSet, float]]:
    """Sets of faults with their beliefs; those that an explanation cannot tell apart share."""
    found = []
    for one in diagnosis.explanations:
        if one.confidence >= LEAST_BELIEF:
            members = (one.faults, *one.equivalents)
            found += [(faults, one.confidence / len(members)) for faults in members]
    return found[:MOST_SETS]


def _gain(answers: Sequence[Hashable], beliefs: Sequence[float]) -> float:
    """Entropy of the outcomes, bits."""
    shares: dict[Hashable, float] = {}
    for answer, belief in zip(answers, beliefs, strict=True):
        shares[answer] = shares.get(answer, 0.0) + belief
    whole = sum(shares.values())
    return -sum(share / whole * log2(share / whole) for share in shares.values() if share)


def _question(
    option: _Option, answers: Sequence[Hashable], sets: Sequence[FaultSet], gain: float
) -> Question:
    by_answer: dict[Hashable, list[FaultSet]] = {}
    for answer, faults in zip(answers, sets, strict=True):
        by_answer.setdefault(answer, []).append(faults)
    outcomes = tuple(
        Answered(option.tell(answer), tuple(left)) for answer, left in by_answer.items()
    )
    return Question(option.words, outcomes, gain, option.step)


def _options(model: BoxModel, sets: Iterable[FaultSet]) -> Iterator[_Option]:
    faults = sorted({fault for one in sets for fault in one})
    for step in plan_test(model.device, "full"):
        yield _step_option(model, step)
    near = _near_contacts(model, faults)
    for size in (2, 3):
        for members in combinations(near, size):
            yield _step_option(model, _hold(model, members))
    yield from _probes(model, faults, near)


def _step_option(model: BoxModel, step: Step) -> _Option:
    frames = tuple(model.mask(frame) for frame in step.frames)

    def predict(simulator: Simulator) -> Heard:
        return simulator.hear(step, frames)

    effort = 0.01 * len(step.held)
    return _Option(ask_step(model, step), effort, predict, _describe_heard, step)


def _describe_heard(answer: Hashable) -> str:
    if not isinstance(answer, Heard) or not answer.seen:
        return "nothing is heard"
    numbers = join_words([str(number) for number in sorted(answer.seen)])
    extra = ", bouncing" if answer.chatter else ""
    return f"{'input' if len(answer.seen) == 1 else 'inputs'} {numbers}{extra}"


def _near_contacts(model: BoxModel, faults: Iterable[Fault]) -> list[Contact]:
    """Contacts that can be held and that sit on, or beside, what the faults concern."""
    places = model.circuit.places
    lines: set[int] = set()
    own: list[Contact] = []
    for fault in faults:
        for contact in _contacts_of(fault):
            own.append(model.contacts[contact])
            lines.update(build_of(model).sites[contact])
        if fault.kind in ("swapped", "bridged", "dead"):
            lines.update(fault.places)
    beside = [
        terminal
        for place, terminal in enumerate(model.contacts)
        if terminal in places and lines.intersection(build_of(model).sites[place])
    ]
    found = [one for one in dict.fromkeys(own + beside) if one.contact in ("press", "on")]
    return found[:NEIGHBOURS]


def _contacts_of(fault: Fault) -> tuple[int, ...]:
    contacts = ("exchanged", "joined", "stuck", "open", "diode-reversed", "diode-missing")
    return fault.places if fault.kind in contacts else ()


def _hold(model: BoxModel, members: Sequence[Contact]) -> Step:
    """Hold all but the last of these, and press the last."""
    rest = plan_test(model.device)[0].frames[0]
    off = {Contact(one.control, "off") for one in members if one.contact == "on"}
    closed = rest.union(members) - off
    return Step("together", members[-1], (rest, closed, rest), held=tuple(members[:-1]))


def _probes(model: BoxModel, faults: Sequence[Fault], near: Iterable[Contact]) -> Iterator[_Option]:
    """A meter between two wires, between a pin and a wire, and over a contact that is pressed."""
    nodes = _nodes_of(model, faults)
    for a, b in combinations(nodes, 2):
        yield _wire_probe(model, a, b)
    for pin in nodes:
        for wire in nodes:
            yield _pin_probe(model, pin, wire)
    for terminal in near:
        yield _contact_probe(model, model.index[terminal])
        yield _lifted_probe(model, model.index[terminal])


def _nodes_of(model: BoxModel, faults: Iterable[Fault]) -> list[int]:
    found: set[int] = set()
    for fault in faults:
        if fault.kind in ("swapped", "bridged", "dead"):
            found.update(fault.places)
        elif fault.kind in ("rotated", "shifted", "reversed"):
            found.add(fault.places[0])
        for contact in _contacts_of(fault):
            found.update(build_of(model).sites[contact])
    return sorted(found - {model.ground})


METER = "Unplug the box; put a meter's continuity test between"
_FLOWS = {
    (False, False): "no connection",
    (True, True): "a connection either way round",
    (True, False): "a connection one way round only",
    (False, True): "a connection one way round only",
}


def _describe_flow(answer: Hashable) -> str:
    return _FLOWS[answer] if isinstance(answer, tuple) else ""


def _wire_probe(model: BoxModel, a: int, b: int) -> _Option:
    words = f"{METER} {name_line(model, a)} and {name_line(model, b)}"
    return _Option(words, 0.05, lambda simulator: simulator.flows(a, b), _describe_flow)


def _pin_probe(model: BoxModel, pin: int, wire: int) -> _Option:
    place = pin if pin < model.ground else pin - 1

    def predict(simulator: Simulator) -> tuple[bool, bool]:
        node = simulator.build.pins[place]
        return (False, False) if node == NO_NODE else simulator.flows(node, wire)

    at = _solder_point(model, wire)
    words = f"{METER} pin {name_pin(model, pin)} at the board and {at}"
    return _Option(words, 0.06, predict, _describe_flow)


def _solder_point(model: BoxModel, wire: int) -> str:
    """A contact at which a wire can be touched."""
    for contact, ends in enumerate(build_of(model).sites):
        if wire in ends:
            return f"{name_line(model, wire)} at {name_contact(model, contact)}"
    return name_line(model, wire)


def _contact_probe(model: BoxModel, contact: int) -> _Option:
    words = f"{METER} the two ends of {name_contact(model, contact)}, pressed"
    mask = 1 << contact
    a, b = build_of(model).sites[contact]
    return _Option(words, 0.06, lambda simulator: simulator.flows(a, b, mask), _describe_flow)


def _lifted_probe(model: BoxModel, contact: int) -> _Option:
    """Over a contact with one end unsoldered: whether something beside it connects."""
    name = name_contact(model, contact)
    a, b = build_of(model).sites[contact]

    def predict(simulator: Simulator) -> tuple[bool, bool]:
        build = simulator.build
        lifted = replace(
            build,
            opened=build.opened | {contact},
            stuck=build.stuck - {contact},
            joints=frozenset(),
        )
        return Simulator(model, lifted).flows(a, b)

    words = f"Unplug the box and unsolder one end of {name}; measure between {name_line(model, a)}"
    return _Option(f"{words} and {name_line(model, b)}", 0.2, predict, _describe_flow)
