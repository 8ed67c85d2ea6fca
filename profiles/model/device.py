"""One input box: its plate, its controls, its wiring, and how the host recognises it."""

from collections.abc import Iterator
from contextlib import suppress
from functools import cached_property
from typing import Annotated, Any, Literal

from pydantic import Field, StringConstraints, model_validator

from profiles.model.bank import BankPart
from profiles.model.base import (
    Colour,
    Distance,
    Duration,
    Identifier,
    InputNumber,
    Legend,
    Length,
    Note,
    PinName,
    Point,
    UnknownName,
    UnknownNamesError,
    UnsoundError,
    Value,
    Words,
    judges,
)
from profiles.model.control import Axis, Control, ControlId, Rotary, Selector
from profiles.model.fixture import Extra, Fixture
from profiles.model.hole import HoleSize, Size
from profiles.model.part import AnyPart, fill_in

HexWord = Annotated[str, StringConstraints(pattern=r"^[0-9A-Fa-f]{4}$")]
"""Four hexadecimal digits, as USB ids are written."""


MOST_CONTROLS = 2048
"""Controls of one box. Far more than a hand reaches; beyond it a file is a slip or hostile."""

Lines = Annotated[tuple[PinName, ...], Field(strict=False, max_length=256)]
"""Board pins of one side of the matrix; a crossing counts to 256."""


class UsbIdentity(Value):
    """How the host recognises the box on USB."""

    vendor: HexWord
    product: HexWord
    serial: Words | None = None
    maker: Words | None = None
    name: Words | None = None


class Report(Value):
    """What the box tells the host that it is (HID 1.11; HUT 1.12 page 0x01)."""

    collection: Literal["joystick", "game-pad", "multi-axis"] = "joystick"
    buttons: Annotated[int, Field(ge=1, le=65535)] | None = None
    axes: Annotated[int, Field(ge=0, le=8)] = 0
    hats: Annotated[int, Field(ge=0, le=4)] = 0


class DeviceHeader(Value):
    """The device's id, name and identity."""

    id: Identifier
    name: Words
    usb: UsbIdentity | None = None
    report: Report = Field(default_factory=Report)
    currency: Annotated[str, StringConstraints(pattern=r"^[A-Z]{3}$")] = "EUR"
    note: Note = ""


class Screw(Value):
    """A mounting hole of the plate."""

    position: Point
    hole: HoleSize
    head: Length | None = None


class Engraving(Value):
    """Fixed words on the plate that belong to no single control."""

    text: Legend
    position: Point
    height: Length = 3.5
    rotation: float = Field(default=0.0, ge=-360, le=360, allow_inf_nan=False)


class Plate(Value):
    """The faceplate."""

    width: Length
    height: Length
    thickness: Length = 3.0
    material: Words | None = None
    tolerance: Length | None = None
    revision: Words | None = None
    quantity: Annotated[int, Field(ge=1, le=100_000)] = 1
    corner_radius: Distance = 0.0
    colour: Colour = "#ffffff"
    ink: Colour = "#000000"
    viewing_distance: Length = 600.0
    edge: Distance = 3.0
    label_height: Length | None = None
    density: float | None = Field(default=None, gt=0, le=25, allow_inf_nan=False)
    screws: Annotated[tuple[Screw, ...], Field(strict=False)] = ()
    engravings: Annotated[tuple[Engraving, ...], Field(strict=False)] = ()


class ShiftRegisterChain(Value):
    """Parallel-in, serial-out registers read through three pins.

    `active` is the level of a closed contact: low against GND, high against the supply.
    """

    latch: PinName
    clock: PinName
    data: PinName
    length: Annotated[int, Field(ge=1, le=256)]
    active: Literal["low", "high"] = "low"


class LedMatrix(Value):
    """Pins of a matrix of LEDs: each row is lit in turn, from high rows to low columns."""

    rows: Annotated[Lines, Field(min_length=1)]
    columns: Annotated[Lines, Field(min_length=1)]


