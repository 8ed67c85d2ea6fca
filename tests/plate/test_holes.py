"""Holes of every shape: what they take of the plate, held against shapely and arithmetic."""

from importlib import import_module
from math import acos, cos, pi, radians, sin, sqrt
from typing import Any

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from profiles.model import Hole, as_hole
from profiles.plate.holes import cut_shape, hole_shape, sunk_volume
from profiles.plate.shapes import Disc, Rectangle, gap, inset
from tests.plate.solids import disc, rectangle

_shapely: Any = shapely
affinity: Any = import_module("shapely.affinity")
angles = st.one_of(st.sampled_from([0.0, 90.0, -90.0, 45.0]), st.floats(-180, 180))
places = st.floats(-60, 60).map(lambda value: round(value, 2))


@st.composite
def holes(draw: st.DrawFn) -> Hole:
    """Any hole, countersinks apart."""
    width = round(draw(st.floats(4, 40)), 1)
    share = draw(st.floats(0.55, 0.95))
    shape = draw(st.sampled_from(["round", "rectangle", "slot", "flat", "flats", "keyway"]))
    angle = round(draw(angles), 1)
    made: dict[str, dict[str, Any]] = {
        "round": {"diameter": width},
        "rectangle": {"width": width, "height": 7.0, "corner_radius": 3.5 * min(1, width / 7) / 2},
        "slot": {"length": width + 1, "width": width * share},
        "flat": {"diameter": width, "across_flats": width * share, "flats": 1},
        "flats": {"diameter": width, "across_flats": width * share},
        "keyway": {"diameter": width, "keyway": [width / 5, 1.8]},
    }
    return Hole.model_validate({**made[shape], "angle": angle})


def solid_hole(hole: Hole, x: float, y: float, turn: float) -> Any:
    """The hole built in shapely from circles and rectangles."""
    (width, height), far = hole.sides, 1000.0
    if hole.shape == "rectangle":
        radius = hole.corner_radius
        core = rectangle(
            radius - width / 2, radius - height / 2, width / 2 - radius, height / 2 - radius
        )
        found = core.buffer(radius, quad_segs=512) if radius else core
    elif hole.shape == "slot":
        half = (width - height) / 2
        found = _shapely.LineString([(-half, 0), (half, 0)]).buffer(height / 2, quad_segs=512)
    else:
        found = disc(0, 0, width / 2)
        if hole.across_flats is not None:
            top = hole.across_flats / 2 if hole.flats == 2 else hole.across_flats - width / 2
            low = -top if hole.flats == 2 else -far
            found = found.intersection(rectangle(-far, low, far, top))
        if hole.keyway is not None:
            half = hole.keyway[0] / 2
            found = found.union(rectangle(-half, 0, half, width / 2 + hole.keyway[1]))
    found = affinity.rotate(found, hole.angle + turn, origin=(0, 0))
    return affinity.translate(found, x, y)


@given(holes(), places, places, angles)
def test_area_and_box_are_those_of_shapely(hole: Hole, x: float, y: float, turn: float) -> None:
    cut, true = cut_shape((x, y), hole, turn), solid_hole(hole, x, y, turn)

    assert cut.area == pytest.approx(true.area, rel=1e-4)
    assert tuple(cut.bounds) == pytest.approx(true.bounds, abs=0.003)


@given(holes(), holes(), places, places, angles)
def test_gap_of_two_holes_is_the_distance_of_shapely(
    one: Hole, other: Hole, x: float, y: float, turn: float
) -> None:
    apart = solid_hole(one, 0, 0, 0).distance(solid_hole(other, x, y, turn))
    found = gap(cut_shape((0.0, 0.0), one), cut_shape((x, y), other, turn))

    assert max(0.0, found) == pytest.approx(apart, abs=0.006)


@given(holes(), holes(), places, places)
def test_the_gap_is_the_push_that_parts_two_convex_holes(
    one: Hole, other: Hole, x: float, y: float
) -> None:
    """A push by the overlap, and in no direction by less, parts them (shapely)."""
    if one.keyway or other.keyway:
        return
    overlap = -gap(cut_shape((0.0, 0.0), one), cut_shape((x, y), other))
    if overlap <= 0.02:
        return
    still, moved = solid_hole(one, 0, 0, 0), solid_hole(other, x, y, 0)
    for turn in range(0, 360, 15):
        push = (overlap - 0.01) * cos(radians(turn)), (overlap - 0.01) * sin(radians(turn))
        assert still.intersects(affinity.translate(moved, *push))


@given(holes(), places, places, angles)
def test_inset_is_the_distance_to_the_edge_of_the_plate(
    hole: Hole, x: float, y: float, turn: float
) -> None:
    plate = Rectangle(-70, -60, 70, 60)
    true = solid_hole(hole, x, y, turn)
    depth = inset(cut_shape((x, y), hole, turn), plate)

    if depth > 0.01:
        edge = rectangle(*plate).boundary
        assert depth == pytest.approx(true.distance(edge), abs=0.003)
    elif depth < -0.01:
        assert not true.within(rectangle(*plate))


@given(holes(), places, places, angles)
def test_every_hole_lies_exactly_within_itself(hole: Hole, x: float, y: float, turn: float) -> None:
    shape = cut_shape((x, y), hole, turn)
    assert inset(shape, shape) == pytest.approx(0.0, abs=1e-9)


def test_a_number_and_a_pair_are_the_holes_they_always_were() -> None:
    assert as_hole(16.2) == Hole(diameter=16.2)
    assert as_hole((19.0, 13.0)) == Hole(width=19.0, height=13.0)
    assert cut_shape((1.0, 2.0), 16.0) == Disc(1, 2, 8)
    assert cut_shape((0.0, 0.0), (4.0, 2.0), 90.0) == Rectangle(-1, -2, 1, 2)


def test_a_countersink_takes_the_front_of_the_plate_and_not_what_is_under_it() -> None:
    hole = Hole.model_validate({"diameter": 3.4, "countersink": {"diameter": 6.6}})

    assert hole_shape((0.0, 0.0), hole) == Disc(0, 0, 3.3)
    assert cut_shape((0.0, 0.0), hole) == Disc(0, 0, 1.7)


def test_a_countersink_of_ninety_degrees_is_as_deep_as_it_is_wide() -> None:
    """Frustum: pi h / 3 (R^2 + R r + r^2), here less the cylinder of its hole."""
    hole = Hole.model_validate({"diameter": 3.0, "countersink": {"diameter": 7.0}})
    assert hole.countersink is not None

    assert hole.countersink.depth(3.0) == pytest.approx(2.0)
    frustum = pi * 2 / 3 * (3.5**2 + 3.5 * 1.5 + 1.5**2)
    assert sunk_volume(hole, 3.0) == pytest.approx(frustum - pi * 1.5**2 * 2)
    thin = pi * 1 / 3 * (3.5**2 + 3.5 * 2.5 + 2.5**2)  # cut off half way down
    assert sunk_volume(hole, 1.0) == pytest.approx(thin - pi * 1.5**2)


def test_a_double_d_hole_has_the_area_of_the_handbook() -> None:
    """Circle less two segments of r^2 acos(h/r) - h sqrt(r^2 - h^2); r 6, h 5.5 mm: 113.097 less
    twice 1.614 mm2, by hand."""
    segment = 36 * acos(5.5 / 6) - 5.5 * sqrt(36 - 5.5**2)
    shape = cut_shape((0.0, 0.0), Hole(diameter=12.0, across_flats=11.0))

    assert shape.area == pytest.approx(36 * pi - 2 * segment)
