"""Where the sheets of a large drawing meet: between what is drawn, not through it.

Along one axis at a time: `place_views` divides a length among views no longer than a sheet, so that
the seams between them cut as little as can be, and what is cut is still whole in one of the views
if it fits into one. Lengths in millimetres.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from itertools import pairwise
from math import ceil, inf
from typing import NamedTuple

Span = tuple[float, float]
"""From a low to a high place along an axis."""

_TRIED = 96
"""Even steps in which a seam is tried within the room it has; middles of gaps are tried besides."""
_HAIR = 1e-6


class Views(NamedTuple):
    """What each sheet shows along an axis, and where neighbours are cut and joined."""

    views: tuple[Span, ...]
    seams: tuple[float, ...]


def place_views(whole: Span, size: float, overlap: float, spans: Sequence[Span]) -> Views:
    """Views no longer than `size` that cover the whole and share `overlap` or more.

    As few as can be, and up to two more where that leaves more spans whole in a view.
    """
    low, high = whole
    least = max(1, ceil((high - low - overlap) / (size - overlap) - 1e-9))
    fitting = sorted({(a, b) for a, b in spans if b - a <= size})
    best, fewest = Views((whole,), ()), inf
    for count in range(least, least + (3 if least > 1 else 1)):
        found = _place(whole, size, overlap, fitting, count)
        torn = _count_torn(found, fitting)
        if torn < fewest:
            best, fewest = found, torn
        if not torn:
            break
    return best


def _place(whole: Span, size: float, overlap: float, spans: Sequence[Span], count: int) -> Views:
    """So many views, their seams where they cut least."""
    seams = _choose_seams(whole, size, overlap, spans, count)
    edges = [whole[0] - overlap / 2, *seams, whole[1] + overlap / 2]
    views = [[start - overlap / 2, end + overlap / 2] for start, end in pairwise(edges)]
    views[0][0], views[-1][1] = whole
    for start, end in spans:
        if any(low <= start and end <= high for low, high in views):
            continue
        reaches = [(min(low, start), max(high, end)) for low, high in views]
        growth, at = min(
            (reach[1] - reach[0] - (high - low), place)
            for place, (reach, (low, high)) in enumerate(zip(reaches, views, strict=True))
        )
        if growth + views[at][1] - views[at][0] <= size + _HAIR:
            views[at] = list(reaches[at])
    return Views(tuple((low, high) for low, high in views), tuple(seams))


def _choose_seams(
    whole: Span, size: float, overlap: float, spans: Sequence[Span], count: int
) -> list[float]:
    """Where neighbours meet, by dynamic programming over the places tried for each seam."""
    starts, ends = sorted(start for start, _ in spans), sorted(end for _, end in spans)
    edges = sorted({*starts, *ends})
    (low, high), step, end = whole, size - overlap, size - overlap / 2
    ways: list[tuple[float, list[float]]] = [(0.0, [])]
    for number in range(1, count):
        first = max(low + overlap * (number - 0.5), high - end - step * (count - 1 - number))
        last = min(low + end + step * (number - 1), high - overlap * (count - number - 0.5))
        near = edges[bisect_left(edges, first) : bisect_right(edges, last)]
        tried = {first + (last - first) * n / _TRIED for n in range(_TRIED + 1)}
        tried |= {(a + b) / 2 for a, b in pairwise(near)}
        even = low + (high - low) * number / count
        further = []
        for seam in sorted(tried):
            place = bisect_left(edges, seam)
            apart = min(
                (abs(seam - edge) for edge in edges[max(0, place - 1) : place + 1]), default=inf
            )
            cut = bisect_left(starts, seam - _HAIR) - bisect_right(ends, seam + _HAIR)
            cost = (
                cut + max(0.0, 1 - 2 * apart / overlap) / 2 + abs(seam - even) / (high - low) / 100
            )
            before = [
                (spent, seams)
                for spent, seams in ways
                if not seams or overlap - _HAIR <= seam - seams[-1] <= step + _HAIR
            ]
            if before:
                spent, seams = min(before)
                further.append((spent + cost, [*seams, seam]))
        ways = further
    return min(ways)[1]


def _count_torn(found: Views, spans: Sequence[Span]) -> int:
    """How many spans are whole in no view."""
    return sum(
        not any(low - _HAIR <= start and end <= high + _HAIR for low, high in found.views)
        for start, end in spans
    )
