"""What a press test comes to, as documents: for the terminal, the screen, paper and machines.

- `report_outcome`: the outcome; its JSON holds every step, explanation and measurement
- `print_outcome`: the same as a sheet to hand over with the box
- `report_measurements`, `plot_measurements`: bounce, press times and turns
"""

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any, Literal

from profiles.drawing.cautions import POWER, SOLDERING
from profiles.drawing.frame import Frame
from profiles.drawing.paper import A4
from profiles.drawing.recorder import Drawing
from profiles.drawing.titleblock import TitleBlock
from profiles.facts.box_model import BoxModel
from profiles.facts.device import DeviceFacts
from profiles.live.diagnosis import Explanation
from profiles.live.events import FoundBox
from profiles.live.measurements import Measurements
from profiles.live.outcome import Outcome
from profiles.live.words import (
    ask_step,
    describe_fault,
    describe_faults,
    describe_remedy,
    name_step,
)
from profiles.model import Axis, Device, Hat, Rotary
from profiles.report.data import csv_rows, plain_report
from profiles.report.document import Block, Cautions, Cell, Column, Facts, Paragraph, Report, Table
from profiles.sheets.press_plots import Named, draw_bounces, draw_press_times, draw_turn
from profiles.sheets.report_sheet import print_report
from profiles.sheets.sheet import PrintedSheet
from profiles.text.prose import count, join_words

BOX_UNPLUGGED = (
    "Unplug the box before you open it, measure in it or solder. Ask qualified help when unsure; "
    "local codes and the makers' instructions come first."
)
AFTER_FIXING = "When that is fixed, test again: one fault can hide another."
CHANGED = "The device file has changed since this test was made."
LIMITS = (
    "Times are as the host heard them: what is shorter than its polling interval, or hidden by the "
    "box's own debounce, does not show."
)

MOST_EQUIVALENT = 4
"""How many faults that read just the same are told."""

MOST_STEPS = 12
"""How many faulty steps are listed unless all are asked for: a report stays under a page."""

MOST_LEFTOVER = 4
"""How many steps that an explanation leaves over are named."""

PRESS_COLUMNS = (
    Column("Contact", key="contact", wraps=True),
    Column("Presses", key="times", align="right"),
    Column("Median press", key="median", unit="ms", digits=0, align="right"),
    Column("Bounces", key="bounces", align="right"),
    Column("Longest gap", unit="ms", digits=1, align="right", readers="people"),
)
TURN_COLUMNS = (
    Column("Rotary", key="contact", wraps=True),
    Column("Detents", key="detents", align="right"),
    Column("Pulses", key="pulses", align="right"),
    Column("Pulses per detent", key="per_detent", digits=2, align="right"),
    Column("Gaps", key="gaps", readers="machines"),
    Column("Fastest without a loss", key="fastest", unit="detents/s", digits=0, align="right"),
)
STEP_COLUMNS = (
    Column("Verdict"),
    Column("Contact", wraps=True),
    Column("What was heard", wraps=True),
)


def report_outcome(
    outcome: Outcome, steps: Literal["every", "faulty", "none"] = "faulty"
) -> Report:
    """The outcome for reading: these steps, what explains them, and what would decide."""
    device = outcome.device
    counts = ", ".join(f"{number} {kind}" for kind, number in outcome.counts.items() if number)
    unjudged = describe_unjudged(outcome.box, outcome.device)
    notes = [*([CHANGED] if outcome.changed else []), *([f"{unjudged}."] if unjudged else [])]
    shown = {"every": outcome.verdicts, "faulty": outcome.faulty[:MOST_STEPS], "none": ()}[steps]
    more = len(outcome.faulty) - len(shown) if steps == "faulty" else 0
    rows = tuple((verdict.kind, name_step(verdict.step), verdict.words) for verdict in shown)
    is_faulty = outcome.diagnosis is not None and not outcome.diagnosis.is_sound
    safety = [Paragraph(AFTER_FIXING)]
    if DeviceFacts(device).is_wired:  # in a box that was bought nothing is to be measured
        safety.append(Paragraph(BOX_UNPLUGGED, "Before you open the box"))
    return Report(
        f"{device.name} ({device.id}): {outcome.done} of {count(outcome.planned, 'step')} done",
        (
            Facts(_list_facts(outcome)),
            *([Paragraph("\n".join(notes))] if notes else []),
            *_describe_diagnosis(outcome),
            *(safety if is_faulty else []),
            Table(STEP_COLUMNS, rows),
            *(
                [Paragraph(f"{count(more, 'faulty step')} more; --every lists all.")]
                if more
                else []
            ),
        ),
        counts,
    )


