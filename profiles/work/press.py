"""A press test as a person does it at the real box, driven once for every door.

- `TestOptions`, `find_options`, `resume_options`: the ways to begin one
- `begin_test`, `replay_test`: a `LiveTest` at a box, or the one that a recording leads to
- `run_press_test`: the loop of a door that waits; other doors call `pump` and `answer` themselves
- `LiveRun`, `Prompt`, `Poster`, `StatusLine`: what is run, and what a door shows of it

What was read is recorded first and judged then. A full disk does not stop a test: `trouble` says
so until the waiting lines are written.
"""

import sys
from collections.abc import Callable, Sequence
from concurrent.futures import Future
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from threading import Thread
from typing import TYPE_CHECKING, ClassVar, Protocol

from profiles.live.buttons import inputs_by_button, unheard_inputs
from profiles.live.events import FoundBox, LiveError, Reader
from profiles.live.large import draw_where, enlarge_step
from profiles.live.lines import Answer, AnswerKind, Depth, Entry, Header, describe_device
from profiles.live.plan import plan_test
from profiles.live.recording import Recorder, read_recording, resume_recording, start_recording
from profiles.live.session import Session, replay
from profiles.live.words import ask_step, describe_heard, describe_labels, name_step
from profiles.model import Device
from profiles.text.inert import escape_controls, file_name
from profiles.text.prose import count, join_words
from profiles.text.version import find_version
from profiles.work.press_boxes import ChosenReader

if TYPE_CHECKING:
    from profiles.live.discovery import Discovery

PAUSE = 0.01
"""Seconds between two looks at the box."""

MOST_TRIED = 9999
"""Numbered recordings of one box in one folder, at most."""

PATIENCE = 8000
"""How long a test that needs no answers waits for a sound, ms."""

WAITING = "Nothing was heard for long. Press anything to continue."

THINKING = "Working out what to ask next."

UNPLUGGED = "The box is unplugged. Plug it in again: this step is asked once more."

OTHER_BOX = (
    "The box that is plugged in is not the one this recording was started with",
    "Plug that one in, or start a new recording",
)
"""What a `LiveError` says where a recording cannot go on."""


@dataclass(frozen=True, slots=True)
class Prompt:
    """What is asked now: its `place` in the test, the words, and the inputs `heard` so far.

    Lines of text may show `where` on the plate. Of a test that needs no answers also what to show
    as `large` as there is room for, with them, to be read from afar.
    """

    words: str
    place: str = ""
    heard: str = ""
    large: str = ""
    where: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Poster:
    """Words to show as large as there is room for, and lines under them."""

    words: str
    lines: tuple[str, ...] = ()


class StatusLine(Protocol):
    """Where a run is shown: lines that stay, and below them what is asked now."""

    def say(self, *lines: str) -> None:
        """Show lines that stay."""

    def show(self, shown: Prompt | Poster) -> None:
        """Show this in place of what was shown before."""

    def ring(self, times: int) -> None:
        """Sound a bell so many times."""


class LiveRun:
    """What a person does at a box: a test, a look at what controls do, a quiz.

    The box and the recording are None once they are let go of.
    """

    greeting: Sequence[str | Poster] = ()
    """What to show at the start."""

    def __init__(self, reader: Reader | None = None, recorder: Recorder | None = None) -> None:
        self.reader, self.recorder = reader, recorder
        self.trouble: LiveError | None = None
        """What keeps lines from being written, or kept the last of them."""
        self.rings = 0
        """Bells due: one for each step that was right, two for one that was not."""

    @property
    def prompt(self) -> Prompt | None:
        """What is asked now."""
        return None

    @property
    def is_live(self) -> bool:
        """Whether it goes on, or lines still wait to be written."""
        return self.reader is not None

    def pump(self) -> Sequence[str | Poster]:
        """Look once at the box, without waiting; what is new to show. Raises LiveError."""
        raise NotImplementedError

    def answer(self, kind: AnswerKind) -> None:
        """Take what the person said."""
        raise NotImplementedError

    def record(self, *entries: Entry) -> None:
        """Write these and what still waits; a full disk is trouble, not the end."""
        if self.recorder is not None and (entries or self.recorder.waiting):
            try:
                self.recorder.add(*entries)
                self.trouble = None
            except LiveError as trouble:
                self.trouble = trouble

    def close(self) -> None:
        """Let go of box and recording, whatever happens."""
        reader, recorder = self.reader, self.recorder
        self.reader = self.recorder = None
        if reader is not None:
            reader.close()
        if recorder is not None:
            try:
                recorder.close()
                self.trouble = None
            except LiveError as trouble:
                self.trouble = trouble


def run_press_test(
    run: LiveRun, next_answer: Callable[[float], AnswerKind | None], status: StatusLine
) -> None:
    """Run until it is over or the person stops, then close it.

    `next_answer` waits for an answer, so many seconds at most.

    Raises:
        LiveError: if the box cannot be read.
    """
    try:
        while run.is_live:
            if run.prompt is not None:
                status.show(run.prompt)
            answer = next_answer(PAUSE)
            if answer is not None:
                run.answer(answer)
            for news in run.pump():
                if isinstance(news, str):
                    status.say(news)
                else:
                    status.show(news)
            if run.rings:
                status.ring(run.rings)
                run.rings = 0
    finally:
        run.close()


