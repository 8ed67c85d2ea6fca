"""Obeying one remedy never leads to the opposite one.

Random boxes, some of whose contacts are numbered by their place and some by hand. What a remedy
says is done to the file as a person would do it, each of its alternatives by itself; no remedy of
what is new then brings the first finding back.
"""

import copy
import re
from collections.abc import Callable, Iterator
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.checks import bindings, electrical, numbers, pins, wires
from profiles.facts.device import DeviceFacts
from profiles.facts.survey import Survey
from profiles.model import Device, Finding, Library, Profile
from tests.checks.build import application

CHECKS = (
    *numbers.CHECKS,
    wires.check_bits,
    wires.check_ways,
    wires.check_halves,
    wires.check_unwired,
    wires.check_silent,
    *pins.CHECKS,
    electrical.check_numbers,
    electrical.check_crossings,
    bindings.check_inputs,
)
ACTION = application('[actions.stop]\nneed = "must"')
KINDS = {
    "momentary": ("press",),
    "latching": ("on", "off"),
    "rotary": ("clockwise", "anticlockwise", "press"),
}
State = dict[str, Any]
"""The content of a device and, under `bindings`, that of its profile."""

Obey = Callable[[State, Finding, re.Match[str]], Iterator[State]]


@st.composite
def boxes(draw: st.DrawFn) -> State:
    """A box with a matrix of two rows, perhaps a chain, and pins; faults of all kinds."""
    controls: dict[str, dict[str, Any]] = {}
    for name in "abcde"[: draw(st.integers(2, 5))]:
        kind = draw(st.sampled_from(list(KINDS)))
        control: dict[str, Any] = {"kind": kind, "label": name, "hole": 9.0}
        control["position"] = [20.0 + 40 * len(controls), 50.0]
        tables: dict[str, dict[str, Any]] = {"inputs": {}, "crossings": {}, "pins": {}, "bits": {}}
        for contact in KINDS[kind]:
            if draw(st.booleans()):
                tables["inputs"][contact] = draw(st.integers(1, 7))
            for way in draw(st.sampled_from([(), (), *WAYS, *WAYS, ("crossings", "pins")])):
                tables[way][contact] = draw(PLACES[way])
        controls[name] = control | {key: table for key, table in tables.items() if table}
    wiring: dict[str, Any] = {"rows": ["r1", "r2"], "columns": ["c1", "c2"], "diodes": "every"}
    if along := draw(st.sampled_from([None, "along-rows", "along-columns"])):
        wiring |= {"numbering": along, "first_input": draw(st.integers(1, 3))}
    if draw(st.booleans()):
        wiring["chain"] = {"length": 3, "latch": "l", "clock": "k", "data": "d"}
    whole: State = {"format": 1, "device": {"id": "desk", "name": "Desk"}, "wiring": wiring}
    whole["plate"] = {"width": 300.0, "height": 100.0}
    if draw(st.booleans()):
        whole["device"]["report"] = {"buttons": draw(st.integers(2, 8))}
    bound = draw(st.lists(st.sampled_from(sorted(controls)), max_size=2, unique=True))
    return {**whole, "controls": controls, "bindings": bound}


WAYS = (("crossings",), ("pins",), ("bits",))
PLACES = {
    "crossings": st.tuples(st.integers(1, 3), st.integers(1, 2)).map(list),
    "pins": st.sampled_from(["p1", "p2", "p3", "r1"]),
    "bits": st.integers(1, 4),
}


def read(state: State) -> tuple[Device, list[Finding]]:
    content = {key: value for key, value in state.items() if key != "bindings"}
    box = Device.model_validate(content)
    names = {
        name if contact == box.controls[name].main_contact else f"{name}.{contact}": "stop"
        for name in state["bindings"]
        for contact in [box.controls[name].main_contact or box.controls[name].contacts[0]]
    }
    play = Profile.model_validate(
        {
            "format": 1,
            "profile": {"id": "play", "application": "harbour", "device": "desk"},
            "bindings": names,
        }
    )
    survey = Survey(Library.of([box, ACTION, play]))
    return box, [one for check in CHECKS for one in check(survey)]


def identify(finding: Finding) -> tuple[str, str, str]:
    return finding.code, finding.subject, finding.message


def contact_of(state: State, word: str) -> tuple[str, str]:
    """Control and contact of a name in a message."""
    control, _, contact = word.partition(".")
    return control, contact or KINDS[state["controls"][control]["kind"]][0]


def changed(state: State, *steps: tuple[tuple[str, ...], Any]) -> State:
    """A state with values at paths; None takes a key away."""
    state = copy.deepcopy(state)
    for path, value in steps:
        table = state
        for key in path[:-1]:
            table = table.setdefault(key, {})
        if value is None:
            table.pop(path[-1], None)
        else:
            table[path[-1]] = value
    return state


