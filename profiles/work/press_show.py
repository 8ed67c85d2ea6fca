"""Boxes of a profile at work: what a pressed control does, and the quiz that asks for it.

- `LiveShow`: boxes that come and go, and what was touched last
- `LiveQuiz`, `begin_quiz`: a quiz at the real box, recorded
- `replay_quizzes`, `report_quizzes`: recordings of quizzes, and what they come to
"""

import random
from collections.abc import Sequence
from pathlib import Path

from profiles.live.events import Event, LiveError, Reader
from profiles.live.lines import Answer, AnswerKind, Entry, Header, describe_device
from profiles.live.quiz import Quiz, Tally, replay_quiz
from profiles.live.recording import Recorder, read_recording, start_recording
from profiles.live.show import (
    Board,
    Triggered,
    describe_application,
    describe_touched,
    name_place,
)
from profiles.model import Link
from profiles.report.document import Cell, Column, Facts, Report, Table
from profiles.text.inert import escape_controls
from profiles.text.prose import count
from profiles.text.version import find_version
from profiles.work.press import LiveRun, Poster, date_now

PRESS_ONE = "Press a control to see what it does."


class LiveShow(LiveRun):
    """Boxes of a profile that come and go, and what was touched last."""

    def __init__(self, link: Link, reader: Reader) -> None:
        super().__init__(reader)
        self.link, self.board = link, Board(link)
        self.touched: Triggered | None = None
        self.greeting = (self.poster,)

    @property
    def poster(self) -> Poster:
        """What was touched last and what it does; the application where nothing was yet."""
        if self.touched is None:
            return Poster(describe_application(self.link), (PRESS_ONE,))
        words, lines = describe_touched(self.link, self.touched)
        return Poster(words, tuple(lines))

    def take_link(self, link: Link) -> None:
        """Show another profile with the same boxes."""
        self.link, self.board, self.touched = link, Board(link), None
        for box in self.reader.devices() if self.reader else ():
            self.board.take(Event(0.0, box.instance, "added", box=box))

    def pump(self) -> tuple[str | Poster, ...]:
        """Read what happened; what each contact that was touched does. Raises LiveError."""
        news: list[str | Poster] = []
        for event in self.reader.poll() if self.reader else ():
            for touched in self.board.take(event):
                self.touched = touched
                news.append(self.poster)
            if event.kind == "removed":
                news.append("A box is unplugged; plug it in again to continue.")
        return tuple(news)

    def answer(self, kind: AnswerKind) -> None:
        """Stop, if that is said."""
        if kind == "stop":
            self.close()


def begin_quiz(
    link: Link, reader: Reader, path: Path, *, rounds: int | None, seed: int | None
) -> "LiveQuiz":
    """Begin a quiz of so many rounds; the same seed asks the same questions.

    Raises LiveError, the reader closed, if the recording cannot be written.
    """
    device = link.devices[0]
    header = Header(
        device=device.id,
        description=describe_device(device),
        program=find_version(),
        recording="quiz",
        started=date_now(),
        profile=link.profile.id,
        seed=random.randrange(2**31) if seed is None else seed,
    )
    try:
        recorder = start_recording(path, header)
    except LiveError:
        reader.close()
        raise
    return LiveQuiz(Quiz(link, {}, header.seed), reader, recorder, rounds)


