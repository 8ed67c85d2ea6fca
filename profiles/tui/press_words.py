"""The Press view in words and signs: what is asked, what was heard, what it comes to.

A step's verdict is told by a sign and a word, never by colour alone: see `SIGNS`.
"""

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from profiles.drawing.poster import render_poster
from profiles.live.outcome import (
    Outcome,
    describe_explanation,
    describe_outcomes,
    describe_share,
    describe_unjudged,
    name_step,
)
from profiles.live.prompt import describe_heard, describe_labels
from profiles.live.session import Session
from profiles.live.showing import describe_application, describe_touched
from profiles.live.verdict import VERDICT_KINDS, Verdict, VerdictKind
from profiles.live.words import ask_step
from profiles.sheets.press_report import AFTER_FIXING, BOX_UNPLUGGED
from profiles.text.prose import count
from profiles.tui.facts import BRACKETS, State
from profiles.tui.press_state import Trial, Viewing

SIGNS: Mapping[VerdictKind, tuple[str, State]] = {
    "wrong": ("x", "conflict"),
    "missing": ("-", "conflict"),
    "extra": ("+", "conflict"),
    "bouncing": ("~", "part"),
    "skipped": ("/", "unbound"),
    "right": ("o", "bound"),
}
"""The sign of each verdict and whose colour it has, the gravest first."""

SIGNS_TOLD = "o right  x wrong  - missing  + extra  ~ bouncing  / skipped  . not yet  ? now"

NO_BOX = "No box of this profile is plugged in; plug it in to see what its controls do."
PRESS_ONE = "Press a control to see what it does."
KEYS_TOLD = "Enter that was all   s skip   b back   a again   x stop, resume later"


@dataclass(frozen=True, slots=True)
class Mark:
    """What stands at a control during a test."""

    badge: str
    state: State
    legend: str


def mark_controls(session: Session, *, is_asking: bool) -> dict[str, Mark]:
    """Every control with the gravest verdict on its contacts, `?` where it is asked for now.

    Steps that hold several at once stand in the list alone: one fault spoils many of them.
    """
    kinds: dict[str, set[VerdictKind]] = {}
    for verdict in session.verdicts():
        if verdict.step.contact is not None and not verdict.step.held:
            kinds.setdefault(verdict.step.contact.control, set()).add(verdict.kind)
    found = {}
    asked = _asked_now(session) if is_asking else set()
    still = _open_controls(session)
    for key, control in session.device.controls.items():
        sign, state = _sign(kinds.get(key, set()), is_open=key in still)
        left, right = BRACKETS[control.kind]
        sign = "?" if key in asked else sign
        found[key] = Mark(f"{left}{sign}{right}", state, control.label or key)
    return found


def _asked_now(session: Session) -> set[str]:
    step = session.step
    return {one.control for one in (*step.held, step.contact) if one} if step else set()


def _open_controls(session: Session) -> set[str]:
    """Controls with a step that was not done."""
    done = {one.step.key for one in session.observations}
    return {
        one.contact.control
        for one in session.steps
        if one.contact and not one.held and one.key not in done
    }


def _sign(kinds: set[VerdictKind], *, is_open: bool) -> tuple[str, State]:
    """The gravest verdict; right only once every step is done."""
    worst = next((kind for kind in SIGNS if kind in kinds), None)
    if worst is None or (worst in ("skipped", "right") and is_open):
        return ".", "unbound"
    return SIGNS[worst]


def describe_asked(trial: Trial) -> list[str]:
    """What is asked now, or what stands in the way; the keys that answer."""
    session, lines = trial.session, []
    if trial.trouble is not None:
        lines.append(f"{trial.trouble.message}. {trial.trouble.remedy}.")
    if not trial.is_asking:
        return lines
    step = session.step
    at = f"[{session.position + 1}/{len(session.steps)}]"
    if session.phase == "unplugged":
        words = "The box is unplugged. Plug it in again: this step is asked once more."
        lines.append(f"{at} {words}")
    elif step is not None:
        asked = f"{ask_step(session.model, step)}{describe_labels(session.device, step)}"
        lines.append(f"{at} {asked}   {describe_heard(session)}".rstrip())
    return [*lines, KEYS_TOLD]


def describe_counts(session: Session) -> str:
    """How many steps there are of each verdict."""
    verdicts = session.verdicts()
    found = Counter(one.kind for one in verdicts)
    words = [f"{found[kind]} {kind}" for kind in VERDICT_KINDS if found[kind]]
    rest = len(session.steps) - len(verdicts)
    return ", ".join([*words, *([f"{rest} not yet"] if rest else [])])


def describe_verdict(verdict: Verdict) -> str:
    """A verdict on one line."""
    sign, _ = SIGNS[verdict.kind]
    return f"{sign} {verdict.kind} {name_step(verdict.step)}: {verdict.words}"


def describe_outcome(outcome: Outcome) -> list[str]:
    """What explains the recording, how surely, and the one measurement that would decide."""
    device = outcome.device
    counts = ", ".join(f"{number} {kind}" for kind, number in outcome.counts.items() if number)
    lines = [
        f"{device.name} ({device.id}): {outcome.done} of {count(outcome.planned, 'step')} done",
        counts,
    ]
    if outcome.changed:
        lines.append("The device file has changed since this test was made.")
    unjudged = describe_unjudged(outcome.box)
    if unjudged:
        lines.append(f"{unjudged}.")
    if outcome.diagnosis is None:
        return [*lines, "", "Nothing was tested yet, so there is nothing to tell."]
    lines += ["", "What explains it best", *_describe_causes(outcome), *_describe_question(outcome)]
    if not outcome.diagnosis.is_sound:
        lines += ["", AFTER_FIXING, BOX_UNPLUGGED]
    return lines


def _describe_causes(outcome: Outcome) -> Iterator[str]:
    for one in outcome.explanations:
        first, *rest = describe_explanation(outcome.model, one)
        yield f"{describe_share(one.confidence)}: {first}"
        yield from rest


def _describe_question(outcome: Outcome) -> Iterator[str]:
    if outcome.question is None:
        return
    yield ""
    yield f"What would decide: {outcome.question.words}."
    yield from (f"- {words}" for words in describe_outcomes(outcome, outcome.question))


def describe_viewing(viewing: Viewing, columns: int, rows: int) -> list[str]:
    """What the control does that was touched last, large where there is room for it."""
    title = describe_application(viewing.link)
    waits = [] if viewing.boxes else [NO_BOX]
    if viewing.touched is None:
        return [f"{title}: {' '.join(waits or [PRESS_ONE])}   x ends it."]
    words, lines = describe_touched(viewing.link, viewing.touched)
    poster = render_poster(words, min(columns, 120) - 1, min(max(rows // 3, 4), 16))
    return [*(poster or [words]), *lines, *waits, f"{title}   x ends it."]
