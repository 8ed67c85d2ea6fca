"""How alike the words of a control and those of an action are."""

import re
from collections.abc import Iterable
from functools import lru_cache

EMPTY = frozenset(
    word
    for words in (
        ("a", "an", "and", "at", "by", "for", "from", "in", "of", "or", "the", "to", "with"),
        ("button", "control", "encoder", "key", "knob", "lever", "press", "push", "selector"),
        ("switch", "toggle", "turn", "on", "off", "up", "down", "left", "right", "open", "close"),
        ("increase", "decrease", "next", "previous", "set", "start", "stop"),
    )
    for word in words
)
"""Words that too many controls and actions have to mean the same by themselves."""

LEAST_SHORT = 3
"""Letters of a word that may stand for a longer one that begins with it: `NAV`, `navigation`."""

SHORTENED = 0.7
"""What a shortened word counts, beside 1 for the word itself."""


@lru_cache(maxsize=4096)
def words_of(*texts: str) -> frozenset[str]:
    """Return the words of texts and ids, letter case, marks and a plural's `s` aside."""
    return frozenset(
        word.removesuffix("s") if len(word) > LEAST_SHORT and not word.endswith("ss") else word
        for text in texts
        for word in re.findall(r"[^\W\d_]+|\d+", text.casefold())
    )


def likeness(mine: frozenset[str], theirs: frozenset[str]) -> float:
    """Return how alike two sets of words are, 0 to 1 (Dice's coefficient, shortened words less).

    It is 0 where no word that says something is shared; where one side has no such word, the other
    words are asked.
    """
    telling = [_telling(words) or words for words in (mine, theirs)]
    if not _shared(*telling):
        return 0.0
    return 2 * _shared(mine, theirs) / (len(mine) + len(theirs))


def _telling(words: Iterable[str]) -> frozenset[str]:
    return frozenset(word for word in words if word not in EMPTY and not word.isdigit())


def _shared(mine: frozenset[str], theirs: frozenset[str]) -> float:
    """Return how many words both have, one that is short for another counted less."""
    same = mine & theirs
    rest = theirs - same
    short = sum(
        any(
            min(len(one), len(other)) >= LEAST_SHORT
            and (one.startswith(other) or other.startswith(one))
            for other in rest
        )
        for one in mine - same
    )
    return len(same) + SHORTENED * min(short, len(rest))
