"""What a press test heard, step by step, and how well a prediction fits it.

- `Observation`: the inputs of one step, with their times; `Reading` is what matters of it
- `cost_of`, `measure`: the cost of a prediction against a reading, in nats (minus log likelihood);
  `allow` is what of it does not speak against the prediction
- `Evidence`: all readings of a recording with their frames as masks, for one model

The costs say how seldom a reading goes wrong by itself: an input missed or extra about once in
8,000 steps (nothing counts as silence until the person says so), the wrong control pressed hardly
more often, a detent miscounted by one once in 20 turns, a contact that bounces seen to do so half
of the time. A step that was done again with another result was done wrong by a hand once, which is
hardly rarer than once in 100 steps; with the same result it counts as often as it was done. A
control that was not put back as asked stays on until it goes off: the steps in between are
read both ways. Rule of thumb.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from math import log

from profiles.facts.box_model import BoxModel
from profiles.live.build import number_box
from profiles.live.forward import Heard, Simulator, described
from profiles.live.plan import Step

MISMATCH = 9.0
"""Cost of one input missed or extra."""

INSTEAD = 7.0
"""Cost of one input in place of another: a hand on the wrong control. A contact with a leg on that
line costs as much, so that only doing it again decides."""

WORST = 27.0
"""Cost beyond which one step does not count, so that no single step decides alone."""

MISCOUNT = 3.0
"""Cost of a turn heard one detent short or long."""

SLIP = 4.6
"""Cost of a step that a hand did otherwise than asked, where something else says that it did."""

UNSTEADY = 3.0
"""Cost of a control that is heard for a moment only, where it was to stay, or the reverse."""

QUIET_BOUNCE = 0.7
"""Cost of a contact that bounces but was not heard to."""

BOUNCE_GAP = 60.0
"""An input that goes down again within so many ms of going up was not pressed twice by a hand."""


@dataclass(frozen=True, slots=True)
class Press:
    """An input going down, and up again (`end` None while it is down), in ms."""

    number: int
    start: float
    end: float | None = None


@dataclass(frozen=True, slots=True)
class Observation:
    """What was heard during one step.

    `already` are the inputs down when it began, `ended` those down at its end. A skipped step was
    not observed at all. `moved` names hats and axes that moved; they are told, not judged.
    """

    step: Step
    already: frozenset[int] = frozenset()
    presses: tuple[Press, ...] = ()
    ended: frozenset[int] = frozenset()
    skipped: bool = False
    moved: tuple[str, ...] = ()

    @property
    def seen(self) -> frozenset[int]:
        """Inputs that went down during the step or are down at its end.

        Of a control that stays as put and reports its state, only those down at the end.
        """
        if self.step.stays:
            return self.ended
        return frozenset(press.number for press in self.presses) | self.ended

    @property
    def passing(self) -> frozenset[int]:
        """Inputs that went down during a step whose control stays as put, and up again."""
        if not self.step.stays:
            return frozenset()
        return frozenset(press.number for press in self.presses) - self.already - self.ended

    @property
    def returned(self) -> frozenset[int]:
        """Inputs that were down before and after a press, but up meanwhile."""
        if self.step.gesture not in ("press", "together"):
            return frozenset()
        return frozenset(press.number for press in self.presses) & self.already & self.ended

    @property
    def counts(self) -> Mapping[int, int]:
        """How often each input went down."""
        return Counter(press.number for press in self.presses)

    @property
    def bounces(self) -> tuple[tuple[int, float], ...]:
        """(input, ms from going up to going down again) wherever no hand is that quick."""
        if self.step.gesture == "turn":
            return ()
        found = []
        last: dict[int, float | None] = {}
        for press in self.presses:
            before = last.get(press.number)
            if before is not None and press.start - before < BOUNCE_GAP:
                found.append((press.number, press.start - before))
            last[press.number] = press.end
        return tuple(found)


@dataclass(frozen=True, slots=True)
class Reading:
    """One step as evidence; `frames` are masks of the model's contacts.

    `before` masks the contacts that were pressed an odd number of times before. `passing` are
    inputs heard for a moment only while a control was put somewhere, or silent
    for a moment only while one was pressed. `otherwise` are the frames if
    the hand left something as it was, at a cost. `doubted`: it was done again with another result.
    """

    step: Step
    frames: tuple[int, ...]
    seen: frozenset[int]
    counts: tuple[tuple[int, int], ...] = ()
    bounced: frozenset[int] = frozenset()
    before: int = 0
    passing: frozenset[int] = frozenset()
    otherwise: tuple[tuple[int, ...], float] | None = None
    doubted: bool = False

    @property
    def closed(self) -> int:
        """Mask of the contacts closed at some time."""
        found = 0
        for frame in self.frames:
            found |= frame
        return found


@dataclass(frozen=True)
class Evidence:
    """The readings of a recording; `holes` are inputs that count for nothing, heard or not."""

    model: BoxModel
    readings: tuple[Reading, ...]

    @cached_property
    def by_contact(self) -> tuple[tuple[int, ...], ...]:
        """For each contact the readings in which it is closed."""
        found: list[list[int]] = [[] for _ in self.model.contacts]
        for at, reading in enumerate(self.readings):
            for contact, places in enumerate(found):
                if reading.closed >> contact & 1:
                    places.append(at)
        return tuple(tuple(places) for places in found)

    @cached_property
    def by_target(self) -> tuple[tuple[int, ...], ...]:
        """For each contact the readings that try it alone."""
        found: list[list[int]] = [[] for _ in self.model.contacts]
        for at, reading in enumerate(self.readings):
            target = reading.step.contact
            place = self.model.index.get(target) if target else None
            if place is not None and reading.step.gesture != "together":
                found[place].append(at)
        return tuple(tuple(places) for places in found)


def gather(model: BoxModel, observations: Iterable[Observation]) -> Evidence:
    """Turn what was heard, in the order in which it was, into evidence; of skipped steps there is
    none.

    Inputs that only pulse are never down at the end of a step and count none the less, and so do
    those that were down when they were to be pressed, and are up since.
    """
    holes = number_box(model).holes
    signals = model.signals
    contacts = {signals[one].number: at for at, one in enumerate(model.contacts) if one in signals}
    readings: list[Reading] = []
    before = 0
    left: dict[str, tuple[int, int, frozenset[int]]] = {}
    for observed in observations:
        if observed.skipped:
            continue
        step = observed.step
        frames = tuple(map(model.mask, step.frames))
        counts = sorted(observed.counts.items()) if step.gesture == "turn" else []
        otherwise = _find_otherwise(observed, frames, left)
        let_go = frozenset[int]()
        if step.gesture in ("press", "together") and observed.already - observed.ended:
            told = described(model).hear(step, frames).seen
            let_go = (observed.already - observed.ended) & told
        readings.append(
            Reading(
                step=step,
                frames=frames,
                seen=(observed.seen | (observed.passing & model.pulsed) | let_go) - holes,
                counts=tuple((n, times) for n, times in counts if n not in holes),
                bounced=frozenset(number for number, _ in observed.bounces) - holes,
                before=before,
                passing=(observed.passing if _is_put(step) else observed.returned)
                - model.pulsed
                - holes,
                otherwise=otherwise,
            )
        )
        before ^= _find_pressed(observed, frames, contacts)
        name = step.contact.control if step.contact else ""
        if otherwise is not None and otherwise[1]:
            on, off = frames[0] & ~frames[-1], frames[-1] & ~frames[0]
            left[name] = (on, off, observed.ended)
        elif step.stays:
            left.pop(name, None)
    return Evidence(model, _doubt(readings))


def _find_pressed(
    observed: Observation, frames: tuple[int, ...], contacts: Mapping[int, int]
) -> int:
    """Mask of the contacts that were pressed in a step, as far as was heard; `contacts` has the
    one of each input. Where nothing was heard nobody pressed; an input that changed for good, of a
    contact that was not asked for, was another finger's."""
    if observed.step.gesture not in ("press", "together"):
        return 0
    changed = observed.already ^ observed.ended
    if not observed.presses and not changed:
        return 0
    asked = frames[1] & ~frames[0]
    stray = sum(1 << contacts[number] for number in changed if number in contacts)
    return asked | stray


