"""One input box: its plate, its controls, its wiring, and how the host recognises it."""

from functools import cached_property
from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from profiles.model.base import (
    Colour,
    Distance,
    Duration,
    Identifier,
    InputNumber,
    Length,
    Note,
    PinName,
    Point,
    Value,
    Words,
)
from profiles.model.control import Control, ControlId

HexWord = Annotated[str, StringConstraints(pattern=r"^[0-9A-Fa-f]{4}$")]
"""Four hexadecimal digits, as USB ids are written."""


MOST_CONTROLS = 2048
"""Controls of one box. Far more than a hand reaches; beyond it a file is a slip or hostile."""

Lines = Annotated[tuple[PinName, ...], Field(strict=False, max_length=256)]
"""Board pins of one side of the matrix; a crossing counts to 256."""


class UsbIdentity(Value):
    """How the host recognises the box on USB."""

    vendor: HexWord = Field(description="USB vendor id, four hexadecimal digits.")
    product: HexWord = Field(description="USB product id, four hexadecimal digits.")
    serial: Words | None = Field(default=None, description="USB serial number, where it has one.")
    name: Words | None = Field(default=None, description="The product name the host shows.")


class Report(Value):
    """What the box tells the host that it is (HID 1.11; HUT 1.12 page 0x01)."""

    collection: Literal["joystick", "game-pad", "multi-axis"] = Field(
        default="joystick", description="Usage of the top-level collection."
    )
    buttons: Annotated[int, Field(ge=1, le=65535)] | None = Field(
        default=None, description="Buttons declared to the host; else the highest input in use."
    )
    axes: Annotated[int, Field(ge=0, le=8)] = Field(
        default=0, description="Analogue axes declared; the file does not hold their wires."
    )
    hats: Annotated[int, Field(ge=0, le=4)] = Field(
        default=0, description="Hat switches declared; the file does not hold their wires."
    )


class DeviceHeader(Value):
    """The device's id, name and identity."""

    id: Identifier = Field(description="Id, unique in the library.")
    name: Words = Field(description="The name people use.")
    usb: UsbIdentity | None = Field(default=None, description="USB identity.")
    report: Report = Field(default_factory=Report, description="What the host is told it is.")
    currency: Annotated[str, StringConstraints(pattern=r"^[A-Z]{3}$")] = Field(
        default="EUR", description="Currency of the prices (ISO 4217)."
    )
    note: Note = Field(default="", description="Free words of the owner.")


class Screw(Value):
    """A mounting hole of the plate."""

    position: Point = Field(description="Centre, mm.")
    hole: Length = Field(description="Diameter of the hole, mm.")
    head: Length | None = Field(default=None, description="Diameter of the head or washer, mm.")


class Engraving(Value):
    """Fixed words on the plate that belong to no single control."""

    text: Words = Field(description="The words.")
    position: Point = Field(description="Centre of the words, mm.")
    height: Length = Field(default=3.5, description="Capital height, mm.")
    rotation: float = Field(
        default=0.0, ge=-360, le=360, allow_inf_nan=False, description="Degrees anticlockwise."
    )


class Plate(Value):
    """The faceplate."""

    width: Length = Field(description="Width, mm.")
    height: Length = Field(description="Height, mm.")
    thickness: Length = Field(default=3.0, description="Thickness, mm.")
    corner_radius: Distance = Field(default=0.0, description="Radius of the corners, mm.")
    colour: Colour = Field(default="#ffffff", description="Colour of the plate.")
    ink: Colour = Field(default="#000000", description="Colour of the legends.")
    viewing_distance: Length = Field(default=600.0, description="Eye to plate, mm.")
    edge: Distance = Field(default=3.0, description="Strip along the edge kept free, mm.")
    label_height: Length | None = Field(
        default=None, description="Wanted capital height of legends, mm; else from the distance."
    )
    density: float | None = Field(
        default=None, gt=0, le=25, allow_inf_nan=False, description="Material density, g/cm3."
    )
    screws: Annotated[tuple[Screw, ...], Field(strict=False)] = Field(
        default=(), description="Mounting holes."
    )
    engravings: Annotated[tuple[Engraving, ...], Field(strict=False)] = Field(
        default=(), description="Fixed words on the plate."
    )


class ShiftRegisterChain(Value):
    """Parallel-in, serial-out registers read through three pins."""

    latch: PinName = Field(description="Pin that loads the registers.")
    clock: PinName = Field(description="Pin that shifts.")
    data: PinName = Field(description="Pin that reads the last register's output.")
    length: Annotated[int, Field(ge=1, le=256)] = Field(description="Number of bits.")


class Wiring(Value):
    """How contacts reach the board."""

    rows: Lines = Field(
        default=(), description="Board pins of the rows, in scan order; 256 at most."
    )
    columns: Lines = Field(
        default=(), description="Board pins of the columns, in scan order; 256 at most."
    )
    driven: Literal["rows", "columns"] = Field(
        default="rows", description="Which side is driven low in turn; the other is sensed."
    )
    diodes: Literal["every", "none"] | Annotated[tuple[str, ...], Field(strict=False)] = Field(
        default="none",
        description="Diode at every contact, at none, or a list of controls or control.contact.",
    )
    numbering: Literal["along-rows", "along-columns"] | None = Field(
        default=None, description="How crossings are numbered; left out: inputs one by one."
    )
    first_input: InputNumber = Field(default=1, description="Input number of the first crossing.")
    unused: Literal["counted", "skipped"] = Field(
        default="counted", description="Whether an unused crossing takes a number."
    )
    chain: ShiftRegisterChain | None = Field(
        default=None, description="Input shift-register chain."
    )
    board: Identifier | None = Field(default=None, description="Which board file describes it.")
    board_at: Point | None = Field(
        default=None, description="Where the board's wires start behind the plate, mm, front view."
    )
    supply: float = Field(
        default=5.0, gt=0, le=60, allow_inf_nan=False, description="Supply of LEDs, V."
    )
    usb_current: Annotated[int, Field(ge=2, le=900)] = Field(
        default=100, description="Current the box asks of the USB port, mA."
    )
    settle: float = Field(
        default=5.0, gt=0, le=10000, allow_inf_nan=False, description="Settling time a line, µs."
    )
    debounce: Duration = Field(default=7.0, description="Debounce time, ms.")
    pulse: Duration = Field(default=30.0, description="Length of a pulse the box sends, ms.")
    gap: Duration = Field(default=30.0, description="Rest between two pulses, ms.")
    gauge: Annotated[int, Field(ge=10, le=40)] = Field(default=26, description="Wire gauge, AWG.")
    slack: Distance = Field(default=15.0, description="Extra wire at every joint, mm.")


class Device(Value):
    """One input box, as its file gives it."""

    format: Literal[1] = Field(description="Version of the file format.")
    device: DeviceHeader = Field(description="Id, name and identity.")
    plate: Plate = Field(description="The faceplate.")
    wiring: Wiring = Field(default_factory=Wiring, description="How contacts reach the board.")
    controls: dict[ControlId, Control] = Field(
        max_length=MOST_CONTROLS, description="The controls, by id."
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
    def declared_inputs(self) -> dict[tuple[str, str], int]:
        """Input numbers as written, by (control, contact), in the order of the file."""
        return {
            (control_id, contact): number
            for control_id, control in self.controls.items()
            for contact, number in control.input_by_contact.items()
        }
