"""The press test itself: asks step by step, listens, judges. No input, no output, no clock.

A `Session` is fed events and answers in the order of their times; `tick` tells it the time when
nothing happens. The same entries always lead to the same state, so a recording replays through this
code (`replay`). A step ends by itself once what was asked for is over and the box is quiet; the
person may also answer: `next` (what was heard is all there is), `skip`, `back`, `again`, `stop`.

Unplugging voids the step at hand: it is asked again when the box is back. Other boxes are ignored.

Once all steps were done it goes on (`following`): what failed is asked again, then what decides
between the explanations left. That takes time to find: the session is `thinking` until it is told
what follows, and `think` finds it, on any thread.

With `patience` no answers are needed: a step that was asked for so long without a sound was not
heard, a hand that begins ends the rest, and one that went on past a silent contact is followed.
Once as many steps in a row stay silent as the longest line has contacts, and more, it waits for a
sound: nobody may be there.
"""

import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from statistics import median
from typing import Literal

from profiles.facts.device import DeviceFacts
from profiles.live.build import number_box
from profiles.live.buttons import FieldReader, inputs_by_button
from profiles.live.events import Event, FoundBox, LiveError, follow_box, match_boxes
from profiles.live.evidence import Observation, Press
from profiles.live.following import MOST_FOLLOWING, find_next, recall_step
from profiles.live.forward import Heard, described
from profiles.live.lines import Answer, AnswerKind, Depth, Entry, Recording, describe_device
from profiles.live.plan import Gesture, Step, plan_test
from profiles.live.realign import TELLING, find_lead, keep_silent
from profiles.live.verdict import Verdict, judge
from profiles.model import Device
from profiles.text.inert import escape_controls

QUIET: dict[Gesture, float] = {
    "press": 250.0,
    "put-on": 500.0,
    "put-off": 500.0,
    "put": 500.0,
    "select": 1000.0,
    "turn": 1500.0,
    "together": 400.0,
    "to-high": 500.0,
    "to-low": 500.0,
}
"""A step is over when the box has been quiet so long, ms; longer than any hand hesitates."""

FAR = 8192
"""An axis that went so far, of 65,536, was moved by a hand; less is noise."""

SETTLED = 2500.0
"""With patience a step ends, ms after the last sound, even if something is held or left undone."""

MOST_SILENT = 12
"""Steps in a row without a sound after which a test with patience waits for one, at least."""

LATE = 400.0
"""An answer that comes so soon, ms, after a step ended by itself was meant for that step."""

Phase = Literal["asking", "thinking", "unplugged", "stopped", "finished"]


@dataclass
class StepInput:
    """What was heard since the step began; `open` are the places of presses that are down."""

    already: frozenset[int]
    presses: list[Press] = field(default_factory=list)
    open: dict[int, int] = field(default_factory=dict)
    last: float | None = None
    moved: set[str] = field(default_factory=set)

    def press(self, number: int, time: float) -> None:
        """An input goes down."""
        self.open[number] = len(self.presses)
        self.presses.append(Press(number, time))
        self.last = time

    def release(self, number: int, time: float) -> None:
        """An input goes up; the press it ends may have begun before the step."""
        place = self.open.pop(number, None)
        if place is not None:
            self.presses[place] = replace(self.presses[place], end=time)
        self.last = time


