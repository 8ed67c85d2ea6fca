"""Banks on the wiring report and the wiring sheet: what sits at each place, and how it is read."""

from collections.abc import Iterator, Mapping

from profiles.model import Contact, Device, Expander, Ladder, Multiplexer, ShiftRegisterChain
from profiles.report.document import Block, Cell, Column, Heading, Paragraph, Table
from profiles.text.prose import join_words
from profiles.wiring.banks import Bank, axes_on_banks, banks_of, contacts_on_banks, name_place
from profiles.wiring.ladder import find_margin, find_thresholds, find_windows

BUS_RESISTOR = 2.2
"""From each wire of a two-wire bus to the supply, kohm: charges 160 pF within the 300 ns of fast
mode (UM10204)."""


def bank_blocks(device: Device, numbers: Mapping[str, int]) -> Iterator[Block]:
    """A sentence for each bank and the table of their places; nothing where there are no banks."""
    if not device.wiring.banks:
        return
    yield Heading("Banks")
    for bank in banks_of(device)[len(device.wiring.all_chains) :]:
        yield Paragraph(f"{bank.name}: {_describe(bank)}")
    yield bank_table(device, numbers)


def _describe(bank: Bank) -> str:
    match bank.part:
        case Expander() as one:
            alarm = f", interrupt at pin {one.interrupt}" if one.interrupt else ""
            return (
                f"port expander {one.chip}, address 0x{one.address:02X}, data wire at pin "
                f"{one.sda}, clock wire at pin {one.scl}{alarm}; a resistor of {BUS_RESISTOR:g} "
                "kohm from both wires to the supply of the board's pins."
            )
        case Multiplexer() as one:
            pins = join_words([f"pin {pin}" for pin in one.select])
            first = " (lowest bit first)" if len(one.select) > 1 else ""
            return f"multiplexer, chosen by {pins}{first}, common terminal at pin {one.pin}."
        case Ladder() as one:
            head = (
                f"ladder at pin {one.pin}, {one.pull_up:g} kohm to the supply of the board's pins"
            )
            if not one.steps:
                return f"{head}; no resistors yet."
            room = find_margin(find_windows(one.pull_up, one.steps, one.tolerance))
            apart = f"{100 * room:.1f} % of the supply apart" if room > 0 else "not all apart"
            return (
                f"{head}; with resistors of {one.tolerance:g} % its readings are {apart} at worst."
            )
    raise AssertionError(bank)


def bank_table(device: Device, numbers: Mapping[str, int]) -> Table:
    """Every place of a bank that is used: what the chip prints, contact and input; of a ladder
    the resistor before it and the share of the supply that it reads."""
    at = {place: who for who, place in contacts_on_banks(device).items()}
    at |= {place: who for who, place in axes_on_banks(device).items()}
    rows = []
    for bank in banks_of(device)[len(device.wiring.all_chains) :]:
        assert not isinstance(bank.part, ShiftRegisterChain)
        ladder = bank.part if isinstance(bank.part, Ladder) and bank.part.steps else None
        windows = find_windows(ladder.pull_up, ladder.steps, ladder.tolerance) if ladder else ()
        limits = find_thresholds(windows)
        for place in (*bank.places, *bank.measured):
            reads = limit = before = None
            if ladder:
                low, high = windows[place]
                reads, limit = f"{100 * low:.1f} to {100 * high:.1f} %", 100 * limits[place]
                before = ladder.steps[place - 1] if place else None
            name = f"{bank.name}.{place + 1}"
            contact = _name_contact(at.get((bank.name, place + 1)), numbers)
            rows.append((name, name_place(bank.part, place), contact, before, reads, limit))
    columns = (
        Column("place", "place"),
        Column("printed", "printed"),
        Column("contact", "contact", wraps=True),
        Column("resistor before", "resistor", unit="kohm", align="right"),
        Column("reads", "reads", align="right"),
        Column("below", "below", unit="%", digits=1, align="right"),
    )
    return Table(columns, tuple(rows), "Places of banks", key="banks")


def _name_contact(contact: Contact | None, numbers: Mapping[str, int]) -> Cell:
    name = str(contact) if contact else ""
    number = numbers.get(name)
    words = name if number is None else f"{name}, input {number}"
    return Cell(words, data={"contact": name, "input": number})


def bank_parts(device: Device) -> Iterator[tuple[str, int, str]]:
    """What banks and chains are built from, how many of it, and what for."""
    buses: dict[tuple[str, str], str] = {}
    for bank in banks_of(device):
        match bank.part:
            case Expander() as one:
                yield f"port expander, {one.chip}", 1, bank.name
                buses.setdefault((one.sda, one.scl), bank.name)
            case Multiplexer() as one:
                yield f"analog multiplexer of {2 ** len(one.select)} places", 1, bank.name
            case Ladder() as one:
                for value in (one.pull_up, *one.steps):
                    yield f"resistor, {value:g} kohm, {one.tolerance:g} %", 1, bank.name
            case chain:
                yield "shift register of 8 bits", -(-chain.length // 8), bank.name
    for name in buses.values():
        yield f"resistor, {BUS_RESISTOR:g} kohm", 2, f"two-wire bus of {name}"
