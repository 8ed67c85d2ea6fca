"""Two knobs on one axis: one place on the plate, one hole and one part, but two controls."""

from typing import Any

import pytest

from profiles.checks.layout import CHECKS
from profiles.facts.device import DeviceFacts
from profiles.facts.legend_layout import lay_out_legend
from profiles.facts.survey import Survey
from profiles.model import Device, Library
from profiles.sheets.bill import list_parts, missing_fields
from profiles.sheets.hole_list import list_holes
from profiles.sheets.legend import make_sheet
from profiles.sheets.requests import LegendRequest
from profiles.sheets.sheet import Subject

OUTER = {
    "kind": "rotary",
    "label": "TUNE",
    "position": [60.0, 50.0],
    "hole": 9.5,
    "front": 24.0,
    "part": "pair",
    "labels": {"clockwise": "UP", "anticlockwise": "DOWN"},
}
INNER = {
    "kind": "rotary",
    "label": "FINE",
    "front": 12.0,
    "concentric_with": "tune",
    "labels": {"clockwise": "MORE", "anticlockwise": "LESS", "press": "SWAP"},
}
PAIR = {"kind": "rotary", "name": "Dual encoder", "unit_price": "8.40"}


def box(inner: dict[str, Any], **others: Any) -> Device:
    return Device.model_validate(
        {
            "format": 1,
            "device": {"id": "desk", "name": "Desk"},
            "plate": {"width": 120.0, "height": 100.0},
            "parts": {"pair": PAIR},
            "controls": {"tune": OUTER, "fine": {**INNER, **inner}, **others},
        }
    )


def test_the_inner_knob_has_the_place_and_the_hole_of_the_outer() -> None:
    fine = box({}).controls["fine"]

    assert (fine.position, fine.hole, fine.front) == ((60.0, 50.0), 9.5, 12.0)


def test_they_make_one_hole_and_one_part() -> None:
    device = box({})

    assert [(hole.id, hole.size) for hole in list_holes(device)] == [("tune", 9.5)]
    (part,) = list_parts(device)
    assert (part.name, part.controls, str(part.cost)) == ("Dual encoder", ("tune",), "8.40")
    assert list(missing_fields(device)) == []


def test_no_check_of_the_layout_takes_them_for_two_things_in_one_place() -> None:
    survey = Survey(Library.of([box({})]))

    assert [one for check in CHECKS for one in check(survey)] == []
    assert DeviceFacts(box({})).doubles == {}


def test_a_third_control_at_the_same_place_is_still_found() -> None:
    other = {"kind": "momentary", "label": "GO", "position": [60.0, 50.0], "hole": 6.0}

    assert DeviceFacts(box({}, other=other)).doubles == {"other": "tune"}


def test_every_word_tells_of_which_knob_it_is() -> None:
    device = box({})
    layout = lay_out_legend(device, (), "fixed")
    subject = Subject(library=Library.of([device]), device=device)
    sheet = make_sheet(subject, LegendRequest(labels="fixed"))

    assert not layout.placement.unplaced
    assert {label.id: label.words().text for label in layout.labels} == {
        "tune": "TUNE",
        "tune.clockwise": "TUNE: UP",
        "tune.anticlockwise": "TUNE: DOWN",
        "fine": "FINE",
        "fine.clockwise": "FINE: MORE",
        "fine.anticlockwise": "FINE: LESS",
        "fine.press": "FINE: SWAP",
    }
    said = " ".join(text.words for text in sheet.work.texts())
    assert "Two knobs on one axis: TUNE is the outer one, FINE the inner one." in said


@pytest.mark.parametrize(
    ("inner", "words"),
    [
        ({"concentric_with": "tun"}, "names no control"),
        ({"concentric_with": "fine"}, "has `fine` on the axis of `fine`"),
        ({"position": [61.0, 50.0]}, "gives `fine` a `position` of its own"),
        ({"hole": 7.0}, "gives `fine` a `hole` of its own"),
        ({"front": 24.0}, "gives `fine` a `front` that hides that of `tune`"),
        ({"unit_price": "2.00"}, "gives `fine` a `unit_price`, but it is one part with `tune`"),
    ],
)
def test_what_contradicts_one_axis_is_refused(inner: dict[str, Any], words: str) -> None:
    with pytest.raises(ValueError, match=words):
        box(inner)


def test_a_push_button_is_no_knob() -> None:
    key = {"kind": "momentary", "label": "GO", "front": 5.0, "concentric_with": "tune"}

    with pytest.raises(ValueError, match="has `go` on a common axis, but momentary is no knob"):
        box({}, go=key)


def test_the_legend_says_where_a_key_comes_out() -> None:
    lock = {
        "kind": "selector",
        "label": "KEY",
        "positions": 3,
        "key_out": [1, 2],
        "labels": {"position-1": "OFF"},
        "position": [100.0, 50.0],
        "hole": 9.0,
    }
    device = box({}, lock=lock)
    subject = Subject(library=Library.of([device]), device=device)
    sheet = make_sheet(subject, LegendRequest(labels="fixed"))

    said = " ".join(text.words for text in sheet.work.texts())
    assert "The key of KEY comes out at OFF and position 2 only." in said
