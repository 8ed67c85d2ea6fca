"""Combinations of a selector that makes before it breaks: single positions, and neighbours."""

from profiles.wiring.needs import Needs
from tests.wiring.combinations import list_combinations


def test_two_neighbours_are_closed_at_once_and_no_others() -> None:
    """Of four positions in one row those that are no neighbours exclude each other."""
    one, two, three, four = ((1, column) for column in range(1, 5))
    apart = (frozenset({one, three}), frozenset({one, four}), frozenset({two, four}))

    found = set(list_combinations(Needs(exclusive=apart)))

    assert found == {
        frozenset({one, two}),
        frozenset({two, three}),
        frozenset({three, four}),
    }


def test_every_choice_of_break_before_make_selectors_is_there() -> None:
    gear, range_ = frozenset({(1, 1), (1, 2)}), frozenset({(2, 1), (2, 2)})

    found = list(list_combinations(Needs(exclusive=(gear, range_))))

    assert len(found) == len(set(found)) == 4
