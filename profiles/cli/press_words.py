"""The outcome of a press test as text on a terminal."""

import shutil
import sys
from collections.abc import Iterator
from textwrap import wrap

from profiles.live.outcome import (
    Outcome,
    describe_explanation,
    describe_outcomes,
    describe_share,
    describe_unjudged,
    name_step,
)
from profiles.report.document import Column, Table
from profiles.report.terminal import render_table
from profiles.sheets.press_report import AFTER_FIXING, BOX_UNPLUGGED
from profiles.text.inert import escape_controls
from profiles.text.prose import count

WIDEST = 100
"""Columns that sentences take at most."""
INDENT = 11
"""Columns before a sentence under a confidence."""


def render_outcome(outcome: Outcome, *, every: bool = False) -> str:
    """Verdicts that are not right (or every one), the diagnosis, and what would decide."""
    parts = [_head(outcome), _verdicts(outcome, every=every), *_diagnosis(outcome)]
    return "\n\n".join(part for part in parts if part)


def _head(outcome: Outcome) -> str:
    device = outcome.device
    counts = ", ".join(f"{number} {kind}" for kind, number in outcome.counts.items() if number)
    done = f"{outcome.done} of {count(outcome.planned, 'step')} done"
    changed = "\nThe device file has changed since this test was made." if outcome.changed else ""
    unjudged = describe_unjudged(outcome.box)
    more = f"\n{unjudged}." if unjudged else ""
    return escape_controls(f"{device.name} ({device.id}): {done}") + f"\n{counts}{changed}{more}"


def _verdicts(outcome: Outcome, *, every: bool) -> str:
    shown = outcome.verdicts if every else outcome.faulty
    rows = tuple((one.kind, name_step(one.step), one.words) for one in shown)
    columns = (Column("Verdict"), Column("Contact"), Column("What was heard"))
    return render_table(Table(columns, rows)) if rows else ""


def _diagnosis(outcome: Outcome) -> Iterator[str]:
    if outcome.diagnosis is None:
        yield "Nothing was tested yet, so there is nothing to tell."
        return
    lines = []
    for one in outcome.explanations:
        first, *rest = describe_explanation(outcome.model, one)
        lines += _wrap(first, f"{describe_share(one.confidence):>9}  ")
        lines += [line for words in rest for line in _wrap(words, " " * INDENT)]
    left = outcome.counts["open"] + outcome.counts["skipped"]
    if left and outcome.diagnosis.is_sound:
        lines.append(f"{'':{INDENT}}So far: {count(left, 'step')} not tested yet.")
    yield "\n".join(["What explains it best", *lines])
    if outcome.question is not None:
        asked = _wrap(f"What would decide: {outcome.question.words}.", "")
        answers = [
            line
            for words in describe_outcomes(outcome, outcome.question)
            for line in _wrap(f"- {words}", "  ")
        ]
        yield "\n".join([*asked, *answers])
    if not outcome.diagnosis.is_sound:
        yield "\n".join([*_wrap(AFTER_FIXING, ""), *_wrap(BOX_UNPLUGGED, "")])


def _wrap(words: str, start: str) -> list[str]:
    """Words on lines that a terminal shows whole, the further ones set in."""
    width = min(shutil.get_terminal_size().columns, WIDEST) if _is_terminal() else WIDEST
    shown = escape_controls(words)
    further = " " * (len(start) + (2 if shown.startswith("- ") else 0))
    return wrap(shown, max(width, 40), initial_indent=start, subsequent_indent=further)


def _is_terminal() -> bool:
    return sys.stdout is not None and sys.stdout.isatty()
