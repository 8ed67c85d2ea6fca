"""The electrical verdict on a device: for each profile what fails and what would cure it.

`judge_device` answers in one go what `platebook wiring` and the wiring sheet tell: how many
contacts may be held whatever they are, which contacts pressed at the same time cause ghosting or
masking in each profile, the fewest diodes that cure each profile, and those that cure all of them.
"""

from collections.abc import Iterable
from typing import NamedTuple

from profiles.model import Device, Link
from profiles.wiring.circuit import Circuit, circuit_of, needs_of_device, needs_of_profile
from profiles.wiring.diodes import DiodePlan, fewest_diodes
from profiles.wiring.hazards import Hazard, describe_path, safe_any
from profiles.wiring.needs import Failures, failures


class Judgement(NamedTuple):
    """What fails of one profile's needs, and the fewest diodes that cure it."""

    profile: str
    failures: Failures
    plan: DiodePlan


class Verdict(NamedTuple):
    """The verdict on a device; `plan` cures the states, single presses and all profiles at once.

    `safe_any` is the number of contacts that may be held whichever they are, `of` all contacts.
    """

    circuit: Circuit
    safe_any: int
    of: int
    states: Failures
    profiles: tuple[Judgement, ...]
    plan: DiodePlan


def judge_device(device: Device, links: Iterable[Link] = ()) -> Verdict:
    """Return the electrical verdict on a device and the profiles that bind it."""
    circuit = circuit_of(device)
    matrix = circuit.matrix
    alone = needs_of_device(device, circuit)
    by_profile = {link.profile.id: needs_of_profile(device, circuit, link) for link in links}
    every = dict.fromkeys(
        chord for needs in (alone, *by_profile.values()) for chord in needs.chords
    )
    return Verdict(
        circuit,
        safe_any(matrix),
        len(matrix.crossings),
        failures(matrix, alone),
        tuple(
            Judgement(name, failures(matrix, needs), fewest_diodes(matrix, needs))
            for name, needs in by_profile.items()
        ),
        fewest_diodes(matrix, alone._replace(chords=tuple(every))),
    )


def describe_hazard(circuit: Circuit, hazard: Hazard) -> str:
    """Return one failing set in words: who is held, who appears pressed, and by which way."""
    held = " + ".join(circuit.name(place) for place in sorted(hazard.path))
    way = describe_path(circuit.matrix, hazard, circuit.name)
    return f"{held} also read as {circuit.name(hazard.victim)}: {way}"
