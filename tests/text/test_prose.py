"""Lists and numbers as prose."""

import pytest

from profiles.text.prose import count, join_words


def test_listing_joins_words() -> None:
    assert join_words([]) == ""
    assert join_words(["a"]) == "a"
    assert join_words(["a", "b"]) == "a and b"
    assert join_words(["a", "b", "c"], last="or") == "a, b or c"


@pytest.mark.parametrize(
    ("number", "noun", "text"),
    [
        (0, "control", "0 controls"),
        (1, "control", "1 control"),
        (2, "switch", "2 switches"),
        (2, "library", "2 libraries"),
        (2, "key", "2 keys"),
    ],
)
def test_count_agrees_with_its_noun(number: int, noun: str, text: str) -> None:
    assert count(number, noun) == text
