"""The report of a press test, on paper and as a page."""

import csv
import io
import os
from dataclasses import replace
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

from profiles.live.outcome import sum_up
from profiles.live.recording import read_recording
from profiles.live.report import report_outcome
from profiles.live.session import replay
from profiles.sheets.press_report import (
    PressReport,
    ReportCause,
    ReportQuestion,
    ReportRow,
    make_report,
)
from profiles.sheets.sheet import PrintedSheet
from profiles.sheets.writing import write_sheet
from profiles.text.inert import escape_controls
from tests.drawing.pdf_reader import PdfReader
from tests.drawing.pictures import compare_with_kept
from tests.hostile import NAUGHTY
from tests.live.bench import RECORDING, helm_desk
from tests.needs import need_path, need_program
from tests.sheets.browser import DARK, DESKTOP, PHONE, show_page

html: Any = import_module("lxml.html")
KEPT = Path(__file__).parent / "kept"

ROW = ReportRow("horn.press", "Press and release horn", "wrong", "heard input 9", is_right=False)
CAUSE = ReportCause("60 %", "row 1 is off its pin", ("Look at pin A0.",), ("row 1 is cut",))
REPORT = PressReport(
    device="desk",
    name="Desk",
    date="2031-05-04",
    tester="A maker",
    planned=4,
    counts={"right": 2, "wrong": 1, "skipped": 1, "open": 0},
    rows=(ROW, replace(ROW, contact="bell.press", verdict="right", is_right=True)),
    causes=(CAUSE, ReportCause("40 %", "row 2 is off its pin")),
    question=ReportQuestion("Press horn and bell", ("input 1: row 1 is off its pin",)),
    presses=(("horn.press", "1", "90 ms", "0", ""),),
    turns=(("trim.clockwise", "10", "10", "1.00", "17 detents/s"),),
)


@pytest.fixture(scope="module")
def example() -> PrintedSheet:
    session = replay(helm_desk(), read_recording(RECORDING))
    outcome = sum_up([session])
    return make_report(report_outcome(outcome, date="2031-05-04", tester="A. Maker"))


def page_of(sheet: PrintedSheet) -> str:
    return write_sheet(sheet, "html").data.decode("utf-8")


def pages(sheet: PrintedSheet) -> list[str]:
    reader = PdfReader(write_sheet(sheet, "pdf").data)
    return [reader.text(number) for number in range(len(sheet.document.pages))]


def test_the_example_report_looks_as_kept(example: PrintedSheet) -> None:
    """See: the result first, then the diagnosis in bold with its pins, every step with the
    wrong ones in bold, the box of cautions and the title block with tester and date at the foot."""
    compare_with_kept(example.document.pages[0], KEPT / "press_report.png")


def test_every_step_stands_on_paper_and_in_the_table(example: PrintedSheet) -> None:
    words = " ".join(" ".join(pages(example)).split())
    assert len(example.table) == 61
    for contact in ("mains.on", "dimmer.anticlockwise", "mode.position-2", "ramp.press"):
        assert contact in words
    columns = helm_desk().wiring.columns
    assert f"Exchange the wires at pins {columns[1]} and {columns[3]}." in words
    assert "Soldering." in words
    assert example.remarks == ()


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({}, "1 step of 4 is not as described. 1 step not tested."),
        (
            {"rows": (replace(ROW, is_right=True),), "counts": {}},
            "All that was tested is as described.",
        ),
        ({"rows": (), "counts": {"open": 4}}, "Nothing was tested."),
    ],
)
def test_the_result_is_one_sentence(changes: dict[str, Any], said: str) -> None:
    assert replace(REPORT, **changes).verdict == said


def test_page_and_paper_say_the_same() -> None:
    sheet = make_report(REPORT)
    paper = " ".join(" ".join(pages(sheet)).split())
    page = " ".join(html.fromstring(page_of(sheet)).text_content().split())
    for words in (
        "1 step of 4 is not as described.",
        "row 1 is off its pin",
        "Look at pin A0.",
        "row 1 is cut",
        "When that is fixed, test again: one fault can hide another.",
        "The measurement that would decide",
        "heard input 9",
        "17 detents/s",
    ):
        assert words in paper
        assert words in page


def test_without_a_choice_left_the_columns_for_it_are_left_out() -> None:
    sheet = make_report(replace(REPORT, causes=(replace(CAUSE, alike=()),), question=None))
    words = " ".join(pages(sheet))
    assert "with identical readings" not in words
    assert "would decide" not in words


def test_the_page_loads_nothing_and_runs_nothing() -> None:
    tree = html.fromstring(page_of(make_report(REPORT)))
    assert not tree.xpath("//script | //link | //img | //@src | //@href | //@onclick")


@pytest.mark.parametrize("flags", [(), (DARK,)], ids=["light", "dark"])
def test_the_page_fits_a_phone_and_shuts_nobody_out(
    example: PrintedSheet, flags: tuple[str, ...], tmp_path: Path
) -> None:
    """axe-core (open source, the file that PLATEBOOK_AXE names), all its rules."""
    axe = need_path(os.environ.get("PLATEBOOK_AXE", "axe.min.js")).read_text(encoding="utf-8")
    page = page_of(example)
    found = show_page(need_program("chromium"), tmp_path, page, *flags, axe=axe)
    for width in (PHONE, DESKTOP):
        assert (found[width]["scroll"], found[width]["wide"]) == (width, [])
        assert found[width]["axe"] == []


def test_hostile_words_stay_words() -> None:
    rows = tuple(
        ReportRow(text, text, "wrong", text, is_right=False) for text in NAUGHTY if text.strip()
    )
    causes = tuple(ReportCause("1 %", row.contact, (row.heard,), (row.asked,)) for row in rows[:50])
    evil = "</style><script>alert(1)</script>\x1b[2J"
    report = replace(REPORT, name=evil, tester=evil, rows=rows, causes=causes, notes=(evil,))
    sheet = make_report(report)
    tree = html.fromstring(page_of(sheet))
    assert not tree.xpath("//script")
    assert tree.xpath("//h1")[0].text_content() == f"{escape_controls(evil)}: press test"
    cells = list(csv.reader(io.StringIO(write_sheet(sheet, "csv").data.decode("utf-8"))))
    assert len(cells) == len(rows) + 1
    assert not [cell for row in cells for cell in row if cell.startswith(("=", "+", "-", "@"))]
    assert write_sheet(sheet, "pdf").data.startswith(b"%PDF")


def test_the_same_report_gives_the_same_bytes() -> None:
    for form in ("pdf", "html", "csv"):
        one, other = (write_sheet(make_report(REPORT), form).data for _ in range(2))
        assert one == other
