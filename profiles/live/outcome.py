"""What recordings of a press test come to: verdicts, diagnosis, and what would decide."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from profiles.facts.box_model import BoxModel
from profiles.live.diagnosis import Diagnosis, Explanation, diagnose
from profiles.live.events import FoundBox
from profiles.live.evidence import Observation
from profiles.live.measurements import Measurements, summarise
from profiles.live.plan import Step
from profiles.live.question import Question, best_question
from profiles.live.session import Session
from profiles.live.verdict import VERDICT_KINDS, Verdict
from profiles.model import Device

LEAST_SHOWN = 0.01
"""Explanations believed less than this are not worth a line."""

MOST_SHOWN = 5
"""How many explanations are told at most."""


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
    box: FoundBox | None = None

    @property
    def done(self) -> int:
        """How many steps were not skipped."""
        return sum(verdict.kind != "skipped" for verdict in self.verdicts)

    @property
    def faulty(self) -> tuple[Verdict, ...]:
        """Verdicts on steps that went other than described."""
        return tuple(
            verdict for verdict in self.verdicts if verdict.kind not in ("right", "skipped")
        )

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
        others = [told for told in rest if told.confidence >= LEAST_SHOWN]
        return (first, *others[: MOST_SHOWN - 1])


def sum_up(sessions: Sequence[Session]) -> Outcome:
    """Sum up tests of one device; where a step was done in several, the last test counts."""
    steps: dict[str, Step] = {}
    observations: dict[str, Observation] = {}
    verdicts: dict[str, Verdict] = {}
    tries: list[Observation] = []
    for session in sessions:
        fresh = {one.step.key for one in session.tries if not one.skipped}
        tries = [one for one in tries if one.step.key not in fresh] + list(session.tries)
        steps |= {step.key: step for step in session.steps}
        for observed, verdict in zip(session.observations, session.verdicts(), strict=True):
            if not observed.skipped or observed.step.key not in observations:
                observations[observed.step.key], verdicts[observed.step.key] = observed, verdict
    last = sessions[-1]
    seen = tuple(observations[key] for key in steps if key in observations)
    is_heard = any(not observed.skipped for observed in seen)
    diagnosis = diagnose(last.model, tries) if is_heard else None
    return Outcome(
        device=last.device,
        model=last.model,
        planned=len(steps),
        observations=seen,
        verdicts=tuple(verdicts[key] for key in steps if key in verdicts),
        diagnosis=diagnosis,
        question=best_question(last.model, diagnosis) if diagnosis else None,
        changed=any(session.changed for session in sessions),
        box=next((session.box for session in reversed(sessions) if session.box is not None), None),
    )
