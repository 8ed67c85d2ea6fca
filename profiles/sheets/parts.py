"""The parts list: what to buy, what it costs, and what printing the plate weighs."""

from collections.abc import Sequence
from typing import Any

from profiles.drawing.frame import Frame
from profiles.drawing.layout import bind
from profiles.drawing.recorder import Drawing
from profiles.drawing.tables import Block, Column, Paragraph, Table, flow
from profiles.drawing.titleblock import TitleBlock
from profiles.model.device import Device
from profiles.plate.mass import Weight
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
from profiles.sheets.requests import PartsRequest
from profiles.sheets.sheet import PrintedSheet, Remark, Subject, remark_losses
from profiles.sheets.text_table import render_table
from profiles.text.inert import escape_controls

HEADINGS = ("part", "kind", "count", "unit price", "cost", "currency", "controls")
INFILL_NOTE = (
    "Infill is taken evenly through the whole plate. Printed walls and skins are solid, so that a "
    "printed plate comes out heavier than this."
)


def make_sheet(subject: Subject, request: PartsRequest) -> PrintedSheet:
    """Make the parts list."""
    device = subject.device
    parts, needs = list_parts(device), list_needs(device, subject.board)
    weight = weigh_plate(device, request.density, request.infill / 100)
    currency = device.device.currency
    block = TitleBlock(
        f"{device.name}: parts list", f"Prices in {currency}", date=request.date, scale="none"
    )
    blocks = _list_blocks(parts, needs, weight, currency)
    sheets, cut = flow(blocks, Frame(request.sheet_paper, block, has_ruler=False))
    document, short = bind(sheets, title=block.title, subject=block.subtitle)
    return PrintedSheet(
        title=block.title,
        work=Drawing(),
        document=document,
        remarks=(*_missing(device, weight), *remark_losses((*cut, *short))),
        facts=_describe(parts, needs, weight, currency),
        table=_csv_rows(parts, needs, weight, currency),
        texts={"text": _write_text(block.title, blocks)},
    )


def _missing(device: Device, weight: Weight | None) -> list[Remark]:
    """Controls not in the sum, and a mass that cannot be told."""
    remarks = [Remark("left-out", words, spot) for words, spot in missing_fields(device)]
    if weight is None:
        words = "no density is given, so the plate is not weighed; --density gives one"
        remarks.append(Remark("note", words))
    return remarks


def _list_blocks(
    parts: Sequence[Part], needs: Sequence[Need], weight: Weight | None, currency: str
) -> list[Block]:
    blocks: list[Block] = [_part_table(parts, currency)]
    if needs:
        blocks.append(_need_table(needs))
    if weight is not None:
        terms = tuple(describe_weight(weight))
        arithmetic = (Column("plate"), Column("arithmetic", wraps=True))
        last = frozenset({len(terms) - 1})
        blocks.append(Table("What the plate weighs", arithmetic, terms, last))
        blocks.append(Paragraph(INFILL_NOTE))
    return blocks


def _need_table(needs: Sequence[Need]) -> Table:
    columns = (Column("what", wraps=True), Column("amount", "right"), Column("for", wraps=True))
    rows = tuple((need.what, need.amount, need.why) for need in needs)
    return Table("Also needed, without a price in the file", columns, rows)


def _part_table(parts: Sequence[Part], currency: str) -> Table:
    columns = (
        Column("part", wraps=True),
        Column("kind"),
        Column("count", "right"),
        Column(f"unit price, {currency}", "right"),
        Column(f"cost, {currency}", "right"),
        Column("controls", wraps=True),
    )
    rows = [(*row[:5], row[6]) for row in (_part_row(part, currency) for part in parts)]
    rows.append((*_sum_row(parts), ""))
    return Table("Parts of the controls", columns, tuple(rows), frozenset({len(parts)}))


def _sum_row(parts: Sequence[Part]) -> tuple[str, ...]:
    unpriced = sum(part.count for part in parts if part.price is None)
    name = f"Sum, {unpriced} without a price left out" if unpriced else "Sum"
    return (name, "", str(sum(part.count for part in parts)), "", money(sum_cost(parts)))


def _part_row(part: Part, currency: str) -> tuple[str, ...]:
    return (
        escape_controls(part.name) or "no part named",
        part.kind,
        str(part.count),
        "" if part.price is None else money(part.price),
        "" if part.cost is None else money(part.cost),
        "" if part.price is None else currency,
        ", ".join(part.controls),
    )


def _csv_rows(
    parts: Sequence[Part], needs: Sequence[Need], weight: Weight | None, currency: str
) -> tuple[tuple[str, ...], ...]:
    rows = [HEADINGS, *(_part_row(part, currency) for part in parts)]
    rows.append((*_sum_row(parts), currency, ""))
    rows.extend((need.what, "", need.amount, "", "", "", need.why) for need in needs)
    if weight is not None:
        words = "; ".join(f"{term}: {value}" for term, value in describe_weight(weight))
        rows.append(("Plate, g", "", f"{weight.mass:.1f}", "", "", "", words))
    return tuple(rows)


def _write_text(title: str, blocks: Sequence[Block]) -> str:
    parts = [escape_controls(title)]
    for block in blocks:
        if isinstance(block, Table):
            headings = [column.heading for column in block.columns]
            parts.append(f"{block.title}\n\n{render_table(headings, block.rows)}")
        else:
            parts.append(block.words)
    return "\n\n".join(part.rstrip("\n") for part in parts) + "\n"


def _describe(
    parts: Sequence[Part], needs: Sequence[Need], weight: Weight | None, currency: str
) -> dict[str, Any]:
    return {
        "currency": currency,
        "parts": [
            {
                "part": part.name or None,
                "kind": part.kind,
                "count": part.count,
                "unit_price": None if part.price is None else money(part.price),
                "cost": None if part.cost is None else money(part.cost),
                "controls": list(part.controls),
            }
            for part in parts
        ],
        "sum": money(sum_cost(parts)),
        "needs": [{"what": one.what, "amount": one.amount, "for": one.why} for one in needs],
        "plate": None if weight is None else _plain_weight(weight),
    }


def _plain_weight(weight: Weight) -> dict[str, float]:
    terms = {**weight._asdict(), "area": weight.area, "volume": weight.volume, "mass": weight.mass}
    return {name: round(value, 6) for name, value in terms.items()}
