"""Bounds of a device, so that no file can make a check slow."""

from typing import Any

import pytest
from pydantic import ValidationError

from profiles.model import Device
from profiles.model.device import MOST_CONTROLS


def content(controls: int, rows: int) -> dict[str, Any]:
    key = {"kind": "momentary", "label": "K", "position": [1.0, 1.0], "hole": 1.0}
    return {
        "format": 1,
        "device": {"id": "box", "name": "Box"},
        "plate": {"width": 100.0, "height": 100.0},
        "wiring": {"rows": [f"P{number}" for number in range(rows)]},
        "controls": {f"k{number}": key for number in range(controls)},
    }


def test_the_largest_device_is_accepted() -> None:
    device = Device.model_validate(content(MOST_CONTROLS, 256))

    assert (len(device.controls), len(device.wiring.rows)) == (2048, 256)


@pytest.mark.parametrize(("controls", "rows"), [(MOST_CONTROLS + 1, 1), (1, 257)])
def test_a_larger_device_is_refused_with_one_error(controls: int, rows: int) -> None:
    with pytest.raises(ValidationError) as refused:
        Device.model_validate(content(controls, rows))

    assert [one["type"] for one in refused.value.errors()] == ["too_long"]
