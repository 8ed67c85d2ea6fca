"""A hand at a simulated box: patient, mistaken, or in a rhythm of its own; it never answers."""

import random
from collections.abc import Iterable, Iterator

from profiles.live.events import Event
from profiles.live.faults import Fault
from profiles.live.plan import Step
from profiles.live.session import Session
from profiles.model import Contact, Device
from tests.live.simulated import INSTANCE, SimulatedBox

PATIENCE = 6000.0
MISTAKES = ("skip", "extra", "wrong", "miscount", "left on")


class Hand:
    """Does what is asked at a box, but for mistakes in steps drawn by chance."""

    def __init__(self, box: SimulatedBox, mistakes: int = 0, seed: int = 0) -> None:
        self.box = box
        self.chance = random.Random(seed)
        self.left: frozenset[Contact] = frozenset()
        self.mistakes = mistakes
        self.slips: dict[int, str] = {}

    def begin(self, session: Session) -> None:
        """Plug the box in, and draw where mistakes will be made."""
        box = self.box
        box.closed = set(session.steps[0].frames[0])
        box.down = box.levels(box.closed)
        session.take(Event(0.0, INSTANCE, "added", down=tuple(sorted(box.down))))
        places = self.chance.sample(range(1, len(session.steps)), self.mistakes)
        for place in places:
            kinds = [one for one in MISTAKES if fits(one, session.steps[place])]
            if kinds:
                self.slips[place] = self.chance.choice(kinds)

    def do(self, step: Step, slip: str = "") -> Iterator[Event]:
        """What the box sends meanwhile."""
        if step.contact is not None and step.stays:
            self.left = frozenset(c for c in self.left if c.control != step.contact.control)
        frames = [frozenset(frame) | self.left for frame in step.frames]
        other = self.chance.choice(
            [c for c in self.box.terminals if c.contact == "press" and c not in step.closed]
        )
        if slip == "skip":
            return
        if slip == "left on":
            self.left |= frames[0] - frames[-1]
            return
        if slip == "extra":
            frames[1] |= {other}
        if slip == "wrong":
            frames[1] = frames[0] | {other}
        detents = step.detents - (slip == "miscount")
        asked = Step(step.gesture, step.contact, tuple(frames), step.held, detents, step.stays)
        yield from self.box.perform(asked)


def fits(mistake: str, step: Step) -> bool:
    """Whether a hand can make this mistake there."""
    if mistake == "miscount":
        return step.gesture == "turn"
    if mistake == "left on":
        return step.gesture == "put-off"
    if mistake == "skip":
        return True
    return step.gesture == "press"


def find_step(session: Session) -> Step | None:
    """What is asked now, once it was thought of."""
    if session.phase == "thinking":
        session.take(session.think())
    return session.step


def free_test(
    device: Device,
    faults: Iterable[Fault] = (),
    *,
    depth: str = "full",
    mistakes: int = 0,
    seed: int = 0,
    box: SimulatedBox | None = None,
) -> Session:
    """A whole test without a single answer."""
    box = box or SimulatedBox(device, faults, seed)
    session = Session(
        device, "full" if depth == "full" else "short", instance=INSTANCE, patience=PATIENCE
    )
    hand = Hand(box, mistakes, seed)
    hand.begin(session)
    while (step := find_step(session)) is not None:
        position = session.position
        session.take(*hand.do(step, hand.slips.get(position, "")))
        while session.position == position and session.phase == "asking":
            box.time += 500.0
            session.tick(box.time)
            if session.is_waiting:
                session.take(Event(box.time, INSTANCE, "hat", 1, 0))
    return session


def rhythm_test(device: Device, faults: Iterable[Fault], seed: int = 0) -> Session:
    """A hand that works through the plate at its own pace, looking at nothing, then leaves.

    What follows is done by a patient hand.
    """
    box = SimulatedBox(device, faults, seed)
    session = Session(device, "short", instance=INSTANCE, patience=PATIENCE)
    hand = Hand(box, 0, seed)
    hand.begin(session)
    for step in session.steps[1:]:
        start = box.time + hand.chance.uniform(900.0, 1300.0) + 2000.0 * (step.gesture == "turn")
        box.time = start
        for event in hand.do(step):
            session.take(event)
        box.time -= 3000.0 - 400.0
        session.tick(box.time)
    while (asked := find_step(session)) is not None:
        position = session.position
        if position >= session.planned:
            session.take(*hand.do(asked))
        while session.position == position and session.phase == "asking":
            box.time += 500.0
            session.tick(box.time)
            if session.is_waiting:
                session.take(Event(box.time, INSTANCE, "hat", 1, 0))
    return session
