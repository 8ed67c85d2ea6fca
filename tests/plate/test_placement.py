"""Labels placed together: nothing meets, nothing is unreadable, always the same."""

from itertools import combinations
from math import atan2, degrees
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.lettering import REGULAR
from profiles.plate import placement as module
from profiles.plate.fit import NARROWEST
from profiles.plate.free_space import FreeSpace
from profiles.plate.label_requests import Clearances, LabelRequest, Place, Placed, Placement
from profiles.plate.placement import place_labels
from profiles.plate.shapes import Box, Disc, Rounded, Shape, box_around, gap, inset
from tests.plate.solids import rectangle, solid

WORDS = ("PUMP", "GENERATOR", "Żagiel", "ANTI-ICE", "FOG SIGNAL", "МАЯК", "Lights", "ON")
CLEARANCES = Clearances()


def label(key: str, text: str, front: Shape, **more: object) -> LabelRequest:
    chosen = {"wanted": 3.5, "least": 2.6, "series": "main", **more}
    return LabelRequest(id=key, text=text, front=front, **chosen)  # type: ignore[arg-type]


def place(labels: list[LabelRequest], outline: Shape, *others: Shape) -> Placement:
    fronts = list(dict.fromkeys(one.front for one in labels))
    return place_labels(labels, outline, [*fronts, *others], REGULAR)


def row(texts: list[str], pitch: float, y: float = 40.0) -> list[LabelRequest]:
    return [
        label(f"c{n}", text, Disc(30 + pitch * n, y, 9), series="main")
        for n, text in enumerate(texts)
    ]


def at(placement: Placement) -> dict[str, Placed]:
    return {one.id: one for one in placement.placed}


PLATE = Rounded(Box(0, 0, 220, 90), 5)

fronts: st.SearchStrategy[Shape] = st.one_of(
    st.builds(
        Disc,
        st.integers(0, 16).map(lambda n: 12.0 * n),
        st.integers(1, 7).map(lambda n: 12.0 * n),
        st.integers(3, 11).map(float),
    ),
    st.builds(
        box_around,
        st.integers(0, 16).map(lambda n: 12.0 * n),
        st.integers(1, 7).map(lambda n: 12.0 * n),
        st.integers(6, 20),
        st.integers(6, 14),
    ),
)
places: st.SearchStrategy[tuple[Place, ...]] = st.sampled_from(
    [
        ("above", "below", "right", "left"),
        ("above", "below", "right", "left"),
        ("inside", "below"),
        ("around",),
        ("left",),
        ("below-left", "below-right"),
        ("by-hand",),
    ]
)


@st.composite
def plates(draw: st.DrawFn, most: int = 9) -> list[LabelRequest]:
    """Labels on a crowded plate, on fronts that may touch, overlap or hang over the edge."""
    found = draw(st.lists(st.tuples(fronts, places), max_size=most))
    return [
        label(
            f"c{n}",
            " ".join(draw(st.lists(st.sampled_from(WORDS), min_size=1, max_size=3))),
            front,
            places=where,
            series=draw(st.sampled_from(["main", "", "other"])),
            angle=float(draw(st.integers(0, 359))),
            at=(front.centre[0] + draw(st.integers(-20, 20)), front.centre[1]),
            mark=draw(st.booleans()),
            priority=draw(st.integers(0, 2)),
        )
        for n, (front, where) in enumerate(found)
    ]


@settings(max_examples=80, deadline=None)
@given(plates())
def test_no_label_meets_a_front_a_screw_the_edge_or_another_label(
    wanted: list[LabelRequest],
) -> None:
    """Oracle: areas in common, by shapely. Only a cap may carry its own label."""
    screw = Disc(100, 45, 4)
    found = place(wanted, PLATE, screw)
    own = {one.id: one.front for one in wanted}
    for one in found.placed:
        ink = rectangle(*one.box)
        edge = 0 if one.place in ("inside", "by-hand") else 3
        assert inset(one.box, PLATE) >= edge - 1e-6
        for front in [*own.values(), screw]:
            if not (one.place in ("inside", "by-hand") and front == own[one.id]):
                assert ink.intersection(solid(front)).area < 1e-6 or one.place == "inside"
    for one, other in combinations(found.placed, 2):
        assert rectangle(*one.box).intersection(rectangle(*other.box)).area == 0


@settings(max_examples=60, deadline=None)
@given(plates())
def test_every_label_is_readable_or_named_as_unplaced(wanted: list[LabelRequest]) -> None:
    found = place(wanted, PLATE)
    ids = [one.id for one in found.placed] + [one.id for one in found.unplaced]
    assert sorted(ids) == sorted(one.id for one in wanted)
    for one in found.placed:
        assert 2.6 <= one.fit.height <= 3.5
        assert one.fit.slack == pytest.approx(one.fit.height - 2.6)
        assert NARROWEST - 1e-9 <= one.fit.condense <= 1