def used(state: State, key: str) -> list[Any]:
    return [one for control in state["controls"].values() for one in control.get(key, {}).values()]


def free_numbers(state: State) -> Iterator[int]:
    taken = set(DeviceFacts(read(state)[0]).inputs.values())
    yield from (n for n in range(1, 40) if n not in taken and n not in used(state, "inputs"))


def free_places(state: State, way: str) -> list[Any]:
    wiring, taken = state["wiring"], used(state, way)
    everywhere: dict[str, list[Any]] = {
        "crossing": [
            [row, column]
            for row in range(1, len(wiring["rows"]) + 1)
            for column in range(1, len(wiring["columns"]) + 1)
        ],
        "bit": list(range(1, wiring.get("chain", {}).get("length", 0) + 1)),
        "pin": [f"p{n}" for n in range(10, 30)],
    }
    return [one for one in everywhere[way.removesuffix("s")] if one not in taken]


def at(state: State, word: str, key: str) -> tuple[str, ...]:
    control, contact = contact_of(state, word)
    return ("controls", control, key, contact)


def number_freely(state: State, finding: Finding, match: re.Match[str]) -> Iterator[State]:
    yield changed(state, (at(state, match[1], "inputs"), next(free_numbers(state))))


def number_lower(state: State, finding: Finding, match: re.Match[str]) -> Iterator[State]:
    word = re.findall("`([^`]+)`", finding.message)[0]
    number, most = next(free_numbers(state)), state["device"].get("report", {}).get("buttons", 99)
    if number <= most:
        yield changed(state, (at(state, word, "inputs"), number))


def set_number(state: State, finding: Finding, match: re.Match[str]) -> Iterator[State]:
    yield changed(state, (at(state, match[1], "inputs"), int(match[2])))


def set_numbering(state: State, finding: Finding, match: re.Match[str]) -> Iterator[State]:
    values = re.findall(r"wiring\.(\w+) to \"?([\w-]+)", finding.remedy)
    steps = [(("wiring", key), int(word) if word.isdigit() else word) for key, word in values]
    yield changed(state, *steps)


def move(state: State, finding: Finding, match: re.Match[str]) -> Iterator[State]:
    way = {"crossing": "crossings", "bit": "bits", "pin": "pins"}[match[2]]
    if match[1] not in ("`c", "") and "." not in match[1] and match[1] not in state["controls"]:
        return  # a line of the matrix or the chain
    for place in free_places(state, way):
        yield changed(state, (at(state, match[1], way), place))


def correct_place(state: State, finding: Finding, match: re.Match[str]) -> Iterator[State]:
    word = re.findall("`([^`]+)`", finding.message)[0]
    declared = finding.message.split(" input ")[1].split(",")[0].split(" of")[0]
    for way in ("crossings", "bits"):
        for place in free_places(state, way):
            control, contact = contact_of(state, word)
            if contact in state["controls"][control].get(way, {}):
                moved = changed(state, (at(state, word, way), place))
                inputs = DeviceFacts(read(moved)[0]).inputs
                most = state["device"].get("report", {}).get("buttons", 99)
                number = {tuple(key): n for key, n in inputs.items()}.get((control, contact), 99)
                wanted = number <= most if "lower" in match[0] else number == int(declared)
                if wanted:
                    yield moved


def declare_more(state: State, finding: Finding, match: re.Match[str]) -> Iterator[State]:
    yield changed(state, (("device", "report", "buttons"), int(match[1])))


def wire(state: State, finding: Finding, match: re.Match[str]) -> Iterator[State]:
    """Give every contact named a place; and a number, where that is asked too."""
    words = re.findall("`([^`]+)`", finding.remedy.split(" a crossing")[0])
    words = words or re.findall("`([^`]+)`", finding.message)[:1]
    for way in ("crossings", "pins", "bits"):
        then = state
        for word in words:
            if place := next(iter(free_places(then, way)), None):
                then = changed(then, (at(then, word, way), place))
                if "an input number" in finding.remedy.split(" a crossing")[0]:
                    number = next(free_numbers(then))
                    then = changed(then, (at(then, word, "inputs"), number))
        if then is not state:
            yield then


def number_only(state: State, finding: Finding, match: re.Match[str]) -> Iterator[State]:
    word = re.findall("`([^`]+)`", finding.message)[0]
    yield changed(state, (at(state, word, "inputs"), next(free_numbers(state))))


def remove_numbers(state: State, finding: Finding, match: re.Match[str]) -> Iterator[State]:
    words = re.findall("`([^`]+)`", finding.remedy)
    yield changed(state, *((at(state, word, "inputs"), None) for word in words))


