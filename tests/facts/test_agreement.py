"""Firmware, press test and facts say the same of what a box reports, and it is what the file says.

Every example box, and random boxes of every kind of wiring. `said` holds the four voices.
"""

from collections.abc import Iterator
from itertools import combinations, product
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.facts.device import DeviceFacts
from profiles.facts.signals import find_sources
from profiles.files.library import load_library
from profiles.live.build import build_of
from profiles.live.forward import Simulator
from profiles.live.plan import plan_test
from profiles.model import Axis, Contact, Device, Latching, Library, Rotary, Selector
from profiles.model.control_value import FINGERS
from tests.facts.said import (
    Closed,
    Firmware,
    build_firmware,
    describe,
    simulate,
    state_facts,
    wired,
)
from tests.firmware.boxes import make_device

EXAMPLES = Path(__file__).resolve().parents[2] / "example_profiles"
LIBRARIES = [load_library(EXAMPLES / name).library for name in ("harbour", "boatyard", "faulty")]
DEVICES = [
    pytest.param(library, key, id=key)
    for library in LIBRARIES
    for key, device in sorted(library.devices.items())
    if not any(control.fields for control in device.controls.values())
]
"""Boxes of buttons alone: what hats and axes report is no button."""


def rest_of(device: Device) -> Closed:
    """Contacts that are closed while nobody touches the box."""
    return plan_test(device)[0].frames[0]


def put(rest: Closed, contacts: tuple[Contact, ...]) -> Closed:
    """These contacts closed on top of rest; a lever or selector leaves the place it had."""
    moved = {one.control for one in contacts if one.contact not in ("press",)}
    return frozenset({one for one in rest if one.control not in moved} | set(contacts))


def list_sets(library: Library, device: Device) -> Iterator[tuple[Contact, ...]]:
    """Single contacts, pairs, bound chords, and each state of the controls that stay."""
    contacts = wired(device)
    yield ()
    yield from ((one,) for one in contacts)
    yield from combinations(contacts, 2)
    for link in library.profiles_of(device.id):
        for bound in link.bound:
            names = [c for c in (*bound.held, bound.acting) if c.device == device.id]
            those = (Contact(c.control, c.contact) for c in names)
            yield tuple(c for c in those if not isinstance(device.controls.get(c.control), Axis))
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
        wanted = ((signal.number, detents),) if signal else ()
        frames = [rest | cycle[way * at % 4] for at in range(9)]
        readings = [simulator.read(model.mask(one)) for one in frames]
        assert tuple(simulator.count_pulses(readings).items()) == wanted
        if firmware is not None:
            assert firmware.say(frames).pulses == wanted
        for step in plan_test(device, detents=10):
            if step.gesture == "turn" and step.contact == contact and signal:
                masks = tuple(model.mask(frame) for frame in step.frames)
                assert dict(simulator.hear(step, masks).counts) == {signal.number: 10}


CONTACTS = {
    "momentary": ["press"],
    "latching": ["on", "off"],
    "selector": ["position-1", "position-2", "position-3"],
    "rotary": ["clockwise", "anticlockwise", "press", "pull"],
}
TOGGLES = {
    "on-on": ["up", "down"],
    "(on)-off": ["on", "off"],
    "on-(on)": ["up", "down"],
    "on-off-on": ["up", "centre", "down"],
    "(on)-off-(on)": ["up", "centre", "down"],
    "on-on-(on)": ["up", "centre", "down"],
}
"""Contacts of toggles of some patterns, from up to down."""


BANKS = {
    "deck": {"kind": "expander", "chip": "pcf8574", "address": 0x20, "sda": "D40", "scl": "D41"},
    "fan": {"kind": "multiplexer", "select": ["D42", "D43"], "pin": "D44"},
    "rungs": {"kind": "ladder", "pin": "D45", "pull_up": 10.0, "steps": [5.1, 15.0]},
}
BANK_NAMES = st.sampled_from([[], ["deck"], ["fan", "rungs"], ["rungs", "deck", "fan"]])


