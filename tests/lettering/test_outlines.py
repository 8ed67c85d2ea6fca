"""Outlines of letters against the font's own metrics and an independent geometry library."""

from importlib import import_module
from typing import Any

import pytest

from profiles.lettering import BOLD, REGULAR, Face
from profiles.lettering.outlines import outline_words

polygon: Any = import_module("shapely.geometry").Polygon
ring: Any = import_module("shapely.geometry").LinearRing


@pytest.mark.parametrize("face", [REGULAR, BOLD])
def test_a_flat_capital_is_as_high_as_the_face_says(face: Face) -> None:
    (contour,) = outline_words(face, "H")
    assert min(up for _, up in contour) == 0.0
    assert max(up for _, up in contour) == pytest.approx(face.cap_height)


def test_letters_stand_one_advance_apart() -> None:
    one, other = outline_words(BOLD, "HH")
    shift = BOLD.width("H")
    assert [x + shift for x, _ in one] == pytest.approx([x for x, _ in other])
    assert [y for _, y in one] == [y for _, y in other]


@pytest.mark.parametrize(("letter", "contours"), [("O", 2), ("B", 3), ("Ä", 4), ("i", 2), (" ", 0)])
def test_a_letter_has_the_contours_that_one_sees(letter: str, contours: int) -> None:
    assert len(outline_words(BOLD, letter)) == contours


@pytest.mark.parametrize("height", [1.5, 4.0, 60.0])
@pytest.mark.parametrize("letter", ["S", "g", "@"])
def test_pieces_stay_as_close_to_the_curves_as_asked_and_no_closer(
    letter: str, height: float
) -> None:
    """Against the same letter in far more pieces: at most 0.01 mm beside it, in mm of the em."""
    within = 0.01 / height
    rough, fine = outline_words(REGULAR, letter, within), outline_words(REGULAR, letter, 1e-6)
    assert len(rough) == len(fine)
    gaps = [
        ring(one).hausdorff_distance(ring(other)) for one, other in zip(rough, fine, strict=True)
    ]
    assert 0.2 * within < max(gaps) <= within + 1e-6


def test_the_hole_of_an_o_lies_within_its_outside() -> None:
    shapes = sorted((polygon(one) for one in outline_words(BOLD, "O")), key=lambda one: one.area)
    assert all(shape.is_valid for shape in shapes)
    assert shapes[1].contains(shapes[0])


def test_letters_that_the_face_lacks_are_replaced_visibly() -> None:
    assert outline_words(BOLD, "\u0905") == outline_words(BOLD, "\N{REPLACEMENT CHARACTER}")
