"""Where fronts, holes and screws stand on the plate."""

import pytest

from profiles.model import Device, Related, Spot
from tests.checks.build import device, find, told


def two(apart: float, front: float = 18.0, hole: float = 16.0, kinds: str = "momentary") -> Device:
    """`horn` and `bell` with their centres so many mm apart."""
    one, other = (kinds.split() * 2)[:2]
    sizes = f"hole = {hole}\nfront = {front}\n"
    return device(
        f'[controls.horn]\nkind = "{one}"\nposition = [100.0, 100.0]\n{sizes}'
        f'[controls.bell]\nkind = "{other}"\nposition = [{100.0 + apart}, 100.0]\n{sizes}'
    )


def test_fronts_that_overlap_are_an_error() -> None:
    (found,) = find("fronts-overlap", two(14.0))

    assert found.message == "`horn` and `bell` overlap by 4.0 mm"
    assert found.remedy == "Move `bell` away from `horn`"
    assert found.subject == "desk:controls.bell.position"
    there = Spot("desk", ("controls", "horn", "position"))
    assert found.related == (Related("`horn`", there),)


def test_fronts_in_one_place_are_told_as_that_alone() -> None:
    assert find("fronts-overlap", two(0.0)) == []
    assert len(find("controls-share-place", two(0.0))) == 1


@pytest.mark.parametrize(
    ("kinds", "distance"),
    [
        ("momentary momentary", 13.0),
        ("momentary latching", 13.0),
        ("momentary rotary", 13.0),
        ("latching latching", 19.0),
        ("latching rotary", 19.0),
        ("rotary rotary", 25.0),
    ],
)
def test_separation_is_edge_to_edge_as_the_tables_say(kinds: str, distance: float) -> None:
    """NUREG-0700 Rev.3, Table 11.5: push 13, toggle by toggle 19, toggle by rotary 19 mm;
    rotary by rotary 1 inch: FHWA ATIS guidelines, chapter 4."""
    assert find("controls-close", two(18.0 + distance, kinds=kinds)) == []
    (found,) = find("controls-close", two(18.0 + distance - 0.5, kinds=kinds))

    assert found.severity == "note"
    assert found.message == (
        f"`horn` and `bell` are {distance - 0.5:.1f} mm apart, {distance:g} mm advised"
    )
    assert found.remedy == "Move them apart by 0.5 mm, or accept it"


def test_close_pairs_of_like_kinds_are_one_finding() -> None:
    text = "".join(
        f"[controls.c{n}]\nposition = [{50.0 + 25.0 * n}, 50.0]\nhole = 16.0\nfront = 18.0\n"
        for n in range(4)
    )

    (found,) = find("controls-close", device(text))

    assert found.message == "`c0` and `c1` are 7.0 mm apart, 13 mm advised, 2 pairs more"
    assert found.subject == "desk:controls momentary and momentary"
    assert len(found.related) == 3


def at(x: float, extra: str = "") -> Device:
    return device(f"[controls.horn]\nposition = [{x}, 100.0]\nhole = 16.0\nfront = 18.0\n{extra}")


def test_a_control_off_the_plate_is_an_error() -> None:
    """The plate of these tests is 400 mm wide."""
    assert told("control-off-plate", at(396.0)) == [
        (
            "`horn` sticks out of the plate by 5.0 mm",
            "Move `horn` onto the plate, or enlarge the plate",
            "desk:controls.horn.position",
        )
    ]


def test_a_control_in_the_strip_along_the_edge_is_a_warning() -> None:
    assert told("control-near-edge", at(10.0)) == [
        (
            "`horn` is 1.0 mm from the edge, 3 mm kept free",
            "Move `horn` inwards by 2.0 mm",
            "desk:controls.horn.position",
        )
    ]


def test_a_control_just_inside_the_strip_is_silent() -> None:
    assert find("control-near-edge", at(12.0)) == []
    assert find("control-off-plate", at(12.0)) == []


def test_a_hole_larger_than_its_front_is_a_warning() -> None:
    assert told("hole-beyond-front", device("[controls.horn]\nhole = 22.0\nfront = 18.0")) == [
        (
            "the hole of `horn` shows 2.0 mm beside its front",
            "Correct the hole or the front",
            "desk:controls.horn.hole",
        )
    ]


