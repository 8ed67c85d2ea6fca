"""Places that the board reads one after another once it has loaded them: its banks.

A shift-register chain is a bank whose places are its bits.
"""

from typing import NamedTuple

from profiles.model import ControlValue, Device, ShiftRegisterChain

GROUND, SUPPLY = "GND", "supply"
"""What a contact outside the matrix switches to where its file names no common."""


class Bank(NamedTuple):
    """A bank: its name, where the file describes it, and the places that are read, from 0."""

    name: str
    path: tuple[str | int, ...]
    part: ShiftRegisterChain
    places: tuple[int, ...]


def banks_of(device: Device) -> tuple[Bank, ...]:
    """Return the banks of a device in the order in which they are read: the chains."""
    wiring = device.wiring
    banks = []
    for number, chain in enumerate(wiring.all_chains):
        path = ("wiring", "chain") if wiring.chain else ("wiring", "chains", number)
        name = "register" if wiring.chain else f"register {number + 1}"
        banks.append(Bank(name, path, chain, tuple(range(chain.length))))
    return tuple(banks)


def name_bit(device: Device, bit: int) -> str:
    """Return the name of a bit, counted through all chains from 1: `register 2 bit 1`."""
    for bank in banks_of(device):
        if bit <= len(bank.places):
            return f"{bank.name} bit {bit}"
        bit -= len(bank.places)
    return f"register bit {bit}"


def common_of(device: Device, control: ControlValue) -> str:
    """Return what the contacts of a control outside the matrix switch to: its common; otherwise
    the supply where they are bits of a chain whose closed contacts are high, or ground."""
    chains = device.wiring.all_chains
    if control.common is not None:
        return control.common
    for bit in control.bit_by_contact.values():
        for chain in chains:
            if bit <= chain.length:
                return SUPPLY if chain.active == "high" else GROUND
            bit -= chain.length
    return GROUND
