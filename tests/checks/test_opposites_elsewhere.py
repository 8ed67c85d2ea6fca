"""Obeying one remedy never leads to the opposite one: bindings; and distances on the plate.

As in `test_opposites`: what a remedy says is done as a person would do it, each of its ways by
itself. Of bindings no remedy of what is new brings the first finding back. On the plate what is
moved by the distance that a remedy names is right, whatever else is near it then.
"""

import re
from collections.abc import Iterator
from math import cos, pi, sin

from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.checks import bindings, layout
from profiles.facts.survey import Survey
from profiles.model import Application, Device, Finding, Library, Profile

CONTACTS = ("a", "b", "c", "d")
ACTIONS = {
    "stop": {"name": "Stop", "need": "must", "contexts": ["sea"]},
    "moor": {"name": "Moor", "need": "want", "contexts": ["port"]},
    "sound": {"name": "Sound"},
    "dim": {"name": "Dim", "contexts": ["sea"]},
}
PLAY = Application.model_validate(
    {
        "format": 1,
        "application": {"id": "play", "name": "Play", "inputs_per_action": 1},
        "actions": ACTIONS,
    }
)
State = tuple[tuple[str, str], ...]
"""Bindings: contact and action. A contact may do several."""

PAIRS = [(contact, action) for contact in CONTACTS for action in ACTIONS]
NUMBERED = CONTACTS[:3]
"""Contacts with an input; the last has none."""


def read(state: State) -> list[Finding]:
    controls = {
        name: {
            "kind": "momentary",
            "label": name,
            "position": [40.0 * at + 20, 50.0],
            "hole": 9.0,
            **({"input": at + 1} if name in NUMBERED else {}),
        }
        for at, name in enumerate(CONTACTS)
    }
    box = {"format": 1, "device": {"id": "desk", "name": "Desk"}, "controls": controls}
    box["plate"] = {"width": 300.0, "height": 100.0}
    bound: dict[str, list[str]] = {}
    for contact, action in state:
        bound.setdefault(contact, []).append(action)
    profile = Profile.model_validate(
        {
            "format": 1,
            "profile": {"id": "bound", "application": "play", "device": "desk"},
            "bindings": bound,
        }
    )
    survey = Survey(Library.of([Device.model_validate(box), PLAY, profile]))
    return [one for check in bindings.CHECKS for one in check(survey)]


def identify(finding: Finding) -> tuple[str, str]:
    return finding.code, finding.subject


def obey(state: State, finding: Finding) -> Iterator[State]:
    """Every state to which one of the ways of a remedy leads; none where it says to accept it."""
    words = re.findall("`([^`]+)`", finding.message)
    free = [contact for contact in NUMBERED if contact not in dict(state)]
    match finding.code:
        case "binding-repeated":
            at = state.index((words[0], words[1]))
            yield state[:at] + state[at + 1 :]
        case "contexts-collide":
            contact, action = words[0], words[2]
            rest = tuple(one for one in state if one != (contact, action))
            yield from ((*rest, (other, action)) for other in free)
        case "action-bound-often":
            action = words[0]
            mine = [one for one in state if one[1] == action]
            for kept in mine:
                yield tuple(one for one in state if one[1] != action or one == kept)
        case "must-unbound" | "want-unbound":
            yield from ((*state, (contact, words[0])) for contact in free)
        case "contact-idle":
            done = {action for _, action in state}
            unbound = [action for action in ACTIONS if action not in done]
            yield from ((*state, (words[0], action)) for action in unbound)
        case "contact-without-input":
            yield tuple(one for one in state if one[0] != words[0])
        case _:
            raise AssertionError(f"nobody can do: {finding.remedy}")


@given(st.lists(st.sampled_from(PAIRS), max_size=6).map(tuple))
def test_obeying_a_remedy_of_a_binding_never_leads_to_the_opposite_remedy(state: State) -> None:
    before = read(state)
    told = {identify(one) for one in before}
    for finding in before:
        for then in obey(state, finding):
            after = read(then)
            if identify(finding) in map(identify, after):
                assert len(then) < len(state), finding.remedy  # one of several alike
                continue
            for new in after:
                if identify(new) not in told:
                    for last in obey(then, new):
                        again = [identify(one) for one in read(last)]
                        assert identify(finding) not in again, (finding.remedy, new.remedy)


Places = dict[str, tuple[float, float]]
FRONTS = {"a": 18.0, "b": 24.0, "c": 15.0}


def lay_out(places: Places) -> list[Finding]:
    controls = {
        key: {
            "kind": "momentary",
            "label": key,
            "position": list(at),
            "hole": FRONTS[key] - 4,
            "front": FRONTS[key],
        }
        for key, at in places.items()
    }
    box = {"format": 1, "device": {"id": "desk", "name": "Desk"}, "controls": controls}
    box["plate"] = {"width": 200.0, "height": 150.0}
    survey = Survey(Library.of([Device.model_validate(box)]))
    return [one for check in layout.CHECKS for one in check(survey)]


def move(places: Places, finding: Finding) -> Iterator[Places]:
    """Each control that a finding names moved each way, by what the remedy says or by more."""
    words = [word for word in re.findall("`([^`]+)`", finding.message) if word in places]
    told = re.search(r"by ([\d.]+) mm", finding.remedy)
    lengths = [5.0, 20.0, 50.0]
    if told:  # in a corner both ways, so along the diagonal
        lengths = [float(told[1]) + 0.05, (float(told[1]) + 0.05) * 2**0.5]
    for word in dict.fromkeys(words):
        x, y = places[word]
        for way in range(16):
            for length in lengths:
                right, up = length * cos(way * pi / 8), length * sin(way * pi / 8)
                yield {**places, word: (round(x + right, 3), round(y + up, 3))}


positions = st.tuples(st.integers(5, 195), st.integers(5, 145)).map(
    lambda at: (float(at[0]), float(at[1]))
)


@settings(max_examples=40)
@given(st.fixed_dictionaries(dict.fromkeys(FRONTS, positions)))
def test_a_distance_that_a_remedy_of_the_plate_names_is_enough(places: Places) -> None:
    for finding in lay_out(places):
        assert any(
            identify(finding) not in map(identify, lay_out(then)) for then in move(places, finding)
        ), finding.remedy


def test_far_controls_have_no_findings() -> None:
    """The law above would hold of checks that find nothing."""
    assert lay_out({"a": (40.0, 75.0), "b": (100.0, 75.0), "c": (160.0, 75.0)}) == []
    near: Places = {"a": (6.0, 75.0), "b": (20.0, 75.0), "c": (160.0, 75.0)}
    assert {one.code for one in lay_out(near)} >= {"control-off-plate", "fronts-overlap"}
