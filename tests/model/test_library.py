"""The library: names resolved, loose ends kept with one close spelling."""

from typing import Any

import pytest

from profiles.model import (
    Application,
    Device,
    DeviceContact,
    Library,
    Profile,
    Spot,
    UnresolvedName,
)


def device(name: str = "desk", **controls: str) -> Device:
    plain = {
        control: {"kind": kind, "label": control, "position": [10, 10], "hole": 16.2}
        for control, kind in controls.items()
    }
    header = {"id": name, "name": name}
    plate = {"width": 100, "height": 60}
    return Device.model_validate({"format": 1, "device": header, "plate": plate, "controls": plain})


def application(**actions: dict[str, Any]) -> Application:
    plain = {key.replace("_", "-"): {"name": key, **fields} for key, fields in actions.items()}
    header = {"id": "harbour", "name": "Harbour"}
    return Application.model_validate({"format": 1, "application": header, "actions": plain})


def profile(bindings: dict[str, Any], **header: Any) -> Profile:
    given = {"application": "harbour", **(header if header else {"device": "desk"})}
    return Profile.model_validate({"format": 1, "profile": given, "bindings": bindings})


def loose_of(*documents: Device | Application | Profile) -> tuple[UnresolvedName, ...]:
    return Library.of(documents).links[0].loose


def test_a_binding_resolves_to_contact_and_action() -> None:
    library = Library.of(
        [
            device(horn="momentary", shift="latching"),
            application(sound={"legend": "HORN"}),
            profile({"shift + horn": "sound"}),
        ]
    )
    (bound,) = library.link("harbour-on-desk").bound
    assert bound.held == (DeviceContact("desk", "shift", "on"),)
    assert bound.acting == DeviceContact("desk", "horn", "press")
    assert bound.legend == "HORN"


def test_a_legend_in_the_profile_wins() -> None:
    written = {"horn": {"action": "sound", "legend": "TOOT"}}
    library = Library.of(
        [device(horn="momentary"), application(sound={"legend": "HORN"}), profile(written)]
    )
    assert library.links[0].bound[0].legend == "TOOT"


@pytest.mark.parametrize(
    ("key", "action", "kind", "word", "suggestion"),
    [
        ("hron", "sound", "control", "hron", "horn"),
        ("trim.clokwise", "sound", "contact", "clokwise", "clockwise"),
        ("trim", "sound", "contact", "trim", None),
        ("dsek/horn", "sound", "device", "dsek", "desk"),
        ("horn", "sounds", "action", "sounds", "sound"),
        ("horn", "whistle", "action", "whistle", None),
    ],
)
def test_a_name_that_leads_nowhere_is_kept_with_one_suggestion(
    key: str, action: str, kind: str, word: str, suggestion: str | None
) -> None:
    box = device(horn="momentary", trim="rotary")
    loose = loose_of(box, application(sound={}), profile({key: action}))
    spot = Spot("harbour-on-desk", ("bindings", key))
    assert loose == (UnresolvedName(spot, kind, word, suggestion),)


def test_a_missing_application_is_one_loose_end() -> None:
    loose = loose_of(device(horn="momentary"), profile({"horn": "sound"}))
    spot = Spot("harbour-on-desk", ("profile", "application"))
    assert loose == (UnresolvedName(spot, "application", "harbour", None),)


def test_a_missing_device_does_not_blame_its_controls() -> None:
    loose = loose_of(application(sound={}), profile({"horn": "sound"}))
    spot = Spot("harbour-on-desk", ("profile", "device"))
    assert loose == (UnresolvedName(spot, "device", "desk", None),)


def test_a_control_on_two_devices_needs_its_device_named() -> None:
    boxes = [device("desk", horn="momentary"), device("pod", horn="momentary")]
    both = profile({"horn": "sound", "pod/horn": "sound"}, devices=["desk", "pod"])
    link = Library.of([*boxes, application(sound={}), both]).links[0]
    assert [loose.kind for loose in link.loose] == ["one device"]
    assert [str(bound.acting) for bound in link.bound] == ["pod/horn.press"]


def test_a_spot_writes_its_path_as_toml_would() -> None:
    assert str(Spot("desk", ("bindings", 'a "b" + c', 0))) == 'desk:bindings."a \\"b\\" + c".0'


def test_an_application_writes_numbers_its_own_way() -> None:
    # HID buttons count from 1 (HUT 1.12, page 0x09); a title that shows the first as 0 shifts all.
    header = {"id": "a", "name": "A", "first_number": 0, "number_format": "BTN{n}"}
    title = Application.model_validate({"format": 1, "application": header, "actions": {}})
    assert title.write_number(1) == "BTN0"