def _is_put(step: Step) -> bool:
    return step.stays and step.gesture in ("put-on", "put-off")


def _find_otherwise(
    observed: Observation,
    frames: tuple[int, ...],
    left: dict[str, tuple[int, int, frozenset[int]]],
) -> tuple[tuple[int, ...], float] | None:
    """The frames if a control stayed where it was before, in this step or in one before.

    `left` are the controls that seem to have been left, with what they close instead of what is
    closed at rest, and the inputs that were down then: once those are up nothing is left.
    """
    step = observed.step
    for name, (_, _, ended) in list(left.items()):
        if not observed.already & ended:
            del left[name]
    name = step.contact.control if step.contact else ""
    moved = [(on, off) for other, (on, off, _) in left.items() if other != name or not step.stays]
    is_still = observed.ended == observed.already and observed.ended and not observed.presses
    if step.stays and len(frames) > 1 and is_still:
        frames, cost = (frames[0], frames[0]), SLIP
    elif moved:
        cost = 0.0
    else:
        return None
    for on, off in moved:
        frames = tuple((frame & ~off) | on for frame in frames)
    return frames, cost


def _doubt(readings: list[Reading]) -> tuple[Reading, ...]:
    """Mark the readings of steps that were done again with another result."""
    heard: dict[str, set[tuple[object, ...]]] = {}
    for reading in readings:
        heard.setdefault(reading.step.key, set()).add(
            (reading.seen, reading.counts, reading.passing)
        )
    return tuple(
        replace(reading, doubted=True) if len(heard[reading.step.key]) > 1 else reading
        for reading in readings
    )


