"""Places that the board reads one after another once it has loaded them: its banks.

- a shift-register chain, whose places are its bits
- a port expander, an analog multiplexer or a resistor ladder of the file's `wiring.banks`, of which
  the places are read that a contact names, such as `deck.3`
"""

from typing import NamedTuple

from profiles.model import (
    Ability,
    Axis,
    Contact,
    ControlValue,
    Device,
    Expander,
    Ladder,
    Multiplexer,
    ShiftRegisterChain,
)

GROUND, SUPPLY = "GND", "supply"
"""What a contact outside the matrix switches to where its file names no common."""

DRIVES: tuple[Ability, ...] = ("output",)
SENSES: tuple[Ability, ...] = ("pull-up",)
MEASURES: tuple[Ability, ...] = ("analog",)
"""What driving a wire, reading a contact and measuring a sensor ask of a pin."""

WIRES: dict[str, tuple[Ability, ...]] = {
    "latch": DRIVES,
    "clock": DRIVES,
    "data": SENSES,
    "sda": ("sda",),
    "scl": ("scl",),
    "interrupt": SENSES,
    "select": DRIVES,
    "pin": SENSES,
}
"""Keys that name a bank's pins, and what they ask of them."""

LONE = frozenset({"data", "pin"})
"""Keys of pins that no other bank may share."""

BUS_CLOCK = 400.0
"""Fast mode of a two-wire bus, kHz; a byte and its acknowledgement take nine clocks (UM10204)."""


class Port(NamedTuple):
    """How a port expander is spoken to. Register numbers are from memory: unverified.

    `setup` is written at the start and `alarm` where its interrupt is wired, each a register with
    its bytes; `command` before each read of `size` bytes. `pins` are printed on the chip.
    `addresses` are those it can be set to.
    """

    size: int
    setup: tuple[tuple[int, ...], ...]
    alarm: tuple[tuple[int, ...], ...]
    command: int | None
    pins: tuple[str, ...]
    addresses: tuple[range, ...] = (range(0x20, 0x28),)


PORTS: dict[str, Port] = {
    "mcp23008": Port(
        1, ((0x06, 0xFF),), ((0x05, 0x04), (0x02, 0xFF)), 0x09, tuple(f"GP{n}" for n in range(8))
    ),
    "mcp23017": Port(
        2,
        ((0x0C, 0xFF, 0xFF),),
        ((0x0A, 0x44), (0x04, 0xFF, 0xFF)),
        0x12,
        tuple(f"GP{side}{n}" for side in "AB" for n in range(8)),
    ),
    "pcf8574": Port(
        1,
        ((0xFF,),),
        (),
        None,
        tuple(f"P{n}" for n in range(8)),
        (range(0x20, 0x28), range(0x38, 0x40)),
    ),
    "pcf8575": Port(
        2, ((0xFF, 0xFF),), (), None, tuple(f"P{side}{n}" for side in (0, 1) for n in range(8))
    ),
}
"""Port expanders by chip."""


class Bank(NamedTuple):
    """A bank: its name, where the file describes it, and the places that are read, from 0.

    `measured` are the places of axes.
    """

    name: str
    path: tuple[str | int, ...]
    part: ShiftRegisterChain | Expander | Multiplexer | Ladder
    places: tuple[int, ...]
    measured: tuple[int, ...] = ()

    @property
    def wires(self) -> tuple[tuple[str, str, tuple[str | int, ...], tuple[Ability, ...]], ...]:
        """Its wires to the board: what each is, its pin, where the file says so, what it asks."""
        found = []
        for key, asks in WIRES.items():
            pins = getattr(self.part, key, None)
            if key == "pin" and (self.measured or isinstance(self.part, Ladder)):
                asks = MEASURES
            if isinstance(pins, tuple):
                for n, pin in enumerate(pins):
                    found.append((f"{key} {n + 1}", pin, (*self.path, key, n), asks))
            elif pins is not None:
                found.append((key, pins, (*self.path, key), asks))
        return tuple(found)


def banks_of(device: Device) -> tuple[Bank, ...]:
    """Return the banks of a device in the order in which they are read: chains, then the others."""
    wiring = device.wiring
    banks = []
    for number, chain in enumerate(wiring.all_chains):
        path = ("wiring", "chain") if wiring.chain else ("wiring", "chains", number)
        name = "register" if wiring.chain else f"register {number + 1}"
        banks.append(Bank(name, path, chain, tuple(range(chain.length))))
    used = [(found, False) for found in contacts_on_banks(device).values()]
    used += [(found, True) for found in axes_on_banks(device).values()]
    for name, part in wiring.banks.items():
        places, measured = (
            tuple(
                sorted(
                    {
                        place - 1
                        for (bank, place), is_axis in used
                        if bank == name and is_axis == wanted and 1 <= place <= size_of(part)
                    }
                )
            )
            for wanted in (False, True)
        )
        banks.append(Bank(name, ("wiring", "banks", name), part, places, measured))
    return tuple(banks)


def size_of(part: Expander | Multiplexer | Ladder) -> int:
    """Return how many places a bank has."""
    match part:
        case Expander(chip=chip):
            return len(PORTS[chip].pins)
        case Multiplexer(select=select):
            return int(2 ** len(select))
    return len(part.steps) + 1


def name_place(part: Expander | Multiplexer | Ladder, place: int) -> str:
    """Return what the chip prints beside a place, counted from 0; a ladder's are numbered."""
    match part:
        case Expander(chip=chip):
            return PORTS[chip].pins[place]
        case Multiplexer():
            return f"Y{place}"
    return f"{place + 1}"


def bank_place(device: Device, pin: str) -> tuple[str, int] | None:
    """Return the bank and the place, from 1, that a pin's name means; None for a board's pin."""
    name, point, place = pin.rpartition(".")
    if point and place.isdecimal() and name in device.wiring.banks:
        return name, int(place)
    return None


def contacts_on_banks(device: Device) -> dict[Contact, tuple[str, int]]:
    """Return the bank and place of each contact that names one, in the order of the file."""
    return _find_on_banks(device, axes=False)


def axes_on_banks(device: Device) -> dict[Contact, tuple[str, int]]:
    """Return the bank and place of each axis that names one, in the order of the file."""
    return _find_on_banks(device, axes=True)


def _find_on_banks(device: Device, *, axes: bool) -> dict[Contact, tuple[str, int]]:
    return {
        Contact(control_id, contact): found
        for control_id, control in device.controls.items()
        if isinstance(control, Axis) == axes
        for contact, pin in control.pin_by_contact.items()
        if (found := bank_place(device, pin)) is not None
    }


def name_bit(device: Device, bit: int) -> str:
    """Return the name of a bit, counted through all chains from 1: `register 2 bit 1`."""
    chains = device.wiring.all_chains
    for number, chain in enumerate(chains if device.wiring.chains else (), 1):
        if bit <= chain.length:
            return f"register {number} bit {bit}"
        bit -= chain.length
    return f"register bit {bit}"


def common_of(device: Device, control: ControlValue) -> str:
    """Return what the contacts of a control outside the matrix switch to: its common; otherwise
    the supply where they are bits of a chain whose closed contacts are high, or ground."""
    if control.common is not None:
        return control.common
    for bit in control.bit_by_contact.values():
        for chain in device.wiring.all_chains:
            if bit <= chain.length:
                return SUPPLY if chain.active == "high" else GROUND
            bit -= chain.length
    return GROUND
