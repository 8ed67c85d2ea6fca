"""The wiring errors that a diagnosis knows, what each does to a build, and how likely each is.

A `Fault` is a kind and what it concerns: nodes for lines, contacts, or a rotary, each counted as
in the model. `apply` turns a build into the one with that fault; faults follow one another,
as mistakes do. `FAULT_TYPES` says of each kind all that can be said in words.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal, NamedTuple, get_args

from profiles.facts.box_model import BoxModel
from profiles.live.build import Build, build_of
from profiles.live.chains import chains_of
from profiles.wiring.matrix import NO_NODE

FaultKind = Literal[
    "swapped",
    "rotated",
    "shifted",
    "reversed",
    "transposed",
    "offset",
    "exchanged",
    "dead",
    "bridged",
    "joined",
    "stuck",
    "open",
    "diode-reversed",
    "diode-missing",
    "diodes-reversed",
    "turns-back",
    "skips",
    "multiplies",
    "bounces",
    "grounded",
    "supplied",
    "miswired",
    "broken",
    "inverted",
    "latches",
    "springs",
    "common-lost",
    "knobs-exchanged",
    "unnamed",
]
FAULT_KINDS: tuple[FaultKind, ...] = get_args(FaultKind)

RATES = (0.5, 2.0, 4.0)
"""Pulses per detent of rotaries that are counted by another part of their Gray code."""


class FaultType(NamedTuple):
    """What holds of every fault of a kind.

    `subject` is what its places count; `weight` how likely a box has one fault of this kind;
    `words` and `remedy` are templates without a full stop, the remedy verb first.
    """

    subject: Literal[
        "lines", "side", "numbering", "contacts", "diode", "rotary", "leg", "chain", "unknown"
    ]
    weight: float
    words: str
    remedy: str


_ORDER = "Put the wires of the {side} on pins {pins} in this order"
_SETTING = "in the device file as the board does it, or correct the firmware"
_BAND = "the diode at {0}: its band (cathode) belongs toward {cathode}"

FAULT_TYPES: Mapping[FaultKind, FaultType] = {
    "swapped": FaultType("lines", 0.12, "{all} are swapped at the board", "Exchange {wires}"),
    "rotated": FaultType("side", 0.03, "the {side} are moved round by {by}: {where}", _ORDER),
    "shifted": FaultType("side", 0.03, "the {side} are shifted by {by}: {where}", _ORDER),
    "reversed": FaultType("side", 0.04, "the {side} sit on their pins in reverse order", _ORDER),
    "transposed": FaultType(
        "numbering", 0.05, "the board numbers {other}", f"Set `numbering` {_SETTING}"
    ),
    "offset": FaultType(
        "numbering", 0.06, "every input is {step} too {height}", f"Set `first_input` {_SETTING}"
    ),
    "exchanged": FaultType("contacts", 0.12, "{all} are exchanged", "Exchange the wires of {all}"),
    "dead": FaultType(
        "lines",
        0.10,
        "{0} is off its pin",
        "Look at the joint of {wires}, and along its first stretch",
    ),
    "bridged": FaultType(
        "lines",
        0.08,
        "{0} touches {1}",
        "Look for solder or a stray strand between {wires}",
    ),
    "joined": FaultType(
        "diode",
        0.03,
        "{all} touch between switch and diode",
        "Look for solder between the diodes of {all}",
    ),
    "stuck": FaultType(
        "contacts",
        0.04,
        "{0} is closed all the time",
        "Unsolder one end of {0} and measure: the switch, or a bridge beside it",
    ),
    "open": FaultType(
        "contacts", 0.12, "{0} never closes", "Look at both joints of {0}{legs}, then at the switch"
    ),
    "diode-reversed": FaultType("diode", 0.08, "the diode at {0} is reversed", f"Turn {_BAND}"),
    "diode-missing": FaultType(
        "diode", 0.04, "the diode at {0} is missing or shorted", f"Look at {_BAND}"
    ),
    "diodes-reversed": FaultType(
        "numbering",
        0.03,
        "every diode is reversed, or the board drives the other side",
        "Set `driven` as the board does it, or turn every diode",
    ),
    "turns-back": FaultType(
        "rotary",
        0.10,
        "{0} counts backwards: its two channels are exchanged",
        "Exchange the wires of {channels}",
    ),
    "skips": FaultType(
        "rotary",
        0.05,
        "{0} skips detents",
        "Look at the joints of {0}, then turn it slowly: a worn one still skips",
    ),
    "multiplies": FaultType(
        "rotary",
        0.04,
        "{0} gives {rate:g} pulses per detent",
        "Set the pulses per detent of {0} in the firmware",
    ),
    "bounces": FaultType(
        "contacts",
        0.06,
        "{0} bounces for longer than the debounce time",
        "Raise the debounce time above {debounce:g} ms, or change the switch",
    ),
    "grounded": FaultType(
        "lines",
        0.04,
        "{0} touches ground",
        "Look for solder, a stray strand or a bare edge between {wires} and ground",
    ),
    "supplied": FaultType(
        "lines",
        0.01,
        "{0} touches the supply",
        "Unplug the box at once; look for solder or a stray strand between {wires} and the supply",
    ),
    "miswired": FaultType(
        "leg",
        0.06,
        "{0} has one leg on {line}, not on {own}",
        "Move that leg of {0} from {line} to {own}",
    ),
    "broken": FaultType(
        "chain",
        0.10,
        "{line} is broken between {before} and {after}",
        "Look at the joints of {before} and {after} on {line}, and at the wire between",
    ),
    "inverted": FaultType(
        "contacts",
        0.06,
        "{0} is closed at rest and opens when moved",
        "Use the normally open terminal of {0}, or turn the switch round",
    ),
    "latches": FaultType(
        "contacts",
        0.04,
        "{0} stays as pressed until it is pressed again",
        "Fit a switch that springs back at {0}, or describe it as latching",
    ),
    "springs": FaultType(
        "contacts",
        0.04,
        "{0} springs back and does not stay as put",
        "Fit a switch that stays as put at {0}, or describe it as momentary",
    ),
    "common-lost": FaultType(
        "rotary",
        0.06,
        "the common of {0} is off: neither channel is heard",
        "Look at the joint at the common of {0}, between {channels}",
    ),
    "knobs-exchanged": FaultType(
        "rotary",
        0.05,
        "{all} are exchanged",
        "Exchange the wires of {all}: channel for channel",
    ),
    "unnamed": FaultType(
        "unknown",
        4.5e-5,
        "something is wrong that is none of the faults known here",
        "Try the steps left over again, one at a time, and measure at those contacts",
    ),
}
"""How often each kind is met is a rule of thumb: what a builder does wrong most is to put two
wires on each other's place, to leave a joint cold, or to turn a diode round."""


