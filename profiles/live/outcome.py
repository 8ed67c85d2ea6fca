"""What one or several recordings of a press test come to: verdicts, diagnosis, what would decide.

- `Outcome`, `sum_up`: everything worth telling, for any screen or sheet
- `name_step`, `tell_explanation`, `tell_share`: the words that all of them share
- `plain_outcome`: the same as plain types, for machines
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

from profiles.facts.box_model import BoxModel
from profiles.live.diagnosis import Diagnosis, Explanation, FaultSet, diagnose
from profiles.live.events import Box
from profiles.live.evidence import Observation
from profiles.live.measurements import Measurements, summarise
from profiles.live.plan import Step
from profiles.live.question import Question, best_question
from profiles.live.session import Session
from profiles.live.verdict import VERDICT_KINDS, Verdict
from profiles.live.words import describe_fault, describe_faults, describe_remedy
from profiles.model import Device
from profiles.text.prose import count, join_words

LEAST_SHOWN = 0.01
"""Explanations believed less than this are not worth a line."""

MOST_SHOWN = 5
"""How many explanations are told at most."""

MOST_LEFTOVER = 4
"""How many steps that an explanation leaves over are named."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a test came to. `planned` is how many steps a whole one has.

    `diagnosis` is None where nothing was heard yet; `changed`: the device file is another than
    when the test was made; `box` is the one tested last, as the host saw it.
    """

    device: Device
    model: BoxModel
    planned: int
    observations: tuple[Observation, ...]
    verdicts: tuple[Verdict, ...]
    diagnosis: Diagnosis | None
    question: Question | None
    changed: bool = False
    box: Box | None = None

    @property
    def done(self) -> int:
        """Steps that were not left out."""
        return sum(verdict.kind != "skipped" for verdict in self.verdicts)

    @property
    def faulty(self) -> tuple[Verdict, ...]:
        """Verdicts on steps that went other than described."""
        return tuple(one for one in self.verdicts if one.kind not in ("right", "skipped"))

    @property
    def counts(self) -> dict[str, int]:
        """How many steps there are of each verdict, and `open` ones."""
        found = Counter(verdict.kind for verdict in self.verdicts)
        counts: dict[str, int] = {kind: found[kind] for kind in VERDICT_KINDS}
        return {**counts, "open": self.planned - len(self.verdicts)}

    @property
    def measurements(self) -> Measurements:
        """Bounce, press times, turns."""
        return summarise(self.observations)

    @property
    def explanations(self) -> tuple[Explanation, ...]:
        """Those worth telling, the best first."""
        if self.diagnosis is None:
            return ()
        first, *rest = self.diagnosis.explanations
        others = [one for one in rest if one.confidence >= LEAST_SHOWN]
        return (first, *others[: MOST_SHOWN - 1])


def sum_up(sessions: Sequence[Session]) -> Outcome:
    """Sum up tests of one device; where a step was done in several, the last one counts."""
    steps: dict[str, Step] = {}
    observations: dict[str, Observation] = {}
    verdicts: dict[str, Verdict] = {}
    for session in sessions:
        steps |= {step.key: step for step in session.steps}
        for one, verdict in zip(session.observations, session.verdicts(), strict=True):
            if not one.skipped or one.step.key not in observations:
                observations[one.step.key], verdicts[one.step.key] = one, verdict
    last = sessions[-1]
    seen = tuple(observations[key] for key in steps if key in observations)
    is_heard = any(not one.skipped for one in seen)
    diagnosis = diagnose(last.model, seen) if is_heard else None
    return Outcome(
        device=last.device,
        model=last.model,
        planned=len(steps),
        observations=seen,
        verdicts=tuple(verdicts[key] for key in steps if key in verdicts),
        diagnosis=diagnosis,
        question=best_question(last.model, diagnosis) if diagnosis else None,
        changed=any(session.changed for session in sessions),
        box=next((one.box for one in reversed(sessions) if one.box is not None), None),
    )


def name_step(step: Step) -> str:
    """A step by its contacts: `horn.press`, `horn + bell.press`, `at rest`."""
    if step.contact is None:
        return "at rest"
    return " + ".join([*(one.control for one in step.held), str(step.contact)])


def describe_share(share: float) -> str:
    """A confidence from 0 to 1 in words; never as certain as 0 or 100 %."""
    percent = round(100 * share)
    if percent >= 100:
        return "over 99 %"
    return f"{percent} %" if percent >= 1 else "under 1 %"


def describe_explanation(model: BoxModel, one: Explanation) -> tuple[str, ...]:
    """Sentences on an explanation: what is wrong and what to do.

    Where other faults read just the same, each is told, since the confidence is that of them all.
    """
    told = [_describe_set(model, faults) for faults in (one.faults, *one.equivalents)]
    leftover = describe_leftover(one)
    more = (f"{leftover}.",) if leftover else ()
    if len(told) == 1:
        return (*told[0], *more)
    lines = [f"- {' '.join(sentences)}" for sentences in told]
    return ("One of these, which nothing in this recording tells apart:", *lines, *more)


def describe_leftover(one: Explanation) -> str:
    """Which steps an explanation does not predict, without a full stop; empty where it does all."""
    places = [key.partition(" ")[2] or key for key in one.unexplained]
    rest = len(places) - MOST_LEFTOVER
    shown = places if rest <= 0 else [*places[:MOST_LEFTOVER], f"{count(rest, 'step')} more"]
    return f"It leaves unexplained: {join_words(shown)}" if places else ""


def describe_unjudged(box: Box | None) -> str:
    """That hats and axes of the box are not judged, without a full stop; empty without any."""
    if box is None or not (box.hats or box.axes):
        return ""
    kinds = ((box.hats, "hat", "hats"), (box.axes, "axis", "axes"))
    parts = [count(number, one, many) for number, one, many in kinds if number]
    return f"The box also has {join_words(parts)}: recorded, but not judged"


def _describe_set(model: BoxModel, faults: FaultSet) -> tuple[str, ...]:
    words = f"{_sentence(model, describe_faults(model, faults))}."
    remedies = (f"{describe_remedy(model, fault)}." for fault in faults)
    return (words, *dict.fromkeys(remedies))


def _sentence(model: BoxModel, words: str) -> str:
    """Words with a capital, save where they begin with a control's id."""
    first = words.split(" ", 1)[0].partition(".")[0].rstrip(",")
    return words if first in model.device.controls else words[:1].upper() + words[1:]


