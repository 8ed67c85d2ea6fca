"""Controls in one place."""

from profiles.model import Related, Spot
from tests.checks.build import device, find

TWO = "[controls.horn]\nposition = [30.0, 40.0]\n[controls.bell]\nposition = [{x}, 40.0]"


def test_two_controls_in_one_place_are_an_error() -> None:
    (found,) = find("controls-share-place", device(TWO.format(x=30.5)))

    assert found.message == "`horn` and `bell` sit in one place"
    assert found.remedy == "Move `bell` by 20.0 mm, to [50.5, 40]"
    assert Spot("desk", ("controls", "bell", "position")) == found.spot
    there = Spot("desk", ("controls", "horn", "position"))
    assert (Related("`horn` sits there", there),) == found.related


def test_controls_a_millimetre_apart_are_two_places() -> None:
    assert find("controls-share-place", device(TWO.format(x=31.0))) == []


def test_three_in_one_place_are_two_findings() -> None:
    """Each is told against one other, not against all."""
    three = "".join(f"[controls.c{n}]\nposition = [30.0, 40.0]\n" for n in range(3))

    assert [one.spot.path[1] for one in find("controls-share-place", device(three))] == ["c1", "c2"]
