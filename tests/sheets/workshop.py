"""Devices for tests of the sheets one builds a box by."""

from typing import Any

from profiles.files.validate import validate_content
from profiles.model import Device, Library
from tests.sheets.titles import Order, order_of

SCREW = {"hole": 3.4, "head": 6.5}


def bench(**changes: Any) -> Device:
    """A small plate: three round holes of two sizes, a cut-out lying on its side, two screws."""
    content: dict[str, Any] = {
        "format": 1,
        "device": {"id": "bench", "name": "Bench box"},
        "plate": {
            "width": 120.0,
            "height": 80.0,
            "thickness": 3.0,
            "corner_radius": 5.0,
            "screws": [{"position": [6.0, 6.0], **SCREW}, {"position": [114.0, 74.0], **SCREW}],
            "engravings": [{"text": "BENCH", "position": [60.0, 72.0]}],
        },
        "controls": {
            "horn": momentary("HORN", (30.0, 50.0), 16.2, front=18.0),
            "bell": momentary("BELL", (60.0, 50.0), 16.2, front=18.0),
            "light": momentary("LIGHT", (30.0, 22.0), 7.0, front=10.0),
            "rocker": momentary("ROCKER", (90.0, 30.0), (19.2, 12.9), rotation=90.0),
        },
    }
    return device({**content, **changes})


def momentary(label: str, at: tuple[float, float], hole: object, **more: Any) -> dict[str, Any]:
    size = list(hole) if isinstance(hole, tuple) else hole
    return {"kind": "momentary", "label": label, "position": list(at), "hole": size, **more}


def device(content: dict[str, Any]) -> Device:
    found = validate_content(content)
    assert isinstance(found, Device)
    return found


def order(sheet: str, box: Device, **options: Any) -> Order:
    return order_of(sheet, Library.of([box]), box, **options)
