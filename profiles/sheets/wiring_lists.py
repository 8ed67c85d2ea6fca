"""The lists of the wiring sheet: lines, what to cut, diodes, soldering order, tests, pins."""

from collections.abc import Iterable
from math import ceil

from profiles.model import Board, Device
from profiles.report.document import Cell, Column, Table
from profiles.sheets.bank_lists import bank_table
from profiles.sheets.wiring_report import pin_table, power_tables
from profiles.wiring.box import Harness, diode_fits
from profiles.wiring.circuit import Circuit
from profiles.wiring.harness import DiodeFit
from profiles.wiring.leds import loads_of

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


def list_blocks(
    device: Device, circuit: Circuit, harness: Harness, board: Board | None
) -> list[Table]:
    """Every list, in the order of the work."""
    number, line = Column("no.", "number", align="right"), Column("line", "line")
    colour, gauge = Column("colour", "colour"), Column("AWG", "gauge", align="right")
    start, end = Column("from", "from", wraps=True), Column("to", "to", wraps=True)
    stops = Column("stops", "stops", wraps=True)
    done = Column("done", readers="people")
    cuts = {
        run.line.name: sum(piece.cut for piece in harness.pieces if piece.line == run.line.name)
        for run in harness.runs
    }
    return [
        Table(
            (line, start, stops, colour, Column("wire mm", "wire", align="right")),
            tuple(
                (
                    *(run.line.name, run.order[0].name),
                    tuple(stop.name for stop in run.order[1:]),
                    *(run.line.colour, cuts[run.line.name]),
                )
                for run in harness.runs
            ),
            "Lines",
            key="lines",
        ),
        pin_table(device, board, {}),
        *([bank_table(device, {})] if device.wiring.banks else []),
        Table(
            (
                *(number, line, start, end),
                Column("straight mm", "straight", digits=1, align="right"),
                Column("cut mm", "cut", align="right"),
                *(colour, gauge),
            ),
            tuple(
                (
                    *(at, one.line, one.start.name, one.end.name),
                    *(one.straight, one.cut, one.colour, one.gauge),
                )
                for at, one in enumerate(harness.pieces, 1)
            ),
            "Cut list, slack included",
            key="pieces",
        ),
        Table(
            (
                *(colour, gauge),
                Column("pieces", "pieces", align="right"),
                Column("metres", "length", align="right"),
            ),
            tuple(
                (
                    *(total.colour, total.gauge, total.pieces),
                    Cell(f"{ceil(total.length / 10) / 100:.2f}", data=total.length),
                )
                for total in harness.totals
            ),
            "Wire to buy",
            key="totals",
        ),
        Table(
            (Column("contact", "contact", wraps=True), line, Column("band", "band", wraps=True)),
            tuple((fit.contact, fit.line, band_words(fit)) for fit in diode_fits(circuit)),
            "Diodes: the band on the case is the cathode",
            key="diodes",
        ),
        next(power_tables(loads_of(device, board))),
        Table(
            (done, number, line, Column("what to do", "do", wraps=True)),
            tuple((DONE, step.number, step.line, step.text) for step in harness.steps),
            "Soldering order",
            key="steps",
        ),
        Table(
            (
                *(done, number),
                Column("red probe", "red", wraps=True),
                Column("black probe", "black", wraps=True),
                Column("do", "do", wraps=True),
                Column("expect", "closed"),
                Column("because", "because", wraps=True),
            ),
            tuple(
                (
                    *(DONE, at, one.red, one.black, one.action),
                    Cell("closed" if one.closed else "open", data=one.closed),
                    one.why,
                )
                for at, one in enumerate(harness.tests, 1)
            ),
            "Continuity tests: unplugged, meter in diode mode, toggles off, selectors at 1",
            key="tests",
        ),
    ]


def band_words(fit: DiodeFit) -> str:
    """Which way the band of a diode points."""
    if fit.band_to_line:
        return f"away from the contact, toward the wire of {fit.line}"
    return f"toward the contact, away from the wire of {fit.line}"


def csv_rows(
    device: Device, circuit: Circuit, harness: Harness, board: Board | None
) -> Iterable[tuple[str, ...]]:
    """One row for each piece, diode, LED, step and test, the heading first."""
    yield CSV_HEADINGS
    for number, piece in enumerate(harness.pieces, 1):
        ends = (piece.line, piece.start.name, piece.end.name)
        measures = (str(piece.cut), piece.colour, str(piece.gauge))
        yield ("cut", str(number), *ends, "", "", *measures)
    for number, fit in enumerate(diode_fits(circuit), 1):
        band = f"band {band_words(fit)}"
        yield ("diode", str(number), fit.line, fit.contact, fit.line, band, "", "", "", "")
    for number, plan in enumerate(loads_of(device, board).leds, 1):
        fed = f"pin {plan.pin}" if plan.pin else plan.through or "supply"
        words = plan.problem or ""
        if plan.resistor is not None:
            words = f"series resistor {plan.resistor.value:g} ohm"
        yield ("led", str(number), "", fed, plan.control, words, "", "", "", "")
    for step in harness.steps:
        yield ("solder", str(step.number), step.line, "", "", step.text, "", "", "", "")
    for number, test in enumerate(harness.tests, 1):
        expect = "closed" if test.closed else "open"
        do = f"{test.action}: {test.why}"
        yield ("test", str(number), "", test.red, test.black, do, expect, "", "", "")
