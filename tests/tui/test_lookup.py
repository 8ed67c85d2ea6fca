"""Typed letters against names."""

from hypothesis import given
from hypothesis import strategies as st

from profiles.tui.dialogs import rank


def test_letters_find_names_in_the_order_people_mean() -> None:
    names = ["Sound the horn", "Deck light", "Ring the bell", "Reel in hawser"]
    assert rank("ring", [(one, (one,)) for one in names])[0] == "Ring the bell"
    assert rank("dl", [(one, (one,)) for one in names]) == ["Deck light"]
    assert rank("", [(one, (one,)) for one in names]) == names
    assert rank("xyz", [(one, (one,)) for one in names]) == []


@given(st.text(max_size=30), st.integers(0, 29), st.integers(1, 8))
def test_any_part_of_a_name_finds_it(name: str, start: int, length: int) -> None:
    part = name.casefold()[start : start + length]
    assert rank(part, [(name, (name.casefold(),))]) == [name]
