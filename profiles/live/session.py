"""The press test itself: asks step by step, listens, judges. No input, no output, no clock.

A `Session` is fed events and answers in the order of their times; `tick` tells it the time when
nothing happens. The same entries always lead to the same state, so a recording replays through this
code (`replay`). A step ends by itself once what was asked for is over and the box is quiet; the
person may also answer: `next` (what was heard is all there is), `skip`, `back`, `again`, `stop`.

Unplugging voids the step at hand: it is asked again when the box is back. Other boxes are ignored.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from profiles.facts.device import DeviceFacts
from profiles.live.build import build_of, number_box
from profiles.live.buttons import inputs_by_button
from profiles.live.events import Box, Event, LiveError, follow_box, match_boxes
from profiles.live.evidence import Observation, Press
from profiles.live.forward import Heard, Simulator
from profiles.live.lines import Answer, Depth, Entry, Recording, describe_device
from profiles.live.plan import Gesture, Step, plan_test
from profiles.live.verdict import Verdict, judge
from profiles.model import Device
from profiles.text.inert import escape_controls

QUIET: dict[Gesture, float] = {
    "press": 250.0,
    "put-on": 500.0,
    "put-off": 500.0,
    "select": 1000.0,
    "turn": 700.0,
    "together": 400.0,
}
"""A step is over when the box has been quiet so long, ms; longer than any hand hesitates."""

FAR = 8192
"""An axis that went so far, of 65,536, was moved by a hand; less is noise."""

LATE = 400.0
"""An answer that comes so soon, ms, after a step ended by itself was meant for that step."""

Phase = Literal["asking", "unplugged", "stopped", "finished"]


@dataclass
class StepInput:
    """What was heard since the step began."""

    already: frozenset[int]
    presses: list[Press]
    open: dict[int, int]
    last: float | None = None
    moved: set[str] = field(default_factory=set)


class Session:
    """One press test of one box.

    `instance` is the box; None: the first that fits. `inputs` maps the host's button numbers to
    input numbers where they differ. `steps` replaces the plan of this depth.
    """

    def __init__(
        self,
        device: Device,
        depth: Depth = "short",
        detents: int = 10,
        instance: int | None = None,
        inputs: Mapping[int, int] | None = None,
        steps: Sequence[Step] | None = None,
    ) -> None:
        self.device = device
        self.model = DeviceFacts(device).model
        self.steps = plan_test(device, depth, detents) if steps is None else tuple(steps)
        self.position = 0
        self.time = 0.0
        self.phase: Phase = "asking"
        self.changed = False
        self.box: Box | None = None
        self._instance = instance
        self._inputs = inputs or {}
        self._turned = float("-inf")
        self._down: set[int] = set()
        self._axes: dict[int, int] = {}
        self._found: dict[str, Observation] = {}
        self._expected = _expect(self)
        self._ear = self._listen()

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
    def observations(self) -> tuple[Observation, ...]:
        """What was observed so far, in the order of the plan."""
        return tuple(self._found[one.key] for one in self.steps if one.key in self._found)

    def expected(self, step: Step) -> Heard:
        """What the box as described reports during a step."""
        return self._expected[step.key]

    def verdicts(self) -> tuple[Verdict, ...]:
        """A verdict on every step done so far, in the order of the plan."""
        holes = number_box(self.model).holes
        return tuple(judge(one, self._expected[one.step.key], holes) for one in self.observations)

    def listening(self) -> Observation | None:
        """What was heard so far in the step at hand."""
        return None if self.step is None else self._observe(self.step)

    def take(self, *entries: Entry) -> None:
        """Events and answers, in the order in which they happened."""
        for entry in entries:
            self.tick(entry.time)
            if isinstance(entry, Answer):
                self._answer(entry)
            else:
                self._hear(entry)

    def tick(self, time: float) -> None:
        """The time is now so many ms; a time before the last one counts as the last one."""
        self.time = max(self.time, time)
        step = self.step
        if self.phase == "asking" and step is not None and self._is_over(step):
            self._turned = (self._ear.last or 0.0) + QUIET[step.gesture]
            self._finish(step)

    def _listen(self) -> StepInput:
        return StepInput(frozenset(self._down), [], {})

    def _observe(self, step: Step) -> Observation:
        ear = self._ear
        return Observation(
            step,
            ear.already,
            tuple(ear.presses),
            frozenset(self._down),
            moved=tuple(sorted(ear.moved)),
        )

    def _finish(self, step: Step) -> None:
        self._found[step.key] = self._observe(step)
        self._go_to(self.position + 1)

    def _go_to(self, position: int) -> None:
        self.position = max(0, min(position, len(self.steps)))
        self.phase = "asking" if self.position < len(self.steps) else "finished"
        self._ear = self._listen()

    def _is_over(self, step: Step) -> bool:
        """Whether what was asked for has been done and the box is quiet since."""
        ear = self._ear
        if ear.last is None or step.gesture == "rest":
            return False
        if self.time - ear.last < QUIET[step.gesture]:
            return False
        if step.gesture in ("put-on", "put-off", "select"):
            return True
        if ear.open:
            return False
        if step.gesture == "turn":
            return len(ear.presses) >= step.detents
        wanted = self._expected[step.key].seen - ear.already - number_box(self.model).holes
        return step.gesture == "press" or len({p.number for p in ear.presses}) >= len(wanted)

    def _answer(self, answer: Answer) -> None:
        if answer.kind == "quiet":
            return
        if answer.kind == "stop":
            self._stop()
            return
        if self.phase == "stopped":
            self._go_to(self.position)
        if answer.kind == "back":
            self._go_to(self.position - 1)
        elif answer.kind == "again":
            self._ear = self._listen()
        elif self.step is not None and not self._is_late():
            self._leave(self.step, skipped=answer.kind == "skip")

    def _is_late(self) -> bool:
        """Whether an answer given now was meant for the step before."""
        return self._ear.last is None and self.time - self._turned < LATE

    def _leave(self, step: Step, *, skipped: bool) -> None:
        if not skipped:
            self._finish(step)
            return
        self._found.setdefault(step.key, Observation(step, skipped=True))
        self._go_to(self.position + 1)

    def _stop(self) -> None:
        """Leave off; the box may have another instance when the test is resumed."""
        if self.phase != "finished":
            self.phase = "stopped"
        self._instance = None
        self._down.clear()

    def _hear(self, event: Event) -> None:
        if event.kind == "added":
            self._add(event)
        elif event.device != self._instance:
            return
        elif event.kind == "removed":
            self._remove(event)
        elif event.kind == "down":
            self._press(self._input(event.number))
        elif event.kind == "up":
            self._release(self._input(event.number))
        elif event.kind == "hat":
            self._ear.moved.add(f"hat {event.number}")
        elif event.kind == "axis":
            self._move(event)

    def _move(self, event: Event) -> None:
        """Note an axis that moves; where it stood at first is not known."""
        before = self._axes.setdefault(event.number, event.value)
        if abs(event.value - before) > FAR:
            self._ear.moved.add(f"axis {event.number}")
            self._axes[event.number] = event.value

    def _input(self, button: int) -> int:
        return self._inputs.get(button, button)

    def _add(self, event: Event) -> None:
        if not self._is_mine(event):
            return
        self._instance = event.device
        self.box = event.box or self.box
        self._down = {self._input(number) for number in event.down}
        self._go_to(self.position)

    def _is_mine(self, event: Event) -> bool:
        if self._instance is not None:
            return event.device == self._instance
        if event.box is None:
            return True
        if self.box is not None:
            return follow_box(self.box, event.box)
        return bool(match_boxes([event.box], self.device.device.usb))

    def _remove(self, event: Event) -> None:
        self.box = event.box or self.box
        self._instance = None
        self._down.clear()
        self._ear = self._listen()
        if self.phase == "asking":
            self.phase = "unplugged"

    def _press(self, number: int) -> None:
        if number in self._down:
            return
        self._down.add(number)
        self._ear.open[number] = len(self._ear.presses)
        self._ear.presses.append(Press(number, self.time))
        self._ear.last = self.time

    def _release(self, number: int) -> None:
        self._down.discard(number)
        self._ear.last = self.time
        place = self._ear.open.pop(number, None)
        if place is not None:
            start = self._ear.presses[place].start
            self._ear.presses[place] = Press(number, start, self.time)


def _expect(session: Session) -> dict[str, Heard]:
    model = session.model
    simulator = Simulator(model, build_of(model))
    return {
        step.key: simulator.hear(step, tuple(model.mask(frame) for frame in step.frames))
        for step in session.steps
    }


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
    session = Session(device, header.depth, header.detents, header.instance, inputs, steps)
    session.changed = header.description != describe_device(device)
    session.take(*recording.entries)
    return session
