"""The lists of the wiring sheet: lines, what to cut, diodes, soldering order, tests, pins."""

from collections.abc import Iterable
from math import ceil

from profiles.drawing.tables import Block, Column, Table
from profiles.model import Board
from profiles.model.device import Device
from profiles.wiring.box import Harness, diode_fits
from profiles.wiring.circuit import Circuit, list_pins, pin_uses
from profiles.wiring.harness import DiodeFit, Piece
from profiles.wiring.leds import LedPlan, loads_of

CSV_HEADINGS = (
    "list",
    "no.",
    "line",
    "from",
    "to",
    "what to do",
    "expect",
    "cut mm",
    "colour",
    "AWG",
)
DONE = "[  ]"
_RIGHT = frozenset(
    {"no.", "straight mm", "cut mm", "AWG", "pieces", "metres", "wire mm", "supply V", "current mA"}
)


def list_blocks(
    device: Device, circuit: Circuit, harness: Harness, board: Board | None
) -> list[Block]:
    """Every list that has rows, in the order of the work."""
    tables = [
        _table("Lines", ("line", "from", "stops", "colour", "wire mm"), _line_rows(harness)),
        _table("Board pins", ("pin", "chip", "used for"), _pin_rows(device, board)),
        _table(
            "Cut list, slack included",
            ("no.", "line", "from", "to", "straight mm", "cut mm", "colour", "AWG"),
            _cut_rows(harness),
        ),
        _table("Wire to buy", ("colour", "AWG", "pieces", "metres"), _total_rows(harness)),
        _table(
            "Diodes: the ring on the body is the cathode",
            ("contact", "line", "ring"),
            _diode_rows(circuit),
        ),
        _table(
            "LEDs: each has a series resistor of its own",
            ("led", "fed by", "supply V", "resistor ohm", "current mA"),
            _led_rows(device, board),
        ),
        _table("Soldering order", ("done", "no.", "line", "what to do"), _step_rows(harness)),
        _table(
            "Continuity tests: unplugged, meter in diode mode, toggles off, selectors at 1",
            ("done", "no.", "red probe", "black probe", "do", "expect", "because"),
            _test_rows(harness),
        ),
    ]
    return [table for table in tables if table.rows]


_WRAPS = frozenset(
    {
        "stops",
        "used for",
        "from",
        "to",
        "what to do",
        "do",
        "because",
        "red probe",
        "black probe",
        "contact",
        "ring",
    }
)


def _table(title: str, headings: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> Table:
    columns = tuple(
        Column(words, "right" if words in _RIGHT else "left", wraps=words in _WRAPS)
        for words in headings
    )
    return Table(title, columns, tuple(rows))


def _line_rows(harness: Harness) -> Iterable[tuple[str, ...]]:
    for run in harness.runs:
        stops = ", ".join(stop.name for stop in run.order[1:])
        length = sum(piece.cut for piece in harness.pieces if piece.line == run.line.name)
        yield (run.line.name, run.order[0].name, stops, run.line.colour, str(length))


def _pin_rows(device: Device, board: Board | None) -> Iterable[tuple[str, ...]]:
    if board is not None:
        for pin in list_pins(device, board):
            note = f" ({pin.note})" if pin.note else ""
            yield (pin.pin, pin.port, (", ".join(pin.uses) or "free") + note)
        return
    uses: dict[str, list[str]] = {}
    for use in pin_uses(device):
        uses.setdefault(use.pin, []).append(use.what)
    for name, what in uses.items():
        yield (name, "", ", ".join(what))


def _cut_rows(harness: Harness) -> Iterable[tuple[str, ...]]:
    for number, piece in enumerate(harness.pieces, 1):
        yield (
            str(number),
            piece.line,
            piece.start.name,
            piece.end.name,
            f"{piece.straight:.1f}",
            str(piece.cut),
            piece.colour,
            str(piece.gauge),
        )


def _total_rows(harness: Harness) -> Iterable[tuple[str, ...]]:
    for total in harness.totals:
        metres = f"{ceil(total.length / 10) / 100:.2f}"
        yield (total.colour, str(total.gauge), str(total.pieces), metres)


def _diode_rows(circuit: Circuit) -> Iterable[tuple[str, ...]]:
    for fit in diode_fits(circuit):
        yield (fit.contact, fit.line, ring_words(fit))


def ring_words(fit: DiodeFit) -> str:
    """Which way the ring of a diode points."""
    if fit.ring_to_line:
        return f"away from the contact, toward the wire of {fit.line}"
    return f"toward the contact, away from the wire of {fit.line}"


def _led_rows(device: Device, board: Board | None) -> Iterable[tuple[str, ...]]:
    for plan in loads_of(device, board).leds:
        fed = f"pin {plan.pin}" if plan.pin else "supply"
        yield (plan.control, fed, f"{plan.supply:g}", *_resistor_words(plan))


def _resistor_words(plan: LedPlan) -> tuple[str, str]:
    """Ohms and mA; what is wrong where no resistor will do."""
    if plan.resistor is None:
        return plan.problem or "", ""
    return f"{plan.resistor.value:g}", f"{plan.resistor.current:.1f}"


def _step_rows(harness: Harness) -> Iterable[tuple[str, ...]]:
    for step in harness.steps:
        yield (DONE, str(step.number), step.line, step.text)


def _test_rows(harness: Harness) -> Iterable[tuple[str, ...]]:
    for number, test in enumerate(harness.tests, 1):
        expect = "closed" if test.closed else "open"
        yield (DONE, str(number), test.red, test.black, test.action, expect, test.why)


def csv_rows(
    device: Device, circuit: Circuit, harness: Harness, board: Board | None
) -> Iterable[tuple[str, ...]]:
    """One row for each piece, diode, LED, step and test, the heading first."""
    yield CSV_HEADINGS
    for number, piece in enumerate(harness.pieces, 1):
        yield ("cut", str(number), *_piece_cells(piece))
    for number, fit in enumerate(diode_fits(circuit), 1):
        ring = f"ring {ring_words(fit)}"
        yield ("diode", str(number), fit.line, fit.contact, fit.line, ring, "", "", "", "")
    for number, plan in enumerate(loads_of(device, board).leds, 1):
        fed = f"pin {plan.pin}" if plan.pin else "supply"
        ohms, _ = _resistor_words(plan)
        words = f"series resistor {ohms} ohm" if plan.resistor else ohms
        yield ("led", str(number), "", fed, plan.control, words, "", "", "", "")
    for step in harness.steps:
        yield ("solder", str(step.number), step.line, "", "", step.text, "", "", "", "")
    for number, test in enumerate(harness.tests, 1):
        expect = "closed" if test.closed else "open"
        do = f"{test.action}: {test.why}"
        yield ("test", str(number), "", test.red, test.black, do, expect, "", "", "")


def _piece_cells(piece: Piece) -> tuple[str, ...]:
    return (
        piece.line,
        piece.start.name,
        piece.end.name,
        "",
        "",
        str(piece.cut),
        piece.colour,
        str(piece.gauge),
    )
