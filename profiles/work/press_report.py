"""The report of a press test as files: PDF to print, HTML to read, CSV for a table."""

from collections.abc import Sequence
from pathlib import Path

from profiles.live.outcome import Outcome
from profiles.live.report import print_outcome
from profiles.sheets.sheet import remark_losses
from profiles.sheets.writing import write_sheet
from profiles.text.inert import escape_controls
from profiles.work.outputs import Output

NAME_IT = "Name it with .pdf, .html or .csv at its end."
"""What to do about a name that does not say the format."""


def form_of(path: Path) -> str | None:
    """The format of a report by the end of its name; None where it does not say."""
    return {".pdf": "pdf", ".html": "html", ".htm": "html", ".csv": "csv"}.get(path.suffix.lower())


def make_reports(
    outcome: Outcome, paths: Sequence[Path], *, date: str, tester: str
) -> tuple[list[Output], list[str]]:
    """The report as these files, yet to be written, and what it does not show as it is meant."""
    if not paths:
        return [], []
    sheet = print_outcome(outcome, date=date, tester=tester)
    remarks = list(sheet.remarks)
    outputs = []
    for path in paths:
        form = form_of(path) or "pdf"
        written = write_sheet(sheet, form)
        outputs.append(Output(path, written.data, form))
        remarks += remark_losses(written.losses)
    words = [f"{one.kind}: {escape_controls(one.message)}" for one in dict.fromkeys(remarks)]
    return outputs, words
