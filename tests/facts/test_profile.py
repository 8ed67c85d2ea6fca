"""What a profile makes of a control: in use or free, and the findings that are about it."""

from typing import Any

import pytest

from profiles.facts.profile import control_facts, controls_of, unbound_actions
from profiles.facts.survey import facts_of, survey_of
from profiles.model import (
    Application,
    DeviceContact,
    Finding,
    Library,
    Profile,
    Related,
    Spot,
)
from tests.firmware.boxes import make_device


def make_profile(name: str, bindings: dict[str, Any]) -> Profile:
    header = {"id": name, "application": "tram", "device": "desk"}
    return Profile.model_validate({"format": 1, "profile": header, "bindings": bindings})


def make_library(**profiles: dict[str, Any]) -> Library:
    """A desk of two buttons, a lever and a knob, and profiles of one title."""
    desk = make_device(
        "desk",
        {},
        {
            "horn": {"kind": "momentary", "pin": "2", "input": 1},
            "shift": {"kind": "momentary", "pin": "3", "input": 2, "label": "SHIFT"},
            "lever": {"kind": "latching", "pin": "4", "inputs": {"on": 3, "off": 4}},
            "knob": {
                "kind": "rotary",
                "pins": {"clockwise": "5", "anticlockwise": "6"},
                "inputs": {"clockwise": 5, "anticlockwise": 6},
            },
        },
    )
    actions = {
        "toot": {"name": "Toot", "need": "want"},
        "fog": {"name": "Fog signal", "legend": "FOG", "need": "must"},
        "stop": {"name": "Stop", "behaviour": "held"},
    }
    title = {"format": 1, "application": {"id": "tram", "name": "Tram"}, "actions": actions}
    documents = [make_profile(name, bindings) for name, bindings in profiles.items()]
    return Library.of([desk, Application.model_validate(title), *documents])


def states(library: Library, profile: str, findings: tuple[Finding, ...] = ()) -> dict[str, str]:
    facts = control_facts(library.devices["desk"], library.link(profile), findings)
    return {key: one.state for key, one in facts.items()}


def test_a_control_that_a_chord_holds_is_in_use() -> None:
    library = make_library(ride={"shift + horn": "fog"})
    facts = control_facts(library.devices["desk"], library.link("ride"), ())

    assert states(library, "ride") == {
        "horn": "bound",
        "shift": "bound",
        "lever": "unbound",
        "knob": "unbound",
    }
    (held,) = facts["shift"].contacts
    assert (held.bound, [one.action_id for one in held.held_for]) == ((), ["fog"])
    assert (facts["horn"].legend, facts["shift"].legend, facts["lever"].legend) == (
        "+FOG",
        "SHIFT",
        "LEVER",
    )


def test_a_control_of_which_one_contact_is_in_use_is_bound_in_part() -> None:
    library = make_library(ride={"lever": "stop", "knob.clockwise": "toot"})
    assert states(library, "ride")["lever"] == "part"
    assert states(library, "ride")["knob"] == "part"


def test_without_a_profile_a_control_shows_its_own_words() -> None:
    library = make_library()
    facts = control_facts(library.devices["desk"], None, ())
    assert {key: (one.state, one.legend) for key, one in facts.items()} == {
        "horn": ("unbound", "HORN"),
        "shift": ("unbound", "SHIFT"),
        "lever": ("unbound", "LEVER"),
        "knob": ("unbound", "KNOB"),
    }


def test_only_errors_and_warnings_make_a_conflict() -> None:
    library = make_library(ride={"horn": "toot"})
    found = {
        severity: Finding("x", severity, "m", "r", Spot("desk", ("controls", "horn", "input")))
        for severity in ("error", "warning", "note")
    }
    shown = {key: states(library, "ride", (one,))["horn"] for key, one in found.items()}
    assert shown == {"error": "conflict", "warning": "conflict", "note": "bound"}


@pytest.mark.parametrize(
    ("spot", "related", "controls"),
    [
        (Spot("desk", ("controls", "horn", "input")), [], ["horn"]),
        (Spot("ride", ("bindings", "shift + horn")), [], ["horn", "shift"]),
        (Spot("ride", ("bindings",)), [Spot("desk", ("controls", "lever"))], ["lever"]),
        (Spot("other", ("bindings", "horn")), [Spot("desk", ("controls", "horn"))], []),
        (Spot("desk", ("controls", "gone")), [], []),
        (Spot("desk", ("wiring", "rows")), [], []),
    ],
)
def test_a_finding_is_about_the_controls_of_this_profile_alone(
    spot: Spot, related: list[Spot], controls: list[str]
) -> None:
    library = make_library(ride={"shift + horn": "fog"}, other={"horn": "toot"})
    finding = Finding("x", "error", "m", "r", spot, tuple(Related("", one) for one in related))
    assert controls_of(library.devices["desk"], library.link("ride"), finding) == controls


def test_what_is_still_to_bind_comes_by_need() -> None:
    library = make_library(ride={"horn": "stop"})
    assert list(unbound_actions(library.link("ride"))) == ["fog", "toot"]


def test_used_contacts_are_those_that_act_or_are_held() -> None:
    library = make_library(ride={"shift + horn": "fog", "lever": "stop"})
    (link,) = survey_of(library).links
    assert link.used == {
        DeviceContact("desk", "shift", "press"),
        DeviceContact("desk", "horn", "press"),
        DeviceContact("desk", "lever", "on"),
    }


def test_facts_of_a_library_are_worked_out_once() -> None:
    library = make_library(ride={})
    assert facts_of(library, "desk") is facts_of(library, "desk")
    assert survey_of(library).links[0].devices == [facts_of(library, "desk")]
    assert facts_of(make_library(), "desk") is not facts_of(library, "desk")


def test_what_leaves_a_device_as_it_is_leaves_its_facts_too() -> None:
    before = make_library(ride={"horn": "toot"})
    device, applications = before.devices["desk"], before.applications
    same = Library(before.devices, applications, {})
    moved = device.model_copy(update={"plate": device.plate.model_copy(update={"width": 999.0})})
    changed = Library({"desk": moved}, applications, {})
    assert facts_of(same, "desk") is facts_of(before, "desk")
    assert facts_of(changed, "desk") is not facts_of(before, "desk")
    assert facts_of(changed, "desk").device is moved
