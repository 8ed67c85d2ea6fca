"""Drawings as cells: proportions, words as letters, nothing lost in silence."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.drawing import weights
from profiles.drawing.geometry import Box
from profiles.drawing.paths import rectangle
from profiles.drawing.recorder import Drawing, Recorder
from profiles.drawing.style import WHITE, Lettering
from profiles.drawing.surface import Loss
from profiles.drawing.terminal import (
    BRAILLE,
    HALF_BLOCKS,
    PROPORTIONS,
    CellPicture,
    DotSet,
    render_cells,
    write_terminal,
)
from tests.hostile import NAUGHTY


def panel(width: float = 220, height: float = 120) -> Recorder:
    board = Recorder()
    board.rectangle(Box(0, 0, width, height), weights.OUTLINE)
    return board


def show(board: Recorder, columns: int = 40, **options: object) -> CellPicture:
    return render_cells(board.finish(), columns, **options)  # type: ignore[arg-type]


def test_a_box_fills_the_columns_and_keeps_its_proportions() -> None:
    """220 by 120 mm on 40 columns are 5.5 mm a column and 120 / 11 rows of cells twice as high."""
    picture = show(panel())
    assert [len(row) for row in picture.rows] == [40] * 11
    assert picture.mm_per_column == 5.5


@given(
    st.floats(1, 900), st.floats(1, 900), st.integers(1, 120), st.integers(1, 50), st.floats(1, 3)
)
def test_the_picture_stays_within_its_room(
    width: float, height: float, columns: int, rows: int, aspect: float
) -> None:
    picture = render_cells(panel(width, height).finish(), columns, rows, cell_aspect=aspect)
    assert len(picture.rows) <= rows
    assert all(len(row) == len(picture.rows[0]) <= columns for row in picture.rows)


def test_braille_dots_follow_the_unicode_chart() -> None:
    """Unicode 2800 to 28FF: names list the dots, 1 to 3 and 7 down the left column."""
    columns = ((0, 0), (0, 1), (0, 2), (1, 0), (1, 1), (1, 2), (0, 3), (1, 3))
    for number, dot in enumerate(columns, 1):
        name = unicodedata.name(BRAILLE.character(frozenset({dot})))
        assert name == f"BRAILLE PATTERN DOTS-{number}"


def test_half_blocks_show_the_upper_the_lower_or_both() -> None:
    shown = [HALF_BLOCKS.character(frozenset(dots)) for dots in ({(0, 0)}, {(0, 1)})]
    assert shown == ["▀", "▄"]
    assert HALF_BLOCKS.character(frozenset({(0, 0), (0, 1)})) == "█"


def test_a_frame_in_half_blocks_looks_like_a_frame() -> None:
    picture = show(panel(80, 80), 8, dots=HALF_BLOCKS)
    assert picture.lines() == ["█▀▀▀▀▀▀█", "█      █", "█      █", "█▄▄▄▄▄▄█"]


def test_words_stand_as_letters_at_their_place() -> None:
    board = panel()
    with board.layer("labels"):
        board.text((110, 60), "HORN", Lettering(3.0), anchor="middle")
    picture = show(board)
    row = picture.rows[5]
    assert "".join(letter for letter, _ in row[18:22]) == "HORN"
    assert {layer for _, layer in row[18:22]} == {"labels"}
    assert picture.losses == ()


def test_words_that_collide_move_a_row_and_the_rest_are_named() -> None:
    board = panel()
    for number in range(4):
        board.text((110, 60), f"HORN{number}", Lettering(3.0), anchor="middle")
    picture = show(board)
    assert sum("HORN" in line for line in picture.lines()) == 3
    assert picture.losses == (Loss("text", 'no room for "HORN3" in the terminal picture'),)


def test_lines_of_a_block_keep_their_order_where_one_of_them_moves() -> None:
    """The upper line gives way downwards; the lower one does not slip above it."""
    board = panel()
    board.text((110, 60), "RADIO", Lettering(3.0), anchor="middle")
    board.text((110, 60), "GATE TWO", Lettering(3.0), anchor="middle")
    board.text((110, 58), "OPEN", Lettering(3.0), anchor="middle")
    lines = show(board).lines()
    at = {word: next(row for row, line in enumerate(lines) if word in line)
          for word in ("RADIO", "GATE TWO", "OPEN")}  # fmt: skip
    assert at["GATE TWO"] < at["OPEN"]


def test_words_at_the_edge_move_inwards() -> None:
    board = panel()
    board.text((219, 60), "FLAPS", Lettering(3.0))
    assert any("FLAPS" in line for line in show(board).lines())


def test_words_wider_than_the_picture_are_named() -> None:
    board = panel()
    board.text((0, 60), "H" * 41, Lettering(3.0))
    assert [loss.kind for loss in show(board).losses] == ["text"]


@pytest.mark.parametrize("dots", [BRAILLE, HALF_BLOCKS], ids=["braille", "blocks"])
def test_fills_cover_and_white_fills_clear(dots: DotSet) -> None:
    board = panel(100, 100)
    board.rectangle(Box(20, 20, 80, 80), weights.fill())
    board.rectangle(Box(40, 40, 60, 60), weights.fill(WHITE))
    picture = show(board, 50, dots=dots)
    middle = picture.rows[len(picture.rows) // 2]
    assert middle[25] == (" ", "")
    assert middle[15][0] == dots.character(
        frozenset((x, y) for x in range(dots.columns) for y in range(dots.rows))
    )


def test_a_clip_keeps_dots_inside() -> None:
    board = panel(100, 100)
    with board.layer("inner"), board.clip(rectangle(Box(0, 0, 50, 100))):
        board.line((10, 50), (90, 50))
    row = show(board, 50).rows[12]
    assert [column for column in range(50) if row[column][1] == "inner"] == list(range(5, 25))


def test_cells_carry_the_layer_of_their_dots() -> None:
    board = Recorder()
    with board.layer("holes"):
        board.circle((0, 0), 20)
    cells = {layer for row in show(board, 12).rows for letter, layer in row if letter != " "}
    assert cells == {"holes"}


def test_a_written_picture_says_that_it_is_not_to_scale() -> None:
    text = write_terminal(panel().finish(), 30).data.decode()
    assert text.endswith(f"\n{PROPORTIONS}\n")


def test_an_empty_drawing_is_an_empty_picture() -> None:
    picture = render_cells(Drawing(), 10)
    assert set(picture.lines()) == {""}


@pytest.mark.parametrize("words", NAUGHTY[:200])
def test_hostile_words_reach_no_terminal(words: str) -> None:
    board = panel()
    board.text((10, 60), words)
    text = write_terminal(board.finish(), 120).data.decode()
    categories = {unicodedata.category(letter) for letter in text if letter != "\n"}
    assert categories.isdisjoint({"Cc", "Cf", "Cs", "Zl", "Zp"})
