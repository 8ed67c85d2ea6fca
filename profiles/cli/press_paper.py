"""The report of a press test as files."""

from collections.abc import Sequence
from pathlib import Path

from profiles.cli.exits import Unusable
from profiles.cli.output import note, put_outputs, show_path
from profiles.live.outcome import Outcome
from profiles.live.report import report_outcome
from profiles.sheets.press_report import make_report
from profiles.sheets.sheet import Remark, remark_losses
from profiles.sheets.writing import write_sheet
from profiles.text.inert import escape_controls
from profiles.work.outputs import Output

FORMS = {".pdf": "pdf", ".html": "html", ".htm": "html", ".csv": "csv"}
"""Format of a report by the end of its name."""


def check_names(paths: Sequence[Path]) -> None:
    """Refuse names that tell no format, before anything is pressed.

    Raises:
        Unusable: for such a name.
    """
    for path in paths:
        if path.suffix.lower() not in FORMS:
            raise Unusable(
                f"{show_path(path)} does not say what the report is to be",
                "Name it with .pdf, .html or .csv at its end.",
            )


def write_reports(outcome: Outcome, paths: Sequence[Path], *, date: str, tester: str) -> None:
    """Write the report to each of these files and say so.

    Raises:
        Unusable: where one cannot be written.
    """
    if not paths:
        return
    sheet = make_report(report_outcome(outcome, date=date, tester=tester))
    remarks: list[Remark] = list(sheet.remarks)
    for path in paths:
        written = write_sheet(sheet, FORMS[path.suffix.lower()])
        put_outputs([Output(path, written.data, FORMS[path.suffix.lower()])])
        remarks += remark_losses(written.losses)
        note(f"report: {show_path(path)}")
    for remark in dict.fromkeys(remarks):
        note(f"{remark.kind}: {escape_controls(remark.message)}")