@settings(max_examples=40, deadline=None)
@given(plates(), st.randoms(use_true_random=False))
def test_the_order_of_the_labels_changes_nothing(
    wanted: list[LabelRequest], random: Random
) -> None:
    shuffled = list(wanted)
    random.shuffle(shuffled)
    obstacles = [one.front for one in wanted]
    there = place_labels(wanted, PLATE, obstacles, REGULAR)
    assert place_labels(shuffled, PLATE, list(reversed(obstacles)), REGULAR) == there


@settings(max_examples=40, deadline=None)
@given(plates(most=3))
def test_a_small_plate_gets_the_best_of_all_combinations(wanted: list[LabelRequest]) -> None:
    """Oracle: every combination of every option of every label that meets no other."""
    things, picks = _all_picks(wanted)
    best = _best_of_all([thing.every for thing in things], [])
    assert sum(pick.cost for pick in picks) == pytest.approx(best)


def _best_of_all(rest: list[list[module._Pick]], chosen: list[module._Pick]) -> float:
    if not rest:
        return sum(one.cost for one in chosen)
    return min(
        _best_of_all(rest[1:], [*chosen, option])
        for option in rest[0]
        if not any(_meet(option, other) for other in chosen)
    )


def _all_picks(wanted: list[LabelRequest]) -> tuple[list[module._Thing], list[module._Pick]]:
    space = FreeSpace(PLATE, [one.front for one in wanted], clear=1, edge=3)
    measured = module.measure_labels(wanted, REGULAR)
    things = module._Layout(space, CLEARANCES).things(wanted, measured)
    picks, proven = module._settle(things)
    assert proven
    return things, picks


def _meet(one: module._Pick, other: module._Pick) -> bool:
    return any(gap(a, b) < 0 for a in one.boxes for b in other.boxes)


def test_labels_of_a_row_share_the_side_and_the_baseline() -> None:
    found = at(place(row(["HORN", "FOG SIGNAL", "START ENGINE", "Lights"], 34), PLATE))
    assert {one.place for one in found.values()} == {"above"}
    assert len({round(one.baselines[-1], 6) for one in found.values()}) == 1


def test_fronts_of_unlike_size_in_a_row_still_share_the_baseline() -> None:
    large, small = Disc(30, 40, 10), Disc(70, 40, 7)
    found = at(place([label("a", "PUMP", large), label("b", "PUMP", small)], PLATE))
    assert found["a"].baselines == found["b"].baselines


def test_a_row_under_the_edge_goes_below_as_a_whole() -> None:
    found = at(place(row(["HORN", "PUMP", "LIGHT"], 34, y=78), PLATE))
    assert {one.place for one in found.values()} == {"below"}


def test_a_label_too_wide_for_its_share_of_the_row_is_broken() -> None:
    found = at(place(row(["FOG SIGNAL", "BILGE PUMP", "NAV LIGHTS"], 25), PLATE))
    assert {len(one.fit.lines) for one in found.values()} == {2}
    assert {one.fit.height for one in found.values()} == {3.5}


def test_a_label_never_stands_over_its_neighbours_front() -> None:
    wanted = row(["ON", "EMERGENCY GENERATOR STARTER", "ON"], 30)
    found = at(place(wanted, PLATE))["c1"]
    if found.place in ("above", "below"):
        assert found.box.left >= wanted[0].front.bounds.right
        assert found.box.right <= wanted[2].front.bounds.left


def test_a_label_goes_inside_a_cap_that_is_wide_enough() -> None:
    cap = box_around(60, 45, 24, 16)
    (found,) = place([label("a", "RADAR", cap, places=("inside", "above"))], PLATE).placed
    assert found.place == "inside"
    assert inset(found.box, cap) >= 0


def test_a_label_leaves_a_cap_that_is_too_small() -> None:
    cap = Disc(60, 45, 4)
    (found,) = place([label("a", "RADAR", cap, places=("inside", "above"))], PLATE).placed
    assert found.place == "above"


def test_a_label_by_hand_is_centred_where_it_was_put() -> None:
    wanted = label("a", "RADAR", Disc(60, 45, 9), places=("by-hand",), at=(100.0, 30.0))
    (found,) = place([wanted], PLATE).placed
    assert found.box.centre == pytest.approx((100, 30))


def test_a_label_by_hand_on_another_front_has_no_place() -> None:
    wanted = label("a", "RADAR", Disc(60, 45, 9), places=("by-hand",), at=(100.0, 30.0))
    found = place([wanted], PLATE, Disc(100, 30, 6))
    assert [one.id for one in found.unplaced] == ["a"]


