"""Controls put in order keep what is promised: lines straight, gaps even, middles kept."""

from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import affinity, geometry

from profiles.model import Device, Hole, as_hole
from profiles.plan.arrange import LINES, MIRRORINGS, Steps, arrange, choose_controls
from profiles.plan.layout import LayoutError
from tests.plate.test_holes import holes, solid_hole


def plate(controls: dict[str, dict[str, Any]]) -> Device:
    usual = {"kind": "momentary", "label": "L", "hole": 10.0}
    return Device.model_validate(
        {
            "format": 1,
            "device": {"id": "desk", "name": "Desk"},
            "plate": {"width": 300.0, "height": 200.0},
            "controls": {key: {**usual, **fields} for key, fields in controls.items()},
        }
    )


def places(device: Device, steps: Steps, *words: str) -> dict[str, tuple[float, float]]:
    before = {key: one.position for key, one in device.controls.items()}
    moves = arrange(device, choose_controls(device, words), steps).moves
    return before | {one.control: one.after for one in moves}


def outline(device: Device, key: str, at: tuple[float, float]) -> Any:
    """A front as another library draws it."""
    control = device.controls[key]
    draw: Any = geometry
    turn: Any = affinity
    size = control.front or control.hole
    if isinstance(size, tuple):
        shape = draw.box(*(at[n % 2] + (n // 2 - 0.5) * size[n % 2] for n in range(4)))
        return turn.rotate(shape, control.rotation)
    assert isinstance(size, float)
    return draw.Point(at).buffer(size / 2, quad_segs=512)


UNTIDY: dict[str, dict[str, Any]] = {
    "a": {"position": [20.0, 150.5], "front": 18.0},
    "b": {"position": [50.0, 149.0], "front": [30.0, 12.0]},
    "c": {"position": [120.0, 150.0]},
    "d": {"position": [21.0, 100.0], "front": [30.0, 12.0], "rotation": 90.0},
    "e": {"position": [90.0, 101.0]},
}


def test_rows_become_straight_at_their_middle() -> None:
    assert places(plate(UNTIDY), Steps(align=("rows",))) == {
        "a": (20.0, 149.83),
        "b": (50.0, 149.83),
        "c": (120.0, 149.83),
        "d": (21.0, 100.5),
        "e": (90.0, 100.5),
    }


@pytest.mark.parametrize(("edge", "side"), [("left", 0), ("bottom", 1), ("right", 2), ("top", 3)])
def test_fronts_come_to_the_outermost_edge(edge: Any, side: int) -> None:
    device = plate(UNTIDY)
    before = [outline(device, key, one.position).bounds for key, one in device.controls.items()]
    after = places(device, Steps(align=(edge,)))
    sides = {round(outline(device, key, at).bounds[side], 2) for key, at in after.items()}

    choose = min if side < 2 else max
    assert list(sides) == [pytest.approx(choose(bounds[side] for bounds in before), abs=0.011)]


def test_gaps_of_a_row_become_equal_and_the_outermost_stay() -> None:
    device = plate(UNTIDY)
    after = places(device, Steps(spread=("rows",)))
    fronts = [outline(device, key, (after[key][0], 0.0)) for key in "abc"]
    gaps = [one.distance(other) for one, other in pairwise(fronts)]

    assert gaps[0] == pytest.approx(gaps[1], abs=0.02)
    assert {key: after[key] for key in "acde"} == {
        key: device.controls[key].position for key in "acde"
    }


def test_a_pitch_keeps_the_middle_of_each_line() -> None:
    after = places(plate(UNTIDY), Steps(spread=("rows",), pitch=(40.0, 40.0)))

    assert [after[key][0] for key in "abc"] == [30.0, 70.0, 110.0]
    assert [after[key][0] for key in "de"] == [35.5, 75.5]


def test_a_grid_is_filled_in_the_order_of_reading_and_keeps_its_middle() -> None:
    after = places(plate(UNTIDY), Steps(grid=(2, 3), pitch=(60.0, 30.0)))

    assert after == {
        "a": (40.0, 155.25),
        "b": (100.0, 155.25),
        "c": (40.0, 125.25),
        "d": (100.0, 125.25),
        "e": (40.0, 95.25),
    }


def test_only_the_chosen_controls_move() -> None:
    after = places(plate(UNTIDY), Steps(shift=(5.0, -2.5)), "[ab]")

    assert (after["a"], after["b"]) == ((25.0, 148.0), (55.0, 146.5))
    assert after["c"] == (120.0, 150.0)


def test_labels_by_hand_and_turned_fronts_are_mirrored_with_their_control() -> None:
    device = plate(
        {
            "a": {"position": [50.0, 60.0], "label_at": [40.0, 80.0]},
            "b": {"position": [90.0, 60.0], "label_place": "left"},
            "c": {"position": [150.0, 60.0], "front": [30.0, 12.0], "rotation": 30.0},
        }
    )
    arranged = arrange(device, choose_controls(device), Steps(mirror=("left-right",)))

    assert dict(arranged.edits) == {
        ("controls", "a", "position"): [250.0, 60.0],
        ("controls", "a", "label_at"): [260.0, 80.0],
        ("controls", "b", "position"): [210.0, 60.0],
        ("controls", "b", "label_place"): "right",
        ("controls", "c", "rotation"): -30.0,
    }


@given(
    holes(),
    st.sampled_from([None, 12.0, (30.0, 12.0)]),
    st.sampled_from([0.0, 90.0, 30.0, -120.0, 180.0]),
    st.lists(st.sampled_from(MIRRORINGS), min_size=1, max_size=2, unique=True),
)
def test_holes_and_fronts_lie_as_a_mirror_shows_them(
    hole: Hole, front: Any, rotation: float, ways: list[Any]
) -> None:
    """Held against shapely; a drawn hole comes back to its own side of the plate as its image."""
    control = {"position": [150.0, 100.0], "hole": hole.plain(), "rotation": rotation}
    device = plate({"a": control | ({"front": front} if front else {})})
    content = device.plain()
    for (*path, key), value in arrange(device, ["a"], Steps(mirror=tuple(ways))).edits:
        content[path[0]][path[1]][key] = value
    after = Device.model_validate(content).controls["a"]
    image: Any = affinity

    def show(one: Any, size: Any) -> Any:
        return solid_hole(as_hole(size), 0.0, 0.0, one.rotation)

    before = device.controls["a"]
    for word in ("hole", "front") if front else ("hole",):
        wanted = show(before, getattr(before, word))
        for way in ways:
            across, up = (-1, 1) if way == "left-right" else (1, -1)
            wanted = image.scale(wanted, across, up, origin=(0, 0))
        differs = wanted.symmetric_difference(show(after, getattr(after, word)))
        assert differs.area < 0.01 * wanted.area


def test_knobs_on_one_axis_move_together() -> None:
    knob = {"kind": "rotary", "front": 20.0}
    inner = {"kind": "rotary", "front": 10.0, "concentric_with": "a", "label": "L"}
    device = plate({"a": {**knob, "position": [50.0, 60.0]}, "c": {"position": [90.0, 60.0]}})
    content = device.plain()
    content["controls"]["b"] = inner
    device = Device.model_validate(content)

    arranged = arrange(device, choose_controls(device, ["b", "c"]), Steps(grid=(2, 1)))

    assert {path[1] for path, _ in arranged.edits} == {"a", "c"}


coordinates = st.integers(100, 1900).map(lambda tenth: tenth / 10)
plates = st.lists(st.tuples(coordinates, coordinates), min_size=1, max_size=8).map(
    lambda points: plate({f"c{n}": {"position": list(at)} for n, at in enumerate(points)})
)


def moved(device: Device, steps: Steps) -> Device:
    content = device.plain()
    for key, at in places(device, steps).items():
        content["controls"][key]["position"] = list(at)
    return Device.model_validate(content)


@given(plates, st.sampled_from(MIRRORINGS))
def test_mirrored_twice_is_as_before(device: Device, way: Any) -> None:
    steps = Steps(mirror=(way,))
    assert places(moved(device, steps), steps) == {
        key: one.position for key, one in device.controls.items()
    }


@given(plates, coordinates, coordinates)
def test_shifted_there_and_back_is_as_before(device: Device, right: float, up: float) -> None:
    there = moved(device, Steps(shift=(right, -up)))
    assert places(there, Steps(shift=(-right, up))) == {
        key: one.position for key, one in device.controls.items()
    }


@given(plates, st.sampled_from(LINES))
def test_straight_lines_stay_as_they_are(device: Device, lines: Any) -> None:
    steps = Steps(align=(lines,))
    straight = moved(device, steps)
    axis = 1 if lines == "rows" else 0
    levels = sorted(one.position[axis] for one in straight.controls.values())
    if all(b == a or b - a > 2.1 for a, b in pairwise(levels)):  # else lines have come together
        assert arrange(straight, choose_controls(straight), steps).moves == ()


@pytest.mark.parametrize(
    ("steps", "message", "remedy"),
    [
        (
            Steps(grid=(2, 2)),
            "a grid of 2x2 has 4 places for 5 controls",
            "Choose 2x3, or name the controls.",
        ),
        (
            Steps(grid=(5, 1), pitch=(10.0, 10.0)),
            "at a pitch of 10 mm `a` and `b` overlap by 14 mm",
            "Choose 24 mm or more.",
        ),
    ],
)
def test_what_has_no_room_is_refused(steps: Steps, message: str, remedy: str) -> None:
    with pytest.raises(LayoutError) as refused:
        places(plate({**UNTIDY, "b": {**UNTIDY["b"], "position": [50.0, 150.0]}}), steps)
    assert (str(refused.value), refused.value.remedy) == (message, remedy)


def test_fronts_that_overlap_between_the_ends_ask_for_a_pitch() -> None:
    crowded = {"a": {"position": [20.0, 50.0]}, "b": {"position": [25.0, 50.0]}}
    with pytest.raises(LayoutError) as refused:
        places(plate(crowded), Steps(spread=("rows",)))
    assert (str(refused.value), refused.value.remedy) == (
        "`a` and `b` have no room side by side: 20 mm of fronts in 15 mm",
        "Give a pitch: --pitch MM.",
    )


def test_controls_are_chosen_by_pattern_and_kind() -> None:
    device = plate(
        {
            "push-1": {"position": [9, 9]},
            "push-2": {"position": [9, 9]},
            "x": {"position": [9, 9], "kind": "latching"},
        }
    )

    assert choose_controls(device, ["push-*"]) == ("push-1", "push-2")
    assert choose_controls(device, [], ["latching"]) == ("x",)
    for words, kinds, message in [
        (["pusch-1"], [], "`desk` has no control `pusch-1`"),
        ([], ["hat"], "`desk` has no control of kind `hat`"),
        (["x"], ["momentary"], "no control is of these ids and these kinds"),
    ]:
        with pytest.raises(LayoutError) as refused:
            choose_controls(device, words, kinds)
        assert str(refused.value) == message