def unbind(state: State, finding: Finding, match: re.Match[str]) -> Iterator[State]:
    name = str(finding.spot.path[1])
    yield {**state, "bindings": [one for one in state["bindings"] if one != name]}


def keep_one(state: State, finding: Finding, match: re.Match[str]) -> Iterator[State]:
    (word,) = re.findall("`([^`]+)`", finding.message)
    control, contact = contact_of(state, word)
    ways = [way for (way,) in WAYS if contact in state["controls"][control].get(way, {})]
    for kept in ways:
        yield changed(state, *((at(state, word, way), None) for way in ways if way != kept))


def correct_crossing(state: State, finding: Finding, match: re.Match[str]) -> Iterator[State]:
    word = re.findall("`([^`]+)`", finding.message)[0]
    for place in free_places(state, "crossings"):
        yield changed(state, (at(state, word, "crossings"), place))
    yield changed(state, (("wiring", "rows"), ["r1", "r2", "r3"]))


def correct_bit(state: State, finding: Finding, match: re.Match[str]) -> Iterator[State]:
    word = re.findall("`([^`]+)`", finding.message)[0]
    for place in free_places(state, "bits"):
        yield changed(state, (at(state, word, "bits"), place))
    yield changed(state, (("wiring", "chain", "length"), 4))


def add_chain(state: State, finding: Finding, match: re.Match[str]) -> Iterator[State]:
    chain = {"length": 4, "latch": "l", "clock": "k", "data": "d"}
    yield changed(state, (("wiring", "chain"), chain))


def complete(state: State, finding: Finding, match: re.Match[str]) -> Iterator[State]:
    control, way = re.findall(r"`(\w)` is \w+ (\w+) only", finding.message)[0]
    word = f"{control}.{'anticlockwise' if way == 'clockwise' else 'clockwise'}"
    then = state
    if finding.about == "wired":
        then = changed(then, (at(then, word, "pins"), free_places(then, "pins")[0]))
    if then["wiring"].get("numbering") is None or finding.about == "numbered":
        then = changed(then, (at(then, word, "inputs"), next(free_numbers(then))))
    yield then


def close_gap(state: State, finding: Finding, match: re.Match[str]) -> Iterator[State]:
    numbers = sorted(set(used(state, "inputs")))
    then = copy.deepcopy(state)
    for control in then["controls"].values():
        table = control.get("inputs", {})
        table.update({contact: numbers.index(n) + 1 for contact, n in table.items()})
    yield then


def add_common(state: State, finding: Finding, match: re.Match[str]) -> Iterator[State]:
    yield changed(state, (("controls", str(finding.spot.path[1]), "common"), "GND"))


REMEDIES: dict[str, Obey] = {
    r"Give `([^`]+)` a number of its own": number_freely,
    r"number it lower": number_lower,
    r"move it to a lower place": correct_place,
    r"Set `([^`]+)` to (\d+)": set_number,
    r"correct its place": correct_place,
    r"Set wiring\.": set_numbering,
    r"Move `([^`]+)` to a free (crossing|bit|pin)": move,
    r"Declare at least (\d+) buttons": declare_more,
    r"a crossing, a pin or a bit": wire,
    r"Give it an input number(?!, and)": number_only,
    r"remove the input number": remove_numbers,
    r"remove the binding": unbind,
    r"Keep the one that is soldered": keep_one,
    r"Correct the crossing": correct_crossing,
    r"Correct the bit": correct_bit,
    r"Describe the shift-register chain": add_chain,
    r"Give the other direction its place and its number": complete,
    r"Close the gap": close_gap,
    r"Add `common": add_common,
    r"^Move (row|column|register|the LED)": lambda state, finding, match: iter(()),
}
"""What a remedy says, and who does it; what moves a line of the matrix is left alone."""


def obey(state: State, finding: Finding) -> Iterator[State]:
    found = [(act, m) for words, act in REMEDIES.items() if (m := re.search(words, finding.remedy))]
    assert found, f"nobody can do: {finding.remedy}"
    for act, match in found:
        yield from act(state, finding, match)


@settings(max_examples=60, deadline=None)
@given(boxes())
def test_obeying_a_remedy_never_leads_to_the_opposite_remedy(state: State) -> None:
    _, before = read(state)
    told = {identify(one) for one in before}
    for finding in before:
        for then in obey(state, finding):
            _, after = read(then)
            assert identify(finding) not in {identify(one) for one in after}, finding.remedy
            for new in after:
                if identify(new) not in told:
                    for last in obey(then, new):
                        left = {identify(one) for one in read(last)[1]}
                        assert identify(finding) not in left, (finding.remedy, new.remedy)