@dataclass(frozen=True, slots=True, order=True)
class Fault:
    """One wiring error.

    `places` are one or two of what its kind's `subject` counts; of a side the node of its first
    line, and by how many where it moved; of an offset by how many; of `multiplies` the rotary and
    which of `RATES`; of other faults of numbering nothing.
    """

    kind: FaultKind
    places: tuple[int, ...] = ()

    @property
    def subject(self) -> str:
        """What its places count."""
        return FAULT_TYPES[self.kind].subject


def apply(model: BoxModel, build: Build, fault: Fault) -> Build:
    """The build with this fault on top."""
    kind, places = fault.kind, fault.places
    match fault.subject:
        case "numbering":
            if kind == "transposed":
                return replace(build, transposed=not build.transposed)
            if kind == "offset":
                return replace(build, offset=build.offset + places[0])
            return replace(build, diodes=tuple(-diode for diode in build.diodes))
        case "rotary":
            return _apply_rotary(model, build, fault)
        case "contacts" | "diode":
            return _apply_contact(build, fault)
        case "leg":
            contact, end, node = places
            ends = [list(site) for site in build.sites]
            ends[contact][end] = node
            return replace(build, sites=tuple((a, b) for a, b in ends))
        case "chain":
            return _break(model, build, *places)
        case "unknown":
            return build
    if kind == "bridged":
        return replace(build, bridges=build.bridges | {(places[0], places[1])})
    if kind == "grounded":
        return replace(build, bridges=build.bridges | {(places[0], model.ground)})
    if kind == "supplied":
        return replace(build, supplied=build.supplied | {places[0]})
    return replace(build, pins=_move_pins(model, build.pins, fault))


