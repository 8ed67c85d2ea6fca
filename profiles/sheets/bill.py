"""What a box is made of: parts with prices, what the wiring needs besides, and the plate's mass.

Money is decimal throughout: a price keeps the digits of its file, a sum loses none.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from profiles.model import Board
from profiles.model.device import Device
from profiles.model.fixture import Need as NeedSort
from profiles.plate.holes import cut_shape, sunk_volume
from profiles.plate.mass import Weight, weigh
from profiles.plate.outlines import outline_of
from profiles.sheets.bank_lists import bank_parts
from profiles.sheets.hole_list import group_by_size, list_holes
from profiles.sheets.hole_words import size_words
from profiles.text.finding import Spot
from profiles.text.prose import count as count_words
from profiles.wiring.box import harness_of
from profiles.wiring.circuit import circuit_of
from profiles.wiring.leds import loads_of


@dataclass(frozen=True, slots=True)
class Part:
    """One kind of part: its name ("" where the file gives none), where it sits, its price."""

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
    """Something else that is needed; `sort` is the word by which an extra line covers it."""

    what: str
    amount: str
    why: str
    sort: NeedSort


def list_parts(device: Device) -> tuple[Part, ...]:
    """Parts of controls and fixtures by name and price, in the order in which the file first names
    them."""
    groups: dict[tuple[str, str, Decimal | None], list[str]] = {}
    for key, one in device.mounted.items():
        price = None if one.unit_price is None else Decimal(one.unit_price)
        part = device.parts.get(one.part or "")
        name = (part and part.name) or getattr(one, "name", None) or one.part or ""
        groups.setdefault((name, one.kind, price), []).append(key)
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
        needs.append(Need(f"controller board, {name}", "1", "reading the contacts", "board"))
    screws = [hole for hole in list_holes(device) if not hole.id]
    for size, group in group_by_size(screws).items():
        words = f"{size:g} mm" if isinstance(size, float) else size_words(size)
        needs.append(Need(f"screw for a hole of {words}", str(len(group)), "mounting", "screws"))
    diodes = len(circuit_of(device).matrix.diodes)
    if diodes:
        why = "one at each crossing that has one"
        needs.append(Need("diode, small signal", str(diodes), why, "diodes"))
    built: dict[str, list[str]] = {}
    for what, count, why in bank_parts(device):
        built.setdefault(what, []).extend([why] * count)
    for what, whys in built.items():
        why = f"reading the contacts of {', '.join(dict.fromkeys(whys))}"
        sort: NeedSort = "resistors" if what.startswith("resistor") else "chips"
        needs.append(Need(what, str(len(whys)), why, sort))
    lit: dict[float, list[str]] = {}
    for plan in loads_of(device, board).leds:
        if plan.resistor is not None:
            lit.setdefault(plan.resistor.value, []).append(plan.control)
    for value, controls in sorted(lit.items()):
        why = f"LED of {', '.join(controls)}"
        needs.append(Need(f"resistor, {value:g} ohm", str(len(controls)), why, "resistors"))
    for total in harness_of(device).totals:
        what = f"wire, AWG {total.gauge}, {total.colour}"
        why = f"{count_words(total.pieces, 'piece')}, slack included"
        needs.append(Need(what, f"{total.length / 1000:.2f} m", why, "wire"))
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
    """A sentence for each control or fixture that lacks its part or its price."""
    for key, one in device.mounted.items():
        table = "controls" if key in device.controls else "fixtures"
        named = one.part or getattr(one, "name", None)
        lacks = [
            words
            for words, value in (("part", named), ("unit price", one.unit_price))
            if value is None
        ]
        if lacks:
            yield f"`{key}` has no {' and no '.join(lacks)}", Spot(device.id, (table, key))
