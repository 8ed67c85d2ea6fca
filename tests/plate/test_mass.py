"""What a plate weighs."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.plate.mass import weigh
from profiles.plate.shapes import Disc, Rectangle, Rounded, Shape
from tests.plate.solids import disc, rectangle, solid


def test_a_plain_plate_weighs_its_volume_times_its_density() -> None:
    """200 x 100 x 3 mm is 60 cm3; acrylic of 1.18 g/cm3 weighs 70.8 g."""
    weight = weigh(Rectangle(0, 0, 200, 100), [], thickness=3, density=1.18)
    assert (weight.area, weight.volume) == (20000, 60)
    assert weight.mass == pytest.approx(70.8)


@given(st.floats(2, 20), st.integers(0, 30), st.floats(0.1, 1))
def test_holes_and_corners_are_taken_off(radius: float, corner: int, infill: float) -> None:
    """Oracle: areas by shapely."""
    outline = Rounded(Rectangle(0, 0, 150, 80), corner)
    holes: list[Shape] = [Disc(40, 40, radius), Rectangle(90, 30, 110, 50)]
    weight = weigh(outline, holes, thickness=4, density=1.24, infill=infill)
    area = solid(outline).area - disc(40, 40, radius).area - rectangle(90, 30, 110, 50).area
    assert weight.area == pytest.approx(area, rel=1e-4)
    assert weight.mass == pytest.approx(area * 4 / 1000 * 1.24 * infill, rel=1e-4)


@pytest.mark.parametrize("infill", [0, -0.2, 1.1, 20])
def test_infill_is_a_share(infill: float) -> None:
    with pytest.raises(ValueError, match=r"expected a share above 0 and at most 1"):
        weigh(Rectangle(0, 0, 1, 1), [], 1, 1, infill)
