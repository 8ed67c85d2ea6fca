"""Small random matrices and held contacts."""

from itertools import product

from hypothesis import strategies as st

from profiles.wiring.matrix import Crossing, Matrix


@st.composite
def matrices(draw: st.DrawFn, most: int = 4) -> Matrix:
    rows, columns = draw(st.integers(1, most)), draw(st.integers(1, most))
    places = sorted(product(range(1, rows + 1), range(1, columns + 1)))
    crossings = draw(st.sets(st.sampled_from(places)))
    chosen = sorted(crossings)
    diodes = draw(st.sets(st.sampled_from(chosen))) if chosen else set()
    driven = draw(st.sampled_from(["rows", "columns"]))
    return Matrix(rows, columns, frozenset(crossings), frozenset(diodes), driven)  # type: ignore[arg-type]


@st.composite
def held_in(draw: st.DrawFn, most: int = 4) -> tuple[Matrix, frozenset[Crossing]]:
    matrix = draw(matrices(most))
    chosen = sorted(matrix.crossings)
    return matrix, frozenset(draw(st.sets(st.sampled_from(chosen))) if chosen else ())