def test_a_control_without_a_front_is_silent() -> None:
    assert find("hole-beyond-front", device("[controls.horn]\nhole = 22.0")) == []


def test_little_material_between_holes_is_a_warning() -> None:
    assert told("holes-close", two(23.0, front=22.0, hole=22.0)) == [
        (
            "1.0 mm remain between the holes of `horn` and `bell`",
            "Move `bell` away from `horn`",
            "desk:controls.bell.position",
        )
    ]
    assert find("holes-close", two(24.0, front=22.0, hole=22.0)) == []


@pytest.mark.parametrize(("apart", "overlap"), [(21.0, "1.0"), (12.0, "10.0")])
def test_holes_that_overlap_are_an_error(apart: float, overlap: str) -> None:
    """Two discs overlap by the sum of their radii less the distance of their centres."""
    box = two(apart, front=22.0, hole=22.0)
    (found,) = find("holes-overlap", box)

    assert (found.severity, found.message, found.remedy) == (
        "error",
        f"the holes of `horn` and `bell` overlap by {overlap} mm",
        "Move `bell` away from `horn`",
    )
    assert found.subject == "desk:controls.bell.hole"
    assert find("holes-close", box) == []


def test_holes_that_just_touch_leave_nothing_between_them() -> None:
    assert find("holes-overlap", two(22.0, front=22.0, hole=22.0)) == []
    (found,) = find("holes-close", two(22.0, front=22.0, hole=22.0))
    assert found.message == "0.0 mm remain between the holes of `horn` and `bell`"


def test_a_screw_whose_hole_cuts_into_another_is_an_error() -> None:
    screws = "".join(
        f"[[plate.screws]]\nposition = [{x}, 100.0]\nhole = 4.0\n" for x in (104.0, 107.0, 120.0)
    )
    box = at(100.0, screws)
    hole = box.controls["horn"].hole
    assert isinstance(hole, float)

    assert [message for message, _, _ in told("holes-overlap", box)] == [
        f"the holes of `horn` and screw 1 overlap by {hole / 2 + 2 - 4:.1f} mm",
        f"the holes of `horn` and screw 2 overlap by {hole / 2 + 2 - 7:.1f} mm",
        "the holes of screw 1 and screw 2 overlap by 1.0 mm",
    ]


def test_a_screw_under_a_front_is_an_error() -> None:
    screw = "[[plate.screws]]\nposition = [{x}, 100.0]\nhole = 3.2\nhead = 6.0\n"

    assert told("screw-under-front", at(100.0, screw.format(x=111.0))) == [
        (
            "screw 1 lies under `horn`",
            "Move the screw or `horn`",
            "desk:plate.screws.0 horn",
        )
    ]
    assert find("screw-under-front", at(100.0, screw.format(x=113.0))) == []


def test_engraved_words_that_run_into_something_are_a_warning() -> None:
    """The front of `horn` ends 9 mm from its middle; the words are 24.6 mm wide."""
    words = '[[plate.engravings]]\ntext = "PORT SIDE"\nposition = [{x}, {y}]\nrotation = {turn}\n'

    assert told("engraving-crossed", at(100.0, words.format(x=85.0, y=100.0, turn=0))) == [
        (
            "`PORT SIDE` runs into the front of `horn`",
            "Move the words, or make them smaller",
            "desk:plate.engravings.0.position",
        )
    ]
    assert [
        one[0] for one in told("engraving-crossed", at(100.0, words.format(x=3.0, y=50.0, turn=0)))
    ] == ["`PORT SIDE` runs into the edge of the plate by 9.3 mm"]
    assert find("engraving-crossed", at(100.0, words.format(x=75.0, y=100.0, turn=0))) == []


def test_words_that_pass_a_front_aslant_are_measured_along_their_line() -> None:
    """At 45 degrees the line of the words is 14 mm from the middle of the front; the box around the
    whole would cover it."""
    words = '[[plate.engravings]]\ntext = "PORT SIDE"\nposition = [90.0, 110.0]\nrotation = 45\n'

    assert find("engraving-crossed", at(100.0, words)) == []
    nearer = words.replace("90.0, 110.0", "94.0, 106.0")
    assert [one.code for one in find("engraving-crossed", at(100.0, nearer))] == [
        "engraving-crossed"
    ]