@dataclass(frozen=True, slots=True)
class TestOptions:
    """A way to begin a test: a new recording, or one whose session is resumed."""

    device: Device
    path: Path
    depth: Depth = "short"
    detents: int = 10
    every: bool = False
    """Whether contacts without an input number are asked too."""
    patience: int = 0
    """How long a step waits for a sound, ms; 0: for an answer."""
    resumed: Session | None = None

    __test__: ClassVar[bool] = False

    @property
    def time(self) -> float:
        """Where the clock of the reader is to begin, ms."""
        return self.resumed.time if self.resumed else 0.0


def find_options(
    device: Device,
    kind: str = "press",
    depth: Depth = "short",
    detents: int = 10,
    *,
    every: bool = False,
    patience: int = 0,
    folder: Path = Path(),
) -> tuple[TestOptions, ...]:
    """The ways to begin: resume the last recording in a folder, if unfinished, and a new one.

    Raises LiveError if the folder holds too many.
    """
    last, path = find_series(f"{device.id}-{kind}", folder)
    new = TestOptions(device, path, depth, detents, every, patience)
    if last is None:
        return (new,)
    try:
        old = resume_options(device, last)
    except LiveError:
        return (new,)
    session = old.resumed
    if session is None or session.phase == "finished" or session.changed:
        return (new,)
    return old, new


def resume_options(device: Device, path: Path) -> TestOptions:
    """Resume this recording. Raises LiveError if it is no recording of a test of this device."""
    return TestOptions(device, path, resumed=replay_test(device, path).session)


def find_series(stem: str, folder: Path = Path()) -> tuple[Path | None, Path]:
    """The last of the files `<stem>.jsonl`, `<stem>-2.jsonl` and so on; the one to come.

    Raises LiveError if there are too many.
    """
    name = file_name(stem)
    last: Path | None = None
    for number in range(1, MOST_TRIED):
        path = folder / (f"{name}.jsonl" if number == 1 else f"{name}-{number}.jsonl")
        if not path.exists():
            return last, path
        last = path
    raise LiveError(f"This folder holds {MOST_TRIED} recordings", "Choose another folder")


def date_now() -> str:
    """The date and time for a recording's first line."""
    return datetime.now().astimezone().strftime("%Y-%m-%d %H:%M")


def begin_test(options: TestOptions, reader: Reader, box: FoundBox) -> "LiveTest":
    """Begin or resume a test at this box of those plugged in.

    Raises LiveError, the reader closed.
    """
    device, path = options.device, options.path
    try:
        if options.resumed is None:
            steps = plan_test(device, options.depth, options.detents, every=options.every)
            header = Header(
                device=device.id,
                description=describe_device(device),
                program=find_version(),
                started=date_now(),
                depth=options.depth,
                detents=options.detents,
                every=options.every,
                instance=box.instance,
                host=sys.platform,
                patience=options.patience,
            )
            session = Session(
                device,
                instance=box.instance,
                inputs=inputs_by_button(device),
                steps=steps,
                patience=options.patience,
                follows=not options.every,
            )
            test = LiveTest(session, path, header.started)
            recorder = start_recording(path, header)
        else:
            test = replay_test(device, path)
            session = test.session
            recorder = take_up(path, session)
    except LiveError:
        reader.close()
        raise
    test.greet()
    test.listen(ChosenReader(reader, box), recorder)
    if session.phase == "stopped":
        test.close()
        raise LiveError(*OTHER_BOX)
    return test


def take_up(path: Path, session: "Session | Discovery") -> Recorder:
    """The recording that led to this, to be added to.

    One that broke off is stopped first: the box may have another instance by now.
    """
    _, recorder = resume_recording(path)
    if session.phase not in ("stopped", "finished"):
        stop = Answer(session.time, "stop")
        recorder.add(stop)
        session.take(stop)
    return recorder


def replay_test(device: Device, path: Path) -> "LiveTest":
    """The test that a recording leads to; no box is needed.

    Raises LiveError if it is no recording of a test of this device.
    """
    recording = read_recording(path, "press-test")
    name = escape_controls(str(path))
    try:
        session = replay(device, recording)
    except LiveError as error:
        words = f"{name}: {error.message[:1].lower()}{error.message[1:]}"
        raise LiveError(words, error.remedy) from None
    test = LiveTest(session, path, recording.header.started)
    if recording.cut:
        test.greeting.append(f"note: the last line of {name} was cut short and is ignored")
    return test