def print_outcome(outcome: Outcome, *, date: str = "", tester: str = "") -> PrintedSheet:
    """The report to hand over; `date` and `tester` are on it as given."""
    title = f"{outcome.device.name}: press test"
    subtitle = f"Tested by {tester}" if tester else "Press test of every contact"
    line = "." * 40
    signature = (
        f"Tested by: {tester or line}     Date: {date or line}\n"
        f"Received by: {line}     Date: {line}"
    )
    result, box = describe_result(outcome), outcome.box
    which = f"Device file: {outcome.device.id}"
    if box is not None:  # as the host saw it
        serial = f", serial number {box.serial}" if box.serial else ""
        which = f"{which}, box: {box.name}, USB {box.vendor}:{box.product}{serial}"
    which = ". ".join(filter(None, (which, describe_unjudged(box, outcome.device)))) + "."
    notes = [result, which, *([CHANGED] if outcome.changed else [])]
    is_faulty = outcome.diagnosis is not None and not outcome.diagnosis.is_sound
    rows = tuple(
        (
            name_step(verdict.step),
            ask_step(outcome.model, verdict.step),
            verdict.kind,
            verdict.words,
        )
        for verdict in outcome.verdicts
    )
    wrong = frozenset(
        at for at, verdict in enumerate(outcome.verdicts) if verdict in outcome.faulty
    )
    contact, heard = STEP_COLUMNS[1:]
    columns = (contact, Column("Asked", wraps=True), STEP_COLUMNS[0], heard)
    steps = Table(columns, rows, "Every step", strong=wrong)
    blocks: list[Block] = [
        Facts({"device": outcome.device.id, "result": result, "counts": outcome.counts}),
        Paragraph("\n".join(notes), "Result"),
        *_describe_diagnosis(outcome),
        *([Paragraph(AFTER_FIXING)] if is_faulty else []),
        steps,
        *tabulate(outcome.measurements, "Turning", "Pressing"),
        *([Paragraph(LIMITS)] if outcome.measurements else []),
        Cautions((SOLDERING, POWER) if DeviceFacts(outcome.device).is_wired else (POWER,)),
        Paragraph(signature, "Handed over"),
    ]
    who = f"Tested by {tester}. " if tester else ""
    frame = Frame(A4, TitleBlock(title, subtitle, date, scale="", unit=""), has_ruler=False)
    name = f"{outcome.device.id}-press-report"
    whole = Report(title, tuple(blocks), f"{who}{date}")
    return print_report(whole, frame, name=name, table=csv_rows(steps))


def describe_result(outcome: Outcome) -> str:
    """The result in one sentence, and how much is left."""
    left = outcome.counts["open"] + outcome.counts["skipped"]
    wrong = len(outcome.faulty)
    if left == outcome.planned:
        return "Nothing was tested."
    words = "All that was tested is as described."
    if wrong:
        verb = "is" if wrong == 1 else "are"
        words = f"{count(wrong, 'step')} of {outcome.planned} {verb} not as described."
    return f"{words} {count(left, 'step')} not tested." if left else words


def describe_unjudged(box: FoundBox | None, device: Device | None = None) -> str:
    """That hats and axes beyond those described are not judged, without a full stop; empty without
    any."""
    if box is None:
        return ""
    controls = device.controls.values() if device else ()
    hats = sum(isinstance(control, Hat) and bool(control.fields) for control in controls)
    axes = len(
        {control.axis for control in controls if isinstance(control, Axis | Rotary)} - {None}
    )
    kinds = ((box.hats - hats, "hat", "hats"), (box.axes - axes, "axis", "axes"))
    parts = [count(number, noun, plural) for number, noun, plural in kinds if number > 0]
    if not parts:
        return ""
    return f"The box also has {join_words(parts)}: recorded, but not judged"


def _describe_diagnosis(outcome: Outcome) -> list[Block]:
    """What explains the readings, how surely, and the one measurement that would decide."""
    if outcome.diagnosis is None:
        return [Paragraph("Nothing was tested yet.")]
    lines = []
    for told in outcome.explanations:
        first, *rest = describe_explanation(outcome.model, told)
        lines += [f"{describe_share(told.confidence)}: {first}", *rest]
    left = outcome.counts["open"] + outcome.counts["skipped"]
    if left and outcome.diagnosis.is_sound:
        lines.append(f"So far: {count(left, 'step')} not tested yet.")
    found: list[Block] = [Paragraph("\n".join(lines), "What explains it best")]
    question = outcome.question
    if question is not None:
        answers = [
            f"- {answer.words}: {join_words(_name_sets(outcome.model, answer.faults), last='or')}"
            for answer in question.outcomes
        ]
        found.append(Paragraph("\n".join([f"{question.words}.", *answers]), "What would decide"))
    return found


def describe_share(share: float) -> str:
    """A confidence from 0 to 1 in words; never as certain as 0 or 100 %."""
    percent = round(100 * share)
    if percent >= 100:
        return "over 99 %"
    return f"{percent} %" if percent >= 1 else "under 1 %"


