"""Words as lines: where they stand, and how many one file may have."""

import pytest

from profiles.drawing.letters import letters_as_lines, paths_of
from profiles.drawing.recorder import Recorder
from profiles.drawing.shapes import Text
from profiles.drawing.style import Lettering
from profiles.drawing.surface import TooLargeError


@pytest.mark.parametrize("angle", [0.0, 90.0, -30.0])
@pytest.mark.parametrize("is_reversed", [False, True])
def test_letters_stand_within_the_room_of_their_text(angle: float, is_reversed: bool) -> None:
    """The letter H reaches from the baseline to the height of capitals, and no farther."""
    text = Text((40.0, 25.0), "H", Lettering(10.0, condense=0.5), "left", angle, is_reversed)
    low, right, _, left = text.cap_corners()
    (path,) = paths_of(text, "outlines")
    along = [_share(point, low, right) for point in path.flattened(0.01)]
    up = [_share(point, low, left) for point in path.flattened(0.01)]
    assert (min(up), max(up)) == pytest.approx((0.0, 1.0), abs=1e-9)
    assert 0.0 < min(along) < max(along) < 1.0


def _share(
    point: tuple[float, float], start: tuple[float, float], end: tuple[float, float]
) -> float:
    """How far along the way from start to end a point is, as a share."""
    way = end[0] - start[0], end[1] - start[1]
    dot = (point[0] - start[0]) * way[0] + (point[1] - start[1]) * way[1]
    return dot / (way[0] ** 2 + way[1] ** 2)


def test_words_beyond_the_budget_are_refused_before_they_are_drawn() -> None:
    board = Recorder()
    for row in range(100):
        board.text((0.0, 5.0 * row), "8" * 1000, Lettering(3.0))
    with pytest.raises(TooLargeError) as caught:
        letters_as_lines(board.finish(), "outlines")
    assert str(caught.value) == (
        "the words as outlines would have 9.0 million corners, more than 0.7 million"
    )
    assert caught.value.remedy == (
        "Choose single strokes for letters, shorter words, or PDF, which has letters as text."
    )
