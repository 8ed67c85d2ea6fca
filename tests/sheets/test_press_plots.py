"""Plots of a press test."""

import xml.etree.ElementTree as ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.drawing.recorder import Drawing
from profiles.drawing.shapes import Circle
from profiles.drawing.svg import write_svg
from profiles.drawing.terminal import render_cells
from profiles.sheets.press_plots import (
    BINS,
    WIDTH,
    Named,
    choose_axis,
    draw_bounces,
    draw_press_times,
    draw_turn,
    stack_plots,
    without_grid,
)
from profiles.sheets.writing import page_of
from tests.hostile import NAUGHTY

times = st.lists(st.floats(0.001, 1e6), min_size=1, max_size=40)


def words(drawing: Drawing) -> list[str]:
    return [text.words for text in drawing.texts()]


def dots(drawing: Drawing) -> list[Circle]:
    return [entry.shape for entry in drawing.entries if isinstance(entry.shape, Circle)]


@given(times, st.integers(2, 12))
def test_an_axis_holds_every_value_with_few_round_ticks(some: list[float], most: int) -> None:
    axis = choose_axis(some, most)
    assert axis.low == 0.0 <= max(some) <= axis.high * (1 + 1e-9)
    assert 2 <= len(axis.ticks) <= most + 2
    step = axis.ticks[1]
    assert f"{step:e}"[0] in "125"


def test_an_axis_of_counts_has_whole_ticks() -> None:
    assert choose_axis([1], 4, whole=True).ticks == (0.0, 1.0)
    assert choose_axis([9], 4, whole=True).ticks == (0.0, 5.0, 10.0)


@given(times)
def test_every_press_has_its_dot_inside_the_plot(some: list[float]) -> None:
    drawing = draw_press_times([Named("horn.press", tuple(some)), Named("bell.press", ())])
    assert len(dots(drawing)) == len(some)
    box = drawing.ink_bounds()
    assert box is not None
    assert all(0 <= dot.centre[0] <= WIDTH + 1e-6 for dot in dots(drawing))
    assert {"horn.press", "bell.press", "time from down to up, ms"} <= set(words(drawing))


def test_a_longer_press_stands_further_right() -> None:
    short, long = dots(draw_press_times([Named("horn.press", (50.0, 150.0))]))
    assert short.centre[1] == long.centre[1]
    assert short.centre[0] < long.centre[0]


@given(st.lists(st.floats(0.1, 59.0), min_size=1, max_size=60))
def test_bars_hold_every_gap(gaps: list[float]) -> None:
    """Heights of the bars, in counts, add up to the number of gaps."""
    drawing = draw_bounces(gaps, 7.0)
    boxes = [entry.shape.bounds() for entry in drawing.entries if entry.layer == "plot"]
    wide = (WIDTH - 38.0) / BINS
    bars = [box for box in boxes if abs(box.width - wide) < 1e-6 and box.height > 1e-6]
    ticks = [
        float(text.words)
        for text in drawing.texts()
        if text.anchor == "right" and text.words[0].isdigit()
    ]
    scale = 42.0 / max(ticks)
    assert sum(box.height for box in bars) / scale == pytest.approx(len(gaps))
    assert "debounce 7 ms" in words(drawing)


def test_a_turn_tells_each_gap_and_its_measurements() -> None:
    drawing = draw_turn(Named("trim.clockwise", (60.0, 30.0, 60.0)), "4 pulses for 4 detents")
    assert len(dots(drawing)) == 3
    assert {"Turning trim.clockwise", "4 pulses for 4 detents", "pulse"} <= set(words(drawing))


def test_stacked_plots_do_not_touch() -> None:
    one = draw_turn(Named("a", (60.0, 30.0)), "")
    stacked = stack_plots([one, one, one])
    single, whole = one.ink_bounds(), stacked.ink_bounds()
    assert single is not None
    assert whole is not None
    assert whole.height > 3 * single.height
    assert whole.width == pytest.approx(single.width)


def test_in_a_terminal_no_word_is_lost() -> None:
    """At 80 columns, where the grid would drown the dots."""
    rows = [Named(f"control-{at}.press", (90.0, 80.0 + at)) for at in range(24)]
    plots = [
        draw_press_times(rows),
        draw_bounces([1.0, 2.0, 9.0], 7.0),
        draw_turn(Named("trim.anticlockwise", (60.0, 30.0)), "10 pulses for 10 detents"),
    ]
    for plot in plots:
        assert "grid" not in without_grid(plot).layers()
        assert render_cells(without_grid(plot), 80).losses == ()


def test_hostile_names_stay_words_in_svg() -> None:
    drawing = draw_press_times([Named(name, (1.0,)) for name in NAUGHTY])
    root = ElementTree.fromstring(write_svg(page_of(drawing, has_ruler=False)).data)
    tags = {element.tag.rpartition("}")[2] for element in root.iter()}
    assert tags <= {"svg", "title", "g", "path", "circle", "text", "style", "rect", "defs", "tspan"}