class Session:
    """One press test of one box.

    `instance` is the box; None: the first that fits. `inputs` maps the host's button numbers to
    input numbers where they differ. `steps` replaces the plan of this depth. `platform` is the host
    that counts hats and axes. `patience` is in ms, 0 for a test that waits for answers. `follows`:
    whether more is asked once all steps were done.
    """

    def __init__(
        self,
        device: Device,
        depth: Depth = "short",
        detents: int = 10,
        instance: int | None = None,
        inputs: Mapping[int, int] | None = None,
        steps: Sequence[Step] | None = None,
        platform: str = sys.platform,
        patience: float = 0.0,
        *,
        follows: bool = True,
    ) -> None:
        self.device = device
        self.model = DeviceFacts(device).model
        self.steps = plan_test(device, depth, detents) if steps is None else tuple(steps)
        self.planned = len(self.steps)
        self.patience = patience
        self.follows = follows
        self.position = 0
        self.time = 0.0
        self.phase: Phase = "asking"
        self.changed = False
        self.caught_up = 0
        """How often the hand was ahead and was followed."""
        self.box: FoundBox | None = None
        self._instance = instance
        self._inputs = inputs or {}
        self._fields = FieldReader(device, platform)
        self._turned = float("-inf")
        self._down: set[int] = set()
        self._axes: dict[int, int] = {}
        self._tries: dict[int, Observation] = {}
        self._began = 0.0
        self._waits: dict[int, float] = {}
        """How long each step waited for its first sound, ms."""
        self._silent = 0
        self._longest = max(MOST_SILENT, self.model.rows + 2, self.model.columns + 2)
        self._holes = number_box(self.model).holes
        self._expected: dict[str, Heard] = {}
        self._heard = StepInput(frozenset())

    @property
    def instance(self) -> int | None:
        """The box that is listened to, None while there is none."""
        return self._instance

    @property
    def step(self) -> Step | None:
        """What is asked for now, None after the last."""
        return self.steps[self.position] if self.position < len(self.steps) else None

    @property
    def down(self) -> frozenset[int]:
        """Inputs that are down now."""
        return frozenset(self._down)

    @property
    def tries(self) -> tuple[Observation, ...]:
        """What was observed so far, a step that was asked twice also twice, in that order."""
        return tuple(self._tries[at] for at in sorted(self._tries))

    @property
    def observations(self) -> tuple[Observation, ...]:
        """What was observed so far, of each step the last time it was done, in the plan's order."""
        found: dict[str, Observation] = {}
        for tried in self.tries:
            if not tried.skipped or tried.step.key not in found:
                found[tried.step.key] = tried
        return tuple(found.values())

    @property
    def is_waiting(self) -> bool:
        """Whether it was silent for so long that a sound or an answer is waited for."""
        return self._silent > self._longest

    def expected(self, step: Step) -> Heard:
        """What the box as described reports during a step."""
        if step.key not in self._expected:
            frames = tuple(map(self.model.mask, step.frames))
            self._expected[step.key] = described(self.model).hear(step, frames)
        return self._expected[step.key]

    def verdicts(self) -> tuple[Verdict, ...]:
        """A verdict on every step done so far, in the order of the plan."""
        return tuple(
            judge(observation, self.expected(observation.step), self._holes)
            for observation in self.observations
        )

    def listening(self) -> Observation | None:
        """What was heard so far in the step at hand."""
        heard, step = self._heard, self.step
        if step is None:
            return None
        moved = tuple(sorted(heard.moved))
        return Observation(step, heard.already, tuple(heard.presses), self.down, moved=moved)

    def take(self, *entries: Entry) -> None:
        """Events and answers, in the order in which they happened."""
        for entry in entries:
            self.tick(entry.time)
            if isinstance(entry, Answer) and entry.kind == "follow":
                self._follow(entry.words)
            elif isinstance(entry, Answer):
                self._answer(entry.kind)
            elif entry.kind == "added":
                self._add(entry)
            elif entry.device == self._instance:
                self._hear(entry)

    def tick(self, time: float) -> None:
        """The time is now so many ms; a time before the last one counts as the last one."""
        self.time = max(self.time, time)
        step = self.step
        if self.phase != "asking" or step is None:
            return
        if self._is_over(step):
            self._turned = (self._heard.last or 0.0) + QUIET[step.gesture]
            self._silent = 0
            self._finish()
            self._catch_up()
        elif self.patience and not self.is_waiting and self._is_silent(step):
            self._silent += self._heard.last is None and step.gesture != "rest"
            self._turned = self.time
            self._finish()

    def _is_silent(self, step: Step) -> bool:
        """Whether what was asked for stays away: for as long as there is patience, or since the
        last sound."""
        last = self._heard.last if self._heard.presses or step.gesture != "turn" else None
        if step.gesture == "rest" or last is not None:
            return self.time - max(self._began, last or 0.0) >= SETTLED
        return self.time - self._began >= self.patience

    def _end_rest(self, number: int) -> None:
        """A hand that begins before the box was at rest for long has put everything to rest."""
        moving = [one for one in self.steps if one.gesture in ("press", "put-on")]
        begun = frozenset[int]().union(*(self.expected(one).seen for one in moving))
        if number in begun - self.expected(self.steps[self.position]).seen - self.model.pulsed:
            self._finish()

    def _finish(self) -> None:
        """Keep what was heard in the step, and go to the next."""
        observed = self.listening()
        if observed is not None:
            self._tries[self.position] = observed
            if observed.presses:
                self._waits[self.position] = observed.presses[0].start - self._began
            self._go_to(self.position + 1)

    def _catch_up(self) -> None:
        """Follow a hand that went on while a step was waited for, as its sounds tell.

        The first sound must have come as late as the steps in between take at the hand's pace:
        lines that are exchanged sound alike, but at once.
        """
        first = self.position - TELLING
        places = range(first, self.position)
        if first < 1 or any(at not in self._waits for at in places):
            return
        steps = self.steps[: min(self.position + self._longest, self.planned)]
        heard = [self._tries[at] for at in places]
        lead = find_lead(self.model, steps[first:], heard)
        longer = [self._tries[first - 1], *heard] if first - 1 in self._tries else []
        if not lead or find_lead(self.model, steps[first - 1 :], longer) == lead:
            return  # it was ahead before, and has been asked about
        before = [wait for at, wait in self._waits.items() if at < first]
        pace = median(before if len(before) >= TELLING else [self._waits[at] for at in places[1:]])
        if self._waits[first] < (lead + 0.5) * pace:
            return
        self.caught_up += 1
        for at in reversed(places):
            step = self.steps[at + lead]
            self._tries[at + lead] = replace(self._tries[at], step=step)
        for at in range(first, first + lead):
            self._tries[at] = keep_silent(self.model, self.steps[at])
        self._go_to(self.position + lead)

    def _go_to(self, position: int) -> None:
        self.position = max(0, min(position, len(self.steps)))
        may_follow = self.follows and len(self.steps) < self.planned + MOST_FOLLOWING
        self.phase = "asking"
        if self.position == len(self.steps):
            self.phase = "thinking" if may_follow else "finished"
        self._heard = StepInput(self.down)
        self._began = self.time

    def _is_over(self, step: Step) -> bool:
        """Whether what was asked for has been done and the box is quiet since."""
        heard = self._heard
        if heard.last is None or step.gesture == "rest":
            return False
        if self.time - heard.last < QUIET[step.gesture]:
            return False
        if step.gesture in ("put-on", "put-off", "put", "select", "to-high", "to-low"):
            return True
        if step.gesture == "turn":  # a toggle that is put back meanwhile is no turn
            return bool(heard.presses)
        if heard.open.keys() - heard.already:
            return False
        wanted = self.expected(step).seen - heard.already - self._holes
        return step.gesture == "press" or len({p.number for p in heard.presses}) >= len(wanted)

    def think(self) -> Answer:
        """Find what is asked after all steps, which may take long; the session does not change."""
        step = find_next(self.model, self.tries)
        return Answer(self.time, "follow", step.key if step else "")

    def _follow(self, key: str) -> None:
        """Ask the step of this key, or nothing more."""
        if self.phase == "thinking":
            step = recall_step(self.model, self.steps, key)
            if step is None:
                self.phase = "finished"
            else:
                self.steps += (step,)
                self._go_to(self.position)

    def _answer(self, kind: AnswerKind) -> None:
        if kind in ("quiet", "typed"):
            return
        self._silent = 0
        if kind == "stop":  # the box may have another instance when the test is resumed
            self.phase = "finished" if self.phase == "finished" else "stopped"
            self._instance = None
            self._down.clear()
            return
        if self.phase == "stopped":
            self._go_to(self.position)
        step, heard = self.step, self._heard
        if kind == "back":
            self._go_to(self.position - 1)
        elif kind == "again":
            self._heard = StepInput(self.down)
        elif step is None or (heard.last is None and self.time - self._turned < LATE):
            return
        elif kind == "skip":
            self._tries.setdefault(self.position, Observation(step, skipped=True))
            self._go_to(self.position + 1)
        else:
            self._finish()

    def _add(self, event: Event) -> None:
        """Take up the box, if it is the one that is meant."""
        if self._instance is not None:
            is_mine = event.device == self._instance
        elif event.box is not None and self.box is not None:
            is_mine = follow_box(self.box, event.box)
        else:
            usb = self.device.device.usb
            is_mine = event.box is None or bool(match_boxes([event.box], usb))
        if is_mine:
            self._instance = event.device
            self.box = event.box or self.box
            self._down = {self._inputs.get(button, button) for button in event.down}
            self._go_to(self.position)

    def _hear(self, event: Event) -> None:
        """Take an event of the box; of an axis it is not known where it was at first."""
        self._silent = 0
        number = self._inputs.get(event.number, event.number)
        match event.kind:
            case "removed":
                self.box = event.box or self.box
                self._instance = None
                self._down.clear()
                self._heard = StepInput(frozenset())
                if self.phase in ("asking", "thinking"):
                    self.phase = "unplugged"
            case "down" if number not in self._down:
                if self.patience and self.step and self.step.gesture == "rest":
                    self._end_rest(number)
                self._down.add(number)
                self._heard.press(number, self.time)
            case "up":
                self._down.discard(number)
                self._heard.release(number, self.time)
            case "hat" | "axis" if (told := self._fields.take(event)) is not None:
                is_axis = event.kind == "axis"
                if is_axis and self.step and self.step.gesture not in ("to-high", "to-low"):
                    return
                self._down |= told[0]
                for one in sorted(told[0]):
                    self._heard.press(one, self.time)
                self._down -= told[1]
                for one in sorted(told[1]):
                    self._heard.release(one, self.time)
            case "hat":
                self._heard.moved.add(f"hat {event.number}")
            case "axis":
                before = self._axes.setdefault(event.number, event.value)
                if abs(event.value - before) > FAR:
                    self._heard.moved.add(f"axis {event.number}")
                    self._axes[event.number] = event.value


def replay(device: Device, recording: Recording) -> Session:
    """The session that a recording leads to. Raises LiveError where it is of another device.

    `changed` of the session says that the device file has changed since.
    """
    header = recording.header
    if header.device != device.id:
        raise LiveError(
            f"The recording is of {escape_controls(header.device)}, not of {device.id}",
            f"Choose the device {escape_controls(header.device)}",
        )
    inputs = inputs_by_button(device, header.host) if header.host else None
    steps = plan_test(device, header.depth, header.detents, every=header.every)
    session = Session(
        device,
        header.depth,
        header.detents,
        header.instance,
        inputs,
        steps,
        header.host or sys.platform,
        header.patience,
        follows=not header.every,
    )
    session.changed = header.description != describe_device(device)
    session.take(*recording.entries)
    return session
