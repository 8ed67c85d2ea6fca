"""From a device to its shapes, its labels and their places."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.lettering import REGULAR
from profiles.model.control import Selector
from profiles.model.device import Device
from profiles.plate.label_requests import Placed
from profiles.plate.labels import (
    Legend,
    fronts_of,
    heights,
    label_id,
    obstacles_of,
    place_again,
    place_legends,
    position_angle,
    request_labels,
)
from profiles.plate.outlines import centres_of, outline_of, outlines_of, screws_of
from profiles.plate.shapes import Disc, Rectangle, Rounded, gap, inset, touches

CONTROLS: dict[str, dict[str, Any]] = {
    "horn": {"kind": "momentary", "label": "HORN", "position": [30, 95], "hole": 16.2, "front": 18},
    "pump": {
        "kind": "latching", "label": "PUMP", "position": [70, 95], "hole": 12.1, "front": [13, 19],
        "rotation": 90.0,
    },
    "trim": {"kind": "rotary", "label": "TRIM", "position": [150, 60], "hole": 7, "front": 20},
    "mode": {
        "kind": "selector", "label": "MODE", "position": [60, 40], "hole": 9, "front": 22,
        "positions": 3,
    },
}  # fmt: skip


def device(controls: dict[str, dict[str, Any]] = CONTROLS, **plate: Any) -> Device:
    content = {
        "format": 1,
        "device": {"id": "desk", "name": "Desk"},
        "plate": {"width": 220.0, "height": 120.0, "corner_radius": 5.0, **plate},
        "controls": _as_floats(controls),
    }
    return Device.model_validate(content)


def _as_floats(controls: dict[str, dict[str, Any]]) -> dict[str, dict[str, Any]]:
    def exact(key: str, value: Any) -> Any:
        if key in ("hole", "front", "position", "label_at"):
            return [float(one) for one in value] if isinstance(value, list) else float(value)
        return value

    return {
        name: {key: exact(key, value) for key, value in control.items()}
        for name, control in controls.items()
    }


def at(found: Any) -> dict[str, Placed]:
    return {one.id: one for one in found.placed}


def test_a_control_becomes_its_front_and_its_hole() -> None:
    horn, pump, *_ = outlines_of(device())
    assert (horn.id, horn.kind, horn.front, horn.hole) == (
        "horn", "momentary", Disc(30, 95, 9), Disc(30, 95, 8.1),
    )  # fmt: skip
    assert pump.front == Rectangle(60.5, 88.5, 79.5, 101.5)


def test_kinds_are_those_of_the_file() -> None:
    kinds = [one.kind for one in outlines_of(device())]
    assert kinds == [control["kind"] for control in CONTROLS.values()]


def test_the_outline_starts_at_the_lower_left_corner() -> None:
    assert outline_of(device().plate) == Rounded(Rectangle(0, 0, 220, 120), 5)


def test_a_screw_counts_with_its_head() -> None:
    plate = device(screws=[{"position": [6.0, 6.0], "hole": 4.3, "head": 8.0}]).plate
    (screw,) = screws_of(plate)
    assert (screw.head, screw.hole) == (Disc(6, 6, 4), Disc(6, 6, 2.15))


def test_centres_are_the_positions_of_the_file() -> None:
    assert centres_of(device())["trim"] == (150, 60)


def test_heights_come_from_the_viewing_distance() -> None:
    """20 and 15 minutes of arc at 600 mm: NUREG-0700 Rev.3, 11.4.1.5-1."""
    assert heights(device(viewing_distance=600.0).plate) == pytest.approx((3.491, 2.618), abs=0.001)


def test_a_wanted_height_of_the_owner_holds_unless_it_cannot_be_read() -> None:
    assert heights(device(label_height=5.0).plate)[0] == 5.0
    wanted, least = heights(device(label_height=1.0).plate)
    assert wanted == least


def test_label_ids_tell_control_contact_and_series() -> None:
    assert label_id(Legend("horn", "", "HORN")) == "horn"
    assert label_id(Legend("trim", "clockwise", "UP")) == "trim.clockwise"
    assert label_id(Legend("trim", "clockwise", "UP", 2)) == "trim.clockwise#3"


def test_a_rotarys_directions_stand_left_and_right_with_room_for_arrows() -> None:
    found = at(
        place_legends(
            device(),
            [
                Legend("trim", "", "TRIM"),
                Legend("trim", "clockwise", "NOSE UP"),
                Legend("trim", "anticlockwise", "NOSE DOWN"),
                Legend("trim", "press", "CENTRE"),
            ],
        )
    )
    assert {key: one.place for key, one in found.items()} == {
        "trim": "above",
        "trim.anticlockwise": "left",
        "trim.clockwise": "right",
        "trim.press": "below",
    }
    assert found["trim.clockwise"].mark is not None
    assert found["trim.press"].mark is None


def test_a_plate_asked_again_is_placed_as_the_first_time_and_another_anew() -> None:
    legends = [Legend("horn", "press", "HORN"), Legend("mode", "", "MODE")]
    moved = {**CONTROLS, "horn": {**CONTROLS["horn"], "position": [31, 95]}}
    place_again.cache_clear()
    first, other = place_legends(device(), legends), place_legends(device(moved), legends)
    assert (first, other) == (
        place_legends(device(), legends),
        place_legends(device(moved), legends),
    )
    assert place_again.cache_info().hits == 2
    (horn, mode), (moved_horn, same_mode) = first.placed, other.placed
    assert moved_horn.box.centre == pytest.approx((horn.box.centre[0] + 1, horn.box.centre[1]))
    assert mode == same_mode


def test_a_selectors_positions_go_round_it_clockwise() -> None:
    legends = [Legend("mode", f"position-{n}", text) for n, text in enumerate("ABC", 1)]
    found = at(place_legends(device(), legends))
    centres = [found[f"mode.position-{n}"].box.centre for n in (1, 2, 3)]
    assert centres[0][0] < centres[1][0] < centres[2][0]
    assert centres[1][1] > centres[0][1] == pytest.approx(centres[2][1])


def test_a_selectors_title_leaves_the_side_of_its_positions() -> None:
    legends = [Legend("mode", f"position-{n}", text) for n, text in enumerate("ABC", 1)]
    found = at(place_legends(device(), [Legend("mode", "", "MODE"), *legends]))
    assert found["mode"].place == "below"
    alone = at(place_legends(device(), [Legend("mode", "", "MODE")]))
    assert alone["mode"].place == "above"


@pytest.mark.parametrize(
    ("given_angles", "angles"),
    [
        ({}, [-30, 0, 30]),
        ({"first_angle": 90.0}, [90, 120, 150]),
        ({"step_angle": 60.0}, [-60, 0, 60]),
        ({"first_angle": 0.0, "step_angle": 45.0}, [0, 45, 90]),
    ],
)
def test_position_angles_follow_the_file(
    given_angles: dict[str, float], angles: list[float]
) -> None:
    control = device({"mode": {**CONTROLS["mode"], **given_angles}}).controls["mode"]
    assert isinstance(control, Selector)
    assert [position_angle(control, n) for n in (1, 2, 3)] == angles


def test_forty_eight_positions_do_not_go_round_twice() -> None:
    control = device({"mode": {**CONTROLS["mode"], "positions": 48}}).controls["mode"]
    assert isinstance(control, Selector)
    assert position_angle(control, 48) - position_angle(control, 1) < 360


def test_off_stands_opposite_on() -> None:
    found = at(
        place_legends(device(), [Legend("pump", "on", "RUN"), Legend("pump", "off", "REST")])
    )
    assert (found["pump.on"].place, found["pump.off"].place) == ("above", "below")


def test_two_titles_keep_to_their_own_sides() -> None:
    legends = [Legend(key, "", "WORDS", series) for key in ("horn", "pump") for series in (0, 1)]
    found = at(place_legends(device(), legends))
    assert {found["horn"].place, found["pump"].place} == {"above"}
    assert {found["horn#2"].place, found["pump#2"].place} == {"below"}


def test_a_place_by_the_owner_holds() -> None:
    controls = {
        "a": {**CONTROLS["horn"], "label_place": "left"},
        "b": {**CONTROLS["horn"], "position": [150, 50], "label_at": [120, 30]},
    }
    found = at(
        place_legends(device(controls), [Legend("a", "press", "X"), Legend("b", "press", "Y")])
    )
    assert found["a.press"].place == "left"
    assert found["b.press"].place == "by-hand"
    assert found["b.press"].box.centre == pytest.approx((120, 30))


def test_of_a_hole_that_shows_beside_its_front_the_hole_counts() -> None:
    controls = {"a": {**CONTROLS["horn"], "hole": 30}}
    assert fronts_of(device(controls)) == {"a": Disc(30, 95, 15)}


def test_labels_keep_off_fixtures_and_their_holes() -> None:
    """A socket right above the horn takes the place above it: the label goes to another side."""
    horn = {"kind": "momentary", "label": "HORN", "position": [100.0, 50.0], "hole": 16.0}
    content = device({"horn": horn}).plain()
    socket = {"kind": "socket", "position": [100.0, 66.0], "hole": [12.0, 11.0]}
    boxed = Device.model_validate({**content, "fixtures": {"usb": socket}})
    words = [Legend("horn", "press", "HORN")]

    (free,) = place_legends(Device.model_validate(content), words).placed
    (kept_off,) = place_legends(boxed, words).placed
    (fixture,) = obstacles_of(boxed)
    assert touches(free.box, fixture)
    assert not touches(kept_off.box, fixture, 1.0)


def test_engravings_are_obstacles_of_their_own_size() -> None:
    plate = {"engravings": [{"text": "DESK", "position": [110.0, 60.0], "height": 5.0}]}
    turned = {"engravings": [{**plate["engravings"][0], "rotation": 90.0}]}
    box = obstacles_of(device({}, **plate))[0].bounds
    width = REGULAR.width("DESK") / REGULAR.cap_height * 5
    assert (box.width, box.height) == pytest.approx((width, 5))
    assert box.centre == pytest.approx((110, 60))
    upright = obstacles_of(device({}, **turned))[0].bounds
    assert (upright.width, upright.height) == pytest.approx((5, width))


def test_a_legend_for_no_control_is_refused() -> None:
    with pytest.raises(KeyError, match="bell"):
        request_labels(device(), [Legend("bell", "", "BELL")])


texts = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=40)


@settings(max_examples=60, deadline=None)
@given(st.lists(texts, min_size=8, max_size=8))
def test_any_text_is_placed_clear_of_all_fronts_or_named(given_texts: list[str]) -> None:
    contacts = [
        ("horn", "press"), ("pump", "on"), ("trim", ""), ("trim", "clockwise"),
        ("trim", "anticlockwise"), ("mode", "position-1"), ("mode", "position-2"), ("mode", ""),
    ]  # fmt: skip
    box = device()
    legends = [Legend(*key, text) for key, text in zip(contacts, given_texts, strict=True)]
    found = place_legends(box, legends)
    assert len(found.placed) + len(found.unplaced) == len(legends)
    for one in found.placed:
        assert inset(one.box, outline_of(box.plate)) >= box.plate.edge - 1e-6
        fronts = fronts_of(box)
        own = fronts.pop(one.id.split(".")[0].split("#")[0])
        if one.place != "inside":
            assert gap(one.box, own) >= 0.5 - 1e-6
        assert min(gap(one.box, front) for front in fronts.values()) >= 1 - 1e-6
