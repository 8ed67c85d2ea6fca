"""The board records, measures, carries over and replays what was drawn."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.drawing import weights
from profiles.drawing.geometry import Box, Point, box_around, mirrored, moved, scaled, turned
from profiles.drawing.paths import Path, rectangle
from profiles.drawing.recorder import Drawing, Recorder, replay
from profiles.drawing.shapes import Text
from profiles.drawing.style import Lettering, Style
from profiles.lettering import REGULAR


class Tuples:
    """A surface that notes its calls."""

    def __init__(self) -> None:
        self.calls: list[tuple[str, object]] = []

    def draw_path(self, path: Path, style: Style) -> None:
        self.calls.append(("path", path.start))

    def draw_circle(self, centre: Point, diameter: float, style: Style) -> None:
        self.calls.append(("circle", (centre, diameter)))

    def draw_text(self, text: Text) -> None:
        self.calls.append(("text", text.words))

    def open_layer(self, name: str) -> None:
        self.calls.append(("layer", name))

    def close_layer(self) -> None:
        self.calls.append(("end", "layer"))

    def open_clip(self, path: Path) -> None:
        self.calls.append(("clip", path.bounds()))

    def close_clip(self) -> None:
        self.calls.append(("end", "clip"))


def note(drawing: Drawing) -> list[tuple[str, object]]:
    surface = Tuples()
    replay(drawing, surface)
    return surface.calls


def only_text(board: Recorder) -> Text:
    (text,) = board.finish().texts()
    return text


def test_replay_repeats_the_verbs_with_layers_and_clips_around_runs() -> None:
    board = Recorder()
    window = Box(0, 0, 5, 5)
    board.circle((0, 0), 4)
    with board.layer("holes"):
        board.circle((1, 0), 4)
        with board.clip(rectangle(window)):
            board.line((7, 7), (8, 8))
            board.text((0, 0), "HORN")
    board.text((0, 0), "")
    assert note(board.finish()) == [
        ("circle", ((0, 0), 4)),
        ("layer", "holes"),
        ("circle", ((1, 0), 4)),
        ("end", "layer"),
        ("layer", "holes"),
        ("clip", window),
        ("path", (7, 7)),
        ("text", "HORN"),
        ("end", "clip"),
        ("end", "layer"),
    ]


def test_inner_layers_win_and_the_outer_one_comes_back() -> None:
    board = Recorder()
    with board.layer("plate"):
        with board.layer("holes"):
            board.circle((0, 0), 1)
        board.circle((0, 0), 2)
    assert [entry.layer for entry in board.finish().entries] == ["holes", "plate"]
    assert board.finish().layers() == ("holes", "plate")
    assert len(board.finish().on_layers(["holes"]).entries) == 1


def test_a_placed_drawing_keeps_its_layers_and_takes_the_open_one_for_the_rest() -> None:
    inner = Recorder()
    inner.circle((0, 0), 1)
    with inner.layer("holes"):
        inner.circle((0, 0), 2)
    board = Recorder()
    with board.layer("plate"):
        board.place(inner.finish(), moved(10, 0))
    placed = board.finish()
    assert [entry.layer for entry in placed.entries] == ["plate", "holes"]
    assert placed.bounds() == Box(9, -1, 11, 1)


def test_carrying_moves_inner_clips_and_leaves_outer_ones_alone() -> None:
    board = Recorder()
    outer, inner = rectangle(Box(0, 0, 50, 50)), rectangle(Box(0, 0, 5, 5))
    with board.clip(outer), board.carried(moved(10, 20)), board.clip(inner):
        board.circle((1, 1), 2)
    (entry,) = board.finish().entries
    assert entry.clips == (outer, rectangle(Box(10, 20, 15, 25)))
    assert entry.shape.bounds() == Box(10, 20, 12, 22)


def test_bounds_leave_the_line_width_out_and_ink_bounds_put_it_in() -> None:
    board = Recorder()
    board.rectangle(Box(0, 0, 20, 10), Style(0.5))
    board.circle((25, 5), 4, weights.fill())
    assert board.finish().bounds() == Box(0, 0, 27, 10)
    assert board.finish().ink_bounds() == Box(-0.25, -0.25, 27, 10.25)
    assert Recorder().finish().bounds() is None


def test_text_rests_on_its_baseline_its_middle_or_its_top() -> None:
    for rest, y in (("baseline", 10.0), ("middle", 8.5), ("top", 7.0)):
        board = Recorder()
        board.text((5, 10), "HORN", Lettering(3.0), rest=rest)  # type: ignore[arg-type]
        assert only_text(board).at == (5.0, y)


@pytest.mark.parametrize(("anchor", "left"), [("left", 0.0), ("middle", -0.5), ("right", -1.0)])
def test_the_box_of_capitals_stands_where_the_anchor_says(anchor: str, left: float) -> None:
    board = Recorder()
    board.text((40, 10), "HORN", Lettering(3.0), anchor=anchor)  # type: ignore[arg-type]
    text = only_text(board)
    width = REGULAR.width("HORN") * 3.0 / REGULAR.cap_height
    box = box_around(text.cap_corners())
    assert (box.left, box.bottom) == pytest.approx((40 + left * width, 10))
    assert (box.width, box.height) == pytest.approx((width, 3.0))
    assert text.start() == pytest.approx((40 + left * width, 10))


texts = st.builds(
    Text,
    at=st.tuples(st.floats(-100, 100), st.floats(-100, 100)),
    words=st.sampled_from(["HORN", "Fog signal", "Zażółć"]),
    lettering=st.builds(Lettering, st.floats(1, 8), condense=st.sampled_from([0.75, 1.0])),
    anchor=st.sampled_from(["left", "middle", "right"]),
    angle=st.sampled_from([0.0, 30.0, 90.0, -90.0, 180.0, 211.0]),
    reversed=st.booleans(),
)
carries = st.sampled_from([moved(3, 4), turned(90), turned(33, (5, 5)), mirrored(7), scaled(0.5)])


@given(texts, carries)
def test_a_carried_text_covers_the_carried_corners(text: Text, by: object) -> None:
    carried = text.transformed(by)  # type: ignore[arg-type]
    expected = [by.apply(corner) for corner in text.cap_corners()]  # type: ignore[attr-defined]
    for got, corner in zip(carried.cap_corners(), expected, strict=True):
        assert got == pytest.approx(corner, abs=1e-6)


@given(texts)
def test_a_readable_text_covers_the_same_spot_and_reads_from_below_or_the_right(text: Text) -> None:
    """Reading from the foot or the right of the sheet is the rule for dimensions (ISO 129-1)."""
    level = replace(text, angle=(text.angle + 180) % 360 - 180)
    readable = level.readable()
    assert not readable.reversed
    assert -90 < readable.angle <= 90 + 1e-5
    spot = sorted((round(x, 4), round(y, 4)) for x, y in level.cap_corners())
    assert sorted((round(x, 4), round(y, 4)) for x, y in readable.cap_corners()) == [
        pytest.approx(corner, abs=2e-4) for corner in spot
    ]


def test_mirroring_a_drawing_mirrors_its_text_unless_it_is_to_be_read() -> None:
    board = Recorder()
    board.text((10, 0), "HORN", anchor="left")
    mirror = board.finish().transformed(mirrored(0))
    assert mirror.texts()[0].reversed
    readable = mirror.readable().texts()[0]
    assert (readable.reversed, readable.anchor, readable.at) == (False, "right", (-10.0, 0.0))
    assert readable.angle == pytest.approx(0.0)


def test_line_widths_stay_when_a_drawing_is_scaled() -> None:
    board = Recorder()
    board.circle((10, 0), 4, Style(0.35))
    board.text((0, 0), "A", Lettering(4.0))
    small = board.finish().transformed(scaled(0.5))
    assert small.bounds() is not None
    circle, text = (entry.shape for entry in small.entries)
    assert circle.bounds() == Box(4, -1, 6, 1)
    assert circle.ink_bounds() == Box(3.825, -1.175, 6.175, 1.175)
    assert isinstance(text, Text)
    assert text.lettering.cap_height == 2.0
