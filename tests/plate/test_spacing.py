"""Separation tables and what is wrong with a layout."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.plate.shapes import Disc, Rectangle, Rounded, Shape, gap
from profiles.plate.spacing import (
    ATIS,
    MIL_STD_1472E,
    NUREG_0700,
    ControlOutline,
    Near,
    Screwhead,
    find_close_fronts,
    find_close_holes,
    find_crossed_screws,
    find_near,
    find_near_edge,
    find_off_plate,
    find_overlaps,
    find_screws_under_fronts,
    find_wide_holes,
    recommended,
)

KINDS = ("momentary", "rocker", "latching", "selector", "rotary")

# FHWA ATIS guidelines, chapter 4, "Control coding": inches, outermost adjacent edges; columns
# pushbutton, rocker, toggle, discrete rotary, continuous rotary.
ATIS_INCHES = {
    "momentary": (0.5, 0.5, 0.5, 0.5, 0.5),
    "rocker": (0.5, 0.5, 0.75, 0.5, 0.5),
    "latching": (0.5, 0.75, 0.75, 0.75, 0.75),
    "selector": (0.5, 0.5, 0.75, 1.0, 1.0),
    "rotary": (0.5, 0.5, 0.75, 1.0, 1.0),
}

# NUREG-0700 Rev.3, Table 11.5, inches; columns as above. Its rows end before the rotaries.
NUREG_INCHES = {
    "momentary": (0.5, 0.5, 0.5, 0.5, 0.5),
    "rocker": (0.5, 0.5, 0.75, 0.5, 0.5),
    "latching": (0.5, 0.75, 0.75, 0.75, 0.75),
}

# MIL-STD-1472E, Table VII, mm, one hand.
MIL_MM = {
    ("latching", "momentary"): 13,
    ("latching", "rotary"): 19,
    ("latching", "selector"): 19,
    ("momentary", "rotary"): 13,
    ("momentary", "selector"): 13,
    ("rotary", "selector"): 25,
}


@pytest.mark.parametrize("kind", KINDS)
def test_separations_are_those_of_the_driving_guidelines(kind: str) -> None:
    for other, inches in zip(KINDS, ATIS_INCHES[kind], strict=True):
        assert ATIS[frozenset((kind, other))] == pytest.approx(inches * 25.4)
        assert recommended(kind, other).distance == pytest.approx(inches * 25.4, abs=0.5)


@pytest.mark.parametrize("kind", NUREG_INCHES)
def test_separations_are_those_of_the_control_room_guidelines(kind: str) -> None:
    for other, inches in zip(KINDS, NUREG_INCHES[kind], strict=True):
        assert NUREG_0700[frozenset((kind, other))] == round(inches * 25.4)


def test_separations_are_those_of_the_military_standard() -> None:
    """The same-kind pairs are in its figures; Figure 4 gives selectors 25 mm."""
    for pair, distance in MIL_MM.items():
        assert MIL_STD_1472E[frozenset(pair)] == distance
    assert MIL_STD_1472E[frozenset(["selector"])] == 25


def test_where_tables_share_a_pair_they_agree() -> None:
    for pair, distance in {**NUREG_0700, **MIL_STD_1472E}.items():
        assert ATIS[pair] == pytest.approx(distance, abs=0.5)


def test_a_separation_names_every_table_that_gives_it() -> None:
    assert recommended("rotary", "selector") == (
        25,
        ("FHWA ATIS guidelines, chapter 4", "MIL-STD-1472E, Table VII"),
    )
    assert recommended("momentary", "momentary").sources == (
        "NUREG-0700 Rev.3, Table 11.5",
        "FHWA ATIS guidelines, chapter 4",
    )


def test_a_kind_that_no_table_has_is_refused() -> None:
    with pytest.raises(KeyError, match="lever beside rotary"):
        recommended("lever", "rotary")


PLATE = Rounded(Rectangle(0, 0, 100, 60), 8)


def button(key: str, x: float, y: float, front: float = 18.0, hole: float = 16.2) -> ControlOutline:
    return ControlOutline(key, "momentary", Disc(x, y, front / 2), Disc(x, y, hole / 2))


def test_a_front_across_the_edge_is_off_the_plate() -> None:
    assert find_off_plate([button("in", 50, 30), button("out", 5, 30)], PLATE) == [Near("out", -4)]


def test_a_hole_wider_than_its_front_counts_for_the_edge_too() -> None:
    found = find_off_plate([button("odd", 10, 30, front=10, hole=22)], PLATE)
    assert found == [Near("odd", -1)]


def test_a_front_in_the_edge_strip_is_near_the_edge_and_not_off_it() -> None:
    outlines = [button("a", 11, 30), button("b", 12, 30), button("c", 5, 30)]
    assert find_near_edge(outlines, PLATE, 3.0) == [Near("a", 2)]


def test_fronts_that_overlap_are_not_also_too_close() -> None:
    outlines = [button("b", 30, 30), button("a", 40, 30)]
    (found,) = find_overlaps(outlines)
    assert (found.first, found.second, found.distance) == ("a", "b", -8)
    assert find_close_fronts(outlines) == []


def test_two_buttons_31_mm_between_centres_are_far_enough_and_30_are_not() -> None:
    """18 mm fronts, 13 mm between their edges."""
    assert find_close_fronts([button("a", 20, 30), button("b", 51, 30)]) == []
    (found,) = find_close_fronts([button("a", 20, 30), button("b", 50, 30)])
    assert found.distance == 12
    assert found.wanted.distance == 13


def test_holes_need_material_between_them() -> None:
    outlines = [button("a", 20, 30), button("b", 38, 30)]
    (found,) = find_close_holes(outlines, web=3.0)
    assert found.distance == pytest.approx(1.8)
    assert find_close_holes(outlines, web=1.8) == []


def test_a_hole_beside_its_front_shows() -> None:
    (found,) = find_wide_holes([button("a", 20, 30), button("wide", 60, 30, front=16, hole=18)])
    assert found.id == "wide"
    assert found.distance == pytest.approx(1.0)


def test_a_screw_head_under_a_front_is_found_by_its_place_in_the_list() -> None:
    screws = [Screwhead(Disc(x, 30, 4), Disc(x, 30, 2.1)) for x in (90, 32)]
    assert find_screws_under_fronts([button("a", 20, 30)], screws) == [(1, "a")]


outlines = st.lists(
    st.tuples(st.integers(0, 200), st.integers(0, 200), st.integers(6, 30)), max_size=12
).map(lambda found: [button(f"c{n}", x, y, front=size) for n, (x, y, size) in enumerate(found)])


@given(outlines)
def test_the_sweep_finds_every_pair_that_is_too_close(found: list[ControlOutline]) -> None:
    """Oracle: every pair, one by one."""
    pairs = {
        (a.id, b.id)
        for a in found
        for b in found
        if a.id < b.id and gap(a.front, b.front) < 13 - 1e-6
    }
    close = {(pair.first, pair.second) for pair in find_close_fronts(found) + find_overlaps(found)}
    assert close == pairs


places = st.tuples(st.integers(-50, 200), st.integers(-50, 200))
shapes = st.one_of(
    st.builds(
        lambda at, radius: Disc(at[0], at[1], radius), places, st.sampled_from((0.5, 2, 8, 90))
    ),
    st.builds(
        lambda at, width, height: Rectangle(at[0], at[1], at[0] + width, at[1] + height),
        places,
        st.sampled_from((1, 10, 64, 400)),
        st.sampled_from((1, 10, 64)),
    ),
)


@given(st.lists(shapes, max_size=15), st.sampled_from((-1.0, 0.0, 1.5, 26.0)))
def test_near_shapes_of_any_size_are_all_found(found: list[Shape], reach: float) -> None:
    """Oracle: every pair, one by one."""
    pairs = ((a, b, gap(found[a], found[b])) for b in range(len(found)) for a in range(b))
    assert sorted(find_near(found, reach)) == sorted(pair for pair in pairs if pair[2] < reach)


def test_a_screw_whose_hole_cuts_into_another_hole_is_found_with_what_it_cuts() -> None:
    screws = [Screwhead(Disc(x, 30, 4), Disc(x, 30, 2)) for x in (90, 29, 92)]
    assert find_crossed_screws([button("a", 20, 30, hole=16)], screws) == [(1, "a", 1), (2, 0, 2)]
