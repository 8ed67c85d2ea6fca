"""The report of a press test written to a file from the screen."""

from pathlib import Path

from profiles.live.outcome import Outcome
from profiles.live.report import report_outcome
from profiles.sheets.press_report import make_report
from profiles.tui.printing import write_printed

FORMS = {".pdf": "pdf", ".html": "html", ".htm": "html", ".csv": "csv"}
"""Format of a report by the end of its name."""


def form_of(target: str) -> str | None:
    """The format that a file's name asks for, None where it tells none."""
    return FORMS.get(path_of(target).suffix.lower())


def path_of(typed: str) -> Path:
    """The path that was typed."""
    return Path(typed.strip()).expanduser()


def write_report(outcome: Outcome, started: str, target: str, tester: str) -> str:
    """Write the report and say where it went.

    Raises:
        EditError: where it cannot be written.
    """
    sheet = make_report(report_outcome(outcome, date=started, tester=tester))
    printed = write_printed(sheet, form_of(target) or "pdf", str(path_of(target)))
    return "; ".join([printed.words, *printed.remarks])
