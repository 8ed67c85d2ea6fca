"""What a test asks once every step was done: what failed, again, and then what decides.

What seems not to have been put back is asked for again before anything else: nobody is told that a
contact is closed all the time because a hand left it so. A step that no explanation accounts for
is done again, and so are a few odd steps that one fault accounts for: a hand may have slipped.
After that the step is asked that tells most between the explanations left; none that was asked
often enough already. Nothing is asked of a box that is as described in every step.
"""

from collections import Counter
from collections.abc import Iterator, Sequence

from profiles.facts.box_model import BoxModel
from profiles.facts.device import DeviceFacts
from profiles.live.diagnosis import UNNAMED, FaultSet, diagnose, find_unexplained
from profiles.live.evidence import Evidence, Observation, gather
from profiles.live.plan import Step, hold, plan_test
from profiles.live.question import best_step
from profiles.model import Contact

MOST_FOLLOWING = 8
"""Steps that follow a plan at most."""

MOST_TIMES = 3
"""How often one step is asked at most."""

FEW = 3
"""So many odd steps may be the hand's alone, however well a fault explains them."""

SURE = 0.97
"""An explanation believed so much, with none beside it that a step could tell apart, is enough."""


def recall_step(model: BoxModel, steps: Sequence[Step], key: str) -> Step | None:
    """The step of this key: one that was asked, one of a full test, or contacts held together."""
    known = {step.key: step for step in (*plan_test(model.device, "full"), *steps)}
    if key in known:
        return known[key]
    words = key.removeprefix("together ").split(" + ")
    members = [Contact(*word.partition(".")[::2]) for word in words]
    if not key.startswith("together ") or not all(one in model.index for one in members):
        return None
    return hold(DeviceFacts(model.device).rest, members)


def find_next(model: BoxModel, tries: Sequence[Observation]) -> Step | None:
    """The step to ask next; None where all is said."""
    if all(one.skipped for one in tries):
        return None
    found = diagnose(model, tries)
    if not found.odd and len(found.explanations) == 1:
        return None
    times = Counter(one.step.key for one in tries if not one.skipped)
    best = found.explanations[0]
    by_key = {one.step.key: one.step for one in tries}
    evidence = gather(model, tries)
    doubtful = [*_find_left(evidence), *best.unexplained, *_find_few(evidence, best.faults)]
    doubtful += found.odd if len(found.odd) <= FEW else ()
    again = [key for key in doubtful if times[key] == 1]
    if again:
        return by_key[again[0]]
    if UNNAMED in best.faults or (best.confidence >= SURE and not best.equivalents):
        return None
    tired = {key for key, number in times.items() if number >= MOST_TIMES}
    return best_step(model, found, tired)


def _find_left(evidence: Evidence) -> tuple[str, ...]:
    """Keys of the steps back to rest in which the control may have stayed as it was."""
    rest = DeviceFacts(evidence.model.device).rest
    return tuple(
        reading.step.key
        for reading in evidence.readings
        if reading.step.frames[-1] == rest and reading.otherwise and reading.otherwise[1]
    )


def _find_few(evidence: Evidence, faults: FaultSet) -> Iterator[str]:
    """Keys of the steps for whose sake alone a fault stands beside others, if they are few."""
    whole = {*find_unexplained(evidence, faults)}
    for fault in faults:
        others = tuple(one for one in faults if one != fault)
        alone = [key for key in find_unexplained(evidence, others) if key not in whole]
        if len(alone) <= FEW:
            yield from alone
