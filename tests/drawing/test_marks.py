"""Marks stand where they should and are paths only, save the words of a dimension."""

from math import dist

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.drawing import marks
from profiles.drawing.geometry import Box
from profiles.drawing.marks import ARROW_LENGTH
from profiles.drawing.recorder import Recorder
from profiles.drawing.shapes import Circle, Stroke, Text

SIGNS = (marks.ring_sign, marks.filled_sign, marks.double_arrow_sign, marks.steps_sign)
points = st.tuples(st.floats(-200, 200), st.floats(-200, 200))


@given(points, st.floats(-180, 180))
def test_an_arrow_head_touches_its_tip_and_lies_behind_it(
    tip: tuple[float, float], angle: float
) -> None:
    board = Recorder()
    marks.arrow_head(board, tip, angle)
    (entry,) = board.finish().entries
    assert isinstance(entry.shape, Stroke)
    corners = entry.shape.path.flattened(0.1)
    assert corners[0] == pytest.approx(tip, abs=1e-9)
    side = (ARROW_LENGTH**2 + 0.33**2) ** 0.5
    assert [dist(tip, corner) for corner in corners[1:]] == pytest.approx([side, side])


@pytest.mark.parametrize(
    ("end", "angle"), [((40, 0), 0), ((-40, 0), 0), ((0, 40), 90), ((0, -40), 90)]
)
def test_a_dimension_reads_from_below_or_from_the_right(
    end: tuple[float, float], angle: float
) -> None:
    """ISO 129-1: values are read from the bottom or the right side of the drawing."""
    board = Recorder()
    marks.dimension(board, (0, 0), end, "40")
    (text,) = board.finish().texts()
    assert text.words == "40"
    assert text.angle == pytest.approx(angle)


def test_a_short_dimension_gets_its_heads_from_outside() -> None:
    board = Recorder()
    marks.dimension(board, (0, 0), (5, 0), "5")
    strokes = [e.shape for e in board.finish().entries if isinstance(e.shape, Stroke)]
    bounds = [stroke.bounds() for stroke in strokes]
    assert min(box.left for box in bounds) == pytest.approx(-2 * ARROW_LENGTH)
    assert max(box.right for box in bounds) == pytest.approx(5 + 2 * ARROW_LENGTH)


@pytest.mark.parametrize("diameter", [3.0, 7.0, 16.2])
def test_a_centre_mark_crosses_at_the_centre_and_leaves_the_edge_visible(diameter: float) -> None:
    board = Recorder()
    marks.centre_mark(board, (50, 60), diameter)
    bounds = board.finish().bounds()
    assert bounds is not None
    assert bounds.centre == pytest.approx((50, 60))
    assert bounds.width == pytest.approx(diameter + 4)
    boxes = [entry.shape.bounds() for entry in board.finish().entries]
    assert sum(box.meets(Box(50, 60, 50, 60)) for box in boxes) == 2


@pytest.mark.parametrize(
    "sign", [marks.ring_sign, marks.filled_sign, marks.double_arrow_sign, marks.steps_sign]
)
def test_a_sign_is_drawn_of_paths_within_its_size(sign: object) -> None:
    board = Recorder()
    sign(board, (10, 10), 6.0)  # type: ignore[operator]
    drawing = board.finish()
    assert not any(isinstance(entry.shape, Text) for entry in drawing.entries)
    bounds = drawing.bounds()
    assert bounds is not None
    assert Box(10, 10, 10, 10).grown(3.0 * 1.35).holds(bounds)


def test_signs_differ_without_colour() -> None:
    drawn = []
    for sign in SIGNS:
        board = Recorder()
        sign(board, (0, 0), 6.0)
        drawn.append(sorted(str(entry.shape) for entry in board.finish().entries))
    assert all(one != other for n, one in enumerate(drawn) for other in drawn[:n])


def test_a_registration_mark_is_a_cross_in_a_ring() -> None:
    board = Recorder()
    marks.registration_mark(board, (5, 5))
    shapes = [entry.shape for entry in board.finish().entries]
    circles = [shape for shape in shapes if isinstance(shape, Circle)]
    assert [(c.centre, c.diameter) for c in circles] == [((5, 5), 3.0)]
    assert board.finish().bounds() == Box(2, 2, 8, 8)


@pytest.mark.parametrize(("clockwise", "side"), [(True, 1), (False, -1)])
def test_a_turning_arrow_points_the_way_it_says(clockwise: bool, side: int) -> None:
    board = Recorder()
    marks.turn_arrow(board, (0, 0), 5, clockwise=clockwise)
    head = board.finish().entries[-1].shape
    assert isinstance(head, Stroke)
    assert head.path.start[0] * side > 0
