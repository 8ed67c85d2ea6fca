"""A hand that lost step: what was heard, laid again beside the steps that it fits.

A hand that works in a rhythm of its own goes on where a contact stays silent, while the test still
waits for it: from there on each sound is heard one step too early. `realign` finds the order in
which most sounds are those of a step, as the box is described, none before another it came after
(longest common subsequence); steps left over were silent.

`find_lead` notices the same while the test goes on, by the last sounds alone.
"""

from collections.abc import Sequence
from dataclasses import replace

from profiles.facts.box_model import BoxModel
from profiles.live.evidence import Observation
from profiles.live.forward import described
from profiles.live.plan import Step

TELLING = 3
"""So many sounds in a row that fit steps further on tell that a hand is ahead."""

LEAST_GAINED = 4
"""So many sounds more must fit their steps for it to be worth a thought."""

Sound = tuple[frozenset[int], frozenset[int]]
"""Inputs that went down, and those that went up and stayed so."""


def realign(model: BoxModel, observations: Sequence[Observation]) -> list[Observation] | None:
    """The observations as of a hand that lost step; None if too little speaks for that."""
    first: dict[str, Observation] = {}
    for one in observations:
        if one.step.contact is not None and one.step.gesture != "together":
            first.setdefault(one.step.key, one)
    asked = list(first.values())
    wanted = [_expect(model, one.step) for one in asked]
    sounds = [one for one in asked if any(_hear(one))]
    fitting = sum(_hear(one) == sound for one, sound in zip(asked, wanted, strict=True))
    pairs = _match([_hear(one) for one in sounds], wanted)
    if len(pairs) < fitting + LEAST_GAINED:
        return None
    found = {asked[at].step.key: replace(sounds[sound], step=asked[at].step) for sound, at in pairs}
    laid = []
    for one in observations:
        key = one.step.key
        if first.get(key) is not one:
            laid.append(one)
        elif key in found:
            laid.append(found[key])
        else:
            laid.append(keep_silent(model, one.step))
    return laid


def keep_silent(model: BoxModel, step: Step) -> Observation:
    """A step as it is observed if nobody does it."""
    simulator = described(model)
    still = simulator.name(simulator.read(model.mask(step.frames[0])))
    return Observation(step, still, (), still if step.stays else frozenset())


def find_lead(model: BoxModel, steps: Sequence[Step], heard: Sequence[Observation]) -> int:
    """By how many steps a hand is ahead of the plan, 0 if it is not.

    `heard` are the last observations and `steps` those that they are of, and the ones after them.
    Each was no sound of its own step, and all are those of steps as much further on.
    """
    if len(heard) < TELLING or any(not any(_hear(one)) for one in heard):
        return 0
    wanted = [_expect(model, step) for step in steps]
    for lead in range(1, len(steps) - len(heard) + 1):
        if all(
            _hear(one) == wanted[at + lead] and _hear(one) != wanted[at]
            for at, one in enumerate(heard)
        ):
            return lead
    return 0


def _hear(observed: Observation) -> Sound:
    down = frozenset(press.number for press in observed.presses) - observed.already
    return down, observed.already - observed.ended if observed.step.stays else frozenset()


def _expect(model: BoxModel, step: Step) -> Sound:
    simulator = described(model)
    frames = tuple(map(model.mask, step.frames))
    before, seen = simulator.name(simulator.read(frames[0])), simulator.hear(step, frames).seen
    return seen - before, before - seen if step.stays else frozenset()


def _match(sounds: Sequence[Sound], wanted: Sequence[Sound]) -> list[tuple[int, int]]:
    """Places of sounds and of what was wanted that are equal, as many in order as can be."""
    most = [[0] * (len(wanted) + 1) for _ in range(len(sounds) + 1)]
    for a in reversed(range(len(sounds))):
        for b in reversed(range(len(wanted))):
            if sounds[a] == wanted[b]:
                most[a][b] = most[a + 1][b + 1] + 1
            else:
                most[a][b] = max(most[a + 1][b], most[a][b + 1])
    pairs, a, b = [], 0, 0
    while a < len(sounds) and b < len(wanted):
        if sounds[a] == wanted[b]:
            pairs.append((a, b))
            a, b = a + 1, b + 1
        elif most[a + 1][b] >= most[a][b + 1]:
            a += 1
        else:
            b += 1
    return pairs