class LiveQuiz(LiveRun):
    """A quiz at the real box: what is read is recorded first and counted then."""

    def __init__(self, quiz: Quiz, reader: Reader, recorder: Recorder, rounds: int | None) -> None:
        super().__init__(reader, recorder)
        self.quiz, self.rounds = quiz, rounds
        self._given_up = ""
        """Where the action was that was given up last."""
        self._read()
        self._told = self.poster
        self.greeting = (self._told,) if self._told else ()

    @property
    def is_live(self) -> bool:
        """Whether there is a question to answer."""
        done = sum(tally.asked for tally in self.quiz.tallies)
        is_over = self.rounds is not None and done >= self.rounds
        return self.reader is not None and not is_over and self.quiz.question is not None

    @property
    def poster(self) -> Poster | None:
        """What is asked now, what the last control did instead, and where the last action was."""
        question = self.quiz.question
        if question is None:
            return None
        wrong = list(dict.fromkeys(bound.action.name for bound in self.quiz.wrong))
        lines = [
            f"Find it: {question.action.name}",
            f"No, that is: {', '.join(wrong)}" if wrong else "",
            self._given_up,
            self.trouble.sentences if self.trouble else "",
        ]
        return Poster(question.legend, tuple(line for line in lines if line))

    def pump(self) -> tuple[Poster, ...]:
        """Read what happened; what is asked, where that is different. Raises LiveError."""
        self._read()
        before, self._told = self._told, self.poster
        is_new = self.is_live and self._told != before
        return (self._told,) if is_new and self._told else ()

    def answer(self, kind: AnswerKind) -> None:
        """Give the question up, or stop; what came too late for its question counts for none."""
        asked = self.quiz.question
        self._read()
        if asked is None or self.quiz.question != asked or self.reader is None:
            return
        if kind == "stop":
            self._take(Answer(self.reader.now(), "stop"))
        elif kind in ("skip", "next"):
            self._given_up = f"{asked.action.name} was on {name_place(self.quiz.board.link, asked)}"
            self._take(Answer(self.reader.now(), "skip"))

    def _read(self) -> None:
        for event in self.reader.poll() if self.reader else ():
            asked = self.quiz.question
            self._take(event)
            if self.quiz.question != asked:
                self._given_up = ""

    def _take(self, entry: Entry) -> None:
        self.record(entry)
        self.quiz.take(entry)


def replay_quizzes(link: Link, paths: Sequence[Path]) -> list[Quiz]:
    """The quizzes that recordings lead to. Raises LiveError if one is of another profile."""
    found = []
    for path in paths:
        recording = read_recording(path, "quiz")
        if recording.header.profile != link.profile.id:
            raise LiveError(
                f"{escape_controls(str(path))} is of profile "
                f"`{escape_controls(recording.header.profile)}`, not of "
                f"`{escape_controls(link.profile.id)}`",
                "Name that profile",
            )
        found.append(replay_quiz(link, {}, recording))
    return found


def report_quizzes(link: Link, quizzes: Sequence[Quiz]) -> Report:
    """The results of quizzes added up, the slowest and most mistaken actions first."""
    tallies = [
        Tally(
            same[0].bound,
            tuple(time for tally in same for time in tally.times),
            sum(tally.errors for tally in same),
            sum(tally.given_up for tally in same),
        )
        for same in zip(*(quiz.tallies for quiz in quizzes), strict=True)
    ]
    asked = [tally for tally in tallies if tally.asked or tally.errors]
    asked.sort(key=lambda tally: (-(tally.errors + tally.given_up), -(tally.mean or 0.0)))
    facts = Facts({"profile": link.profile.id})
    columns = (
        Column("Action", key="action"),
        Column("Binding", key="key", readers="machines"),
        Column("Where", key="where"),
        Column("Found", key="times"),
        Column("Mean time", key="mean"),
        Column("Wrong", key="errors"),
        Column("Given up", key="given_up"),
    )
    rows = tuple(
        (
            Cell(tally.bound.action.name, data=tally.bound.action_id),
            tally.bound.key,
            name_place(link, tally.bound),
            Cell(str(len(tally.times)), data=list(tally.times)),
            None if tally.mean is None else Cell(f"{tally.mean / 1000:.1f} s", data=tally.mean),
            tally.errors,
            tally.given_up,
        )
        for tally in asked
    )
    found = count(sum(len(tally.times) for tally in asked), "action")
    wrong = count(sum(tally.errors for tally in asked), "wrong press", "wrong presses")
    words = f"{found} found, {wrong}" if asked else "nothing was asked"
    table = Table(columns, rows, key="actions")
    title = f"{describe_application(link)}: {words}"
    return Report(title, (facts, table) if asked else (facts, Facts({"actions": []})))
