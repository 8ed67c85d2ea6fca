"""The wiring errors that a diagnosis knows, and what each does to a build.

A `Fault` is a kind and what it concerns: nodes for lines, contacts, a rotary, a bank or an axis,
each counted as in the model. `apply` turns a build into the one with that fault; faults follow one
another, as mistakes do. `fault_types` has all that can be said of a kind in words.
"""

from dataclasses import dataclass, replace

from profiles.facts.box_model import BoxModel
from profiles.live.banks import move_axes, move_places
from profiles.live.build import Build, build_of
from profiles.live.chains import chains_of
from profiles.live.fault_types import FAULT_TYPES, FaultKind
from profiles.wiring.matrix import NO_NODE

RATES = (0.5, 2.0, 4.0)
"""Pulses per detent of rotaries that are counted by another part of their Gray code."""


@dataclass(frozen=True, slots=True, order=True)
class Fault:
    """One wiring error.

    `places` are one or two of what its kind's `subject` counts; of a side the node of its first
    line, and by how many where it moved; of an offset by how many; of `multiplies` the rotary and
    which of `RATES`; of other faults of numbering nothing. Those of banks are a bank and, from 0,
    what `list_bank_faults` says: places, select lines, levels (0 open or low), by how many.
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
        case "bank":
            pins, joined = move_places(model, build.pins, kind, places)
            return replace(build, pins=pins, bridges=build.bridges | joined)
        case "axis":
            return replace(build, axes=move_axes(build.axes, kind, places))
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
