"""The report of a press test, to hand over with the box: what was pressed, heard and concluded.

`make_report` takes plain values (`PressReport`): whoever tested the box fills them in. The sheet
comes as PDF and as one HTML file.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from profiles.drawing.cautions import POWER, SOLDERING
from profiles.drawing.frame import Frame
from profiles.drawing.paper import A4, Paper
from profiles.drawing.titleblock import TitleBlock
from profiles.report.data import csv_rows
from profiles.report.document import Block, Cautions, Column, Facts, Paragraph, Report, Table
from profiles.sheets.report_sheet import print_report
from profiles.sheets.sheet import PrintedSheet
from profiles.text.prose import count

BOX_UNPLUGGED = (
    "Unplug the box before you open it, measure in it or solder. Ask qualified help when unsure; "
    "local codes and the makers' instructions come first."
)
"""Stands under a diagnosis where no frame with cautions does."""

AFTER_FIXING = "When that is fixed, test again: one fault can hide another."
"""Stands under a diagnosis that found something."""


@dataclass(frozen=True, slots=True)
class ReportRow:
    """One contact that was asked for; `is_right` also where it was left out."""

    contact: str
    asked: str
    verdict: str
    heard: str
    is_right: bool


@dataclass(frozen=True, slots=True)
class ReportCause:
    """One explanation: its confidence in words, what it is, what to do, what reads the same."""

    share: str
    words: str
    remedies: tuple[str, ...] = ()
    alike: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ReportQuestion:
    """The measurement that would decide, and what each outcome would leave."""

    words: str
    outcomes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PressReport:
    """All that stands on the report; words of the library are as its files give them."""

    device: str
    name: str
    date: str
    tester: str
    planned: int
    counts: Mapping[str, int]
    rows: tuple[ReportRow, ...]
    causes: tuple[ReportCause, ...]
    question: ReportQuestion | None = None
    presses: tuple[tuple[str, ...], ...] = ()
    turns: tuple[tuple[str, ...], ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def title(self) -> str:
        """Heading of the report."""
        return f"{self.name}: press test"

    @property
    def is_faulty(self) -> bool:
        """Whether the first explanation is that something is to be mended."""
        return bool(self.causes and self.causes[0].remedies)

    @property
    def verdict(self) -> str:
        """The result in one sentence."""
        wrong = sum(not row.is_right for row in self.rows)
        left = self.counts.get("open", 0) + self.counts.get("skipped", 0)
        if not self.rows or left == self.planned:
            return "Nothing was tested."
        if wrong:
            verb = "is" if wrong == 1 else "are"
            words = f"{count(wrong, 'step')} of {self.planned} {verb} not as described."
        else:
            words = "All that was tested is as described."
        return f"{words} {count(left, 'step')} not tested." if left else words


PRESS_HEADINGS = ("Contact", "Presses", "Median press", "Bounces", "Longest gap")
TURN_HEADINGS = ("Rotary", "Detents", "Pulses", "Pulses per detent", "Fastest without a loss")
LIMITS = (
    "Times are as the host heard them: what is shorter than its polling interval, or hidden by the "
    "box's own debounce, does not show."
)


def make_report(report: PressReport, paper: Paper = A4) -> PrintedSheet:
    """Make the report of a press test."""
    tester = f"Tested by {report.tester}" if report.tester else "Press test of every contact"
    block = TitleBlock(report.title, tester, report.date, scale="", unit="")
    steps = _step_table(report.rows)
    who = f"Tested by {report.tester}. " if report.tester else ""
    line = "." * 40
    signature = (
        f"Tested by: {report.tester or line}     Date: {report.date or line}\n"
        f"Received by: {line}     Date: {line}"
    )
    asked: tuple[Block, ...] = ()
    if report.question is not None:
        words = [f"{report.question.words}.", *(f"– {one}." for one in report.question.outcomes)]
        asked = (Paragraph("\n".join(words), "The measurement that would decide"),)
    whole = Report(
        report.title,
        (
            Facts({"device": report.device, "result": report.verdict}),
            Facts({"counts": dict(report.counts)}),
            Paragraph("\n".join([report.verdict, *report.notes]), "Result"),
            _cause_table(report.causes),
            *([Paragraph(AFTER_FIXING)] if report.is_faulty else []),
            *asked,
            steps,
            _measured_table("Turning", TURN_HEADINGS, report.turns),
            _measured_table("Pressing", PRESS_HEADINGS, report.presses),
            *([Paragraph(LIMITS)] if report.turns or report.presses else []),
            Cautions((SOLDERING, POWER)),
            Paragraph(signature, "Handed over"),
        ),
        f"{who}{report.date}",
    )
    frame = Frame(paper, block, has_ruler=False)
    name = f"{report.device}-press-report"
    return print_report(whole, frame, name=name, table=csv_rows(steps))


def _cause_table(causes: Sequence[ReportCause]) -> Table:
    """The explanations, the first in bold; the last column only where something is in it."""
    has_alike = any(cause.alike for cause in causes)
    columns = (
        Column("Confidence", "confidence"),
        Column("What explains it", "explanation", wraps=True),
        Column("What to do", "remedy", wraps=True),
        Column(
            "Or, with identical readings",
            "alike",
            wraps=True,
            readers="all" if has_alike else "machines",
        ),
    )
    rows = tuple(
        (one.share, one.words, " ".join(dict.fromkeys(one.remedies)), "; or ".join(one.alike))
        for one in causes
    )
    return Table(columns, rows, "Diagnosis", key="causes", strong=frozenset({0}))


def _step_table(rows: Sequence[ReportRow]) -> Table:
    """Every step that was asked for; what is not as described is bold."""
    columns = (
        Column("Contact", "contact", wraps=True),
        Column("Asked", "asked", wraps=True),
        Column("Verdict", "verdict"),
        Column("What was heard", "heard", wraps=True),
    )
    cells = tuple((row.contact, row.asked, row.verdict, row.heard) for row in rows)
    wrong = frozenset(at for at, row in enumerate(rows) if not row.is_right)
    return Table(columns, cells, "Every step", key="steps", strong=wrong)


def _measured_table(
    title: str, headings: Sequence[str], rows: tuple[tuple[str, ...], ...]
) -> Table:
    first, *others = headings
    columns = (Column(first, wraps=True), *(Column(words, align="right") for words in others))
    return Table(columns, rows, title)
