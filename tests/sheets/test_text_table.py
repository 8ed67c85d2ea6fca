"""Tables for a terminal: aligned whatever the letters, harmless whatever they hold."""

from hypothesis import given
from hypothesis import strategies as st

from profiles.sheets.text_table import cell_width, render_table
from tests.hostile import hostile_texts


def test_columns_are_aligned_without_spaces_at_the_ends() -> None:
    assert render_table(["A", "Second"], [["long words", "x"], ["", ""]]) == (
        "A           Second\n----------  ------\nlong words  x\n"
    )


def test_wide_letters_take_two_columns_and_marks_none() -> None:
    """Unicode Standard Annex 11: W and F are wide; combining marks sit on their letter."""
    assert cell_width("田中") == 4
    assert cell_width("ｑ") == 2
    assert cell_width("e\u0301") == 1
    assert cell_width("żółć") == 4


@given(st.lists(st.tuples(hostile_texts(), hostile_texts()), max_size=6))
def test_every_row_is_one_line(rows: list[tuple[str, str]]) -> None:
    lines = render_table(["First", "Second"], rows).split("\n")
    assert len(lines) == len(rows) + 2
    assert all(letter >= " " and letter != "\x7f" for line in lines for letter in line)
