"""Boxes, similarities and paths obey the laws of plane geometry."""

from itertools import pairwise
from math import cos, dist, hypot, pi, radians, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.drawing.geometry import Box, Point, Transform, mirrored, moved, scaled, turned
from profiles.drawing.paths import (
    ArcTo,
    CurveTo,
    LineTo,
    Path,
    arc,
    curves_of_arc,
    point_on,
    polyline,
    radius_of,
    rectangle,
)

lengths = st.floats(-500, 500).map(lambda value: round(value, 3))
angles = st.floats(-360, 360).map(lambda value: round(value, 2))
points = st.tuples(lengths, lengths)
similarities = st.one_of(
    st.builds(moved, lengths, lengths),
    st.builds(turned, angles, points),
    st.builds(mirrored, lengths),
    st.builds(scaled, st.floats(0.1, 5), points),
)
pieces = st.one_of(
    st.builds(LineTo, points),
    st.builds(CurveTo, points, points, points),
)
paths = st.one_of(
    st.builds(arc, points, st.floats(0.5, 200), angles, angles),
    st.builds(Path, points, st.lists(pieces, min_size=1, max_size=4).map(tuple)),
)


def sample(path: Path) -> list[Point]:
    """Points along a path from the defining formulas of its pieces."""
    found = [path.start]
    for here, piece in path.steps():
        for t in [n / 64 for n in range(65)]:
            if isinstance(piece, LineTo):
                x = here[0] + t * (piece.end[0] - here[0])
                found.append((x, here[1] + t * (piece.end[1] - here[1])))
            elif isinstance(piece, ArcTo):
                turn = radians(piece.sweep * t)
                dx, dy = here[0] - piece.centre[0], here[1] - piece.centre[1]
                x = piece.centre[0] + dx * cos(turn) - dy * sin(turn)
                found.append((x, piece.centre[1] + dx * sin(turn) + dy * cos(turn)))
            else:
                found.append(point_on(here, piece, t))
    return found


@given(similarities, similarities, points)
def test_one_transform_then_another_equals_both_in_turn(
    first: Transform, second: Transform, point: Point
) -> None:
    both = first.then(second).apply(point)
    assert both == pytest.approx(second.apply(first.apply(point)), abs=1e-6)


@given(similarities, points, points)
def test_a_similarity_scales_every_distance_alike(by: Transform, one: Point, other: Point) -> None:
    assert dist(by.apply(one), by.apply(other)) == pytest.approx(
        by.scale * dist(one, other), abs=1e-6
    )


@given(lengths, points)
def test_mirroring_twice_changes_nothing(x: float, point: Point) -> None:
    assert mirrored(x).then(mirrored(x)).apply(point) == pytest.approx(point, abs=1e-9)
    assert mirrored(x).mirrors


@pytest.mark.parametrize("angle", [90, -90, 180, 270, 450])
def test_quarter_turns_are_exact(angle: float) -> None:
    assert set(turned(angle).apply((1.0, 0.0))) <= {0.0, 1.0, -1.0}


@given(paths, similarities)
def test_a_carried_path_passes_through_the_carried_points(path: Path, by: Transform) -> None:
    carried = sample(path.transformed(by))
    for got, point in zip(carried, sample(path), strict=True):
        assert got == pytest.approx(by.apply(point), abs=1e-5)


@given(paths)
def test_bounds_hold_every_point_and_touch_some(path: Path) -> None:
    box, along = path.bounds(), sample(path)
    assert all(box.holds(Box(x, y, x, y), slack=1e-6) for x, y in along)
    reach = 0.01 * (1 + box.width + box.height)
    assert min(x for x, _ in along) - box.left < reach
    assert box.right - max(x for x, _ in along) < reach
    assert min(y for _, y in along) - box.bottom < reach
    assert box.top - max(y for _, y in along) < reach


@given(paths, st.sampled_from([0.01, 0.1, 1.0]))
def test_a_flattened_path_stays_within_its_tolerance(path: Path, tolerance: float) -> None:
    flat = path.flattened(tolerance)
    for point in sample(path):
        assert min(_distance(point, a, b) for a, b in _sides(flat)) <= tolerance * 1.001 + 1e-6


def _sides(points: list[Point]) -> list[tuple[Point, Point]]:
    return list(pairwise(points)) or [(points[0], points[0])]


def _distance(point: Point, start: Point, end: Point) -> float:
    dx, dy = end[0] - start[0], end[1] - start[1]
    square = dx * dx + dy * dy
    t = 0.0 if square == 0 else ((point[0] - start[0]) * dx + (point[1] - start[1]) * dy) / square
    t = min(1.0, max(0.0, t))
    return hypot(point[0] - start[0] - t * dx, point[1] - start[1] - t * dy)


@given(points, st.floats(0.5, 200), angles, angles)
def test_bezier_curves_follow_an_arc_within_five_millionths_of_its_radius(
    centre: Point, radius: float, start: float, sweep: float
) -> None:
    path = arc(centre, radius, start, sweep)
    piece = path.pieces[0]
    assert isinstance(piece, ArcTo)
    here = path.start
    for curve in curves_of_arc(here, piece):
        for t in (0.1, 0.25, 0.5, 0.75, 0.9):
            assert abs(dist(point_on(here, curve, t), centre) / radius - 1) < 5e-6
        here = curve.end
    assert here == piece.end


def test_a_rounded_rectangle_has_the_area_of_its_box_less_the_corners() -> None:
    """Area (4 - pi) r^2 less, by the shoelace formula over a fine polygon."""
    flat = rectangle(Box(10, 20, 60, 50), radius=6).flattened(1e-5)
    doubled = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(flat, flat[1:] + flat[:1], strict=True))
    assert doubled / 2 == pytest.approx(50 * 30 - (4 - pi) * 36, abs=1e-2)


def test_corner_radius_never_exceeds_half_the_shorter_side() -> None:
    box = Box(0, 0, 40, 10)
    assert rectangle(box, radius=30) == rectangle(box, radius=5)
    assert rectangle(box, radius=30).bounds() == box


def test_radius_of_an_arc_is_that_of_its_start() -> None:
    path = arc((3, 4), 5, 0, 90)
    assert radius_of(path.start, ArcTo((3, 9), (3, 4), 90)) == 5


def test_boxes_meet_hold_join_and_grow() -> None:
    box = Box(0, 0, 10, 5)
    assert box.meets(Box(10, 5, 12, 7))
    assert not box.meets(Box(10.1, 0, 12, 5))
    assert box.holds(Box(1, 1, 10, 5))
    assert not box.holds(Box(1, 1, 10.1, 5))
    assert box.joined(Box(-1, 2, 3, 9)) == Box(-1, 0, 10, 9)
    assert box.grown(1) == Box(-1, -1, 11, 6)


def test_a_closed_polyline_keeps_its_points() -> None:
    path = polyline([(0, 0), (4, 0), (4, 3)], closed=True)
    assert path.flattened(1) == [(0, 0), (4, 0), (4, 3)]
    assert path.closed
