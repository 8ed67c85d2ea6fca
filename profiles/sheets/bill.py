"""What a box is made of: parts with prices, what the wiring needs besides, and the plate's mass.

Money is decimal throughout: a price keeps the digits of its file, a sum loses none.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from profiles.model import Board
from profiles.model.device import Device
from profiles.model.finding import Spot
from profiles.plate.holes import cut_shape, sunk_volume
from profiles.plate.mass import Weight, weigh
from profiles.plate.outlines import outline_of
from profiles.sheets.bank_lists import bank_parts
from profiles.sheets.hole_list import group_by_size, list_holes
from profiles.sheets.hole_words import size_words
from profiles.text.prose import count as count_words
from profiles.wiring.box import harness_of
from profiles.wiring.circuit import circuit_of
from profiles.wiring.leds import loads_of


@dataclass(frozen=True, slots=True)
class Part:
    """One kind of part: its name ("" where the file gives none), its controls, its price."""

    name: str
    kind: str
    controls: tuple[str, ...]
    price: Decimal | None

    @property
    def count(self) -> int:
        """How many are needed."""
        return len(self.controls)

    @property
    def cost(self) -> Decimal | None:
        """Price of all of them."""
        return None if self.price is None else self.price * self.count


@dataclass(frozen=True, slots=True)
class Need:
    """Something else that is needed, which the file gives no price for."""

    what: str
    amount: str
    why: str


def list_parts(device: Device) -> tuple[Part, ...]:
    """Parts by name and price, in the order in which the file first names them."""
    groups: dict[tuple[str, str, Decimal | None], list[str]] = {}
    for key, control in device.controls.items():
        price = None if control.unit_price is None else Decimal(control.unit_price)
        part = device.parts.get(control.part or "")
        name = (part and part.name) or control.part or ""
        groups.setdefault((name, control.kind, price), []).append(key)
    return tuple(
        Part(name, kind, tuple(controls), price) for (name, kind, price), controls in groups.items()
    )


def sum_cost(parts: Iterable[Part]) -> Decimal:
    """The sum of all parts that have a price."""
    return sum((part.cost for part in parts if part.cost is not None), Decimal(0))


def money(amount: Decimal) -> str:
    """An amount with its digits, two after the point at least."""
    plain = f"{amount:f}"
    digits = len(plain.partition(".")[2].rstrip("0"))
    return f"{amount:.{max(2, digits)}f}"


def list_needs(device: Device, board: Board | None = None) -> tuple[Need, ...]:
    """Board, screws, diodes, resistors and wire, counted from plate and wiring.

    `board` is the device's controller board where its file is known.
    """
    needs = []
    word = device.wiring.board
    if word is not None:
        name = board.name if board else word
        needs.append(Need(f"controller board, {name}", "1", "reading the contacts"))
    screws = [hole for hole in list_holes(device) if not hole.id]
    for size, group in group_by_size(screws).items():
        words = f"{size:g} mm" if isinstance(size, float) else size_words(size)
        needs.append(Need(f"screw for a hole of {words}", str(len(group)), "mounting"))
    diodes = len(circuit_of(device).matrix.diodes)
    if diodes:
        needs.append(Need("diode, small signal", str(diodes), "one at each crossing that has one"))
    built: dict[str, list[str]] = {}
    for what, count, why in bank_parts(device):
        built.setdefault(what, []).extend([why] * count)
    for what, whys in built.items():
        why = ", ".join(dict.fromkeys(whys))
        needs.append(Need(what, str(len(whys)), f"reading the contacts of {why}"))
    lit: dict[float, list[str]] = {}
    for plan in loads_of(device, board).leds:
        if plan.resistor is not None:
            lit.setdefault(plan.resistor.value, []).append(plan.control)
    for value, controls in sorted(lit.items()):
        why = f"LED of {', '.join(controls)}"
        needs.append(Need(f"resistor, {value:g} ohm", str(len(controls)), why))
    for total in harness_of(device).totals:
        what = f"wire, AWG {total.gauge}, {total.colour}"
        why = f"{count_words(total.pieces, 'piece')}, slack included"
        needs.append(Need(what, f"{total.length / 1000:.2f} m", why))
    return tuple(needs)


def weigh_plate(device: Device, density: float | None, infill: float) -> Weight | None:
    """The plate's mass; None where neither the file nor the caller gives a density, g/cm³."""
    known = device.plate.density if density is None else density
    if known is None:
        return None
    holes, plate = list_holes(device), device.plate
    sunk = sum(sunk_volume(hole.size, plate.thickness) for hole in holes)
    shapes = (cut_shape(hole.at, hole.size) for hole in holes)
    return weigh(outline_of(plate), shapes, plate.thickness, known, infill, sunk)


def describe_weight(weight: Weight) -> list[tuple[str, str]]:
    """The arithmetic of a mass, term by term."""
    return [
        ("outline, corners taken off", f"{weight.outline:.1f} mm²"),
        ("holes", f"{weight.holes:.1f} mm²"),
        ("area", f"{weight.outline:.1f} - {weight.holes:.1f} = {weight.area:.1f} mm²"),
        (
            "volume",
            f"({weight.area:.1f} mm² × {weight.thickness:g} mm - {weight.sunk:.1f} mm³ of "
            f"countersinks) / 1000 = {weight.volume:.2f} cm³"
            if weight.sunk
            else f"{weight.area:.1f} mm² × {weight.thickness:g} mm / 1000 = "
            f"{weight.volume:.2f} cm³",
        ),
        (
            "mass",
            f"{weight.volume:.2f} cm³ × {weight.density:g} g/cm³ × {weight.infill * 100:g} % infill"
            f" = {weight.mass:.1f} g",
        ),
    ]


def missing_fields(device: Device) -> Iterable[tuple[str, Spot]]:
    """A sentence for each control that lacks its part or its price."""
    for key, control in device.controls.items():
        lacks = [
            words
            for words, value in (("part", control.part), ("unit price", control.unit_price))
            if value is None
        ]
        if lacks:
            yield f"`{key}` has no {' and no '.join(lacks)}", Spot(device.id, ("controls", key))
