"""Controls: their contacts and what is refused of them."""

from typing import Any

import pytest
from pydantic import TypeAdapter, ValidationError

from profiles.model.control import Control
from profiles.model.control_value import ControlValue

READ: TypeAdapter[ControlValue] = TypeAdapter(Control)
PLAIN: dict[str, Any] = {"label": "HORN", "position": [10.0, 20.0], "hole": 16.2}


def read(**fields: Any) -> ControlValue:
    return READ.validate_python({**PLAIN, **fields})


@pytest.mark.parametrize(
    ("fields", "contacts"),
    [
        ({"kind": "momentary"}, ("press",)),
        ({"kind": "latching"}, ("on", "off")),
        ({"kind": "rotary"}, ("clockwise", "anticlockwise", "press")),
        ({"kind": "selector", "positions": 3}, ("position-1", "position-2", "position-3")),
    ],
)
def test_the_kind_decides_the_contacts(fields: dict[str, Any], contacts: tuple[str, ...]) -> None:
    assert read(**fields).contacts == contacts


def test_the_singular_key_serves_the_main_contact() -> None:
    control = read(kind="latching", input=4, inputs={"off": 5}, crossing=[2, 3])
    assert control.input_by_contact == {"on": 4, "off": 5}
    assert control.crossing_by_contact == {"on": (2, 3)}


def test_contacts_come_in_their_natural_order() -> None:
    control = read(kind="rotary", inputs={"press": 3, "anticlockwise": 2, "clockwise": 1})
    assert list(control.input_by_contact) == ["clockwise", "anticlockwise", "press"]


@pytest.mark.parametrize(
    ("fields", "reason"),
    [
        ({"kind": "rotary", "input": 3}, "`input` needs one value a contact here: write `inputs`"),
        (
            {"kind": "momentary", "pin": "A0", "pins": {"press": "A1"}},
            "`pin` and `pins` both give `press`",
        ),
        ({"kind": "momentary", "inputs": {"on": 3}}, "`inputs` names no contact of this kind"),
    ],
)
def test_keys_that_do_not_fit_the_kind_are_refused(fields: dict[str, Any], reason: str) -> None:
    with pytest.raises(ValidationError) as caught:
        read(**fields)
    assert [error["msg"] for error in caught.value.errors()] == [f"Value error, {reason}"]


@pytest.mark.parametrize(
    "fields",
    [
        {"kind": "momentary", "lable": "HORN"},
        {"kind": "lever"},
        {"kind": "momentary", "label": " "},
        {"kind": "momentary", "hole": 0},
        {"kind": "momentary", "hole": True},
        {"kind": "momentary", "position": [1.0]},
        {"kind": "momentary", "position": [float("nan"), 1.0]},
        {"kind": "momentary", "input": 0},
        {"kind": "momentary", "input": 65536},
        {"kind": "momentary", "input": "4"},
        {"kind": "momentary", "unit_price": "1,25"},
    ],
)
def test_what_is_unknown_or_out_of_range_is_refused(fields: dict[str, Any]) -> None:
    with pytest.raises(ValidationError):
        read(**fields)


@pytest.mark.parametrize(("written", "kept"), [(1.25, "1.25"), ("1.10", "1.10"), (3, "3")])
def test_a_price_keeps_its_digits(written: object, kept: str) -> None:
    assert read(kind="momentary", unit_price=written).unit_price == kept