class LiveTest(LiveRun):
    """One press test: live while a box is listened to or lines wait to be written, then over.

    `greeting` is what there is to say at its start, `started` the date and time in words.
    """

    def __init__(self, session: Session, path: Path, started: str) -> None:
        super().__init__()
        self.session, self.path, self.started = session, path, started
        self.greeting: list[str] = []
        self._is_leaving = False
        self._thought: Future[Answer] | None = None
        self._told = (session.position, False, False)

    def greet(self) -> None:
        """Fill the greeting: steps, recording, and what this computer cannot hear."""
        session, name = self.session, escape_controls(str(self.path))
        if session.changed:
            self.greeting.append(f"warning: the device file has changed since {name} was started")
        done = f", {len(session.observations)} of them done" if session.observations else ""
        steps = count(len(session.steps), "step")
        self.greeting.append(f"{session.device.name}: {steps}{done}; recorded in {name}")
        unheard = join_words([str(number) for number in unheard_inputs(session.device)])
        if unheard:
            box = escape_controls(session.device.id)
            self.greeting.append(f"This computer never hears inputs {unheard} of {box}: skip them.")

    def listen(self, reader: Reader, recorder: Recorder) -> None:
        """Take up box and recording."""
        self.reader, self.recorder = reader, recorder
        self._read()

    @property
    def is_asking(self) -> bool:
        """Whether answers are taken."""
        return self.is_live and not self._is_leaving

    @property
    def prompt(self) -> Prompt | None:
        """What is asked now, or that the box is unplugged."""
        session, step = self.session, self.session.step
        if self.is_asking and session.phase == "thinking":
            return Prompt(THINKING, large="wait")
        if not self.is_asking or step is None:
            return None
        place = f"[{session.position + 1}/{len(session.steps)}]"
        if session.phase == "unplugged":
            return Prompt(UNPLUGGED, place)
        words = f"{ask_step(session.model, step)}{describe_labels(session.device, step)}"
        if session.is_waiting:
            words = WAITING
        heard = describe_heard(session.listening())
        if not session.patience:
            return Prompt(words, place, heard)
        asked = [one.control for one in (*step.held, step.contact) if one is not None]
        large = WAITING if session.is_waiting else enlarge_step(session.device, step)
        return Prompt(words, place, heard, large, draw_where(session.device, asked))

    def pump(self) -> tuple[str, ...]:
        """Read, record and judge what happened; when leaving, write what waits. Raises LiveError.

        Returns the verdict on a step that ended, and what keeps lines from being written.
        """
        self._read()
        if self._is_leaving:
            self.leave()
        position, was_troubled, was_leaving = self._told
        self._told = (self.session.position, self.trouble is not None, self._is_leaving)
        news = []
        if self.trouble is not None and not was_troubled:
            news.append(self.trouble.sentences)
        elif self.trouble is None and was_troubled:
            news.append("All is written to the disk again.")
        if self.session.position < position:
            news.append("back")
        elif self.session.position > position:
            done = self.session.steps[position : self.session.position]
            told = [one for one in self.session.verdicts() if one.step in done]
            news += [f"{one.kind:>9}  {name_step(one.step)}: {one.words}" for one in told]
            if self.session.patience:
                self.rings += sum(1 if one.kind == "right" else 2 for one in told)
        if self.is_live and self.trouble is not None and self._is_leaving and not was_leaving:
            again = "Trying again until it is written; stop again to give up."
            news.append(f"{self.trouble.sentences} {again}")
        return tuple(news)

    def answer(self, kind: AnswerKind) -> None:
        """Take what the person said, after what the box did before; a second stop gives up."""
        was_leaving = self._is_leaving
        self._read()
        if self.reader is None:
            return
        if kind == "stop" and was_leaving:
            self.close()
        elif kind == "stop":
            self.leave()
        elif self.is_asking:
            self._take(Answer(self.reader.now(), kind))
            if self.session.phase == "finished":
                self.leave()

    def leave(self) -> bool:
        """Stop, to be resumed later; False while lines wait to be written: then `pump` tries on."""
        self._is_leaving = True
        if self.is_live:
            self._take()
            if self.trouble is None:
                self.close()
        return not self.is_live

    def close(self) -> None:
        """Let go of box and recording; `trouble` says what was not written."""
        if self.reader is not None:
            self._is_leaving = True
            self._take(Answer(self.reader.now(), "stop"))
            super().close()

    def _read(self) -> None:
        """Read, record and judge what happened since the last look; leave where all is done."""
        if self.reader is None or self._is_leaving:
            return
        self._take(*self.reader.poll())
        position = self.session.position
        self.session.tick(self.reader.now())
        if self.session.position != position:
            self._take(Answer(self.session.time, "quiet"))
        self._think()
        if self.session.phase == "finished":
            self.leave()

    def _think(self) -> None:
        """Have found what is asked next, while the box is listened to as ever."""
        if self.session.phase != "thinking":
            self._thought = None
        elif self._thought is None:
            self._thought = think_aside(self.session.think)
        if self._thought is not None and self._thought.done():
            found, self._thought = self._thought.result(), None
            self._take(replace(found, time=self.session.time))

    def _take(self, *entries: Entry) -> None:
        self.record(*entries)
        self.session.take(*entries)


def think_aside(work: Callable[[], Answer]) -> "Future[Answer]":
    """Have this worked out on a thread of its own, for which the program's end does not wait."""
    future: Future[Answer] = Future()

    def run() -> None:
        try:
            future.set_result(work())
        except BaseException as error:
            future.set_exception(error)

    Thread(target=run, daemon=True).start()
    return future
