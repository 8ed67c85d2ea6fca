"""Plots of press times and gaps."""

import xml.etree.ElementTree as ElementTree

from hypothesis import given
from hypothesis import strategies as st

from profiles.drawing.recorder import Drawing
from profiles.drawing.svg import write_svg
from profiles.sheets.press_plots import (
    HEIGHT,
    WIDTH,
    draw_histogram,
    draw_sequence,
    page_of,
)

counts = st.lists(st.integers(0, 10**6), min_size=1, max_size=20)
times = st.lists(st.floats(0, 1e6), min_size=0, max_size=200)


def words(drawing: Drawing) -> list[str]:
    return [text.words for text in drawing.texts()]


def is_within(drawing: Drawing) -> bool:
    box = drawing.ink_bounds()
    assert box is not None
    return box.left >= 0 and box.bottom >= 0 and box.right <= WIDTH and box.top <= HEIGHT


@given(counts)
def test_every_bar_has_its_count_in_figures_and_all_stay_inside(some: list[int]) -> None:
    bars = [(float(at), at + 1.0, count) for at, count in enumerate(some)]
    drawing = draw_histogram("Presses, ms", bars)
    shown = words(drawing)
    assert all(str(count) in shown for count in some if count)
    assert is_within(drawing)


@given(times)
def test_every_value_has_its_mark_and_all_stay_inside(some: list[float]) -> None:
    drawing = draw_sequence("Gaps, ms", some)
    assert is_within(drawing)
    marks = sum(type(entry.shape).__name__ == "Circle" for entry in drawing.entries)
    assert marks == (len(some) if max(some, default=0.0) > 0 else 0)


def test_nothing_heard_is_said() -> None:
    assert words(draw_sequence("Gaps", [])) == ["Gaps", "nothing was heard"]
    assert words(draw_histogram("Presses", [])) == ["Presses", "nothing was heard"]


def test_the_taller_bar_is_the_more_frequent() -> None:
    drawing = draw_histogram("Presses", [(0.0, 1.0, 2), (1.0, 2.0, 4)])
    boxes = [entry.shape.bounds() for entry in drawing.entries][1:]
    heights = sorted({round(box.height, 6) for box in boxes if box.width > 5 and box.height > 5})
    assert len(heights) == 2
    assert heights[1] == 2 * heights[0]


def test_several_plots_make_one_picture_that_is_well_formed() -> None:
    page = page_of([draw_sequence("One <ms>", [1.0]), draw_sequence("Two", [2.0])])
    assert (page.width, page.height) == (WIDTH, 2 * HEIGHT)
    written = write_svg(page, title="Plots")
    root = ElementTree.fromstring(written.data)
    text = "".join(root.itertext())
    assert "One <ms>" in text
    assert text.index("One") < text.index("Two")
    assert written.losses == ()
