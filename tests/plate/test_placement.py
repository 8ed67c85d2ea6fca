"""Labels placed together: nothing meets, nothing is unreadable, always the same."""

from itertools import combinations
from math import atan2, degrees
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from profiles.lettering import REGULAR
from profiles.plate import placement as module
from profiles.plate.association import BELONGS, association
from profiles.plate.candidates import Setting
from profiles.plate.fit import NARROWEST
from profiles.plate.free_space import FreeSpace
from profiles.plate.label_requests import Clearances, LabelRequest, Place, Placed, Placement
from profiles.plate.picks import Pick, Thing
from profiles.plate.placement import labels_fit, place_labels
from profiles.plate.shapes import Disc, Rectangle, Rounded, Shape, box_around, gap, inset
from tests.plate.solids import rectangle, solid

WORDS = ("PUMP", "GENERATOR", "Żagiel", "ANTI-ICE", "FOG SIGNAL", "МАЯК", "Lights", "ON")
CLEARANCES = Clearances()


def label(key: str, text: str, front: Shape, **more: object) -> LabelRequest:
    chosen = {"wanted": 3.5, "least": 2.6, "series": "main", **more}
    return LabelRequest(id=key, text=text, front=front, **chosen)  # type: ignore[arg-type]


def place(labels: list[LabelRequest], outline: Shape, *others: Shape) -> Placement:
    fronts = list(dict.fromkeys(one.front for one in labels))
    return place_labels(labels, outline, fronts, REGULAR, None, others)


def row(texts: list[str], pitch: float, y: float = 40.0) -> list[LabelRequest]:
    return [
        label(f"c{n}", text, Disc(30 + pitch * n, y, 9), series="main")
        for n, text in enumerate(texts)
    ]


def at(placement: Placement) -> dict[str, Placed]:
    return {one.id: one for one in placement.placed}


PLATE = Rounded(Rectangle(0, 0, 220, 90), 5)

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
def test_every_label_is_readable_or_named_with_its_cause(wanted: list[LabelRequest]) -> None:
    found = place(wanted, PLATE)
    ids = [one.id for one in found.placed] + [one.id for one in found.unplaced]
    assert sorted(ids) == sorted(one.id for one in wanted)
    assert all(one.cause for one in found.unplaced)
    for one in found.placed:
        assert 2.6 <= one.fit.height <= 3.5
        assert one.fit.slack == pytest.approx(one.fit.height - 2.6)
        assert NARROWEST - 1e-9 <= one.fit.condense <= 1
        assert bool(one.cause) == (one.means != "words")
        assert bool(one.number) == (one.means == "number")


@settings(max_examples=80, deadline=None)
@given(plates())
def test_every_label_belongs_to_its_own_control(wanted: list[LabelRequest]) -> None:
    """A line makes plain whose words are that were put by hand, or found room farther out."""
    found = place(wanted, PLATE)
    own = {one.id: one.front for one in wanted}
    for one in found.placed:
        strangers = [front for front in own.values() if front != own[one.id]]
        ratio = association(one.box, own[one.id], strangers)
        if one.place == "by-hand":
            assert ratio >= BELONGS or one.leader or gap(one.box, own[one.id]) > 0
        else:
            assert ratio >= (1 if one.leader else BELONGS)


@settings(max_examples=60, deadline=None)
@given(plates())
def test_all_letters_of_a_plate_have_one_height_and_one_width(wanted: list[LabelRequest]) -> None:
    """Only words on a cap or put by hand may be as small as can be read instead."""
    found = place(wanted, PLATE)
    settings = {
        (one.fit.height, one.fit.condense)
        for one in found.placed
        if one.place not in ("inside", "by-hand")
    }
    assert len(settings) <= 1


@settings(max_examples=80, deadline=None)
@given(plates())
def test_labels_that_fit_are_shown_by_their_words(wanted: list[LabelRequest]) -> None:
    """What does not fit is shown by less, or farther from its front than its words are wanted."""
    found = place(wanted, PLATE)
    fits = labels_fit(wanted, PLATE, list(dict.fromkeys(one.front for one in wanted)), REGULAR)
    if fits:
        assert not found.unplaced
        assert {one.means for one in found.placed} <= {"words"}
    else:
        assert found.unplaced or any(
            one.means != "words" or one.place == "around" for one in found.placed
        )