class Wiring(Value):
    """How contacts reach the board."""

    rows: Lines = ()
    columns: Lines = ()
    driven: Literal["rows", "columns"] = "rows"
    diodes: Literal["every", "none"] | Annotated[tuple[str, ...], Field(strict=False)] = "none"
    numbering: Literal["along-rows", "along-columns"] | None = None
    first_input: InputNumber = 1
    unused: Literal["counted", "skipped"] = "counted"
    chain: ShiftRegisterChain | None = None
    chains: Annotated[tuple[ShiftRegisterChain, ...], Field(strict=False, max_length=16)] = ()
    leds: LedMatrix | None = None
    banks: dict[Identifier, BankPart] = Field(default_factory=dict, max_length=16)
    board: Identifier | None = None
    board_at: Point | None = None
    supply: float = Field(default=5.0, gt=0, le=60, allow_inf_nan=False)
    usb_current: Annotated[int, Field(ge=2, le=900)] = 100
    settle: float = Field(default=5.0, gt=0, le=10000, allow_inf_nan=False)
    debounce: Duration = 7.0
    hold: Duration = 50.0
    pulse: Duration = 30.0
    gap: Duration = 30.0
    gauge: Annotated[int, Field(ge=10, le=40)] = 26
    slack: Distance = 15.0

    @judges
    def _check_chains(self) -> Iterator[ValueError]:
        if self.chain is not None and self.chains:
            yield ValueError("has both `chain` and `chains`")

    @property
    def driven_pins(self) -> tuple[str, ...]:
        """Pins of the lines driven low in turn."""
        return self.rows if self.driven == "rows" else self.columns

    @property
    def sensed_pins(self) -> tuple[str, ...]:
        """Pins of the lines that are read."""
        return self.columns if self.driven == "rows" else self.rows

    @property
    def all_chains(self) -> tuple[ShiftRegisterChain, ...]:
        """The shift-register chains; their bits are counted through, one chain after another."""
        return (self.chain,) if self.chain is not None else self.chains

    @property
    def chain_bits(self) -> int:
        """Bits of all shift-register chains."""
        return sum(chain.length for chain in self.all_chains)


def _is_smaller(one: Size, other: Size) -> bool:
    """Whether a front leaves something of another one to be held."""
    smallest, largest = (each if isinstance(each, tuple) else (each, each) for each in (one, other))
    return max(smallest) < max(largest)


class Device(Value):
    """One input box, as its file gives it."""

    format: Literal[1]
    device: DeviceHeader
    plate: Plate
    wiring: Wiring = Field(default_factory=Wiring)
    controls: dict[ControlId, Control] = Field(max_length=MOST_CONTROLS)
    fixtures: dict[Identifier, Fixture] = Field(default_factory=dict, max_length=256)
    parts: dict[Identifier, AnyPart] = Field(default_factory=dict)
    extras: Annotated[tuple[Extra, ...], Field(strict=False, max_length=1000)] = ()

    @model_validator(mode="before")
    @classmethod
    def _fill_in_parts(cls, content: Any) -> Any:
        return fill_in(content) if isinstance(content, dict) else content

    @judges
    def _check_fixtures(self) -> Iterator[ValueError]:
        for key in self.fixtures:
            if key in self.controls:
                yield ValueError(f"has `{key}` both among its controls and its fixtures")

    @judges
    def _check_concentric(self) -> Iterator[ValueError]:
        unknown = [
            UnknownName("control", ("controls", key, "concentric_with"), outer, (*self.controls,))
            for key, outer in self.concentric.items()
            if outer not in self.controls
        ]
        if unknown:
            yield UnknownNamesError(unknown, "device")
        for key, name in self.concentric.items():
            if name in self.controls:
                with suppress(UnsoundError):
                    yield from self._judge_pair(key, name)

    def _judge_pair(self, key: str, name: str) -> Iterator[ValueError]:
        """What does not go together in a knob and that on whose axis it sits."""
        inner, outer = self.controls[key], self.controls[name]
        if name in self.concentric:
            yield ValueError(
                f"has `{key}` on the axis of `{name}`, which sits on that of "
                f"`{self.concentric[name]}` itself"
            )
        for who, one in ((key, inner), (name, outer)):
            if not isinstance(one, Rotary | Selector | Axis):
                yield ValueError(f"has `{who}` on a common axis, but {one.kind} is no knob")
        for word in ("part", "unit_price"):
            if getattr(inner, word) not in (None, getattr(outer, word)):
                yield ValueError(f"gives `{key}` a `{word}`, but it is one part with `{name}`")
        for word in ("position", "hole"):
            if getattr(inner, word) != getattr(outer, word):
                yield ValueError(
                    f"gives `{key}` a `{word}` of its own, but it sits on the axis of `{name}`"
                )
        if not _is_smaller(inner.front_or_hole, outer.front_or_hole):
            yield ValueError(
                f"gives `{key}` a `front` that hides that of `{name}`, on whose axis it sits"
            )

    @property
    def id(self) -> str:
        """Id, unique in the library."""
        return self.device.id

    @property
    def name(self) -> str:
        """The name people use."""
        return self.device.name

    @cached_property
    def concentric(self) -> dict[str, str]:
        """Controls that sit on the axis of another, which has their hole, with that one."""
        every = self.controls.items()
        return {key: one.concentric_with for key, one in every if one.concentric_with}

    @cached_property
    def mounted(self) -> dict[str, Control | Fixture]:
        """Controls and fixtures by id: whatever has a hole in the plate, screws apart."""
        alone = {key: one for key, one in self.controls.items() if key not in self.concentric}
        return {**alone, **self.fixtures}

    @cached_property
    def declared_inputs(self) -> dict[tuple[str, str], int]:
        """Input numbers as written, by (control, contact), in the order of the file."""
        return {
            (control_id, contact): number
            for control_id, control in self.controls.items()
            for contact, number in control.input_by_contact.items()
        }
