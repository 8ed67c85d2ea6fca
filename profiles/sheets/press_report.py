"""The report of a press test, to hand over with the box: what was pressed, heard and concluded.

`make_report` takes plain values (`PressReport`): whoever tested the box fills them in. The sheet
comes as PDF and as one HTML file.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from profiles.drawing.cautions import POWER, SOLDERING
from profiles.drawing.frame import Frame
from profiles.drawing.layout import bind
from profiles.drawing.paper import A4, Paper
from profiles.drawing.recorder import Drawing
from profiles.drawing.tables import Block, Column, Paragraph, Table, flow
from profiles.drawing.titleblock import TitleBlock
from profiles.sheets.html_page import Html, element, join, page
from profiles.sheets.sheet import PrintedSheet, remark_losses
from profiles.text.prose import count

BOX_UNPLUGGED = (
    "Unplug the box before you open it, measure in it or solder. Ask qualified help when unsure; "
    "local codes and the makers' instructions come first."
)
"""Stands on the page, which has no frame with cautions."""

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


LONGEST_SHORT = 20
"""Words of so many letters stay on one line of the page."""

HEADINGS = ("Contact", "Asked", "Verdict", "What was heard")
PRESS_HEADINGS = ("Contact", "Presses", "Median press", "Bounces", "Longest gap")
TURN_HEADINGS = ("Rotary", "Detents", "Pulses", "Pulses per detent", "Fastest without a loss")
CAUSE_HEADINGS = ("Confidence", "What explains it", "What to do", "Or, with identical readings")
LIMITS = (
    "Times are as the host heard them: what is shorter than its polling interval, or hidden by the "
    "box's own debounce, does not show."
)


def make_report(report: PressReport, paper: Paper = A4) -> PrintedSheet:
    """Make the report of a press test."""
    tester = f"Tested by {report.tester}" if report.tester else "Press test of every contact"
    block = TitleBlock(report.title, tester, report.date, scale="", unit="")
    frame = Frame(paper, block, (SOLDERING, POWER), has_ruler=False)
    sheets, cut = flow(_blocks(report), frame)
    document, short = bind(sheets, title=report.title, subject=tester)
    return PrintedSheet(
        name=f"{report.device}-press-report",
        title=report.title,
        work=Drawing(),
        document=document,
        remarks=remark_losses((*cut, *short)),
        facts={"device": report.device, "result": report.verdict, "counts": dict(report.counts)},
        table=(HEADINGS, *map(_cells, report.rows)),
        texts={"html": _write_html(report)},
    )


def _blocks(report: PressReport) -> list[Block]:
    blocks: list[Block] = [Paragraph("\n".join([report.verdict, *report.notes]), "Result")]
    if report.causes:
        blocks.append(_cause_table(report.causes))
        blocks += [Paragraph(AFTER_FIXING)] if report.is_faulty else []
    if report.question is not None:
        words = [f"{report.question.words}.", *(f"– {one}." for one in report.question.outcomes)]
        blocks.append(Paragraph("\n".join(words), "The measurement that would decide"))
    if report.rows:
        blocks.append(_row_table(report.rows))
    blocks += _figure_tables(report)
    blocks.append(Paragraph(_signature(report), "Handed over"))
    return blocks


def _signature(report: PressReport) -> str:
    line = "." * 40
    who = report.tester or line
    return f"Tested by: {who}     Date: {report.date or line}\nReceived by: {line}     Date: {line}"


def _cause_table(causes: Sequence[ReportCause]) -> Table:
    columns = tuple(Column(words, wraps=at > 0) for at, words in enumerate(_headings(causes)))
    return Table("Diagnosis", columns, _cause_rows(causes), frozenset({0}))


def _headings(causes: Sequence[ReportCause]) -> tuple[str, ...]:
    """The last column only where something stands in it."""
    return CAUSE_HEADINGS if any(cause.alike for cause in causes) else CAUSE_HEADINGS[:-1]


def _cause_rows(causes: Sequence[ReportCause]) -> tuple[tuple[str, ...], ...]:
    width = len(_headings(causes))
    return tuple(_cause_cells(cause)[:width] for cause in causes)


def _cause_cells(cause: ReportCause) -> tuple[str, ...]:
    remedies = " ".join(dict.fromkeys(cause.remedies))
    return (cause.share, cause.words, remedies, "; or ".join(cause.alike))


def _row_table(rows: Sequence[ReportRow]) -> Table:
    columns = tuple(Column(words, wraps=words != "Verdict") for words in HEADINGS)
    wrong = frozenset(at for at, row in enumerate(rows) if not row.is_right)
    return Table("Every step", columns, tuple(map(_cells, rows)), wrong)


def _cells(row: ReportRow) -> tuple[str, ...]:
    return (row.contact, row.asked, row.verdict, row.heard)


def _figure_tables(report: PressReport) -> list[Block]:
    found: list[Block] = []
    if report.turns:
        found.append(_figure_table("Turning", TURN_HEADINGS, report.turns))
    if report.presses:
        found.append(_figure_table("Pressing", PRESS_HEADINGS, report.presses))
    return [*found, Paragraph(LIMITS)] if found else []


def _figure_table(title: str, headings: Sequence[str], rows: tuple[tuple[str, ...], ...]) -> Table:
    first, *others = headings
    columns = (Column(first, wraps=True), *(Column(words, "right") for words in others))
    return Table(title, columns, rows)


def _write_html(report: PressReport) -> str:
    who = f"Tested by {report.tester}. " if report.tester else ""
    head = element("header", element("h1", report.title), element("p", f"{who}{report.date}"))
    parts: list[Html] = [head, _html_result(report)]
    if report.causes:
        marked = [(cells, at == 0) for at, cells in enumerate(_cause_rows(report.causes))]
        parts.append(_html_table("Diagnosis", _headings(report.causes), marked))
        parts += [element("p", AFTER_FIXING)] if report.is_faulty else []
    if report.question is not None:
        parts.append(_html_question(report.question))
    if report.rows:
        marked = [(_cells(row), not row.is_right) for row in report.rows]
        parts.append(_html_table("Every step", HEADINGS, marked))
    for title, headings, rows in (
        ("Turning", TURN_HEADINGS, report.turns),
        ("Pressing", PRESS_HEADINGS, report.presses),
    ):
        if rows:
            parts.append(_html_table(title, headings, [(row, False) for row in rows]))
    return page(report.title, join(*parts, element("p", LIMITS)))


def _html_result(report: PressReport) -> Html:
    lines = [element("p", words) for words in (*report.notes, BOX_UNPLUGGED)]
    return element("section", element("h2", report.verdict), *lines)


def _html_question(question: ReportQuestion) -> Html:
    answers = [element("p", f"– {one}.") for one in question.outcomes]
    heading = element("h2", "The measurement that would decide")
    return element("section", heading, element("p", f"{question.words}."), *answers)


def _html_table(
    title: str, headings: Sequence[str], rows: Sequence[tuple[tuple[str, ...], bool]]
) -> Html:
    cells = (
        element("th", words, scope="col", role="columnheader", class_="short") for words in headings
    )
    table = element(
        "table",
        element("thead", element("tr", *cells, role="row"), role="rowgroup"),
        element("tbody", *(_html_row(headings, *row) for row in rows), role="rowgroup"),
        class_="wide",
        role="table",
        aria_label=title,
    )
    return element("section", element("h2", title), table)


def _html_row(headings: Sequence[str], cells: Sequence[str], marked: bool) -> Html:
    """A row; words of a marked one are strong."""
    first, *rest = cells
    head = element("th", first, scope="row", role="rowheader", class_=_break_of(first))
    strong = "moved" if marked else "plain"
    return element(
        "tr",
        head,
        *(
            element(
                "td",
                element("span", words, class_=f"{strong} {_break_of(words)}"),
                role="cell",
                data_title=title,
            )
            for title, words in zip(headings[1:], rest, strict=True)
        ),
        role="row",
    )


def _break_of(words: str) -> str:
    """The class of words: a few stay on one line, many may be broken."""
    return "short" if len(words) <= LONGEST_SHORT else "long"
