"""From the outcome of a press test to the plain values of its printed report and plots."""

from profiles.drawing.recorder import Drawing
from profiles.live.diagnosis import Explanation
from profiles.live.measurements import Measurements, PressMeasurements, TurnMeasurements
from profiles.live.outcome import (
    Outcome,
    describe_leftover,
    describe_outcomes,
    describe_share,
    describe_unjudged,
    name_step,
)
from profiles.live.verdict import Verdict
from profiles.live.words import ask_step, describe_faults, describe_remedy
from profiles.model import Device
from profiles.report.document import Cell, Column, Facts, Report, Table, Value
from profiles.sheets.press_plots import Named, draw_bounces, draw_press_times, draw_turn
from profiles.sheets.press_report import PressReport, ReportCause, ReportQuestion, ReportRow

LIMITS = (
    "Times are as the host heard them: what is shorter than its polling interval, or hidden by the "
    "box's own debounce, does not show."
)

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

CHANGED = "The device file has changed since this test was made."


def report_outcome(outcome: Outcome, *, date: str = "", tester: str = "") -> PressReport:
    """The report of an outcome; `date` and `tester` stand on it as given."""
    measurements = outcome.measurements
    return PressReport(
        device=outcome.device.id,
        name=outcome.device.name,
        date=date,
        tester=tester,
        planned=outcome.planned,
        counts=outcome.counts,
        rows=tuple(_row(outcome, verdict) for verdict in outcome.verdicts),
        causes=_causes(outcome),
        question=_question(outcome),
        presses=tuple(map(describe_press, measurements.presses)),
        turns=tuple(map(describe_turn, measurements.turns)),
        notes=(_describe_box(outcome), *([CHANGED] if outcome.changed else [])),
    )


def _describe_box(outcome: Outcome) -> str:
    """Which box this is: the device file's id, and what the host saw."""
    words = [f"Device file: {outcome.device.id}"]
    box = outcome.box
    if box is not None:
        words.append(f"box: {box.name}, USB {box.vendor}:{box.product}")
        words += [f"serial number {box.serial}"] if box.serial else []
    return ". ".join(filter(None, (", ".join(words), describe_unjudged(box)))) + "."


def _row(outcome: Outcome, verdict: Verdict) -> ReportRow:
    return ReportRow(
        name_step(verdict.step),
        ask_step(outcome.model, verdict.step),
        verdict.kind,
        verdict.words,
        is_right=verdict.kind in ("right", "skipped"),
    )


def _causes(outcome: Outcome) -> tuple[ReportCause, ...]:
    model = outcome.model
    return tuple(
        ReportCause(
            describe_share(one.confidence),
            "; ".join(filter(None, (describe_faults(model, one.faults), _describe_leftover(one)))),
            tuple(f"{describe_remedy(model, fault)}." for fault in one.faults),
            tuple(describe_faults(model, faults) for faults in one.equivalents),
        )
        for one in outcome.explanations
    )


def _describe_leftover(one: Explanation) -> str:
    words = describe_leftover(one)
    return words[:1].lower() + words[1:]


def _question(outcome: Outcome) -> ReportQuestion | None:
    if outcome.question is None:
        return None
    return ReportQuestion(outcome.question.words, describe_outcomes(outcome, outcome.question))


def describe_press(one: PressMeasurements) -> tuple[str, ...]:
    """Contact, presses, median, bounces, longest gap; for tables."""
    longest = f"{max(one.bounces):.1f} ms" if one.bounces else ""
    median = "" if one.median is None else f"{one.median:.0f} ms"
    return (str(one.contact), str(len(one.times)), median, str(len(one.bounces)), longest)


def describe_turn(one: TurnMeasurements) -> tuple[str, ...]:
    """Rotary and direction, detents, pulses, pulses per detent, fastest turn; for tables."""
    fastest = "" if one.fastest is None else f"{one.fastest:.0f} detents/s"
    detents, pulses = str(one.detents), str(one.pulses)
    return (str(one.contact), detents, pulses, f"{one.per_detent:.2f}", fastest)


def report_measurements(device: Device, measurements: Measurements) -> Report:
    """All measurements of a test in tables."""
    title = f"{device.name} ({device.id})"
    facts = {"device": device.id, "presses": [], "turns": []}
    if not measurements:
        title = f"{title}: nothing was pressed or turned in this recording"
    return Report(title, (Facts(facts), *tabulate(measurements)))


def tabulate(measurements: Measurements) -> tuple[Table, ...]:
    """Tables of turns and of presses, none without rows."""
    turns: tuple[tuple[Value, ...], ...] = tuple(
        (
            str(one.contact),
            one.detents,
            one.pulses,
            one.per_detent,
            Cell("", data=one.gaps),
            one.fastest,
        )
        for one in measurements.turns
    )
    presses = tuple(
        (
            str(one.contact),
            Cell(str(len(one.times)), data=one.times),
            one.median,
            Cell(str(len(one.bounces)), data=one.bounces),
            max(one.bounces, default=None),
        )
        for one in measurements.presses
    )
    tables = (
        Table(TURN_COLUMNS, turns, key="turns"),
        Table(PRESS_COLUMNS, presses, key="presses"),
    )
    return tuple(table for table in tables if table.rows)


def plot_measurements(measurements: Measurements, debounce: float) -> tuple[Drawing, ...]:
    """The plots worth drawing: bounces where there are any, press times, each turn."""
    plots = []
    gaps = [gap for one in measurements.presses for gap in one.bounces]
    if gaps:
        plots.append(draw_bounces(gaps, debounce))
    times = [Named(str(one.contact), one.times) for one in measurements.presses if one.times]
    if times:
        plots.append(draw_press_times(times))
    plots += [
        draw_turn(Named(str(one.contact), one.gaps), _sum_up(one)) for one in measurements.turns
    ]
    return tuple(plots)


def _sum_up(one: TurnMeasurements) -> str:
    words = f"{one.pulses} pulses for {one.detents} detents"
    if one.fastest is None:
        return words
    return f"{words}, fastest {one.fastest:.0f} detents/s"
