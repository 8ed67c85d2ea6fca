"""Whose label is this: distances of a label to its own front and to the nearest other."""

from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import box as rectangle

from profiles.plate.association import association
from profiles.plate.shapes import Disc, Rectangle
from tests.plate.solids import solid

OWN, OTHER = Disc(0, 0, 8), Disc(22, 0, 8)


def test_a_label_halfway_between_two_fronts_belongs_to_neither() -> None:
    assert association(Rectangle(10, -1, 12, 1), OWN, [OTHER]) == pytest.approx(1)


def test_the_nearest_of_several_strangers_counts() -> None:
    label = Rectangle(9, -1, 11, 1)
    assert association(label, OWN, [Disc(60, 0, 8), OTHER]) == pytest.approx(3)


def test_a_label_on_its_own_front_or_alone_on_the_plate_is_beyond_doubt() -> None:
    assert association(Rectangle(-2, -1, 2, 1), OWN, [OTHER]) == inf
    assert association(Rectangle(9, -1, 11, 1), OWN, []) == inf


def test_a_label_on_a_strangers_front_has_none_of_its_own() -> None:
    assert association(Rectangle(20, -1, 24, 1), OWN, [OTHER]) == 0


@given(st.integers(-30, 30), st.integers(-30, 30), st.integers(1, 12), st.integers(1, 6))
def test_distances_are_those_between_the_shapes(x: int, y: int, width: int, height: int) -> None:
    """Oracle: distances between the same shapes as polygons, by shapely."""
    label = Rectangle(x, y, x + width, y + height)
    ink = rectangle(*label)
    away, apart = (ink.distance(solid(front)) for front in (OWN, OTHER))
    if min(away, apart) > 0.1:
        assert association(label, OWN, [OTHER]) == pytest.approx(apart / away, rel=0.1)
