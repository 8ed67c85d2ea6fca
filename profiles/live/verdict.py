"""What a step of the press test showed: right, wrong, extra, missing, bouncing, skipped."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal, get_args

from profiles.facts.signals import LAST_BUTTON
from profiles.host.axes import name_input
from profiles.live.evidence import Observation
from profiles.live.forward import Heard
from profiles.live.plan import Step
from profiles.text.prose import join_words

VerdictKind = Literal["right", "wrong", "extra", "missing", "bouncing", "skipped"]
VERDICT_KINDS: tuple[VerdictKind, ...] = get_args(VerdictKind)


@dataclass(frozen=True, slots=True)
class Verdict:
    """One step judged. `words` say it without the contact's name; inputs are numbers."""

    step: Step
    kind: VerdictKind
    expected: tuple[int, ...]
    heard: tuple[int, ...]
    words: str


def judge(observed: Observation, told: Heard, holes: frozenset[int]) -> Verdict:
    """Hold what was heard against what the box as described reports.

    Inputs that are down before and after, as they should, count for neither. A toggle also answers
    for inputs not its own that pulsed meanwhile; a selector does not: its positions do so.
    """
    standing = (
        observed.already & observed.ended & told.seen if observed.step.contact else frozenset()
    )
    seen = observed.seen
    if observed.step.gesture in ("put-on", "put-off", "put"):
        seen |= observed.passing - told.seen
    expected, heard = told.seen - holes - standing, seen - holes - standing
    kind, words = _compare(observed, told, expected, heard)
    return Verdict(observed.step, kind, tuple(sorted(expected)), tuple(sorted(heard)), words)


def _compare(
    observed: Observation, told: Heard, expected: frozenset[int], heard: frozenset[int]
) -> tuple[VerdictKind, str]:
    missing, extra = expected - heard, heard - expected
    if observed.skipped:
        return "skipped", "not tested"
    if missing and extra:
        return "wrong", f"heard {name_inputs(extra)} instead of {name_inputs(missing)}"
    if missing & observed.passing:
        return (
            "missing",
            f"heard {name_inputs(missing & observed.passing)}, which did not stay down",
        )
    if missing:  # the board may report the contact as a hat or an axis
        moved = f"; but {join_words(observed.moved)} moved" if observed.moved else ""
        return "missing", f"did not hear {name_inputs(missing)}{moved}"
    if extra:
        return "extra", f"heard {name_inputs(extra)} too"
    if observed.step.gesture == "turn":
        return _compare_counts(observed, told)
    if observed.bounces:
        longest = max(gap for _, gap in observed.bounces)
        numbers = {number for number, _ in observed.bounces}
        return "bouncing", f"{name_inputs(numbers)} bounced, with gaps of up to {longest:.0f} ms"
    return (
        "right",
        f"heard {name_inputs(expected)}" if expected else "heard nothing, as it should be",
    )


def _compare_counts(observed: Observation, told: Heard) -> tuple[VerdictKind, str]:
    """Turns: too few pulses, too many, or just right."""
    for number, times in told.counts:
        got = observed.counts.get(number, 0)
        words = f"heard input {number} {got} times for {observed.step.detents} detents"
        if got != times:
            return ("missing" if got < times else "extra"), words
    return "right", f"heard every one of {observed.step.detents} detents"


def name_inputs(numbers: Iterable[int]) -> str:
    """Inputs in words: `input 5`, `inputs 3 and 8 and hat 1 up`."""
    buttons = [str(number) for number in sorted(numbers) if number <= LAST_BUTTON]
    words = [f"input{'s' if len(buttons) > 1 else ''} {join_words(buttons)}"] if buttons else []
    return join_words([*words, *(name_input(one) for one in sorted(numbers) if one > LAST_BUTTON)])