def _move_pins(model: BoxModel, pins: tuple[int, ...], fault: Fault) -> tuple[int, ...]:
    """The nodes behind the pins after lines changed places on them."""
    found, first = list(pins), fault.places[0]
    if fault.kind == "dead":
        return tuple(NO_NODE if node == first else node for node in pins)
    if fault.kind == "swapped":
        second = fault.places[1]
        found[first], found[second] = found[second], found[first]
        return tuple(found)
    place = slice(first, first + (model.rows if first == 0 else model.columns))
    side = found[place]
    if fault.kind == "reversed":
        found[place] = side[::-1]
        return tuple(found)
    by = fault.places[1]
    lost = [NO_NODE] * abs(by)
    if fault.kind == "rotated":
        found[place] = side[-by:] + side[:-by]
    else:
        found[place] = lost + side[:-by] if by > 0 else side[-by:] + lost
    return tuple(found)


def _apply_rotary(model: BoxModel, build: Build, fault: Fault) -> Build:
    kind, places = fault.kind, fault.places
    if kind == "skips":
        return replace(build, skipping=build.skipping | {places[0]})
    if kind == "multiplies":
        return replace(build, rates=(*build.rates, (places[0], RATES[places[1]])))
    if kind == "common-lost":
        return replace(build, opened=build.opened.union(model.channel_contacts[places[0]]))
    if kind == "knobs-exchanged":
        for a, b in zip(*(model.channel_contacts[place] for place in places), strict=True):
            build = _exchange(build, a, b)
        return build
    return _exchange(build, *model.channel_contacts[places[0]])


def _apply_contact(build: Build, fault: Fault) -> Build:
    contact, *others = fault.places
    match fault.kind:
        case "exchanged":
            return _exchange(build, contact, others[0])
        case "joined":
            return replace(build, joints=build.joints | {(contact, others[0])})
        case "stuck":
            return replace(build, stuck=build.stuck | {contact})
        case "open":
            return replace(build, opened=build.opened | {contact})
        case "bounces":
            return replace(build, bouncing=build.bouncing | {contact})
        case "inverted":
            return replace(build, inverted=build.inverted ^ 1 << contact)
        case "latches":
            return replace(build, latching=build.latching | 1 << contact)
        case "springs":
            return replace(build, springing=build.springing | 1 << contact)
    diodes = list(build.diodes)
    diodes[contact] = 0 if fault.kind == "diode-missing" else -diodes[contact]
    return replace(build, diodes=tuple(diodes))


def _break(model: BoxModel, build: Build, chain: int, after: int) -> Build:
    """The contacts beyond the break stay joined with each other, on a piece that no pin reaches."""
    line = chains_of(model)[chain]
    node = line.node
    lost = {contact for stop in line.stops[after:] for contact in stop.contacts}
    piece = model.ground + 1 + len(model.single) + build.pieces
    sites = tuple(
        ((piece if a == node else a), (piece if b == node else b)) if contact in lost else (a, b)
        for contact, (a, b) in enumerate(build.sites)
    )
    return replace(build, sites=sites, pieces=build.pieces + 1)


def _exchange(build: Build, a: int, b: int) -> Build:
    """Both contacts sit where the other belongs; a diode stays with its place."""
    sites, diodes = list(build.sites), list(build.diodes)
    sites[a], sites[b] = sites[b], sites[a]
    diodes[a], diodes[b] = diodes[b], diodes[a]
    return replace(build, sites=tuple(sites), diodes=tuple(diodes))


def apply_all(model: BoxModel, faults: tuple[Fault, ...]) -> Build:
    """The box with these faults, one after another."""
    build = build_of(model)
    for fault in faults:
        build = apply(model, build, fault)
    return build
