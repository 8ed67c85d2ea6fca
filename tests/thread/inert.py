"""What makes a text unsafe to show."""

import re

UNSAFE = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028\u2029\u202a-\u202e\u2066-\u2069]"
)
"""Controls, and marks that turn the direction of writing."""


def is_whole(text: str) -> bool:
    """Whether a text has no half letters, which no UTF-8 file can hold."""
    return not any("\ud800" <= letter <= "\udfff" for letter in text)


def assert_inert(text: str) -> None:
    found = UNSAFE.search(text)
    assert found is None, repr(text[max(0, found.start() - 60) : found.end() + 20])
