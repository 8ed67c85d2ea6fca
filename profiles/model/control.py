"""Controls: the things a hand touches, and the contacts each of them switches.

A control has a kind. The kind decides its contacts:

| kind | contacts |
|---|---|
| momentary | `press` |
| latching | `on`, `off` |
| rotary | `clockwise`, `anticlockwise`, `press` |
| selector | `position-1` to `position-n` |
| hat | `up`, `right`, `down`, `left`, of eight ways those between, `press` |
| axis | `axis` |

Each contact may have an input number (`input`, `inputs`), and a place in the wiring: a crossing
of the matrix (`crossing`, `crossings`), a pin of its own (`pin`, `pins`) or a bit of the register
chain (`bit`, `bits`). The singular key serves the control's main contact.

For a rotary the wiring of `clockwise` is the encoder's channel A and that of `anticlockwise` its
channel B.
"""

from collections.abc import Mapping
from functools import cached_property
from typing import Annotated, ClassVar, Literal, TypeVar, get_args

from pydantic import BeforeValidator, Field, JsonValue, model_validator

from profiles.model.base import (
    Coordinate,
    Distance,
    Duration,
    Identifier,
    InputNumber,
    Length,
    Note,
    PinName,
    Point,
    UnknownName,
    UnknownNamesError,
    Value,
    Words,
)

Size = Annotated[
    Length | Annotated[tuple[Length, Length], Field(strict=False)],
    Field(union_mode="left_to_right"),
]
"""A diameter in mm, or width and height in mm of a rectangle, seen from the front."""

LinePlace = Annotated[int, Field(ge=1, le=256)]
Crossing = Annotated[tuple[LinePlace, LinePlace], Field(strict=False)]
"""Row and column of the matrix, both counted from 1."""

T = TypeVar("T")

LabelPlace = Literal["above", "below", "left", "right", "inside"]


