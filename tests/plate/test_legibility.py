"""Capital heights and contrast, held against published figures."""

import colorsys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.plate.legibility import (
    CONTRAST_ENHANCED,
    CONTRAST_LARGE_TEXT,
    CONTRAST_TEXT,
    angle_of,
    contrast,
    contrast_needed,
    height_for,
    preferred_height,
    readable_height,
    stroke_limits,
)


@pytest.mark.parametrize(
    ("distance", "minutes", "height"),
    [
        (500, 15, 2.182),
        (500, 24, 3.491),
        (600, 16, 2.793),
        (600, 20, 3.491),
        (710, 15, 3.098),
        (710, 22, 4.544),
        (1000, 20, 5.818),
    ],
)
def test_height_is_twice_the_distance_times_the_tangent_of_half_the_angle(
    distance: float, minutes: float, height: float
) -> None:
    """Worked by hand from h = 2 d tan(a/2)."""
    assert height_for(distance, minutes) == pytest.approx(height, abs=0.0005)


@given(st.floats(200, 3000), st.floats(10, 45))
def test_height_agrees_with_the_small_angle_form(distance: float, minutes: float) -> None:
    """NUREG-0700 Rev.2, 1.3.1-4 prints H = 6.283 D MA / 21600."""
    assert height_for(distance, minutes) == pytest.approx(
        6.283 * distance * minutes / 21600, rel=1e-4
    )


@given(st.floats(200, 3000), st.floats(5, 120))
def test_angle_undoes_height(distance: float, minutes: float) -> None:
    assert angle_of(height_for(distance, minutes), distance) == pytest.approx(minutes)


def test_the_printed_short_factors_are_not_the_angles_beside_them() -> None:
    """NUREG-0700 Rev.3, 11.4.1.5-1 prints 0.004 for 15 minutes and 0.006 for 20: rounded."""
    assert readable_height(1000) == pytest.approx(4.363, abs=0.0005)
    assert preferred_height(1000) == pytest.approx(5.818, abs=0.0005)
    assert angle_of(4.0, 1000) == pytest.approx(13.75, abs=0.005)


def test_preferred_angle_lies_within_the_ratio_of_the_screen_standard() -> None:
    """ISO 9241-3 as a ratio: the distance is 155 to 175 times the height."""
    assert 155 < 1000 / preferred_height(1000) < 175


def test_strokes_are_thinner_for_light_letters() -> None:
    """DOD-HDBK-791, 6-5.3.2.3: 1/6 dark on light, 1/7 to 1/8 light on dark."""
    assert stroke_limits(4.2, light_on_dark=False) == pytest.approx((0.7, 0.7))
    assert stroke_limits(5.6, light_on_dark=True) == pytest.approx((0.7, 0.8))


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        ("#000", "#fff", 21.0),
        ("#777777", "#ffffff", 4.4781),
        ("#767676", "#ffffff", 4.5422),
        ("#00f", "#fff", 8.5925),
        ("#00f", "#f00", 2.1489),
        ("#ff0", "#fff", 1.0738),
        ("#808080", "#FFFFFF", 3.9494),
        ("#6B7280", "#fff", 4.8345),
    ],
)
def test_contrast_is_that_of_the_web_guidelines(one: str, other: str, ratio: float) -> None:
    """WCAG 2.x relative luminance; 21, 4.48, 4.54, 8.59, 2.15 and 1.07 are published values."""
    assert contrast(one, other) == pytest.approx(ratio, abs=0.00006)
    assert contrast(other, one) == contrast(one, other)


@pytest.mark.parametrize(
    ("passes", "fails", "limit"),
    [
        ("#767676", "#777777", CONTRAST_TEXT),
        ("#949494", "#959595", CONTRAST_LARGE_TEXT),
        ("#595959", "#5a5a5a", CONTRAST_ENHANCED),
    ],
)
def test_a_grey_one_step_lighter_fails(passes: str, fails: str, limit: float) -> None:
    """Never rounded before comparing: 4.499 is below 4.5 (WCAG 2.x, understanding 1.4.3)."""
    assert contrast(passes, "#fff") >= limit > contrast(fails, "#fff")


def test_both_thresholds_in_print_give_every_channel_the_same_light() -> None:
    """0.03928 of WCAG and 0.04045 of sRGB: no 8-bit channel lies between them."""
    assert not [value for value in range(256) if 0.03928 < value / 255 <= 0.04045]


@given(st.floats(0, 1), st.floats(0, 1), st.floats(0, 1))
def test_contrast_lies_between_1_and_21(hue: float, light: float, saturation: float) -> None:
    channels = colorsys.hls_to_rgb(hue, light, saturation)
    colour = "#" + "".join(f"{round(255 * channel):02x}" for channel in channels)
    assert 1 <= contrast(colour, "#123456") <= 21


def test_large_text_begins_at_18_points_or_14_bold() -> None:
    assert contrast_needed(17.9) == contrast_needed(13.9, "bold") == CONTRAST_TEXT
    assert contrast_needed(18.0) == contrast_needed(14.0, "bold") == CONTRAST_LARGE_TEXT


@pytest.mark.parametrize("colour", ["red", "#12", "123456", "#12345g", "#1234567", "#+12 34"])
def test_what_is_no_colour_is_refused(colour: str) -> None:
    with pytest.raises(ValueError, match="expected #rgb or #rrggbb, for example #1a2b3c") as error:
        contrast(colour, "#fff")
    assert str(error.value).startswith(f"colour {colour!r}: ")
