"""The one measurement that decides best between explanations left over.

`best_question` tries every step of a full test, further combinations of contacts that the
explanations concern, and a meter between pins and wires. For each it asks the forward model what
every explanation predicts; the best one tells most about which is true, in bits.
Pressing is preferred to a meter, and fewer fingers to more, where they tell the same.
"""

from collections.abc import Callable, Container, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from itertools import combinations
from math import log2

from profiles.facts.box_model import BoxModel
from profiles.facts.device import DeviceFacts
from profiles.live.build import build_of
from profiles.live.diagnosis import UNNAMED, Diagnosis, FaultSet
from profiles.live.faults import Fault, apply_all
from profiles.live.forward import Heard, Simulator, described
from profiles.live.plan import Step, can_hold, hold, plan_test
from profiles.live.verdict import name_inputs
from profiles.live.words import ask_step, name_line, name_pin
from profiles.model import Contact
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


def best_step(model: BoxModel, diagnosis: Diagnosis, tired: Container[str] = ()) -> Step | None:
    """The step that decides best, without a meter; none of those whose keys are `tired`."""
    question = best_question(model, diagnosis, tired, with_meter=False)
    return question.step if question else None


def best_question(
    model: BoxModel,
    diagnosis: Diagnosis,
    tired: Container[str] = (),
    *,
    with_meter: bool = True,
) -> Question | None:
    """The measurement that decides best; None where none decides, or nothing is left to.

    Steps whose keys are `tired` are not tried, nor a meter unless `with_meter` and there are wires.
    """
    sets: list[FaultSet] = []
    beliefs: list[float] = []
    for told in diagnosis.explanations:
        if (
            told.confidence >= LEAST_BELIEF and UNNAMED not in told.faults
        ):  # sets that it cannot tell apart share its belief
            members = (told.faults, *told.equivalents)
            sets += members
            beliefs += [told.confidence / len(members)] * len(members)
    sets, beliefs = sets[:MOST_SETS], beliefs[:MOST_SETS]
    if len(sets) < 2:
        return None
    simulators = [Simulator(model, apply_all(model, faults)) for faults in sets]
    whole, score = sum(beliefs), LEAST_GAIN
    as_described = described(model)
    with_meter = with_meter and DeviceFacts(model.device).is_wired
    standing = as_described.name(as_described.read(model.mask(DeviceFacts(model.device).rest)))
    best: Question | None = None
    for option in _list_options(model, sorted({fault for faults in sets for fault in faults})):
        if (option.step is None and not with_meter) or (option.step and option.step.key in tired):
            continue
        left: dict[Hashable, list[FaultSet]] = {}
        shares: dict[Hashable, float] = {}
        for simulator, faults, belief in zip(simulators, sets, beliefs, strict=True):
            answer = option.predict(simulator)
            left.setdefault(answer, []).append(faults)
            shares[answer] = shares.get(answer, 0.0) + belief / whole
        gain = -sum(share * log2(share) for share in shares.values() if share)
        if gain - option.effort > score:
            score = gain - option.effort
            common = standing.intersection(
                *(answer.seen for answer in left if isinstance(answer, Heard))
            )
            outcomes = [
                Answered(option.tell(_leave_out(answer, common)), tuple(which))
                for answer, which in left.items()
            ]
            best = Question(option.words, tuple(outcomes), gain, option.step)
    return best