def _money_as_text(value: object) -> object:
    """Keep a price exact: a number in a file is read by its written digits."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        return repr(value)
    return value


_MONEY = r"^[0-9]{1,9}(\.[0-9]{1,4})?$"
_MONEY_IN_FILES: dict[str, JsonValue] = {
    "type": ["string", "number"],
    "pattern": _MONEY,
    "minimum": 0,
}

Price = Annotated[
    str,
    BeforeValidator(_money_as_text),
    Field(pattern=_MONEY, json_schema_extra=_MONEY_IN_FILES),
]
"""Decimal money for one piece, such as 1.25; kept as its digits."""


class Led(Value):
    """A light-emitting diode in a control.

    It `follows` the board's power, a contact, or several contacts joined by `+`: a layer, lit while
    all of them are closed. It is wired to a pin, to a transistor that a pin switches (`driver`), to
    a crossing of the LED matrix, or to the supply alone.
    """

    follows: Words = "power"
    colour: Words = "white"
    forward_voltage: float = Field(gt=0, le=60, allow_inf_nan=False)
    current: float = Field(gt=0, le=1000, allow_inf_nan=False)
    supply: float | None = Field(default=None, gt=0, le=60, allow_inf_nan=False)
    pin: PinName | None = None
    driver: bool = False
    lit: Literal["high", "low"] = "high"
    crossing: Crossing | None = None

    @model_validator(mode="after")
    def _check_wires(self) -> "Led":
        if self.pin is not None and self.crossing is not None:
            raise ValueError("has both a `pin` and a `crossing`")
        if self.driver and self.pin is None:
            raise ValueError("has a `driver` but no `pin` that switches it")
        return self


class ControlValue(Value):
    """What every kind of control has in common."""

    label: Words
    position: Point
    hole: Size
    front: Size | None = None
    rotation: float = Field(default=0.0, ge=-360, le=360, allow_inf_nan=False)
    labels: dict[str, Words] = Field(default_factory=dict)
    label_place: LabelPlace | None = None
    label_at: Point | None = None
    input: InputNumber | None = None
    inputs: dict[str, InputNumber] = Field(default_factory=dict)
    crossing: Crossing | None = None
    crossings: dict[str, Crossing] = Field(default_factory=dict)
    pin: PinName | None = None
    pins: dict[str, PinName] = Field(default_factory=dict)
    common: PinName | None = None
    bit: Annotated[int, Field(ge=1, le=256)] | None = None
    bits: dict[str, Annotated[int, Field(ge=1, le=256)]] = Field(default_factory=dict)
    part: Identifier | None = None
    unit_price: Price | None = None
    led: Led | None = None
    note: Note = ""

    main_contact: ClassVar[str | None] = None
    rest_contact: ClassVar[str | None] = None
    """The contact that is closed while nobody touches the control."""

    @property
    def contacts(self) -> tuple[str, ...]:
        """The contacts this control can have, in their natural order."""
        raise NotImplementedError

    @property
    def fields(self) -> tuple[str, ...]:
        """Contacts that the host meets as a hat or an axis, so that they have no input number."""
        return ()

    @model_validator(mode="after")
    def _check_contacts(self) -> "ControlValue":
        unknown = [
            UnknownName("contact", (key, contact), contact, self.contacts)
            for key in ("inputs", "crossings", "pins", "bits", "labels")
            for contact in getattr(self, key)
            if contact not in self.contacts
        ]
        if unknown:
            raise UnknownNamesError(unknown, "kind")
        for single, table in (
            ("input", self.inputs),
            ("crossing", self.crossings),
            ("pin", self.pins),
            ("bit", self.bits),
        ):
            self._check_single(single, table)
        return self

    def _check_single(self, single: str, table: Mapping[str, object]) -> None:
        if getattr(self, single) is None:
            return
        if self.main_contact is None:
            raise ValueError(f"`{single}` needs one value a contact here: write `{single}s`")
        if self.main_contact in table:
            raise ValueError(f"`{single}` and `{single}s` both give `{self.main_contact}`")

    def _by_contact(self, single: T | None, table: Mapping[str, T]) -> dict[str, T]:
        found = dict(table)
        if single is not None and self.main_contact is not None:
            found[self.main_contact] = single
        return {contact: found[contact] for contact in self.contacts if contact in found}

    @cached_property
    def input_by_contact(self) -> dict[str, int]:
        """Declared input numbers by contact, singular key included."""
        return self._by_contact(self.input, self.inputs)

    @cached_property
    def crossing_by_contact(self) -> dict[str, tuple[int, int]]:
        """Crossings (row, column, from 1) by contact, singular key included."""
        return self._by_contact(self.crossing, self.crossings)

    @cached_property
    def pin_by_contact(self) -> dict[str, str]:
        """Own board pins by contact, singular key included."""
        return self._by_contact(self.pin, self.pins)

    @cached_property
    def bit_by_contact(self) -> dict[str, int]:
        """Shift-register chain bits by contact, singular key included."""
        return self._by_contact(self.bit, self.bits)

    @property
    def front_or_hole(self) -> float | tuple[float, float]:
        """Size of what covers the plate, mm; the hole where no front is given."""
        return self.hole if self.front is None else self.front


class Momentary(ControlValue):
    """A push-button that springs back."""

    kind: Literal["momentary"]
    main_contact: ClassVar[str | None] = "press"

    @property
    def contacts(self) -> tuple[str, ...]:
        """The one contact of a push-button."""
        return ("press",)


class Latching(ControlValue):
    """A toggle, rocker or latching button that stays where it is put.

    `reports = "state"`: the input of `on` stays down while the control is on (and that of `off`,
    where it has one, while it is off). `reports = "edges"`: the box sends a short pulse on `on`
    when it is put on and on `off` when it is put off.
    """

    kind: Literal["latching"]
    reports: Literal["state", "edges"] = "state"
    main_contact: ClassVar[str | None] = "on"
    rest_contact: ClassVar[str | None] = "off"

    @property
    def contacts(self) -> tuple[str, ...]:
        """On, then off."""
        return ("on", "off")


class Rotary(ControlValue):
    """An incremental encoder, with or without a push switch."""

    kind: Literal["rotary"]
    detents: Annotated[int, Field(ge=1, le=400)] = 24
    steps_per_detent: Literal[1, 2, 4] = 4
    pulse: Duration | None = None

    @property
    def contacts(self) -> tuple[str, ...]:
        """Both directions, and the push switch."""
        return ("clockwise", "anticlockwise", "press")


class Selector(ControlValue):
    """A switch of n positions of which one is on at a time."""

    kind: Literal["selector"]
    positions: Annotated[int, Field(ge=2, le=48)]
    reports: Literal["state", "edges"] = "state"
    first_angle: Coordinate | None = None
    step_angle: Distance | None = None
    rest_contact: ClassVar[str | None] = "position-1"

    @property
    def contacts(self) -> tuple[str, ...]:
        """One contact a position, counted from 1."""
        return tuple(f"position-{n}" for n in range(1, self.positions + 1))


HatWay = Literal["up", "right", "down", "left", "up-right", "down-right", "down-left", "up-left"]
HAT_WAYS: tuple[HatWay, ...] = get_args(HatWay)
"""The four plain ways clockwise from up, then those between."""


class Hat(ControlValue):
    """A switch that tilts to 4 or 8 sides; 5 ways are 4 and a push.

    `reports = "hat"`: its ways are the positions of a hat switch, hats counted in the order of the
    file. `reports = "buttons"`: each way has an input number. A way between two others that has no
    wire of its own is made by the board while both of these are closed.
    """

    kind: Literal["hat"]
    ways: Literal[4, 5, 8] = 4
    reports: Literal["hat", "buttons"] = "hat"

    @property
    def contacts(self) -> tuple[str, ...]:
        """Its ways, and the push where it has one."""
        ways = HAT_WAYS if self.ways == 8 else HAT_WAYS[:4]
        return ways if self.ways == 4 else (*ways, "press")

    @property
    def fields(self) -> tuple[str, ...]:
        """Its ways, where it reports as a hat."""
        return self.contacts[: 8 if self.ways == 8 else 4] if self.reports == "hat" else ()

    @model_validator(mode="after")
    def _check_inputs(self) -> "Hat":
        if numbered := [way for way in self.fields if way in self.inputs]:
            raise ValueError(f'gives `{numbered[0]}` an input, which wants `reports = "buttons"`')
        return self


AxisName = Literal[
    "x", "y", "z", "rx", "ry", "rz", "slider", "dial", "wheel",
    "rudder", "throttle", "accelerator", "brake", "steering",
]  # fmt: skip
AXIS_NAMES: tuple[AxisName, ...] = get_args(AxisName)
"""Axes a host knows: HID Usage Tables 1.12, tables 6 and 7."""

Percent = Annotated[float, Field(ge=0, le=100, allow_inf_nan=False)]
"""A share of the supply voltage, in percent."""


class Scale(Value):
    """Marks around a knob, or along a slide, evenly from its low to its high end."""

    marks: Annotated[tuple[Words, ...], Field(strict=False, min_length=2, max_length=25)]
    angle: Annotated[float, Field(gt=0, le=360, allow_inf_nan=False)] | None = None
    stroke: Length | None = None

    @model_validator(mode="after")
    def _check_travel(self) -> "Scale":
        if (self.angle is None) == (self.stroke is None):
            raise ValueError("wants `angle` of a knob or `stroke` of a slide, one of the two")
        return self


class Axis(ControlValue):
    """A lever, slide or knob whose place a sensor measures; its main contact is `axis`.

    `range` are the voltages at its low and its high end in percent of the supply, `centre` the
    one at which it rests, around which `dead_band` percent either way count as the centre.
    """

    kind: Literal["axis"]
    axis: AxisName
    sensor: Literal["potentiometer", "hall"] = "potentiometer"
    range: Annotated[tuple[Percent, Percent], Field(strict=False)] = (2.0, 98.0)
    centre: Percent | None = None
    dead_band: Percent = 0.0
    reversed: bool = False
    resistance: Annotated[float, Field(gt=0, le=10_000, allow_inf_nan=False)] | None = None
    scale: Scale | None = None
    main_contact: ClassVar[str | None] = "axis"

    @property
    def contacts(self) -> tuple[str, ...]:
        """The one place where its sensor is measured."""
        return ("axis",)

    @property
    def fields(self) -> tuple[str, ...]:
        """The same: no button tells of it."""
        return self.contacts

    @model_validator(mode="after")
    def _check_range(self) -> "Axis":
        low, high = self.range
        if low >= high:
            raise ValueError("has a `range` that does not rise; `reversed = true` turns it round")
        if self.centre is None and self.dead_band:
            raise ValueError("has a `dead_band` but no `centre`")
        if self.centre is not None and not (
            low < self.centre - self.dead_band and self.centre + self.dead_band < high
        ):
            raise ValueError("has a `dead_band` around `centre` that reaches an end of its `range`")
        for key in ("input", "inputs", "crossing", "crossings", "bit", "bits"):
            if getattr(self, key):
                raise ValueError(f"has `{key}`, but an axis is measured at a `pin` of its own")
        return self


Control = Annotated[
    Momentary | Latching | Rotary | Selector | Hat | Axis, Field(discriminator="kind")
]
"""Any control; `kind` tells which."""

ControlId = Identifier
