"""The outcome of a press test as text on a terminal."""

from collections.abc import Iterator

from profiles.live.outcome import (
    Outcome,
    name_step,
    tell_explanation,
    tell_outcomes,
    tell_share,
)
from profiles.sheets.text_table import render_table
from profiles.text.inert import visible
from profiles.text.prose import count


def render_outcome(outcome: Outcome, *, every: bool = False) -> str:
    """Verdicts that are not right (or every one), the diagnosis, and what would decide."""
    parts = [_head(outcome), _verdicts(outcome, every=every), *_diagnosis(outcome)]
    return "\n\n".join(part for part in parts if part)


def _head(outcome: Outcome) -> str:
    device = outcome.device
    counts = ", ".join(f"{number} {kind}" for kind, number in outcome.counts.items() if number)
    done = f"{outcome.done} of {count(outcome.planned, 'step')} done"
    changed = "\nThe device file has changed since this test was made." if outcome.changed else ""
    return visible(f"{device.name} ({device.id}): {done}") + f"\n{counts}{changed}"


def _verdicts(outcome: Outcome, *, every: bool) -> str:
    shown = outcome.verdicts if every else outcome.faulty
    rows = [(one.kind, name_step(one.step), one.words) for one in shown]
    return render_table(("Verdict", "Contact", "What was heard"), rows) if rows else ""


def _diagnosis(outcome: Outcome) -> Iterator[str]:
    if outcome.diagnosis is None:
        yield "Nothing was tested yet, so there is nothing to tell."
        return
    lines = []
    for one in outcome.explanations:
        first, *rest = tell_explanation(outcome.blueprint, one)
        lines.append(f"{tell_share(one.confidence):>9}  {visible(first)}")
        lines += [f"{'':9}  {visible(line)}" for line in rest]
    yield "\n".join(["What explains it best", *lines])
    if outcome.question is not None:
        answers = [f"  - {visible(one)}" for one in tell_outcomes(outcome, outcome.question)]
        yield "\n".join([f"What would decide: {visible(outcome.question.words)}.", *answers])
