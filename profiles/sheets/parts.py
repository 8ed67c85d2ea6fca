"""The parts list: what to buy, what it costs, and what printing the plate weighs."""

from collections.abc import Sequence

from profiles.drawing.frame import Frame
from profiles.drawing.titleblock import TitleBlock
from profiles.report.data import csv_rows
from profiles.report.document import Block, Cell, Column, Facts, Paragraph, Report, Table
from profiles.sheets.bill import (
    Part,
    describe_weight,
    list_needs,
    list_parts,
    missing_fields,
    money,
    sum_cost,
    weigh_plate,
)
from profiles.sheets.report_sheet import print_report
from profiles.sheets.requests import PartsRequest
from profiles.sheets.sheet import PrintedSheet, Remark, Subject

INFILL_NOTE = (
    "Infill is taken evenly through the whole plate. Printed walls and skins are solid, so that a "
    "printed plate comes out heavier than this."
)


def make_sheet(subject: Subject, request: PartsRequest) -> PrintedSheet:
    """Make the parts list."""
    device, currency = subject.device, subject.device.device.currency
    needs = list_needs(device, subject.board)
    weight = weigh_plate(device, request.density, request.infill / 100)
    parts = _part_table(list_parts(device), currency)
    columns = (
        Column("what", "what", wraps=True),
        Column("amount", "amount", align="right"),
        Column("for", "for", wraps=True),
    )
    also = tuple((need.what, need.amount, need.why) for need in needs)
    blocks: list[Block] = [
        Facts({"currency": currency, "sum": money(sum_cost(list_parts(device)))}),
        parts,
        Table(columns, also, "Also needed, without a price in the file", key="needs"),
    ]
    rows = [*csv_rows(parts), *((what, "", amount, "", "", "", why) for what, amount, why in also)]
    remarks = [Remark("skipped", words, spot) for words, spot in missing_fields(device)]
    if weight is None:
        blocks.append(Facts({"plate": None}))
        words = "no density is given, so the plate is not weighed; --density gives one"
        remarks.append(Remark("note", words))
    else:
        terms = tuple(describe_weight(weight))
        arithmetic = (Column("plate"), Column("arithmetic", wraps=True))
        last = frozenset({len(terms) - 1})
        known = {**weight._asdict(), "area": weight.area, "volume": weight.volume}
        known = {name: round(value, 6) for name, value in {**known, "mass": weight.mass}.items()}
        blocks.append(Facts({"plate": known}))
        blocks.append(Table(arithmetic, terms, "What the plate weighs", strong=last))
        blocks.append(Paragraph(INFILL_NOTE))
        words = "; ".join(f"{term}: {value}" for term, value in terms)
        rows.append(("Plate, g", "", f"{weight.mass:.1f}", "", "", "", words))
    title = f"{device.name}: parts list"
    block = TitleBlock(title, f"Prices in {currency}", date=request.date, scale="none")
    return print_report(
        Report(title, tuple(blocks)),
        Frame(request.sheet_paper, block, has_ruler=False),
        remarks=remarks,
        table=tuple(rows),
    )


def _part_table(parts: Sequence[Part], currency: str) -> Table:
    columns = (
        Column("part", "part", wraps=True),
        Column("kind", "kind"),
        Column("count", "count", align="right"),
        Column(f"unit price, {currency}", "unit_price", align="right"),
        Column(f"cost, {currency}", "cost", align="right"),
        Column("currency", readers="machines"),
        Column("controls", "controls", wraps=True),
    )
    rows = tuple(
        (
            part.name or Cell("no part named", data=None),
            part.kind,
            part.count,
            None if part.price is None else money(part.price),
            None if part.cost is None else money(part.cost),
            None if part.price is None else currency,
            part.controls,
        )
        for part in parts
    )
    unpriced = sum(part.count for part in parts if part.price is None)
    name = f"Sum, not counting {unpriced} without a price" if unpriced else "Sum"
    total = sum(part.count for part in parts)
    foot = (name, None, total, None, money(sum_cost(parts)), currency, None)
    return Table(columns, rows, "Parts of the controls", key="parts", foot=foot)