def test_both_directions_of_a_knob_take_opposite_places_at_one_height() -> None:
    knob = Disc(110, 45, 10)
    wanted = [
        label("less", "TRIM DOWN", knob, places=("left", "below-left"), partner="more", mark=True),
        label("more", "UP", knob, places=("right", "below-right"), partner="less", mark=True),
    ]
    found = at(place(wanted, PLATE))
    assert (found["less"].place, found["more"].place) == ("left", "right")
    assert found["less"].fit.height == found["more"].fit.height


def test_where_one_direction_lacks_room_both_move() -> None:
    knob = Disc(110, 45, 10)
    wanted = [
        label("less", "TRIM DOWN", knob, places=("left", "below-left"), partner="more", mark=True),
        label("more", "UP", knob, places=("right", "below-right"), partner="less", mark=True),
    ]
    found = at(place(wanted, PLATE, Disc(128, 45, 6)))
    assert (found["less"].place, found["more"].place) == ("below-left", "below-right")


def test_a_mark_stands_between_the_words_and_the_knob() -> None:
    knob = Disc(110, 45, 10)
    (found,) = place([label("less", "DOWN", knob, places=("left",), mark=True)], PLATE).placed
    assert found.mark is not None
    assert found.words.right < found.mark.left < found.mark.right == found.box.right
    assert found.mark.width == pytest.approx(found.fit.height)
    assert found.words.width == pytest.approx(REGULAR.width("DOWN") / REGULAR.cap_height * 3.5)


@pytest.mark.parametrize("count", [2, 3, 5, 8, 12])
def test_positions_of_a_selector_stand_around_it_in_their_directions(count: int) -> None:
    knob = Disc(110, 45, 11)
    wanted = [
        label(f"p{n}", f"{n}", knob, places=("around",), series="", angle=360.0 * n / count)
        for n in range(count)
    ]
    found = at(place(wanted, PLATE))
    for one in wanted:
        x, y = found[one.id].box.centre
        angle = degrees(atan2(x - 110, y - 45)) % 360
        assert min(abs(angle - one.angle), 360 - abs(angle - one.angle)) < 12


def test_of_two_labels_that_exclude_each_other_the_more_important_stays() -> None:
    front = Disc(20, 20, 9)
    plate = Box(0, 0, 40, 41)
    both = [
        label("minor", "PUMPS", front, places=("above",)),
        label("major", "LIGHT", front, places=("above",), priority=1),
    ]
    found = place(both, plate)
    assert [one.id for one in found.placed] == ["major"]
    (unplaced,) = found.unplaced
    assert unplaced.crowded_by == ("major",)
    assert unplaced.reason == "no room beside major"


def test_a_label_too_wide_for_its_plate_tells_what_is_missing() -> None:
    wanted = label("a", "UNBREAKABLEWORD", Disc(15, 15, 9), places=("above",))
    (found,) = place([wanted], Box(0, 0, 30, 40)).unplaced
    natural = REGULAR.width("UNBREAKABLEWORD") / REGULAR.cap_height * 2.6 * NARROWEST
    assert found.missing == pytest.approx(natural - 24)
    assert found.reason == f"{natural - 24:.1f} mm too wide at 2.6 mm capital height"


def test_a_label_shut_in_on_all_sides_tells_that_no_place_is_free() -> None:
    ring = [Disc(60 + 14 * x, 45 + 14 * y, 6) for x in (-1, 0, 1) for y in (-1, 0, 1) if x or y]
    found = place([label("a", "PUMP", Disc(60, 45, 6))], PLATE, *ring)
    assert [one.reason for one in found.unplaced] == ["no free place at 2.6 mm capital height"]


def test_text_is_never_smaller_than_readable_even_when_wanted_so() -> None:
    wanted = label("a", "PUMP", Disc(60, 45, 9), wanted=1.0)
    assert place([wanted], PLATE).placed[0].fit.height == 2.6


def test_labels_with_one_id_are_refused() -> None:
    with pytest.raises(ValueError, match="two labels have the id 'a'"):
        place([label("a", "X", Disc(60, 45, 9)), label("a", "Y", Disc(90, 45, 9))], PLATE)


def test_a_partner_must_be_mutual() -> None:
    wanted = label("a", "X", Disc(60, 45, 9), partner="b")
    with pytest.raises(ValueError, match="label 'a': its partner 'b' is not mutual"):
        place([wanted, label("b", "Y", Disc(60, 45, 9))], PLATE)


def test_a_plate_without_labels_is_no_trouble() -> None:
    assert place([], PLATE) == Placement(placed=(), unplaced=(), proven=True)
