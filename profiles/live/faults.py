"""The wiring errors that a diagnosis knows, what each does to a build, and its name in words.

A `Fault` is a kind and what it concerns: nodes for lines, contacts, or a rotary, each counted as
in the model. `apply` turns a build into the one with that fault; faults follow one another,
as mistakes do. `name_fault` gives the words, with the pins and wires named as in the device file,
and `tell_remedy` what to look at.
"""

from dataclasses import dataclass, replace
from typing import Literal, get_args

from profiles.facts.box_model import BoxModel
from profiles.live.build import Build, build_of
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
]
FAULT_KINDS: tuple[FaultKind, ...] = get_args(FaultKind)

RATES = (0.5, 2.0, 4.0)
"""Pulses per detent of rotaries that are counted by another part of their Gray code."""


@dataclass(frozen=True, slots=True, order=True)
class Fault:
    """One wiring error; what `places` counts depends on the kind:

    | kind | places |
    |---|---|
    | swapped | two line nodes |
    | rotated, shifted | first line node of the side, by how many |
    | reversed | first line node of the side |
    | offset | by how many |
    | dead | a node |
    | bridged | two nodes |
    | exchanged, joined | two contacts |
    | stuck, open, diode-reversed, diode-missing, bounces | a contact |
    | turns-back, skips | a rotary |
    | multiplies | a rotary, which of `RATES` |
    | transposed, diodes-reversed | nothing |
    """

    kind: FaultKind
    places: tuple[int, ...] = ()


def apply(model: BoxModel, build: Build, fault: Fault) -> Build:
    """The build with this fault on top."""
    match fault.kind:
        case "swapped" | "rotated" | "shifted" | "reversed" | "dead":
            return replace(build, pins=_move_pins(model, build.pins, fault))
        case "transposed":
            return replace(build, transposed=not build.transposed)
        case "offset":
            return replace(build, offset=build.offset + fault.places[0])
        case "bridged":
            first, second = fault.places
            return replace(build, bridges=build.bridges | {(first, second)})
        case "turns-back" | "skips" | "multiplies":
            return _apply_rotary(model, build, fault)
        case _:
            return _apply_contact(build, fault)


def _move_pins(model: BoxModel, pins: tuple[int, ...], fault: Fault) -> tuple[int, ...]:
    """The nodes behind the pins after lines changed places on them."""
    found = list(pins)
    if fault.kind == "dead":
        return tuple(NO_NODE if node == fault.places[0] else node for node in pins)
    if fault.kind == "swapped":
        a, b = fault.places
        found[a], found[b] = found[b], found[a]
        return tuple(found)
    first = fault.places[0]
    side = slice(first, first + _side_length(model, first))
    found[side] = _rearrange(found[side], fault)
    return tuple(found)


def _rearrange(side: list[int], fault: Fault) -> list[int]:
    if fault.kind == "reversed":
        return side[::-1]
    by = fault.places[1]
    if fault.kind == "rotated":
        return side[-by:] + side[:-by]
    empty = [NO_NODE] * abs(by)
    return empty + side[:-by] if by > 0 else side[-by:] + empty


def _side_length(model: BoxModel, first: int) -> int:
    return model.rows if first == 0 else model.columns


def _apply_rotary(model: BoxModel, build: Build, fault: Fault) -> Build:
    rotary = fault.places[0]
    if fault.kind == "skips":
        return replace(build, skipping=build.skipping | {rotary})
    if fault.kind == "multiplies":
        return replace(build, rates=(*build.rates, (rotary, RATES[fault.places[1]])))
    a, b = model.channel_contacts[rotary]
    return _exchange(build, a, b)


def _apply_contact(build: Build, fault: Fault) -> Build:
    contact = fault.places[0] if fault.places else 0
    match fault.kind:
        case "exchanged":
            return _exchange(build, *fault.places)
        case "joined":
            first, second = fault.places
            return replace(build, joints=build.joints | {(first, second)})
        case "stuck":
            return replace(build, stuck=build.stuck | {contact})
        case "open":
            return replace(build, opened=build.opened | {contact})
        case "bounces":
            return replace(build, bouncing=build.bouncing | {contact})
        case "diodes-reversed":
            return replace(build, diodes=tuple(-diode for diode in build.diodes))
        case _:
            return _turn_diode(build, contact, missing=fault.kind == "diode-missing")


def _turn_diode(build: Build, contact: int, *, missing: bool) -> Build:
    diodes = list(build.diodes)
    diodes[contact] = 0 if missing else -diodes[contact]
    return replace(build, diodes=tuple(diodes))


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