def test_a_row_fits_as_long_as_its_words_find_room_in_the_smallest_letters() -> None:
    roomy, tight = row(["FOG SIGNAL"] * 3, 60), row(["W" * 90], 0)
    assert labels_fit(roomy, PLATE, [one.front for one in roomy], REGULAR)
    assert not labels_fit(tight, PLATE, [one.front for one in tight], REGULAR)
    assert labels_fit([], PLATE, [], REGULAR)
    with pytest.raises(ValueError, match="two labels have the id 'c0'"):
        labels_fit([roomy[0], roomy[0]], PLATE, [], REGULAR)


@settings(max_examples=40, deadline=None)
@given(plates())
def test_of_too_many_labels_that_do_not_fit_as_much_is_shown_in_no_larger_letters(
    wanted: list[LabelRequest],
) -> None:
    """The bounds of very many labels, tried on few."""
    found = place(wanted, PLATE)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(module, "_MOST_SETTLED", 1)
        patch.setattr(module, "_MOST_CAUSES", 1)
        hasty = place(wanted, PLATE)
    heights, best = ({one.fit.height for one in each.placed} for each in (hasty, found))
    assert max(heights, default=0.0) <= max(best, default=0.0)
    assert {one.id for one in hasty.unplaced} == {one.id for one in found.unplaced}
    told = [*(one.cause for one in hasty.placed), *(one.cause for one in hasty.unplaced)]
    causes = [cause for cause in told if cause]
    assert causes.count("no room on so crowded a plate") == max(0, len(causes) - 1)


@settings(max_examples=40, deadline=None)
@given(plates(), st.randoms(use_true_random=False))
def test_the_order_of_the_labels_changes_nothing(
    wanted: list[LabelRequest], random: Random
) -> None:
    shuffled = list(wanted)
    random.shuffle(shuffled)
    fronts = [one.front for one in wanted]
    there = place_labels(wanted, PLATE, fronts, REGULAR)
    assert place_labels(shuffled, PLATE, list(reversed(fronts)), REGULAR) == there


@settings(max_examples=40, deadline=None)
@given(plates(most=3))
def test_a_small_plate_gets_the_best_of_all_combinations(wanted: list[LabelRequest]) -> None:
    """Oracle: every combination of every option of every label that meets no other."""
    things, picks = _all_picks(wanted)
    for thing in things:
        while not thing.is_whole:
            thing.find_more()
    best = _best_of_all([thing.picks for thing in things], [])
    assert sum(pick.cost for pick in picks) == pytest.approx(best)


def _best_of_all(rest: list[list[Pick]], chosen: list[Pick]) -> float:
    if not rest:
        return sum(one.cost for one in chosen)
    return min(
        _best_of_all(rest[1:], [*chosen, option])
        for option in rest[0]
        if not any(_meet(option, other) for other in chosen)
    )


def _all_picks(wanted: list[LabelRequest]) -> tuple[list[Thing], list[Pick]]:
    space = FreeSpace(PLATE, [one.front for one in wanted], clear=1, edge=3)
    rows = module._see_rows(wanted, module.measure_labels(wanted, REGULAR))
    layout = module._Layout(space, CLEARANCES, Setting(3.5, 1.0))
    found = layout.settle(wanted, rows)
    assert found is not None
    assert found.proven
    return found.things, found.picks


def _meet(one: Pick, other: Pick) -> bool:
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
    found = at(place(row(["FOG SIGNAL", "BILGE PUMP", "NAV LIGHTS"], 22), PLATE))
    assert len(found["c1"].fit.lines) == 2
    assert {one.fit.height for one in found.values()} == {3.5}


def test_neighbours_take_two_lines_each_before_one_takes_three() -> None:
    words = ["VIEW", "HAUL LINE / ANCHOR UP", "VEER LINE / ANCHOR DOWN", "SLIP"]
    found = at(place(row(words, 46), PLATE))
    assert [len(found[f"c{n}"].fit.lines) for n in range(4)] == [1, 2, 2, 1]


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


def test_a_label_by_hand_on_another_front_becomes_a_number() -> None:
    wanted = label("a", "RADAR", Disc(60, 45, 9), places=("by-hand",), at=(100.0, 30.0))
    (found,) = place([wanted], PLATE, Disc(100, 30, 6)).placed
    assert (found.means, found.number, found.fit.lines) == ("number", 1, ("1",))
    assert found.cause == "the place given by hand is not free"


