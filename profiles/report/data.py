"""A report for machines: JSON with every fact and table that has a name, and CSV.

Both carry the rows that people see, values before they were rounded or given units.
"""

import csv
import io
import json
from collections.abc import Iterable, Mapping
from decimal import Decimal
from math import isfinite
from typing import Any

from profiles.report.document import Cell, Facts, Report, Table
from profiles.text.inert import csv_cell, escape_controls

FORMAT = 1
"""Number of the form of all JSON; it counts up where a name changes its meaning."""


def render_json(report: Report) -> str:
    """The report as ASCII JSON, `format` first."""
    return dump_json({"format": FORMAT, **plain_report(report)})


def dump_json(document: object) -> str:
    """Plain types as indented ASCII JSON; control characters are escaped, NaN is null."""
    words = json.dumps(_plain(document), ensure_ascii=True, indent=2)
    return words.replace("\x7f", "\\u007f") + "\n"


def plain_report(report: Report) -> dict[str, Any]:
    """Facts and tables by name, as plain types; a table is a list of its rows."""
    found: dict[str, Any] = {}
    for block in report.blocks:
        if isinstance(block, Facts):
            found |= _plain(block.values)
        elif isinstance(block, Table) and block.key:
            found[block.key] = rows = []
            for row in block.rows:
                rows.append(plain := dict[str, Any]())
                for at in block.seen_by("machines"):
                    *outer, name = block.columns[at].key.split(".")
                    inside, value = plain, row[at]
                    for part in outer:
                        inside = inside.setdefault(part, {})
                    if isinstance(value, Cell):
                        value = value.words if value.data is ... else value.data
                    if name:
                        inside[name] = _plain(value)
    return found


def _plain(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {str(key): _plain(inner) for key, inner in value.items()}
    if isinstance(value, str | int | None):
        return value
    if isinstance(value, float):
        return value if isfinite(value) else None
    if isinstance(value, Decimal):
        return f"{value:f}"
    if hasattr(value, "_asdict"):
        return _plain(value._asdict())
    if isinstance(value, Iterable):
        return [_plain(inner) for inner in value]
    raise TypeError(f"{type(value).__name__} is no plain value")


def csv_rows(table: Table) -> tuple[tuple[str, ...], ...]:
    """The heading and rows of a table for a spreadsheet, values without units."""
    places = table.seen_by("machines")
    rows = [tuple(table.columns[at].heading for at in places)]
    for row in [*table.rows, table.foot] if table.foot else table.rows:
        cells = []
        for value in (row[at] for at in places):
            if isinstance(value, Cell):
                cells.append(f"{value.words} ({value.note})" if value.note else value.words)
            elif isinstance(value, tuple):
                cells.append(", ".join(value))
            else:
                plain = _plain(value)
                cells.append("" if plain is None else str(plain))
        rows.append(tuple(cells))
    return tuple(rows)


def render_csv(rows: Iterable[Iterable[str]]) -> str:
    """Rows as CSV (RFC 4180), each cell one line that no spreadsheet computes."""
    buffer = io.StringIO()
    csv.writer(buffer).writerows([csv_cell(escape_controls(cell)) for cell in row] for row in rows)
    return buffer.getvalue()
