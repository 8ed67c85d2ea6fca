"""One close spelling for a word that is not known, or none.

`closest` counts edits as a typist makes them: a letter left out, added, changed, or two
neighbours swapped (optimal string alignment distance; The string-to-string correction problem,
1974; A technique for computer detection and correction of spelling errors, 1964).
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache

LONGEST_WORD = 80
"""Letters beyond which a word is no misspelling, so that hostile texts cost no time."""

MASK = 251
"""Bits of a mask. Letters that meet in one bit only let a pair pass that is then measured."""


MEANINGS = {
    word: meanings
    for words, meanings in {
        "button push-button pushbutton": ("momentary", "press"),
        "switch toggle": ("latching", "follows"),
        "encoder knob dial wheel": ("rotary",),
        "potentiometer pot slider": ("axis",),
        "pov d-pad": ("hat",),
        "cw right up": ("clockwise",),
        "ccw counterclockwise counter-clockwise left down": ("anticlockwise",),
        "push click pressed": ("press",),
        "hold momentary": ("held",),
        "tap once": ("pulse",),
        "required mandatory": ("must",),
        "optional": ("may",),
        "type": ("kind",),
        "diameter drill": ("hole",),
        "place centre center xy": ("position",),
        "text caption": ("label",),
        "title": ("name",),
        "steps clicks": ("detents",),
    }.items()
    for word in words.split()
}
"""What words of the trade mean here, looked up where no spelling is close."""


def closest(word: str, candidates: Iterable[str]) -> str | None:
    """Return the candidate that `word` most likely means, or None when none is close.

    At most one edit in three letters is forgiven; letter case and ``_`` for ``-`` are free.
    Of equals the first in alphabetical order is taken. Where none is close, a word of the trade
    stands for what it means here.
    """
    if not word or len(word) > LONGEST_WORD:
        return None
    folded = fold(word)
    limit = min(max(1, len(folded) // 3), len(folded) - 1)
    mask = _mask(folded)
    candidates = tuple(candidates)
    by_length = _by_length(candidates)
    best: tuple[int, str] | None = None
    longer = 0
    while longer <= limit:
        for length in {len(folded) - longer, len(folded) + longer}:
            for other_mask, other, candidate in by_length.get(length, ()):
                wanted = limit if best is None or candidate < best[1] else limit - 1
                # An edit adds or takes a letter, or changes one for another: two bits at most.
                if (other_mask ^ mask).bit_count() > 2 * wanted - longer:
                    continue
                distance = _count_edits(folded, other)
                if distance <= wanted:
                    best = distance, candidate
                    limit = distance
        longer += 1
    if best is None:
        means = (meant for meant in MEANINGS.get(folded, ()) if meant in candidates)
        return next(means, None)
    return best[1]


@lru_cache(maxsize=8)
def _by_length(candidates: tuple[str, ...]) -> Mapping[int, Sequence[tuple[int, str, str]]]:
    """Return mask, folded and given spelling of each candidate, by letters of the folded one."""
    found: dict[int, list[tuple[int, str, str]]] = defaultdict(list)
    for candidate in candidates:
        if len(candidate) <= 2 * LONGEST_WORD:
            folded = fold(candidate)
            found[len(folded)].append((_mask(folded), folded, candidate))
    return found


def fold(word: str) -> str:
    """A word without what spellings of it differ in: letter case, and `_` or a space for `-`."""
    return word.casefold().replace("_", "-").replace(" ", "-")


def _mask(word: str) -> int:
    """Return a bit for each letter, another one where it comes again."""
    mask = 0
    met: dict[str, int] = {}
    for letter in word:
        again = met[letter] = met.get(letter, -1) + 1
        mask |= 1 << (ord(letter) + 41 * again) % MASK
    return mask


def _count_edits(one: str, other: str) -> int:
    """Return the edits between two words: a column of the table of distances in one integer.

    Bit-parallel optimal string alignment (Nordic Journal of Computing 10, 2003, 29): each bit tells
    whether the distance rises (`up`) or falls (`down`) by one from the letter of `one` before.
    """
    pairs = enumerate(zip(one, other, strict=False))
    shared = next((at for at, (letter, opposite) in pairs if letter != opposite), 0)
    one, other = one[shared:], other[shared:]
    places: dict[str, int] = {}
    for at, letter in enumerate(one):
        places[letter] = places.get(letter, 0) | 1 << at
    every = (1 << len(one)) - 1
    last = every ^ every >> 1
    distance, up, down, same, before = len(one), every, 0, 0, 0
    for letter in other:
        here = places.get(letter, 0)
        swapped = (~same & here) << 1 & before
        same = (((here & up) + up) ^ up | here | down | swapped) & every
        across, back = down | ~(same | up) & every, same & up
        distance += bool(across & last) - bool(back & last)
        across = (across << 1 | 1) & every
        up, down = back << 1 & every | ~(same | across) & every, across & same
        before = here
    return distance if one else len(other)
