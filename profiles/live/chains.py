"""The daisy chains of a box as planned: in which order each wire passes its contacts.

The order is that of the wiring sheet, so a break can be told by its place.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from profiles.facts.box_model import BoxModel
from profiles.model import Contact
from profiles.model.control_value import FINGERS
from profiles.wiring.banks import common_of
from profiles.wiring.box import lines_of
from profiles.wiring.circuit import board_place
from profiles.wiring.harness import Stop, WireLine, run_line


@dataclass(frozen=True, slots=True)
class ChainStop:
    """One joint of a chain by its name on the wiring sheet, and the contacts that hang on it."""

    name: str
    contacts: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Chain:
    """One wire: its node, its stops from the board on, its name and its colour."""

    node: int
    stops: tuple[ChainStop, ...]
    name: str
    colour: str


@lru_cache(maxsize=16)
def _wires_of(model: BoxModel) -> tuple[tuple[int, WireLine], ...]:
    """The lines of the wiring sheet, each with its node; none of a box bought whole."""
    device, circuit = model.device, model.circuit
    nodes = {str(line): at for at, line in enumerate(circuit.matrix.lines)}
    for node, contact in enumerate(model.single, model.ground + 1):
        pin = device.controls[contact.control].pin_by_contact.get(contact.contact)
        nodes |= {f"pin {pin}": node, f"place {pin}": node} if pin else {}
    found = []
    for line in lines_of(device, circuit, board_place(device)):
        place = nodes.get(line.name, model.ground if line.name.startswith("common ") else None)
        if place is not None:
            found.append((place, line))
    return tuple(found)


@lru_cache(maxsize=16)
def colours_of(model: BoxModel) -> Mapping[int, str]:
    """The colour of the wire at each node; of several, of the first on the wiring sheet."""
    return {node: line.colour for node, line in reversed(_wires_of(model))}


@lru_cache(maxsize=16)
def chains_of(model: BoxModel) -> tuple[Chain, ...]:
    """Every row, column and common that passes two contacts or more."""
    found = []
    for node, line in _wires_of(model):
        if node > model.ground or len(line.stops) < 2:
            continue
        stops = tuple(
            ChainStop(stop.name, _contacts_at(model, node, line.name, stop))
            for stop in run_line(line).order[1:]
        )
        if sum(bool(stop.contacts) for stop in stops) > 1:
            found.append(Chain(node, stops, line.name, line.colour))
    return tuple(found)


def _contacts_at(model: BoxModel, node: int, line: str, stop: Stop) -> tuple[int, ...]:
    """The contacts of one stop: one by its name, or all that share the control's common."""
    named = model.index.get(Contact(*stop.name.split(".", 1))) if "." in stop.name else None
    if named is not None:
        return (named,)
    control = model.device.controls[stop.control]
    found = []
    for at, contact in enumerate(model.contacts):
        if contact.control != stop.control:
            continue
        place = model.circuit.places.get(contact)
        if place is None:
            if node == model.ground and f"common {common_of(model.device, control)}" == line:
                found.append(at)
        elif node in (place[0] - 1, model.rows + place[1] - 1) and contact.contact not in FINGERS:
            found.append(at)
    return tuple(found)
