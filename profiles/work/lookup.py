"""Typed letters against names: what a person most likely means, best first.

All letters must occur in order. Letters at the start of words and letters in a row count most;
of equals the shorter name wins, then the order given.
"""

from collections.abc import Iterable
from typing import TypeVar

T = TypeVar("T")

_START, _ROW, _WHOLE = 8, 5, 40


def score(typed: str, name: str) -> int | None:
    """How well the letters fit a name, more is better; None where they do not occur in order."""
    wanted, text = typed.casefold().replace(" ", ""), name.casefold()
    if typed.casefold() in text:
        place = text.index(typed.casefold())
        return _WHOLE + len(wanted) * _ROW + (_START if _starts_word(text, place) else 0)
    total, at = 0, -1
    for letter in wanted:
        found = _find(text, letter, at + 1)
        if found < 0:
            return None
        total += _START if _starts_word(text, found) else _ROW if found == at + 1 else 1
        at = found
    return total


def _find(text: str, letter: str, start: int) -> int:
    """The next place of a letter: right here, else at the start of a word, else anywhere."""
    if text[start : start + 1] == letter:
        return start
    place = text.find(letter, start)
    first = place
    while place >= 0 and not _starts_word(text, place):
        place = text.find(letter, place + 1)
    return place if place >= 0 else first


def _starts_word(text: str, at: int) -> bool:
    return at == 0 or not text[at - 1].isalnum()


def rank(typed: str, named: Iterable[tuple[T, tuple[str, ...]]]) -> list[T]:
    """Things that the letters fit, each with its names, best first; all of them for no letters."""
    found = []
    for place, (thing, names) in enumerate(named):
        scores = [(fit, len(name)) for name in names if (fit := score(typed, name)) is not None]
        if scores:
            best, length = max(scores, key=lambda one: (one[0], -one[1]))
            found.append((-best, length if typed else 0, place, thing))
    return [thing for *_, thing in sorted(found, key=lambda one: one[:3])]
