"""Marks of an axis: even, outside its front, and clear of every label."""

from math import atan2, degrees, hypot
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.drawing.recorder import Recorder
from profiles.drawing.shapes import Text
from profiles.model import Device
from profiles.plate.labels import Legend, heights, place_legends
from profiles.plate.scales import TICK_FROM, TICK_TO, scale_marks
from profiles.plate.shapes import gap
from profiles.sheets.plate_art import draw_scales
from tests.firmware.boxes import make_device


def make_axis(scale: dict[str, Any], **more: Any) -> Device:
    axis = {"kind": "axis", "axis": "x", "position": [100.0, 50.0], "pin": "A0", "scale": scale}
    return make_device("desk", {}, {"sail": axis | more})


def test_marks_of_a_knob_run_clockwise_evenly_to_both_sides_of_straight_up() -> None:
    device = make_axis({"marks": ["-2", "-1", "0", "1", "2"], "angle": 270.0}, front=20.0)
    marks = scale_marks(device.controls["sail"], 3.0)
    angles = [degrees(atan2(mark.end[0] - 100, mark.end[1] - 50)) for mark in marks]

    assert angles == pytest.approx([-135, -67.5, 0, 67.5, 135])
    assert [hypot(m.start[0] - 100, m.start[1] - 50) for m in marks] == pytest.approx(
        [10 + TICK_FROM] * 5
    )


def test_marks_of_a_slide_run_upwards_at_its_left() -> None:
    device = make_axis({"marks": ["0", "50", "100"], "stroke": 60.0}, front=[14.0, 74.0])
    marks = scale_marks(device.controls["sail"], 3.0)

    assert [mark.end for mark in marks] == [
        pytest.approx((93 - TICK_TO, y)) for y in (20.0, 50.0, 80.0)
    ]
    assert [mark.text for mark in marks] == ["0", "50", "100"]


def test_a_slide_on_its_side_has_its_marks_above_or_below() -> None:
    device = make_axis({"marks": ["0", "1"], "stroke": 40.0}, front=[10.0, 50.0], rotation=90.0)
    low, high = scale_marks(device.controls["sail"], 3.0)

    assert (low.end[0], high.end[0]) == pytest.approx((120.0, 80.0))
    assert low.end[1] == pytest.approx(high.end[1]) == pytest.approx(50 - 5 - TICK_TO)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.sampled_from(["0", "REEF", "HALF", "FULL", "-25", "100"]), min_size=2, max_size=9),
    st.sampled_from([{"angle": 300.0}, {"angle": 90.0}, {"stroke": 50.0}]),
)
def test_words_stay_off_the_front_and_labels_off_the_words(
    marks: list[str], travel: dict[str, float]
) -> None:
    device = make_axis(
        {"marks": marks, **travel}, front=[18.0, 60.0] if "stroke" in travel else 18.0
    )
    height = heights(device.plate)[1]
    placed = place_legends(device, [Legend("sail", "", "SAIL")]).placed

    for mark in scale_marks(device.controls["sail"], height):
        assert hypot(mark.box.centre[0] - 100, mark.box.centre[1] - 50) > 9
        for label in placed:
            assert gap(label.box, mark.box) > 0


def test_the_legend_draws_a_line_and_words_for_each_mark() -> None:
    board = Recorder()
    draw_scales(board, make_axis({"marks": ["LOW", "HIGH"], "angle": 180.0}, front=20.0))
    words = [e.shape.words for e in board.finish().entries if isinstance(e.shape, Text)]

    assert words == ["LOW", "HIGH"]
    assert len(board.finish().entries) == 4, "a tick for each"