def _list_options(model: BoxModel, faults: Sequence[Fault]) -> Iterator[_Option]:
    """Every measurement worth trying: steps of a full test, contacts held together, a meter."""
    sites = build_of(model).sites
    lines: set[int] = set()
    own: list[Contact] = []
    for fault in faults:
        if fault.subject == "lines":
            lines.update(fault.places)
        elif fault.subject in ("contacts", "diode") and fault.kind != "bounces":
            lines.update(node for contact in fault.places for node in sites[contact])
            own += [model.contacts[contact] for contact in fault.places]
    sides = {fault.places[0] for fault in faults if fault.subject == "side"}
    beside = [
        contact
        for contact, ends in zip(model.contacts, sites, strict=True)
        if contact in model.circuit.places and lines.intersection(ends)
    ]
    near = [
        contact
        for contact in dict.fromkeys(own + beside)
        if can_hold(model.device.controls[contact.control], contact.contact)
    ]
    near = near[:NEIGHBOURS]
    groups = [
        members
        for size in (2, 3)
        for members in combinations(near, size)
        if len({contact.control for contact in members}) == size
    ]
    rest = DeviceFacts(model.device).rest
    for step in (*plan_test(model.device, "full"), *(hold(rest, members) for members in groups)):
        predict = partial(Simulator.hear, step=step, frames=tuple(map(model.mask, step.frames)))
        effort = 0.01 * len(step.held)
        yield _Option(ask_step(model, step), effort, predict, _describe_inputs, step)
    yield from _list_probes(model, sorted((lines | sides) - {model.ground}), near)


def _leave_out(answer: Hashable, standing: frozenset[int]) -> Hashable:
    """An answer without the inputs that are down at rest whatever is true."""
    return replace(answer, seen=answer.seen - standing) if isinstance(answer, Heard) else answer


def _describe_inputs(answer: Hashable) -> str:
    if not isinstance(answer, Heard) or not answer.seen:
        return "nothing is heard"
    return f"{name_inputs(answer.seen)}{', bouncing' if answer.chatter else ''}"


METER = "Unplug the box; put a meter's continuity test between"
_FLOWS = {
    (False, False): "no connection",
    (True, True): "a connection either way round",
    (True, False): "a connection one way round only",
    (False, True): "a connection one way round only",
}


def _describe_flow(answer: Hashable) -> str:
    return _FLOWS[answer] if isinstance(answer, tuple) else ""


def _list_probes(
    model: BoxModel, nodes: Sequence[int], near: Iterable[Contact]
) -> Iterator[_Option]:
    """A meter between two wires, between a pin and a wire, and over a contact: pressed, and with
    one end unsoldered, which tells whether something beside it connects."""
    sites = build_of(model).sites
    names = {node: name_line(model, node) for node in range(model.ground + len(model.single) + 1)}
    touched: dict[int, Contact] = {}
    for contact, ends in zip(model.contacts, sites, strict=True):
        for node in ends:
            touched.setdefault(node, contact)
    for a, b in combinations(nodes, 2):
        flows = partial(Simulator.flows, a=a, b=b)
        yield _Option(f"{METER} {names[a]} and {names[b]}", 0.05, flows, _describe_flow)
    for pin in nodes:
        for wire in nodes:
            where = f"{names[wire]} at {touched[wire]}" if wire in touched else names[wire]
            words = f"{METER} pin {name_pin(model, pin)} at the board and {where}"
            place = pin if pin < model.ground else pin - 1
            flows = partial(_find_flows_from_pin, place=place, wire=wire)
            yield _Option(words, 0.06, flows, _describe_flow)
    for contact in near:
        place = model.index[contact]
        a, b = sites[place]
        flows = partial(Simulator.flows, a=a, b=b, closed=1 << place)
        words = f"{METER} the two ends of {contact}, pressed"
        yield _Option(words, 0.06, flows, _describe_flow)
        lifted = partial(_find_flows_beside, contact=place)
        words = f"Unplug the box and unsolder one end of {contact}; measure between {names[a]}"
        yield _Option(f"{words} and {names[b]}", 0.2, lifted, _describe_flow)


def _find_flows_from_pin(simulator: Simulator, place: int, wire: int) -> tuple[bool, bool]:
    node = simulator.build.pins[place]
    return (False, False) if node == NO_NODE else simulator.flows(node, wire)


def _find_flows_beside(simulator: Simulator, contact: int) -> tuple[bool, bool]:
    build, (a, b) = simulator.build, build_of(simulator.model).sites[contact]
    lifted = replace(
        build,
        opened=build.opened | {contact},
        stuck=build.stuck - {contact},
        joints=frozenset(),
    )
    return Simulator(simulator.model, lifted).flows(a, b)
