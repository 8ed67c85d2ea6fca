"""Distances of shapes, held against shapely and against arithmetic."""

from math import hypot, pi, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.plate.shapes import (
    Disc,
    Rectangle,
    Rounded,
    Shape,
    box_around,
    gap,
    inset,
    overlap,
    touches,
)
from tests.plate.solids import solid

lengths = st.floats(0.5, 60).map(lambda value: round(value, 3))
places = st.floats(-80, 80).map(lambda value: round(value, 3))
boxes = st.builds(box_around, places, places, lengths, lengths)
discs = st.builds(Disc, places, places, lengths)
rounded = st.builds(Rounded, boxes, st.floats(0, 40).map(lambda value: round(value, 2)))
shapes: st.SearchStrategy[Shape] = st.one_of(boxes, discs, rounded)


@given(shapes, shapes)
def test_gap_is_the_distance_that_shapely_measures(one: Shape, other: Shape) -> None:
    apart = solid(one).distance(solid(other))
    assert max(0.0, gap(one, other)) == pytest.approx(apart, abs=0.002)


@given(shapes, shapes)
def test_gap_is_the_same_both_ways(one: Shape, other: Shape) -> None:
    assert gap(one, other) == pytest.approx(gap(other, one))


@given(shapes, shapes, places, places)
def test_gap_does_not_depend_on_where_both_stand(
    one: Shape, other: Shape, dx: float, dy: float
) -> None:
    assert gap(_moved(one, dx, dy), _moved(other, dx, dy)) == pytest.approx(gap(one, other))


@given(discs, boxes)
def test_inset_tells_what_shapely_calls_within(inner: Shape, outer: Shape) -> None:
    depth = inset(inner, outer)
    if abs(depth) > 0.002:
        assert (depth > 0) == solid(inner).within(solid(outer))


@given(shapes, shapes)
def test_inset_is_the_distance_to_the_outer_edge(inner: Shape, outer: Shape) -> None:
    depth = inset(inner, outer)
    if depth > 0.002:
        edge = solid(outer).boundary
        assert depth == pytest.approx(solid(inner).distance(edge), abs=0.002)


@given(shapes)
def test_area_is_that_of_shapely(shape: Shape) -> None:
    assert shape.area == pytest.approx(solid(shape).area, rel=1e-4)


@given(shapes)
def test_bounds_are_those_of_shapely(shape: Shape) -> None:
    assert tuple(shape.bounds) == pytest.approx(solid(shape).bounds, abs=0.002)


@given(boxes, boxes)
def test_boxes_overlap_when_their_common_area_is_not_nothing(
    one: Rectangle, other: Rectangle
) -> None:
    common = solid(one).intersection(solid(other)).area
    if common > 1e-9 or gap(one, other) > 1e-9:
        assert overlap(one, other) == (common > 1e-9)


def test_discs_22_mm_wide_with_13_mm_between_stand_at_35_mm() -> None:
    """Edge to edge is not centre to centre."""
    assert gap(Disc(0, 0, 11), Disc(35, 0, 11)) == pytest.approx(13)


def test_a_corner_is_farther_than_the_sides_say() -> None:
    assert gap(Rectangle(0, 0, 1, 1), Rectangle(4, 5, 6, 6)) == pytest.approx(hypot(3, 4))


def test_overlapping_boxes_tell_the_least_push_apart() -> None:
    assert gap(Rectangle(0, 0, 10, 10), Rectangle(8, 1, 20, 9)) == pytest.approx(-2)


def test_contact_at_the_clearance_is_allowed() -> None:
    assert not touches(Rectangle(0, 0, 1, 1), Rectangle(3, 0, 4, 1), 2.0)
    assert touches(Rectangle(0, 0, 1, 1), Rectangle(2.9, 0, 4, 1), 2.0)


def test_a_radius_beyond_half_the_side_rounds_the_whole_end() -> None:
    slot = Rounded(Rectangle(0, 0, 30, 10), 99)
    assert slot.swell == 5
    assert slot.area == pytest.approx(20 * 10 + pi * 25)


def test_a_round_corner_comes_nearer_than_a_sharp_one_would() -> None:
    plate = Rounded(Rectangle(0, 0, 100, 100), 10)
    assert inset(Disc(10, 10, 1), plate) == pytest.approx(9)
    assert inset(Disc(5, 5, 0), plate) == pytest.approx(10 - 5 * sqrt(2))


def _moved(shape: Shape, dx: float, dy: float) -> Shape:
    if isinstance(shape, Disc):
        return Disc(shape.x + dx, shape.y + dy, shape.radius)
    bounds = shape.bounds
    box = Rectangle(bounds.left + dx, bounds.bottom + dy, bounds.right + dx, bounds.top + dy)
    return Rounded(box, shape.radius) if isinstance(shape, Rounded) else box