def cost_of(reading: Reading, simulator: Simulator, holes: frozenset[int]) -> tuple[Heard, float]:
    """What a build would have said in a step, and the cost of that against the reading.

    If the hand may have done otherwise, the milder of the two.
    """
    heard = simulator.hear(reading.step, reading.frames, reading.before)
    cost = measure(reading, heard, holes)
    if cost and reading.doubted:
        cost = min(cost, SLIP)
    if cost and reading.otherwise is not None:
        frames, price = reading.otherwise
        told = simulator.hear(reading.step, frames, reading.before)
        cost = min(cost, price + measure(reading, told, holes))
    return heard, cost


def measure(reading: Reading, heard: Heard, holes: frozenset[int]) -> float:
    """Cost of a prediction against a reading, in nats; 0 where they agree."""
    cost = 0.0
    if reading.step.gesture == "turn":
        counts, told = dict(reading.counts), dict(heard.counts)
        for number in sorted((counts.keys() | told.keys()) - holes):
            cost += _measure_count(counts.get(number, 0), told.get(number, 0), heard.skips)
    else:
        expected = heard.seen - holes
        missed, extra = len(expected - reading.seen), len(reading.seen - expected)
        pairs = min(missed, extra)
        cost = INSTEAD * pairs + MISMATCH * (missed + extra - 2 * pairs)
    if reading.passing or heard.passing:
        unsteady = (reading.passing ^ heard.passing) - holes
        cost += 0.0 if reading.step.gesture == "select" else UNSTEADY * len(unsteady)
    if reading.bounced or heard.chatter:
        cost += MISMATCH * len(reading.bounced - heard.chatter)
        cost += QUIET_BOUNCE * len(heard.chatter - reading.bounced)
    return min(cost, WORST)


def _measure_count(heard: int, told: float, skips: bool) -> float:
    """Cost of a turn in which an input was heard so often and predicted so often."""
    if told == 0 or (heard == 0 and not skips):
        return 0.0 if heard == told else MISMATCH
    if skips:
        return log(told) + (0.0 if heard < told else MISCOUNT)
    if heard == told:
        return 0.0
    return MISCOUNT if abs(heard - told) <= 1 and told >= 4 else MISMATCH


def allow(heard: Heard) -> float:
    """Cost that a prediction has even where all goes as it says: it leaves some of it open."""
    skipped = sum(log(times) for _, times in heard.counts if times) if heard.skips else 0.0
    return skipped + QUIET_BOUNCE * len(heard.chatter)


def is_open(reading: Reading, heard: Heard, cost: float) -> bool:
    """Whether something is left to explain: more than what the prediction leaves open itself, or a
    miscounted detent."""
    return cost > max(allow(heard), MISCOUNT if reading.step.gesture == "turn" else 0.0)
