"""The parts list: what to buy, what the whole box costs, and what printing the plate weighs.

What has no price is counted beside the total, never in it.
"""

from collections.abc import Iterator, Sequence
from decimal import Decimal

from profiles.drawing.frame import Frame
from profiles.drawing.titleblock import TitleBlock
from profiles.model.device import Device
from profiles.report.data import csv_rows
from profiles.report.document import Block, Cell, Column, Facts, Paragraph, Report, Table
from profiles.sheets.bill import (
    Need,
    Part,
    describe_weight,
    list_needs,
    list_parts,
    missing_fields,
    money,
    sum_cost,
    weigh_plate,
)
from profiles.sheets.cost import Share, cost_of, find_payer, list_leds, list_shares
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
    listed = list_parts(device)
    parts = _part_table(listed, currency)
    leds = list_leds(device)
    shares = list_shares(device, listed, needs)
    total = sum((share.cost for share in shares if share.cost is not None), Decimal(0))
    unpriced = sum(share.unpriced for share in shares)
    told = f"Total, not counting {unpriced} without a price" if unpriced else "Total"
    blocks: list[Block] = [
        Facts(
            {
                "currency": currency,
                "sum": money(sum_cost(listed)),
                "total": money(total),
                "unpriced": unpriced,
            }
        ),
        parts,
        _led_table(leds, currency),
        _extra_table(device, currency),
        _need_table(device, needs),
        _share_table(shares, (told, money(total), None), currency),
    ]
    rows = [*csv_rows(parts), *_list_rows(device, leds, needs, currency)]
    rows.append((told, "", "", "", money(total), currency, ""))
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
        has_pages=request.needs("pdf"),
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
    return Table(columns, rows, "Parts of controls and fixtures", key="parts", foot=foot)


def _price(price: str | Decimal | None) -> str | None:
    return None if price is None else money(Decimal(price))


def _led_table(leds: Sequence[Part], currency: str) -> Table:
    columns = (
        Column("LED", "led", wraps=True),
        Column("count", "count", align="right"),
        Column(f"unit price, {currency}", "unit_price", align="right"),
        Column(f"cost, {currency}", "cost", align="right"),
        Column("controls", "controls", wraps=True),
    )
    rows = tuple(
        (led.name, led.count, _price(led.price), _price(led.cost), led.controls) for led in leds
    )
    return Table(columns, rows, "LEDs", key="leds")


def _extra_table(device: Device, currency: str) -> Table:
    columns = (
        Column("what", "what", wraps=True),
        Column("quantity", "quantity", align="right"),
        Column("unit", "unit"),
        Column("mass of each", "mass", unit="g", align="right"),
        Column(f"price, {currency}", "unit_price", align="right"),
        Column(f"cost, {currency}", "cost", align="right"),
        Column("note", "note", wraps=True),
    )
    rows = tuple(
        (
            *(extra.name, extra.quantity, extra.unit, extra.mass),
            f"{money(Decimal(extra.price_per_kg))} per kg"
            if extra.price_per_kg is not None
            else _price(extra.unit_price),
            *(_price(cost_of(extra)), extra.note),
        )
        for extra in device.extras
    )
    return Table(columns, rows, "Extras", key="extras")


def _need_table(device: Device, needs: Sequence[Need]) -> Table:
    rows = tuple((need.what, need.amount, need.why, find_payer(device, need)) for need in needs)
    is_paid = any(row[3] for row in rows)
    columns = (
        Column("what", "what", wraps=True),
        Column("amount", "amount", align="right"),
        Column("for", "for", wraps=True),
        Column("paid with", "paid_with", wraps=True, readers="all" if is_paid else "machines"),
    )
    title = "Also needed" if is_paid else "Also needed, without a price in the file"
    return Table(columns, rows, title, key="needs")


def _share_table(shares: Sequence[Share], total: tuple[str, str, None], currency: str) -> Table:
    columns = (
        Column("what", "what", wraps=True),
        Column(f"cost, {currency}", "cost", align="right"),
        Column("without a price", "unpriced", align="right"),
    )
    rows = tuple((share.what, _price(share.cost), share.unpriced) for share in shares)
    return Table(columns, rows, "Cost of the whole box", key="shares", foot=total)


def _list_rows(
    device: Device, leds: Sequence[Part], needs: Sequence[Need], currency: str
) -> Iterator[tuple[str, ...]]:
    """What the spreadsheet has besides the parts, in the columns of these."""
    for led in leds:
        prices = (
            _price(led.price) or "",
            _price(led.cost) or "",
            currency if led.cost is not None else "",
        )
        yield led.name, "LED", str(led.count), *prices, ", ".join(led.controls)
    for extra in device.extras:
        amount = f"{extra.quantity} {extra.unit}" if extra.unit else extra.quantity
        amount += f" × {extra.mass} g" if extra.mass else ""
        price = _price(extra.unit_price) or ""
        if extra.price_per_kg is not None:
            price = f"{money(Decimal(extra.price_per_kg))} per kg"
        cost = _price(cost_of(extra)) or ""
        yield extra.name, "extra", amount, price, cost, currency if cost else "", extra.note
    for need in needs:
        payer = find_payer(device, need)
        why = need.why if payer is None else f"{need.why}; paid with {payer}"
        yield need.what, "", need.amount, "", "", "", why
