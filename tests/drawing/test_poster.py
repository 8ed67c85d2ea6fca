"""Words set large in a terminal."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.drawing.poster import render_poster

words = st.lists(st.text("ABCdefÄß12", min_size=1, max_size=9), min_size=1, max_size=6)


@given(words, st.integers(8, 120), st.integers(4, 40))
def test_a_poster_stays_within_its_room(some: list[str], columns: int, rows: int) -> None:
    lines = render_poster(" ".join(some), columns, rows)
    assert 0 < len(lines) <= rows
    assert all(len(line) <= columns for line in lines)


def test_a_short_word_fills_the_width_or_the_height() -> None:
    lines = render_poster("HORN", 80, 40)
    assert max(map(len, lines)) >= 76
    assert sum("█" in line for line in lines) >= 8


def test_the_upright_of_an_i_is_one_block_from_top_to_bottom() -> None:
    lines = [line.strip() for line in render_poster("I", 20, 12) if line.strip()]
    assert all(set(line) <= set("█▀▄") for line in lines)


def test_an_o_has_its_hole() -> None:
    lines = [line for line in render_poster("O", 40, 20) if line.strip()]
    middle = lines[len(lines) // 2].strip()
    assert middle.startswith("█")
    assert middle.endswith("█")
    assert " " in middle


def test_words_are_put_under_each_other_where_that_is_larger() -> None:
    lines = [line.strip() for line in render_poster("START ENGINE", 80, 20)]
    blank = [at for at, line in enumerate(lines) if not line]
    inked = [at for at, line in enumerate(lines) if line]
    assert any(inked[0] < at < inked[-1] for at in blank)


@pytest.mark.parametrize(("some", "columns", "rows"), [("", 80, 20), ("A", 7, 20), ("A", 80, 3)])
def test_no_words_or_no_room_gives_nothing(some: str, columns: int, rows: int) -> None:
    assert render_poster(some, columns, rows) == []
