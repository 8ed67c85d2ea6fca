"""Where the board may stand in the wiring picture: every place is tried, the nearest first."""

from itertools import islice
from math import hypot

from hypothesis import given
from hypothesis import strategies as st

from profiles.sheets.wiring_art import NEAR, list_moves


@given(most=st.floats(1.0, 250.0))
def test_moves_are_all_places_of_both_grids_the_shortest_first(most: float) -> None:
    reach = int(most / 4)
    near = [float(number) for number in range(-NEAR, NEAR + 1)]
    far = [number * 4.0 for number in range(-reach, reach + 1)]
    every = {(dx, dy) for steps in (near, far) for dx in steps for dy in steps}
    assert list(list_moves(most)) == sorted(every, key=lambda move: (hypot(*move), move))


def test_the_first_moves_cost_nothing_however_large_the_plate_is() -> None:
    """All of them on a plate of a thousand kilometres would be 10 to the 17."""
    first = list(islice(list_moves(1e9), 1000))
    assert first == sorted(first, key=lambda move: (hypot(*move), move))
    assert len(first) == 1000
