"""Every combination of contacts that are needed at once, one by one."""

from collections.abc import Iterator
from itertools import product

from profiles.wiring.matrix import Crossing
from profiles.wiring.needs import Needs


def list_combinations(needs: Needs) -> Iterator[frozenset[Crossing]]:
    """Yield every largest combination: one contact of each exclusive set, with each chord.

    Of a selector that makes before it breaks, two neighbours are closed at once. Their number is
    about the product of the sizes.
    """
    groups = needs.exclusive
    overlap = [any(one & group for one in groups if one is not group) for group in groups]
    for chord in needs.chords or (frozenset(),):
        choices = [
            [
                *([frozenset()] if is_shared else []),
                *(frozenset({one}) for one in group & chord or group),
            ]
            for group, is_shared in zip(groups, overlap, strict=True)
        ]
        every = dict.fromkeys(frozenset[Crossing]().union(*picked) for picked in product(*choices))
        found = [held for held in every if all(len(held & group) <= 1 for group in groups)]
        for held in found:
            if not any(overlap) or not any(held < other for other in found):
                yield needs.steady | chord | held
