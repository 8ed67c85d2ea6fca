"""One close spelling for a word that is not known, or none.

`closest` counts edits as a typist makes them: a letter left out, added, changed, or two
neighbours swapped (optimal string alignment distance; R. A. Wagner and M. J. Fischer 1974,
F. J. Damerau 1964).
"""

from collections.abc import Iterable

LONGEST_WORD = 80
"""Letters beyond which a word is no misspelling, so that hostile texts cost no time."""


def closest(word: str, candidates: Iterable[str]) -> str | None:
    """Return the candidate that `word` most likely stands for, or None when none is close.

    At most one edit in three letters is forgiven; letter case and ``_`` for ``-`` are free.
    Of equals the first in alphabetical order is taken.
    """
    if not word or len(word) > LONGEST_WORD:
        return None
    folded = _fold(word)
    limit = max(1, len(folded) // 3)
    best: tuple[int, str] | None = None
    for candidate in candidates:
        distance = _count_edits(folded, _fold(candidate), limit)
        if distance <= limit and distance < len(folded):
            rank = (distance, candidate)
            best = rank if best is None or rank < best else best
            limit = best[0]
    return best[1] if best else None


def _fold(word: str) -> str:
    return word.casefold().replace("_", "-").replace(" ", "-")


def _count_edits(one: str, other: str, limit: int) -> int:
    """Return the edits between two words; any figure above `limit` once it is passed."""
    if one == other:
        return 0
    if abs(len(one) - len(other)) > limit:
        return limit + 1
    before: list[int] = []
    row = list(range(len(other) + 1))
    for at, letter in enumerate(one):
        before, above, row = row, before, [at + 1]
        for there, opposite in enumerate(other):
            cost = min(before[there + 1] + 1, row[there] + 1, before[there] + (letter != opposite))
            if at and there and letter == other[there - 1] and one[at - 1] == opposite:
                cost = min(cost, above[there - 1] + 1)
            row.append(cost)
        if min(row) > limit:
            return limit + 1
    return row[-1]
