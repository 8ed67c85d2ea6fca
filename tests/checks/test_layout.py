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
    assert found.remedy == "Move `bell` by 17.0 mm, to [131, 100]"
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
    to = 118 + distance
    assert found.remedy == f"Move `bell` by 0.5 mm, to [{to:g}, 100], or accept it"


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
            "Move `horn` by 8.0 mm, to [388, 100]",
            "desk:controls.horn.position",
        )
    ]


def test_a_control_in_the_strip_along_the_edge_is_a_warning() -> None:
    assert told("control-near-edge", at(10.0)) == [
        (
            "`horn` is 1.0 mm from the edge, 3 mm kept free",
            "Move `horn` by 2.0 mm, to [12, 100]",
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
            "Move `bell` by 12.0 mm, to [135, 100]",
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
        f"Move `bell` by {35 - apart:.1f} mm, to [135, 100]",
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
            "Move screw 1 by 1.0 mm, to [112, 100]",
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
            "Move the words by 6.3 mm, to [78.7, 100]",
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


USB = """
[fixtures.usb]
kind = "socket"
position = [100.0, 100.0]
hole = [12.0, 11.0]
front = [30.0, 14.0]
"""


def with_usb(text: str = "", **changes: str) -> Device:
    """A desk with a USB socket among its fixtures, and whatever else."""
    fixture = USB
    for key, value in changes.items():
        fixture = "\n".join(
            f"{key} = {value}" if line.startswith(f"{key} ") else line
            for line in fixture.splitlines()
        )
    return device(f"{fixture}\n{text}")


def horn(x: float, y: float, front: float = 18.0, hole: float = 16.0) -> str:
    return f"[controls.horn]\nposition = [{x}, {y}]\nhole = {hole}\nfront = {front}\n"


def test_a_front_over_a_fixture_is_an_error_at_the_fixture() -> None:
    (found,) = find("fronts-overlap", with_usb(horn(120.0, 100.0)))

    assert found.message == "`horn` and `usb` overlap by 4.0 mm"
    assert found.subject == "desk:fixtures.usb.position"
    there = Spot("desk", ("controls", "horn", "position"))
    assert found.related == (Related("`horn`", there),)


def test_no_table_advises_a_distance_from_a_fixture() -> None:
    near = with_usb(horn(125.0, 100.0))

    assert find("fronts-overlap", near) == find("controls-close", near) == []


def test_a_fixture_in_the_place_of_a_control_is_told() -> None:
    (found,) = find("controls-share-place", with_usb(horn(100.0, 100.0)))

    assert found.message == "`horn` and `usb` sit in one place"
    assert found.subject == "desk:fixtures.usb.position"


def test_a_fixture_off_the_plate_and_one_near_its_edge_are_told() -> None:
    (off,) = find("control-off-plate", with_usb(position="[10.0, 100.0]"))
    (near,) = find("control-near-edge", with_usb(position="[17.0, 100.0]"))

    assert off.message == "`usb` sticks out of the plate by 5.0 mm"
    assert near.message == "`usb` is 2.0 mm from the edge, 3 mm kept free"
    assert near.subject == "desk:fixtures.usb.position"


def test_the_hole_of_a_fixture_beside_its_front_is_told() -> None:
    (found,) = find("hole-beyond-front", with_usb(front="[10.0, 14.0]"))

    assert found.message == "the hole of `usb` shows 1.0 mm beside its front"
    assert found.subject == "desk:fixtures.usb.hole"


def test_a_screw_under_the_front_of_a_fixture_is_an_error() -> None:
    screw = "[plate]\nscrews = [{ position = [112.0, 100.0], hole = 3.4 }]\n"
    (found,) = find("screw-under-front", with_usb(screw))

    assert found.message == "screw 1 lies under `usb`"


def test_a_flat_toward_its_neighbour_leaves_more_material_than_the_circle() -> None:
    """Two holes of 12 mm, 13.4 mm apart: 1.4 mm between circles, 2.4 mm where one is flat by 1."""
    plain = (
        "[controls.a]\nposition = [100.0, 100.0]\nhole = 12.0\n"
        "[controls.b]\nposition = [113.4, 100.0]\nhole = 12.0\n"
    )
    flat = plain.replace(
        "hole = 12.0", "hole = { diameter = 12.0, across_flats = 11.0, flats = 1, angle = -90 }", 1
    )
    away = flat.replace("angle = -90", "angle = 90")

    assert len(find("holes-close", device(plain))) == 1
    assert find("holes-close", device(flat)) == []
    assert len(find("holes-close", device(away))) == 1


def test_a_turned_slot_counts_with_its_true_shape() -> None:
    """A slot at 45 degrees passes a hole in the corner of the box around it: its straight side is
    19.8 - 2 - 8 = 9.8 mm from a circle of 16 mm centred 14 mm right of and below its middle. Turned
    the other way its end is 19.8 - 18 - 2 - 8 = -8.2 mm from it."""
    text = (
        "[controls.a]\nposition = [114.0, 86.0]\nhole = 16.0\n"
        '[fixtures.vent]\nkind = "vent"\nposition = [100.0, 100.0]\n'
        "hole = { length = 40.0, width = 4.0, angle = 45.0 }\n"
    )
    assert find("holes-overlap", device(text)) == find("holes-close", device(text)) == []
    (found,) = find("holes-overlap", device(text.replace("angle = 45.0", "angle = -45.0")))
    assert found.message == "the holes of `a` and `vent` overlap by 8.2 mm"


def test_countersinks_that_meet_overlap_though_their_holes_do_not() -> None:
    hole = "hole = { diameter = 3.4, countersink = { diameter = 6.6 } }"
    text = (
        f'[fixtures.one]\nkind = "screw"\nposition = [100.0, 100.0]\n{hole}\n'
        f'[fixtures.two]\nkind = "screw"\nposition = [106.0, 100.0]\n{hole}\n'
    )
    (found,) = find("holes-overlap", device(text))

    assert found.message == "the holes of `one` and `two` overlap by 0.6 mm"


@pytest.mark.parametrize(
    ("sink", "depth"),
    [("{ diameter = 9.4 }", "3.0"), ("{ diameter = 10.0, angle = 60.0 }", "5.7")],
)
def test_a_countersink_as_deep_as_the_plate_is_a_warning(sink: str, depth: str) -> None:
    """Depth is (D - d) / 2 / tan(angle / 2): 3 mm at 90 degrees for 9.4 over 3.4 mm."""
    hole = f"{{ diameter = 3.4, countersink = {sink} }}"
    (found,) = find("countersink-through", with_usb(hole=hole))

    assert found.message == (
        f"the countersink of `usb` is {depth} mm deep, the plate is 3 mm thick"
    )
    assert found.remedy == "Choose a smaller countersink or a thicker plate"
    assert found.subject == "desk:fixtures.usb.hole"


def test_a_countersink_of_a_screw_is_told_at_the_screw() -> None:
    screw = "hole = { diameter = 3.4, countersink = { diameter = 12.0 } }"
    found = find(
        "countersink-through",
        device(f"[plate]\nscrews = [{{ position = [5.0, 5.0], {screw} }}]\n"),
    )
    assert [one.subject for one in found] == ["desk:plate.screws.0.hole"]
    shallow = with_usb(hole="{ diameter = 3.4, countersink = { diameter = 6.6 } }")
    assert find("countersink-through", shallow) == []


def test_a_guard_counts_as_the_front() -> None:
    """16 mm of guard to each side; 15 mm to the front of the other control's 9 mm overlap by 1."""
    text = (
        '[controls.gear]\nkind = "latching"\nposition = [100.0, 100.0]\nhole = 12.2\n'
        "front = 15.0\nguard = [32.0, 20.0]\n"
    ) + horn(124.0, 100.0)
    (found,) = find("fronts-overlap", device(text))

    assert found.message == "`gear` and `horn` overlap by 1.0 mm"
    assert find("fronts-overlap", device(text.replace("guard", "#"))) == []


def test_a_plate_whose_fronts_reach_over_its_edge_is_not_taken_for_one_in_another_unit() -> None:
    """The centres are on it: nobody wrote centimetres."""
    rows = "".join(
        f"[controls.c{at}]\nposition = [{x}, {y}]\nhole = 14.0\nfront = 18.0\n"
        for at, (x, y) in enumerate([(8.0, 100.0), (100.0, 292.0), (200.0, 150.0)])
    )
    messages = [one.message for one in find("control-off-plate", device(rows))]

    assert messages == [
        "`c0` sticks out of the plate by 1.0 mm",
        "`c1` sticks out of the plate by 1.0 mm",
    ]
