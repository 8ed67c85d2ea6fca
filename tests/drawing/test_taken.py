"""A box is free where it meets no other, wherever on the drawing."""

from hypothesis import given
from hypothesis import strategies as st

from profiles.drawing.geometry import Box
from profiles.drawing.taken import TakenBoxes

places = st.floats(-200.0, 200.0) | st.integers(-20, 20).map(lambda number: number * 10.0)
sides = st.floats(0.0, 60.0) | st.just(10.0)
boxes = st.builds(lambda x, y, w, h: Box(x, y, x + w, y + h), places, places, sides, sides)


@given(st.lists(boxes, max_size=12), boxes)
def test_a_box_is_free_where_it_meets_none_of_all(taken: list[Box], box: Box) -> None:
    assert TakenBoxes(taken).is_free(box) == (not any(box.meets(other) for other in taken))