@st.composite
def boxes(draw: st.DrawFn) -> Device:
    """Boxes with contacts on crossings, pins, bits and banks, or with no wire in the file."""
    rows, columns = draw(st.integers(0, 3)), draw(st.integers(0, 3))
    length, most = draw(st.sampled_from([0, 6])), draw(st.sampled_from([None, 8, 64]))
    places: list[tuple[str, Any]] = [
        ("crossings", list(place)) for place in product(range(1, rows + 1), range(1, columns + 1))
    ]
    places += [("pins", f"D{pin}") for pin in range(20, 24)]
    places += [("bits", bit) for bit in range(1, length + 1)]
    places += [("pins", f"{bank}.{place}") for bank in draw(BANK_NAMES) for place in range(1, 4)]
    places = list(draw(st.permutations(places)))
    numbers: list[int] = draw(st.permutations(range(1, 25)))
    along = draw(st.sampled_from([None, "along-rows", "along-columns"]))
    controls: dict[str, dict[str, Any]] = {}
    for name in ("one", "two", "three", "four"):
        kind = draw(st.sampled_from(sorted(CONTACTS)))
        control: dict[str, Any] = {"kind": kind, "inputs": {}, **draw(OPTIONS[kind])}
        silent = {f"position-{number}" for number in control.get("off", ())}
        for contact in TOGGLES.get(control.get("pattern", ""), CONTACTS[kind]):
            if draw(st.integers(0, 9)) and places and contact not in silent:
                table, place = places.pop()
                control.setdefault(table, {})[contact] = place
            takes_input = control.get("reports") != "changes" or contact != "off"
            if draw(st.integers(0, 9)) and along is None and takes_input:
                control["inputs"][contact] = numbers.pop()
        controls[name] = control
    wiring: dict[str, Any] = {
        "rows": [f"D{n}" for n in range(rows)],
        "columns": [f"D{n}" for n in range(10, 10 + columns)],
        "driven": draw(st.sampled_from(["rows", "columns"])),
        "diodes": draw(st.sampled_from(["every", "none", [*controls][:2]])),
        "unused": draw(st.sampled_from(["counted", "skipped"])),
        **({"numbering": along} if along else {}),
        "banks": BANKS,
    }
    if length:
        one = {"latch": "D30", "clock": "D31", "data": "D32", "length": length}
        other = {**one, "data": "D33", "active": "high"}
        split = [{**one, "length": 2}, {**other, "length": length - 2}]
        wiring |= draw(st.sampled_from([{"chain": one}, {"chains": split}]))
    return make_device(
        "random", wiring, controls, **({"report": {"buttons": most}} if most else {})
    )


REPORTS = st.sampled_from(["state", "edges"])
OPTIONS: dict[str, st.SearchStrategy[dict[str, Any]]] = {
    "momentary": st.just({}),
    "latching": st.one_of(
        st.fixed_dictionaries({"reports": st.sampled_from(["state", "edges", "changes"])}),
        st.fixed_dictionaries({"reports": REPORTS, "pattern": st.sampled_from(sorted(TOGGLES))}),
    ),
    "selector": st.fixed_dictionaries(
        {
            "reports": REPORTS,
            "positions": st.just(3),
            "off": st.sampled_from([[], [1], [2]]),
            "spring": st.sampled_from([[], [1], [3]]),
            "switching": st.sampled_from(["break-before-make", "make-before-break"]),
        }
    ),
    "rotary": st.fixed_dictionaries(
        {
            "steps_per_detent": st.sampled_from([1, 2, 4]),
            "gap": st.sampled_from([2.0, 5.0]),
            "opposite": st.sampled_from(["queue", "cancel"]),
        }
    ),
}


@settings(max_examples=400, deadline=None)
@given(boxes(), st.data())
def test_any_box_is_reported_alike(device: Device, data: st.DataObject) -> None:
    """Any contacts with a wire close, then any others; no rotary turns on the way."""
    turns = {n for n, control in device.controls.items() if isinstance(control, Rotary)}
    contacts = [one for one in wired(device) if one.control not in turns or one.contact in FINGERS]
    some = st.frozensets(st.sampled_from(contacts)) if contacts else st.just(frozenset[Contact]())
    frames = [data.draw(some), data.draw(some)]
    assert find_differences(device, build_firmware(device), frames) == []


@settings(max_examples=100, deadline=None)
@given(boxes())
def test_any_rotary_is_reported_alike(device: Device) -> None:
    firmware = build_firmware(device)
    places = DeviceFacts(device).circuit.places
    for name, control in device.controls.items():
        channels = {Contact(name, "clockwise"), Contact(name, "anticlockwise")}
        if isinstance(control, Rotary) and channels.isdisjoint(places):
            check_turns(device, firmware, name, control)
