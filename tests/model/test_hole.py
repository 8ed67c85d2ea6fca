"""What a table of a hole may say, and what it is told where it may not."""

from typing import Any

import pytest

from profiles.files.validate import validate_content
from profiles.model import Device
from tests.sheets.workshop import bench, momentary

USB = {"kind": "socket", "position": [20.0, 20.0], "hole": [12.0, 11.0]}


def tell(hole: object) -> list[str]:
    """What is said of a hole of the horn; nothing where it is fine."""
    try:
        bench(controls={"horn": momentary("HORN", (30.0, 50.0), hole)})
    except ExceptionGroup as refused:
        return [str(fault) for fault in refused.exceptions]
    return []


@pytest.mark.parametrize(
    "hole",
    [
        {"diameter": 16.2},
        {"diameter": 12.0, "across_flats": 11.0},
        {"diameter": 12.0, "across_flats": 10.5, "flats": 1, "angle": 90.0},
        {"diameter": 22.3, "keyway": [3.2, 1.8]},
        {"diameter": 3.4, "countersink": {"diameter": 6.6, "angle": 90.0}},
        {"width": 19.0, "height": 13.0, "corner_radius": 2.0},
        {"length": 30.0, "width": 6.0, "angle": 45},
    ],
)
def test_every_shape_is_read(hole: dict[str, Any]) -> None:
    assert tell(hole) == []


SHAPES = "needs `diameter`, or `width` and `height`, or `length` and `width`, and no other of these"


@pytest.mark.parametrize(
    ("hole", "told"),
    [
        ({}, SHAPES),
        ({"width": 6.0}, SHAPES),
        ({"diameter": 6.0, "width": 6.0}, SHAPES),
        ({"length": 6.0, "width": 6.0}, "is a slot with a `length` no greater than its `width`"),
        (
            {"width": 6.0, "height": 4.0, "corner_radius": 2.5},
            "has a `corner_radius` of more than half of its shorter side",
        ),
        (
            {"diameter": 6.0, "corner_radius": 1.0},
            "has `corner_radius`, which only `width` and `height` take",
        ),
        (
            {"length": 9.0, "width": 6.0, "keyway": [2.0, 1.0]},
            "has `keyway`, which only a hole with a `diameter` takes",
        ),
        ({"diameter": 6.0, "flats": 1}, "has `flats` but no `across_flats`"),
        (
            {"diameter": 12.0, "across_flats": 5.0, "flats": 1},
            "has `across_flats` of 5 mm: expected more than 6 and less than its `diameter`",
        ),
        ({"diameter": 6.0, "keyway": [6.0, 1.0]}, "has a `keyway` as wide as its `diameter`"),
        (
            {"diameter": 6.0, "countersink": {"diameter": 6.0}},
            "has a `countersink` no wider than its `diameter`",
        ),
        (
            {"diameter": 6.0, "keyway": [2.0, 1.0], "across_flats": 5.0},
            "can have only one of `across_flats`, `keyway` and `countersink`",
        ),
    ],
)
def test_what_is_no_hole_is_told(hole: dict[str, Any], told: str) -> None:
    assert tell(hole) == [f"`controls.horn.hole` {told}"]


def test_an_unknown_key_of_a_hole_has_its_close_spelling() -> None:
    assert tell({"diamter": 6.0}) == ["unknown key `diamter` in `controls.horn.hole`"]


def test_a_fixture_takes_all_but_its_place_from_its_part() -> None:
    part = {"kind": "socket", "name": "USB-B socket", "hole": [12.0, 11.0], "unit_price": 1.8}
    box = bench(
        parts={"usb-b": part},
        fixtures={"usb": {"part": "usb-b", "position": [20.0, 20.0]}},
    )

    usb = box.fixtures["usb"]
    assert (usb.kind, usb.title, usb.hole, usb.unit_price) == (
        *("socket", "USB-B socket", (12.0, 11.0)),
        "1.8",
    )
    assert list(box.mounted) == [*box.controls, "usb"]


def test_a_fixture_without_a_name_is_called_by_its_kind() -> None:
    gland = {**USB, "kind": "cable-gland"}
    assert bench(fixtures={"out": gland}).fixtures["out"].title == "cable gland"


def test_one_id_is_not_for_a_control_and_a_fixture() -> None:
    with pytest.raises(ExceptionGroup) as refused:
        bench(fixtures={"horn": USB})
    assert [str(one) for one in refused.value.exceptions] == [
        "the file has `horn` both among its controls and its fixtures"
    ]


@pytest.mark.parametrize(
    ("extra", "told"),
    [
        (
            {"name": "Filament", "price_per_kg": 20},
            "`extras.0` has a `price_per_kg` but no `mass`",
        ),
        (
            {"name": "Filament", "price_per_kg": 20, "mass": 100, "unit_price": 2},
            "`extras.0` has both a `unit_price` and a `price_per_kg`",
        ),
    ],
)
def test_an_extra_has_one_price(extra: dict[str, Any], told: str) -> None:
    with pytest.raises(ExceptionGroup) as refused:
        bench(extras=[extra])
    assert [str(one) for one in refused.value.exceptions] == [told]


def test_what_is_read_is_written_as_it_was() -> None:
    hole = {"diameter": 12.0, "across_flats": 10.5, "flats": 1}
    box = bench(controls={"horn": momentary("HORN", (30.0, 50.0), hole)}, fixtures={"usb": USB})
    again = validate_content(box.plain())

    assert again == box
    assert isinstance(again, Device)
    assert box.plain()["controls"]["horn"]["hole"] == hole
