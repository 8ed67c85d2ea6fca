"""The electrical verdict on whole devices with their profiles."""

from profiles.wiring.circuit import circuit_of
from profiles.wiring.electrical import Verdict, describe_hazard, judge_device
from tests.wiring.boxes import MIXED, device, library, profile

CHORD = '"trim.press + horn" = "go"'
SINGLES = 'horn = "go"\n"trim.press" = "stop"'


def verdict_on(text: str, bindings: str) -> Verdict:
    box = device(text)
    return judge_device(box, [library(box, profile(bindings)).link("profile")])


def test_two_contacts_are_safe_without_diodes_all_with_them() -> None:
    bare = verdict_on(MIXED, SINGLES)
    assert (bare.safe_any, bare.of) == (2, 6)
    every = verdict_on(MIXED.replace("[wiring]", '[wiring]\ndiodes = "every"'), CHORD)
    assert (every.safe_any, every.of) == (6, 6)
    assert every.states.hazards == every.profiles[0].failures.hazards == ()
    assert every.plan.diodes == frozenset()


def test_a_chord_fails_in_more_ways_than_its_presses_alone() -> None:
    chord, singles = verdict_on(MIXED, CHORD), verdict_on(MIXED, SINGLES)
    assert set(singles.profiles[0].failures.hazards) < set(chord.profiles[0].failures.hazards)
    assert singles.profiles[0].failures == singles.states


def test_the_plan_of_the_device_cures_every_profile() -> None:
    box = device(MIXED)
    shelf = library(box, profile(CHORD))
    verdict = judge_device(box, shelf.profiles_of("box"))
    assert verdict.plan.exact
    assert len(verdict.plan.diodes) >= len(verdict.profiles[0].plan.diodes)
    names = [
        f"{t.control}.{t.contact}"
        for place in sorted(verdict.plan.diodes)
        for t in verdict.circuit.contacts_at(place)
    ]
    listed = ", ".join(f'"{name}"' for name in names)
    cured = device(MIXED.replace("[wiring]", f"[wiring]\ndiodes = [{listed}]"))
    again = judge_device(cured, library(cured, profile(CHORD)).profiles_of("box"))
    assert again.states.hazards == again.profiles[0].failures.hazards == ()
    assert again.plan.diodes == frozenset()


def test_a_failing_set_is_told_in_words() -> None:
    box = device(MIXED)
    circuit = circuit_of(box)
    verdict = judge_device(box, [library(box, profile(CHORD)).link("profile")])
    told = [describe_hazard(circuit, hazard) for hazard in verdict.profiles[0].failures.hazards]
    assert (
        "horn.press + gear.on + trim.press also read as gear.off: from row 2, through trim.press "
        "to column 1, back through horn.press to row 1, through gear.on to column 2"
    ) in told
    assert len(told) == len(set(told))
