"""A report for machines: the rows that people see, by name, in JSON and CSV."""

import csv
import io
import json
from decimal import Decimal
from typing import NamedTuple

import pytest
from hypothesis import given
from hypothesis import strategies as st

from profiles.report.data import csv_rows, dump_json, plain_report, render_csv, render_json
from profiles.report.document import Cell, Column, Facts, Paragraph, Report, Table, Value
from profiles.report.terminal import render_text
from profiles.text.inert import restore_csv_cell
from tests.hostile import hostile_texts


class Pace(NamedTuple):
    period: float
    scans: int


TABLE = Table(
    (
        Column("led", key="control"),
        Column("E24", key="resistor.value", unit="ohm"),
        Column("current", key="resistor.current", unit="mA", digits=2),
        Column("shown", readers="people"),
        Column("pins", key="pins"),
        Column("price", key="price", readers="machines"),
        Column("does", key="does"),
    ),
    (
        ("start", 390.0, 7.4359, "x", ("A4", "A5"), Decimal("1.20"), Cell("Gong", "moved")),
        ("bell", None, float("nan"), "y", (), None, Cell("»", data={"does": "Lamp"})),
    ),
    key="leds",
)


def test_json_has_facts_and_named_tables() -> None:
    report = Report(
        "Desk",
        (
            Facts({"device": "desk", "timing": Pace(0.5, 7)}),
            TABLE,
            Paragraph("Words."),
            Table((Column("a", key="a"),), (("x",),)),
        ),
    )
    assert json.loads(render_json(report)) == {
        "format": 1,
        "device": "desk",
        "timing": {"period": 0.5, "scans": 7},
        "leds": [
            {
                "control": "start",
                "resistor": {"value": 390.0, "current": 7.4359},
                "pins": ["A4", "A5"],
                "price": "1.20",
                "does": "Gong",
            },
            {
                "control": "bell",
                "resistor": {"value": None, "current": None},
                "pins": [],
                "price": None,
                "does": {"does": "Lamp"},
            },
        ],
    }


def test_csv_has_the_same_rows_without_units() -> None:
    assert csv_rows(TABLE) == (
        ("led", "E24", "current", "pins", "price", "does"),
        ("start", "390.0", "7.4359", "A4, A5", "1.20", "Gong (moved)"),
        ("bell", "", "", "", "", "»"),
    )


def test_what_is_not_plain_is_refused() -> None:
    with pytest.raises(TypeError, match="object is no plain value"):
        dump_json({"a": object()})


VALUES: st.SearchStrategy[Value] = st.one_of(
    hostile_texts(), st.integers(), st.floats(allow_nan=False, allow_infinity=False), st.none()
)


@given(st.lists(st.tuples(VALUES, VALUES), max_size=6))
def test_every_value_comes_back_from_json_and_csv(rows: list[tuple[Value, Value]]) -> None:
    """Law: the standard library's readers give back each value; text has a line for each row."""
    table = Table((Column("a", key="a"), Column("b", key="b")), tuple(rows), key="rows")
    report = Report("Title", (table,))
    assert json.loads(render_json(report))["rows"] == [{"a": a, "b": b} for a, b in rows]
    assert len(render_text(report).splitlines()) == (len(rows) + 4 if rows else 1)
    read = list(csv.reader(io.StringIO(render_csv(csv_rows(table)), newline="")))
    assert len(read) == len(rows) + 1
    assert {len(row) for row in read} == {2}
    for row, cells in zip(rows, read[1:], strict=True):
        for value, cell in zip(row, cells, strict=True):
            if isinstance(value, int | float):
                assert restore_csv_cell(cell) == str(value)


@given(hostile_texts())
def test_json_holds_no_letter_that_a_terminal_obeys(words: str) -> None:
    text = render_json(Report(words, (Facts({"words": words, f"key {words}": 1}),)))
    assert json.loads(text) == {"format": 1, "words": words, f"key {words}": 1}
    assert text.isascii()
    assert all(letter >= " " and letter != "\x7f" for letter in text.replace("\n", ""))


def test_the_light_renderers_load_nothing_heavy() -> None:
    import subprocess
    import sys

    script = (
        "import sys\n"
        "from profiles.report.document import Report\n"
        "from profiles.report.terminal import render_text\n"
        "from profiles.report.data import render_json\n"
        "render_text(Report('x', ())), render_json(Report('x', ()))\n"
        "print([name for name in sys.modules if name.split('.')[0] in"
        " ('reportlab', 'pydantic', 'fontTools', 'click', 'textual')"
        " or name.startswith('profiles.drawing')])\n"
    )
    ran = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert ran.stdout == "[]\n"


def test_plain_report_is_what_json_holds() -> None:
    report = Report("Desk", (TABLE,))
    assert json.loads(render_json(report)) == {"format": 1, **plain_report(report)}
