"""Firmware, press test and facts say the same of what a box reports, and it is what the file says.

Every example box, and random boxes of every kind of wiring. `said` holds the four voices.
"""

from collections.abc import Iterator
from itertools import combinations, product
from pathlib import Path
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.facts.device import DeviceFacts
from profiles.facts.signals import find_sources
from profiles.files.library import load_library
from profiles.live.build import build_of
from profiles.live.forward import Simulator
from profiles.live.plan import plan_test
from profiles.model import Axis, Contact, Device, Hat, Latching, Library, Rotary, Selector
from profiles.model.control_value import TURNS
from tests.any_box import contents
from tests.facts.said import (
    USAGES,
    Closed,
    Firmware,
    build_firmware,
    describe,
    simulate,
    state_facts,
    wired,
)

EXAMPLES = Path(__file__).resolve().parents[2] / "example_profiles"
LIBRARIES = [load_library(EXAMPLES / name).library for name in ("harbour", "boatyard", "faulty")]
DEVICES = [
    pytest.param(library, key, id=key)
    for library in LIBRARIES
    for key, device in sorted(library.devices.items())
]

MOST_PAIRS = 100
"""So many pairs of one box, evenly spread."""


def rest_of(device: Device) -> Closed:
    """Contacts that are closed while nobody touches the box."""
    return plan_test(device)[0].frames[0]


def put(rest: Closed, contacts: tuple[Contact, ...]) -> Closed:
    """These contacts closed on top of rest; a lever or selector leaves the place it had."""
    moved = {one.control for one in contacts if one.contact not in ("press",)}
    return frozenset({one for one in rest if one.control not in moved} | set(contacts))


def list_sets(library: Library, device: Device) -> Iterator[tuple[Contact, ...]]:
    """Single contacts, pairs (of large boxes some), bound chords, and each state of the controls
    that stay. A way of a hat that the board makes is pressed as the two it is made of."""
    contacts = wired(device)
    yield ()
    yield from ((one,) for one in contacts)
    pairs = list(combinations(contacts, 2))
    yield from pairs[:: 1 + len(pairs) // MOST_PAIRS]
    for link in library.profiles_of(device.id):
        for bound in link.bound:
            names = [c for c in (*bound.held, bound.acting) if c.device == device.id]
            those = (
                Contact(one.control, way)
                for one in names
                if not isinstance(control := device.controls.get(one.control), Axis)
                for way in (one.contact.split("-") if isinstance(control, Hat) else [one.contact])
            )
            yield tuple(those)
    staying = [
        [Contact(name, one) for one in control.contacts]
        for name, control in device.controls.items()
        if isinstance(control, Latching | Selector)
    ]
    if staying:
        yield from list(product(*staying))[:64]


def find_differences(
    device: Device, firmware: Firmware | None, frames: list[Closed]
) -> list[tuple[str, object, object]]:
    """Who says anything else of this change of contacts than the file does, turns apart; and
    whether press test and firmware differ in anything."""
    wanted = describe(device, frames)
    said = {"facts": state_facts(device, frames), "live": simulate(device, frames)}
    facts = DeviceFacts(device)
    read = [
        frozenset(
            one
            for one in frame
            if all(map(facts.model.is_wired, sum(find_sources(device, one), ())))
        )
        for frame in frames
    ]
    signals = facts.signals.values()
    turned = {signal.number for signal in signals if signal.nature == "turn"}
    found: list[tuple[str, object, object]] = [
        (who, one, wanted) for who, one in said.items() if one.without(turned) != wanted
    ]
    if firmware is not None:
        # It says what is wanted of the contacts that have a wire; no board reads any other.
        spoken, expected, simulated = firmware.say(frames), describe(device, read), said["live"]
        if read != frames:
            simulated = simulate(device, read)
        if spoken.without(turned) != expected:
            found.append(("firmware", spoken, expected))
        if simulated != spoken:
            found.append(("live and firmware", simulated, spoken))
    return found


@pytest.mark.long
@pytest.mark.parametrize(("library", "key"), DEVICES)
def test_every_contact_set_of_an_example_is_reported_alike(library: Library, key: str) -> None:
    """Held alone, and on top of rest: closing and opening again."""
    device = library.devices[key]
    firmware, rest = build_firmware(device), rest_of(device)
    for contacts in dict.fromkeys(list_sets(library, device)):
        bare, closed = frozenset(contacts), put(rest, contacts)
        for frames in ([bare], [rest, closed], [closed, rest]):
            assert find_differences(device, firmware, frames) == [], [*map(str, contacts)]


@pytest.mark.parametrize(("library", "key"), DEVICES)
def test_every_detent_of_an_example_is_reported_alike(library: Library, key: str) -> None:
    device = library.devices[key]
    firmware = build_firmware(device)
    for name, control in device.controls.items():
        if isinstance(control, Rotary):
            check_turns(device, firmware, name, control)


def check_turns(device: Device, firmware: Firmware | None, name: str, control: Rotary) -> None:
    """Two full cycles of the Gray code each way: what is counted, and in which input."""
    facts = DeviceFacts(device)
    model, rest = facts.model, rest_of(device)
    simulator = Simulator(model, build_of(model))
    a, b = Contact(name, "clockwise"), Contact(name, "anticlockwise")
    cycle: list[set[Contact]] = [set(), {a}, {a, b}, {b}]
    for contact, way in ((a, 1), (b, -1)):
        signal = facts.signals.get(contact)
        detents = 8 // control.steps_per_detent
        wanted = ((signal.number, detents),) if signal and not control.axis else ()
        frames = [rest | cycle[way * at % 4] for at in range(9)]
        readings = [simulator.read(model.mask(one)) for one in frames]
        assert tuple(simulator.count_pulses(readings).items()) == wanted
        if control.axis:
            assert model.rules.find_travel(readings)[control.axis] == way * detents
        if firmware is not None:
            assert firmware.say(frames).pulses == wanted
        if firmware is not None and control.axis:
            usage = f"{USAGES[control.axis]:08x}"
            travel = min(32767, round(detents * control.share / 100 * 65534))
            assert firmware.last[usage][0] == pytest.approx(way * travel, abs=detents)
        for step in plan_test(device, detents=10):
            if step.gesture == "turn" and step.contact == contact and signal:
                masks = tuple(model.mask(frame) for frame in step.frames)
                assert dict(simulator.hear(step, masks).counts) == {signal.number: 10}


RANDOM = contents().map(Device.model_validate)


@settings(max_examples=400, deadline=None)
@given(RANDOM, st.randoms(use_true_random=True))
def test_any_box_is_reported_alike(device: Device, chance: Random) -> None:
    """Any contacts with a wire close, then any others; no rotary turns on the way."""
    turns = {n for n, control in device.controls.items() if isinstance(control, Rotary)}
    contacts = [
        one for one in wired(device) if one.control not in turns or one.contact not in TURNS
    ]
    shares = (0.2, 0.5, 0.8)
    frames = [
        frozenset(one for one in contacts if chance.random() < share)
        for share in (chance.choice(shares), chance.choice(shares))
    ]
    assert find_differences(device, build_firmware(device), frames) == []


@settings(max_examples=100, deadline=None)
@given(RANDOM)
def test_any_rotary_is_reported_alike(device: Device) -> None:
    firmware = build_firmware(device)
    places = DeviceFacts(device).circuit.places
    for name, control in device.controls.items():
        channels = {Contact(name, "clockwise"), Contact(name, "anticlockwise")}
        if isinstance(control, Rotary) and channels.isdisjoint(places):
            check_turns(device, firmware, name, control)
