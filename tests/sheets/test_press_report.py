"""The report of a press test, on paper and as a page."""

import csv
import io
import os
from dataclasses import replace
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

from profiles.live.diagnosis import Diagnosis, Explanation
from profiles.live.events import FoundBox
from profiles.live.faults import Fault
from profiles.live.outcome import Outcome, sum_up
from profiles.live.question import Answered, Question
from profiles.live.recording import read_recording
from profiles.live.report import print_outcome
from profiles.live.session import replay
from profiles.live.verdict import Verdict, VerdictKind
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

DATED = {"date": "2031-05-04", "tester": "A maker"}


@pytest.fixture(scope="module")
def whole() -> Outcome:
    return sum_up([replay(helm_desk(), read_recording(RECORDING))])


@pytest.fixture(scope="module")
def outcome(whole: Outcome) -> Outcome:
    """Four steps, of which one is wrong and one skipped, and two explanations left."""
    device = whole.device
    kinds: list[VerdictKind] = ["wrong", "right", "right", "skipped"]
    verdicts = tuple(
        Verdict(one.step, kind, (), (), "heard input 9")
        for one, kind in zip(whole.verdicts[1:5], kinds, strict=True)
    )
    first, second = (Fault("dead", (0,)),), (Fault("dead", (1,)),)
    told = (Explanation(first, 0.6, (second,)), Explanation((), 0.4))
    question = Question(f"Press {device.id}", (Answered("input 1", (first,)),), 1.0)
    return replace(
        whole,
        planned=4,
        verdicts=verdicts,
        diagnosis=Diagnosis(told, 3, ()),
        question=question,
    )


@pytest.fixture(scope="module")
def example(whole: Outcome) -> PrintedSheet:
    return print_outcome(whole, date="2031-05-04", tester="A. Maker")


def page_of(sheet: PrintedSheet) -> str:
    return write_sheet(sheet, "html").data.decode("utf-8")


def pages(sheet: PrintedSheet) -> list[str]:
    reader = PdfReader(write_sheet(sheet, "pdf").data)
    return [reader.text(number) for number in range(len(sheet.document.pages))]


def test_the_example_report_looks_as_kept(example: PrintedSheet) -> None:
    """See: the result first, then the diagnosis with its pins, every step with the
    wrong ones in bold, the box of cautions and the title block with tester and date at the foot."""
    compare_with_kept(example.document.pages[0], KEPT / "press_report.png")


def test_every_step_stands_on_paper_and_in_the_table(example: PrintedSheet) -> None:
    words = " ".join(" ".join(pages(example)).split())
    assert len(example.table) == 61
    for contact in ("mains.on", "dimmer.anticlockwise", "mode.position-2", "ramp.press"):
        assert contact in words
    columns = helm_desk().wiring.columns
    assert (
        f"Exchange the blue wire at pin {columns[1]} and the blue wire at pin {columns[3]}."
        in words
    )
    assert "Soldering." in words
    assert example.remarks == ()


def test_the_result_is_one_sentence(outcome: Outcome) -> None:
    wrong, *rest = outcome.verdicts
    sound = replace(outcome, planned=3, verdicts=(replace(wrong, kind="right"), *rest[:2]))
    untested = replace(outcome, verdicts=(), observations=(), diagnosis=None, question=None)
    for one, said in (
        (outcome, "1 step of 4 is not as described. 1 step not tested."),
        (sound, "All that was tested is as described."),
        (untested, "Nothing was tested."),
    ):
        assert print_outcome(one).facts["result"] == said


def test_page_and_paper_say_the_same(outcome: Outcome) -> None:
    first, second, *_ = outcome.device.wiring.rows
    sheet = print_outcome(outcome, **DATED)
    paper = " ".join(" ".join(pages(sheet)).split())
    page = " ".join(html.fromstring(page_of(sheet)).text_content().split())
    for words in (
        "1 step of 4 is not as described.",
        "60 %: One of these, which nothing in this recording tells apart:",
        f"Row 1 (pin {first}) is off its pin.",
        f"Look at the joint of the yellow wire at pin {first}, and along",
        f"Row 2 (pin {second}) is off its pin.",
        "When that is fixed, test again: one fault can hide another.",
        "What would decide",
        "heard input 9",
        "17 detents/s",
    ):
        assert words in paper
        assert words in page


def test_without_a_choice_left_nothing_is_said_of_it(outcome: Outcome) -> None:
    told = (Explanation((Fault("dead", (0,)),), 1.0),)
    sure = replace(outcome, diagnosis=Diagnosis(told, 3, ()), question=None)
    words = " ".join(pages(print_outcome(sure)))
    assert "One of these" not in words
    assert "would decide" not in words


def test_the_page_loads_nothing_and_runs_nothing(outcome: Outcome) -> None:
    tree = html.fromstring(page_of(print_outcome(outcome)))
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


def test_hostile_words_stay_words(outcome: Outcome) -> None:
    """Words of verdicts hold nothing of a file; names of the box and of the tester do."""
    first = outcome.verdicts[0]
    rows = tuple(replace(first, words=text) for text in NAUGHTY if text.strip())
    evil = "</style><script>alert(1)</script>\x1b[2J"
    header = outcome.device.device.model_copy(update={"name": evil})
    device = outcome.device.model_copy(update={"device": header})
    box = replace(outcome.box or FoundBox(1, ""), name=evil, serial=evil)
    changed = replace(outcome, device=device, box=box, verdicts=rows, planned=len(rows))
    sheet = print_outcome(changed, date=evil, tester=evil)
    tree = html.fromstring(page_of(sheet))
    assert not tree.xpath("//script")
    assert tree.xpath("//h1")[0].text_content() == f"{escape_controls(evil)}: press test"
    cells = list(csv.reader(io.StringIO(write_sheet(sheet, "csv").data.decode("utf-8"))))
    assert len(cells) == len(rows) + 1
    assert not [cell for row in cells for cell in row if cell.startswith(("=", "+", "-", "@"))]
    assert write_sheet(sheet, "pdf").data.startswith(b"%PDF")


def test_the_same_report_gives_the_same_bytes(outcome: Outcome) -> None:
    for form in ("pdf", "html", "csv"):
        one, other = (write_sheet(print_outcome(outcome, **DATED), form).data for _ in range(2))
        assert one == other