def describe_outcomes(outcome: Outcome, question: Question) -> tuple[str, ...]:
    """For each outcome of the deciding measurement what it would leave."""
    return tuple(
        f"{answer.words}: {join_words(_told_sets(outcome, answer.faults), last='or')}"
        for answer in question.outcomes
    )


def _told_sets(outcome: Outcome, sets: Sequence[FaultSet]) -> list[str]:
    return [describe_faults(outcome.model, faults) for faults in sets]


def plain_outcome(outcome: Outcome) -> dict[str, Any]:
    """An outcome as plain types, for JSON."""
    return {
        "device": outcome.device.id,
        "box": asdict(outcome.box) if outcome.box else None,
        "changed": outcome.changed,
        "planned": outcome.planned,
        "counts": outcome.counts,
        "steps": [_plain_verdict(verdict) for verdict in outcome.verdicts],
        "diagnosis": [_plain_explanation(outcome, one) for one in outcome.explanations],
        "decide": _plain_question(outcome),
        "measurements": plain_measurements(outcome.measurements),
    }


def _plain_verdict(verdict: Verdict) -> dict[str, Any]:
    return {
        "step": verdict.step.key,
        "contact": str(verdict.step.contact) if verdict.step.contact else None,
        "held": [str(one) for one in verdict.step.held],
        "verdict": verdict.kind,
        "expected": list(verdict.expected),
        "heard": list(verdict.heard),
        "words": verdict.words,
    }


def _plain_explanation(outcome: Outcome, one: Explanation) -> dict[str, Any]:
    model = outcome.model
    return {
        "confidence": round(one.confidence, 6),
        "words": describe_faults(model, one.faults),
        "faults": [
            {
                "kind": fault.kind,
                "words": describe_fault(model, fault),
                "remedy": describe_remedy(model, fault),
            }
            for fault in one.faults
        ],
        "reads_the_same": [describe_faults(model, faults) for faults in one.equivalents],
        "unexplained": list(one.unexplained),
    }


def _plain_question(outcome: Outcome) -> dict[str, Any] | None:
    question = outcome.question
    if question is None:
        return None
    return {
        "words": question.words,
        "step": question.step.key if question.step else None,
        "outcomes": [
            {"words": answer.words, "leaves": _told_sets(outcome, answer.faults)}
            for answer in question.outcomes
        ],
    }


def plain_measurements(measurements: Measurements) -> dict[str, Any]:
    """Measurements as plain types; times in ms, speeds in detents/s."""
    return {
        "presses": [
            {
                "contact": str(one.contact),
                "times": list(one.times),
                "median": one.median,
                "bounces": list(one.bounces),
            }
            for one in measurements.presses
        ],
        "turns": [
            {
                "contact": str(one.contact),
                "detents": one.detents,
                "pulses": one.pulses,
                "per_detent": one.per_detent,
                "gaps": list(one.gaps),
                "fastest": one.fastest,
            }
            for one in measurements.turns
        ],
    }