def describe_explanation(model: BoxModel, explanation: Explanation) -> tuple[str, ...]:
    """Sentences on an explanation: what is wrong and what to do.

    Where other faults read just the same, each is told, since the confidence is that of them all.
    """
    told = []
    for faults in (explanation.faults, *explanation.equivalents):
        words = describe_faults(model, faults)
        first = words.split(" ", 1)[0].partition(".")[0].rstrip(",")
        if first not in model.device.controls:  # an id keeps its small letter
            words = words[:1].upper() + words[1:]
        remedies = dict.fromkeys(f"{describe_remedy(model, fault)}." for fault in faults)
        told.append((f"{words}.", *remedies))
    leftover = describe_leftover(explanation)
    more = (f"{leftover}.",) if leftover else ()
    if len(told) == 1:
        return (*told[0], *more)
    lines = [f"- {' '.join(sentences)}" for sentences in told[:MOST_EQUIVALENT]]
    if len(told) > MOST_EQUIVALENT:
        lines.append(f"- or one of {len(told) - MOST_EQUIVALENT} more that read the same.")
    return ("One of these, which nothing in this recording tells apart:", *lines, *more)


def describe_leftover(explanation: Explanation) -> str:
    """Which steps an explanation does not predict, without a full stop; empty where it does all."""
    places = [key.partition(" ")[2] or key for key in explanation.unexplained]
    rest = len(places) - MOST_LEFTOVER
    shown = places if rest <= 0 else [*places[:MOST_LEFTOVER], f"{count(rest, 'step')} more"]
    return f"It leaves unexplained: {join_words(shown)}" if places else ""


def _name_sets(model: BoxModel, sets: Sequence[Sequence[Any]]) -> list[str]:
    return [describe_faults(model, faults) for faults in sets]


def _list_facts(outcome: Outcome) -> dict[str, Any]:
    """All of an outcome as plain types."""
    model, question = outcome.model, outcome.question
    return {
        "device": outcome.device.id,
        "box": asdict(outcome.box) if outcome.box else None,
        "changed": outcome.changed,
        "planned": outcome.planned,
        "counts": outcome.counts,
        "steps": [
            {
                "step": verdict.step.key,
                "contact": str(verdict.step.contact) if verdict.step.contact else None,
                "held": [str(contact) for contact in verdict.step.held],
                "verdict": verdict.kind,
                "expected": verdict.expected,
                "heard": verdict.heard,
                "words": verdict.words,
            }
            for verdict in outcome.verdicts
        ],
        "diagnosis": [
            {
                "confidence": round(told.confidence, 6),
                "words": describe_faults(model, told.faults),
                "faults": [
                    {
                        "kind": fault.kind,
                        "words": describe_fault(model, fault),
                        "remedy": describe_remedy(model, fault),
                    }
                    for fault in told.faults
                ],
                "reads_the_same": _name_sets(model, told.equivalents),
                "unexplained": told.unexplained,
            }
            for told in outcome.explanations
        ],
        "decide": question
        and {
            "words": question.words,
            "step": question.step.key if question.step else None,
            "outcomes": [
                {"words": answer.words, "leaves": _name_sets(model, answer.faults)}
                for answer in question.outcomes
            ],
        },
        "measurements": plain_report(Report("", tabulate(outcome.measurements))),
    }


def report_measurements(device: Device, measurements: Measurements) -> Report:
    """All measurements of a test in tables."""
    title = f"{device.name} ({device.id})"
    if not measurements:
        title = f"{title}: nothing was pressed or turned in this recording"
    return Report(title, (Facts({"device": device.id}), *tabulate(measurements)))


def tabulate(
    measurements: Measurements, turning: str = "", pressing: str = ""
) -> tuple[Table, Table]:
    """Tables of turns and of presses, under these titles."""
    turns = tuple(
        (
            str(measured.contact),
            measured.detents,
            measured.pulses,
            measured.per_detent,
            Cell("", data=measured.gaps),
            measured.fastest,
        )
        for measured in measurements.turns
    )
    presses = tuple(
        (
            str(measured.contact),
            Cell(str(len(measured.times)), data=measured.times),
            measured.median,
            Cell(str(len(measured.bounces)), data=measured.bounces),
            max(measured.bounces, default=None),
        )
        for measured in measurements.presses
    )
    return (
        Table(TURN_COLUMNS, turns, turning, key="turns"),
        Table(PRESS_COLUMNS, presses, pressing, key="presses"),
    )


def plot_measurements(measurements: Measurements, debounce: float) -> tuple[Drawing, ...]:
    """The plots worth drawing: bounces where there are any, press times, each turn."""
    plots = []
    gaps = [gap for measured in measurements.presses for gap in measured.bounces]
    if gaps:
        plots.append(draw_bounces(gaps, debounce))
    pressed = [measured for measured in measurements.presses if measured.times]
    times = [Named(str(measured.contact), measured.times) for measured in pressed]
    if times:
        plots.append(draw_press_times(times))
    for measured in measurements.turns:
        words = f"{measured.pulses} pulses for {measured.detents} detents"
        if measured.fastest is not None:
            words = f"{words}, fastest {measured.fastest:.0f} detents/s"
        plots.append(draw_turn(Named(str(measured.contact), measured.gaps), words))
    return tuple(plots)