def test_a_label_by_hand_nearer_to_another_front_gets_a_line() -> None:
    wanted = label("a", "UP", Disc(60, 45, 9), places=("by-hand",), at=(84.0, 45.0))
    other = label("b", "PUMP", Disc(100, 45, 9))
    found = at(place([wanted, other], PLATE))
    assert found["a"].leader is not None
    assert found["a"].leader[0] == pytest.approx((69, 45))
    assert found["a"].leader[1] == pytest.approx((found["a"].box.left, 45))


def test_shorter_words_given_by_hand_come_before_words_divided() -> None:
    wanted = row(["ON", "EMERGENCYGENERATOR", "ON"], 20)
    found = at(place(wanted, Rectangle(18, 20, 82, 60)))["c1"]
    assert (found.means, found.fit.lines) == ("divided", ("EMERGENCY-", "GENERATOR"))
    short = [one._replace(short="EMER GEN") if one.id == "c1" else one for one in wanted]
    found = at(place(short, Rectangle(18, 20, 82, 60)))["c1"]
    assert (found.means, " ".join(found.fit.lines)) == ("short", "EMER GEN")


def test_words_farther_out_are_joined_to_their_front_by_a_line() -> None:
    """The neighbours leave no room at the front itself."""
    wanted = label("a", "RADAR", Disc(60, 45, 6))
    ring = [Disc(60 + 11 * x, 45 + 11 * y, 3) for x, y in ((1, 1), (-1, 1), (1, -1), (-1, -1))]
    found = place([wanted], PLATE, *ring, Disc(60, 55, 2.5), Disc(60, 35, 2.5)).placed
    assert found[0].means in ("leader", "words")


def test_numbers_follow_the_order_of_reading_and_leave_out_those_in_words() -> None:
    fronts = [Disc(30 + 70 * x, 70 - 36 * y, 9) for y in (0, 1) for x in (0, 1)]
    words = ["W" * 60, "2", "W" * 70, "W" * 80]
    wanted = [label(f"c{n}", text, fronts[n]) for n, text in enumerate(words)]
    found = at(place(wanted, Rectangle(0, 0, 130, 100)))
    assert [found[f"c{n}"].number for n in range(4)] == [1, 0, 3, 4]


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


def test_words_around_a_small_knob_go_farther_out_before_one_becomes_a_number() -> None:
    """Three positions 30 degrees apart, with no room between the outer two at the front."""
    knob = Disc(110, 45, 6.1)
    wanted = [
        label(f"p{n}", words, knob, places=("around",), series="", angle=30.0 * n)
        for n, words in zip((-1, 0, 1), ("FILL", "OFF", "DRAIN"), strict=True)
    ]
    found = at(place(wanted, PLATE))

    assert {one.means for one in found.values()} == {"words"}
    assert {one.fit.height for one in found.values()} == {3.5}
    assert found["p0"].box.bottom > max(found["p-1"].box.bottom, found["p1"].box.bottom)


def test_of_two_labels_that_exclude_each_other_the_more_important_stays() -> None:
    front = Disc(20, 20, 9)
    plate = Rectangle(0, 0, 40, 41)
    both = [
        label("minor", "PUMPS", front, places=("above",)),
        label("major", "LIGHT", front, places=("above",), priority=1),
    ]
    found = at(place(both, plate))
    assert (found["major"].means, found["minor"].means) == ("words", "leader")
    assert found["minor"].cause == "no room beside major"


def test_a_label_too_wide_for_its_plate_tells_what_is_missing() -> None:
    wanted = label("a", "WWWWWWWWWWWWWWW", Disc(15, 15, 9), places=("above",))
    (found,) = place([wanted], Rectangle(0, 0, 30, 40)).placed
    natural = REGULAR.width("WWWWWWWWWWWWWWW") / REGULAR.cap_height * 2.6 * NARROWEST
    assert found.means == "number"
    assert float(found.cause.split()[0]) == pytest.approx(natural - 24, abs=0.1)
    assert found.cause.endswith(" mm too wide at 2.6 mm capital height")


def test_a_label_under_the_edge_tells_what_height_is_missing() -> None:
    wanted = label("a", "PUMP", Disc(15, 15, 9), places=("above",))
    (found,) = place([wanted], Rectangle(0, 0, 60, 29.5)).placed
    assert found.cause == "0.6 mm too high at 2.6 mm capital height"


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
