"""The bundled library: big enough to be real, and without a fault."""

from itertools import combinations
from math import hypot
from pathlib import Path

import pytest

from profiles.checks.registry import run_checks
from profiles.files.library import LoadedLibrary, load_library
from profiles.model import Device, DeviceContact, Link

FOLDER = Path(__file__).parents[2] / "example_profiles" / "harbour"


@pytest.fixture(scope="module")
def harbour() -> LoadedLibrary:
    return load_library(FOLDER)


@pytest.fixture(scope="module")
def desk(harbour: LoadedLibrary) -> Device:
    return harbour.library.devices["helm-desk"]


def test_every_file_is_read_without_a_problem(harbour: LoadedLibrary) -> None:
    kinds = (".toml", ".yaml", ".json")
    files = [path for path in FOLDER.rglob("*") if path.suffix in kinds]

    assert harbour.problems == ()
    assert harbour.notes == ()
    assert len(harbour.sources) == len(files) == 9


def test_all_three_formats_stand_side_by_side(harbour: LoadedLibrary) -> None:
    assert {source.format for source in harbour.sources.values()} == {"toml", "yaml", "json"}


def test_check_finds_nothing_but_what_is_accepted(harbour: LoadedLibrary) -> None:
    result = run_checks(harbour.library)

    assert result.findings == ()
    assert [one.finding.code for one in result.accepted] == ["held-while-binding", "axes-absent"]


def test_desk_has_24_controls_of_all_kinds_on_ten_lines(desk: Device) -> None:
    """24 controls on 10 lines of a matrix: rule of thumb."""
    kinds = {control.kind for control in desk.controls.values()}
    crossings = [
        place
        for control in desk.controls.values()
        for place in control.crossing_by_contact.values()
    ]

    assert len(desk.controls) == 24
    assert kinds == {"momentary", "latching", "rotary", "selector"}
    assert len(desk.wiring.rows) + len(desk.wiring.columns) == 10
    assert sorted(crossings) == [(row, column) for row in range(1, 6) for column in range(1, 6)]


def test_small_device_gives_every_contact_a_pin_and_a_number(harbour: LoadedLibrary) -> None:
    box = harbour.library.devices["lookout-box"]

    assert len(box.controls) == 7
    for control in box.controls.values():
        assert control.pin_by_contact.keys() == control.input_by_contact.keys()


def test_three_applications_have_25_actions_or_more(harbour: LoadedLibrary) -> None:
    counts = {key: len(one.actions) for key, one in harbour.library.applications.items()}

    assert sorted(counts) == ["brackwater", "cobblegate", "ninefold"]
    assert min(counts.values()) >= 25


def test_applications_differ_in_how_they_count_and_look(harbour: LoadedLibrary) -> None:
    headers = [one.application for one in harbour.library.applications.values()]

    for key in ("number_format", "buttons", "frame_rate", "interface", "contexts"):
        assert len({getattr(header, key) for header in headers}) == 3
    assert {header.first_number for header in headers} == {0, 1}
    assert {header.inputs_per_action for header in headers} == {1, 2}


def test_every_behaviour_and_need_is_shown(harbour: LoadedLibrary) -> None:
    for application in harbour.library.applications.values():
        actions = application.actions.values()
        assert {one.behaviour for one in actions} == {"pulse", "held", "follows", "step"}
        assert {one.need for one in actions} == {"must", "want", "may"}


def test_each_application_has_a_full_profile_of_the_desk(harbour: LoadedLibrary) -> None:
    """Every numbered contact acts, or is held for a chord."""
    full = [link for link in harbour.library.links if not resting(link)]

    assert {link.profile.profile.application for link in full} == set(harbour.library.applications)


def resting(link: Link) -> set[DeviceContact]:
    used = {contact for one in link.bound for contact in (*one.held, one.acting)}
    numbered = {
        DeviceContact(device.id, control_id, contact)
        for device in link.devices
        for control_id, control in device.controls.items()
        for contact in {**control.input_by_contact, **control.crossing_by_contact}
    }
    return numbered - used


def test_profiles_show_what_a_profile_can_say(harbour: LoadedLibrary) -> None:
    """Several devices, a chord, the long form, two actions on one contact, a legend and a note."""
    links = harbour.library.links
    uses = [use for link in links for _, _, uses in link.profile.entries for use in uses]

    assert any(len(link.devices) == 2 for link in links)
    assert any(one.held for link in links for one in link.bound)
    assert any(len(uses) == 2 for link in links for _, _, uses in link.profile.entries)
    assert any(use.legend for use in uses)
    assert any(use.note for use in uses)


def test_every_action_that_must_or_should_be_bound_is_bound(harbour: LoadedLibrary) -> None:
    for link in harbour.library.links:
        assert link.application is not None
        needed = {key for key, one in link.application.actions.items() if one.need != "may"}
        assert needed <= {one.action_id for one in link.bound}


SEPARATION = {
    frozenset({"momentary"}): 13,
    frozenset({"momentary", "latching"}): 13,
    frozenset({"momentary", "rotary"}): 13,
    frozenset({"momentary", "selector"}): 13,
    frozenset({"latching"}): 19,
    frozenset({"latching", "rotary"}): 19,
    frozenset({"latching", "selector"}): 19,
    frozenset({"rotary"}): 25,
    frozenset({"rotary", "selector"}): 25,
}
"""Least separation edge to edge, mm: NUREG-0700 Rev.3, Table 11.5 for push-buttons and toggles;
FHWA ATIS guidelines, chapter 4 for rotaries (1.0 inch); MIL-STD-1472E, Table VII for a rotary
beside a selector."""


@pytest.mark.parametrize("device_id", ["helm-desk", "lookout-box"])
def test_controls_keep_the_published_separation(harbour: LoadedLibrary, device_id: str) -> None:
    """All fronts here are round, so the edges are half a diameter from the centres."""
    controls = harbour.library.devices[device_id].controls.values()

    for one, other in combinations(controls, 2):
        assert isinstance(one.front, float)
        assert isinstance(other.front, float)
        apart = hypot(one.position[0] - other.position[0], one.position[1] - other.position[1])
        assert (
            apart - one.front / 2 - other.front / 2 >= SEPARATION[frozenset({one.kind, other.kind})]
        )


@pytest.mark.parametrize("device_id", ["helm-desk", "lookout-box"])
def test_fronts_cover_their_holes_and_stay_on_the_plate(
    harbour: LoadedLibrary, device_id: str
) -> None:
    device = harbour.library.devices[device_id]
    plate = device.plate

    for control in device.controls.values():
        assert isinstance(control.front, float)
        assert isinstance(control.hole, float)
        reach = control.front / 2 + plate.edge
        assert control.hole < control.front
        assert reach <= control.position[0] <= plate.width - reach
        assert reach <= control.position[1] <= plate.height - reach


def test_leds_stay_within_what_the_port_may_give(desk: Device) -> None:
    """USB 2.0, 7.2.1: one unit load is 100 mA before configuration."""
    leds = sum(control.led.current for control in desk.controls.values() if control.led)

    assert 0 < leds < desk.wiring.usb_current <= 100
