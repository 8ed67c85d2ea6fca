"""Obeying a remedy of the layout is the end of its finding, and never leads to the opposite one.

On random crowded plates each remedy is obeyed to the letter; so is each remedy of what is new then.
"""

import copy
import re
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.checks import layout
from profiles.facts.survey import Survey
from profiles.model import Device, Finding, Library
from profiles.plate.moves import MOST_SEARCHES
from tests.checks.build import device

State = dict[str, Any]
"""The content of a device."""

MOVE = re.compile(r"ove (`(?P<key>\w+)`|screw (?P<screw>\d+)|the words).*? to \[(?P<at>[^]]+)\]")
ENLARGE = re.compile(r"Enlarge the plate to (\S+) by (\S+) mm")

sizes = st.sampled_from([6.0, 12.0, 18.0, 30.0])
kinds = st.sampled_from(["momentary", "latching", "rotary"])


@st.composite
def crowded(draw: st.DrawFn) -> State:
    """A small plate on and beside which too much stands."""
    width, height = draw(st.sampled_from([60.0, 90.0, 140.0])), draw(st.sampled_from([25.0, 70.0]))
    places = st.tuples(st.integers(-10, int(width) + 10), st.integers(-10, int(height) + 10))
    points = places.map(lambda point: [float(one) for one in point])
    controls: dict[str, State] = {}
    for name in "abcdef"[: draw(st.integers(1, 6))]:
        hole, front = draw(sizes), draw(sizes)
        one = {"kind": draw(kinds), "label": name, "position": draw(points), "hole": hole}
        controls[name] = one | ({"front": front} if front > hole or draw(st.booleans()) else {})
    screws = [
        {"position": draw(points), "hole": 4.0} | ({"head": 8.0} if draw(st.booleans()) else {})
        for _ in range(draw(st.integers(0, 2)))
    ]
    words = [{"text": "PORT", "position": draw(points)}] if draw(st.booleans()) else []
    plate: State = {"width": width, "height": height}
    plate |= {"corner_radius": draw(st.sampled_from([0.0, 8.0]))}
    plate |= {"screws": screws, "engravings": words}
    fixtures = {"plug": {"kind": "blank-plug", "position": draw(points), "hole": draw(sizes)}}
    fixtures = fixtures if draw(st.booleans()) else {}
    head = {"id": "desk", "name": "Desk"}
    return {
        "format": 1,
        "device": head,
        "plate": plate,
        "controls": controls,
        "fixtures": fixtures,
    }


def read(state: State) -> list[Finding]:
    survey = Survey(Library.of([Device.model_validate(state)]))
    return [one for check in layout.CHECKS for one in check(survey)]


def identify(finding: Finding) -> tuple[str, str, str]:
    return finding.code, finding.subject, finding.message


def obey(state: State, finding: Finding) -> State:
    then = copy.deepcopy(state)
    plate, remedy = then["plate"], finding.remedy
    if finding.code == "hole-beyond-front":
        control = then["controls"][finding.spot.path[1]]
        control["front"] = control["hole"]
        return then
    if written := re.findall(r"`(width|height) = ([^`]+)`", remedy):
        plate.update((key, float(value)) for key, value in written)
        return then
    if size := ENLARGE.match(remedy):
        plate["width"], plate["height"] = map(float, size.groups())
    match = MOVE.search(remedy)
    assert match, remedy
    at = [float(one) for one in match["at"].split(",")]
    if key := match["key"]:
        (then["controls"] if key in then["controls"] else then["fixtures"])[key]["position"] = at
    elif screw := match["screw"]:
        plate["screws"][int(screw) - 1]["position"] = at
    else:
        plate["engravings"][0]["position"] = at
    return then


@settings(max_examples=15, deadline=None)
@given(crowded(), st.data())
def test_obeying_a_remedy_of_the_layout_never_leads_to_the_opposite_one(
    state: State, data: st.DataObject
) -> None:
    before = read(state)
    told = {identify(one) for one in before}
    if not before:
        return
    finding = data.draw(st.sampled_from(before))
    then = obey(state, finding)
    after = read(then)
    assert identify(finding) not in {identify(one) for one in after}, finding.remedy
    if found := [one for one in after if identify(one) not in told]:
        new = data.draw(st.sampled_from(found))
        left = {identify(one) for one in read(obey(then, new))}
        assert identify(finding) not in left, (finding.remedy, new.remedy)


@settings(max_examples=5, deadline=None)
@given(crowded())
def test_obeying_remedies_one_after_the_other_ends(state: State) -> None:
    """Each time the first one; notes on distances too."""
    for _ in range(40):
        found = read(state)
        if not found:
            return
        state = obey(state, found[0])
    raise AssertionError(f"still {found[0].message}: {found[0].remedy}")


def crowd(number: int) -> Device:
    """As many controls in a row, each of which overlaps its neighbours."""
    text = "".join(
        f"[controls.c{n}]\nposition = [{20.0 + 2 * n}, 50.0]\nhole = 16.0\n" for n in range(number)
    )
    return Device.model_validate(device(text).plain())


def read_remedies(sound: Device) -> list[str]:
    found = layout.check_holes(Survey(Library.of([sound])))
    return [one.remedy for one in found if one.code == "holes-overlap"]


def test_on_a_hopeless_plate_places_are_looked_for_a_few_times_alone() -> None:
    remedies = read_remedies(crowd(MOST_SEARCHES + 2))
    assert remedies[-2:] == [
        "Move `c40` by 30.0 mm, to [111.5, 77.7]",
        "Enlarge the plate to 446 by 300 mm and move `c41` to [434.1, 150]",
    ]


@pytest.mark.parametrize("number", [3, MOST_SEARCHES + 2])
def test_whoever_asks_for_places_again_is_told_the_same(number: int) -> None:
    crowded = crowd(number)
    first = read_remedies(crowded)
    assert first
    assert [read_remedies(crowded) for _ in range(MOST_SEARCHES)] == [first] * MOST_SEARCHES
