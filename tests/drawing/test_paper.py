"""Paper sizes and units against the standards that fix them."""

from math import sqrt

import pytest

from profiles.drawing.geometry import Box
from profiles.drawing.paper import (
    A3,
    A4,
    A5,
    LEGAL,
    LETTER,
    PAPERS,
    Paper,
    mm_of_inches,
    mm_of_points,
    pixels,
    points,
)


@pytest.mark.parametrize(
    ("paper", "width", "height"),
    [
        (A3, 297.0, 420.0),
        (A4, 210.0, 297.0),
        (A5, 148.0, 210.0),
        (LETTER, 215.9, 279.4),
        (LEGAL, 215.9, 355.6),
    ],
    ids=lambda value: getattr(value, "name", ""),
)
def test_sizes_are_those_of_the_standards(paper: Paper, width: float, height: float) -> None:
    """ISO 216 for A sizes; ANSI/ASME Y14.1 size A for Letter; Legal 8.5 x 14 in."""
    assert (paper.width, paper.height) == pytest.approx((width, height), abs=1e-9)
    assert PAPERS[paper.name.lower()] is paper


@pytest.mark.parametrize("number", [3, 4, 5])
def test_a_sizes_follow_the_rule_of_iso_216(number: int) -> None:
    """Sides 1 : sqrt 2 with an area of a square metre halved `number` times, to a millimetre."""
    paper = PAPERS[f"a{number}"]
    exact = 1000 * 2 ** (-0.25 - number / 2)
    assert paper.width == pytest.approx(exact, abs=1)
    assert paper.height == pytest.approx(exact * sqrt(2), abs=1)


def test_one_inch_is_72_points_and_96_pixels() -> None:
    """ISO 32000-1, 8.3.2.3 (PDF unit); CSS Values and Units (px, pt, in)."""
    assert points(25.4) == pytest.approx(72)
    assert pixels(25.4) == pytest.approx(96)
    assert mm_of_points(72) == pytest.approx(25.4)
    assert mm_of_inches(1) == 25.4


def test_a4_in_points_and_letter_in_pixels() -> None:
    """210 mm are 595.276 pt; 8.5 by 11 inches are 816 by 1056 px."""
    assert round(points(A4.width), 3) == 595.276
    assert (pixels(LETTER.width), pixels(LETTER.height)) == pytest.approx((816, 1056))


def test_landscape_puts_the_long_side_across_and_keeps_the_margin() -> None:
    assert (A4.landscape.width, A4.landscape.height) == (297.0, 210.0)
    assert A4.landscape.landscape == A4.landscape
    assert A4.turned.turned == A4
    assert A4.printable == Box(10, 10, 200, 287)
